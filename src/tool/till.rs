//! What a tool may ask of the current yard: the price of a grade, and how the yard weighs.

use std::rc::Rc;

use jiff::civil::Date;

use crate::market::{Book, GradeTree, Priced, Quote, Unsold, Yard};
use crate::quantity::Mass;

/// A yard on a day, with the quotes valid then.
#[derive(Clone)]
pub struct Till {
    /// The yard.
    pub yard: Rc<Yard>,
    /// The quotes.
    pub quotes: Rc<[Quote]>,
    /// The day.
    pub date: Date,
}

impl Till {
    /// The price of a lot of a grade, in the unit in which it is quoted.
    ///
    /// # Errors
    /// Why it is not bought.
    pub fn price(&self, tree: &GradeTree, grade: &str, lot: Option<Mass>) -> Result<Priced, Unsold> {
        Book::new(&self.yard, &self.quotes, tree, self.date).price(grade, lot)
    }
}

//! What a tool may ask of the yard in use: the price of a grade, and how the yard weighs.

use std::rc::Rc;

use jiff::civil::Date;

use crate::market::{Book, GradeTree, Priced, Quote, Unsold, Yard};
use crate::quantity::Mass;

/// A yard on a day, with the quotes that hold then.
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
    /// What a lot of a grade brings, by the unit in which it is quoted.
    ///
    /// # Errors
    /// Why it is not bought.
    pub fn price(&self, tree: &GradeTree, grade: &str, lot: Option<Mass>) -> Result<Priced, Unsold> {
        Book::new(&self.yard, &self.quotes, tree, self.date).price(grade, lot)
    }
}

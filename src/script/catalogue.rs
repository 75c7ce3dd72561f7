//! The grades and hazards that scripts may name.

use std::cell::OnceCell;
use std::rc::Rc;

use crate::market::GradeTree;
use crate::recipe::HazardBook;

/// The grades and hazards that scripts may name. Read on first use: listing recipes needs neither.
pub struct Catalogue {
    grades_text: &'static str,
    hazards_text: &'static str,
    grades: OnceCell<Rc<GradeTree>>,
    hazards: OnceCell<Rc<HazardBook>>,
}

impl Catalogue {
    /// A catalogue from the texts of its two files, which tests have shown to be well formed.
    pub fn new(grades_text: &'static str, hazards_text: &'static str) -> Catalogue {
        Catalogue { grades_text, hazards_text, grades: OnceCell::new(), hazards: OnceCell::new() }
    }

    /// The grade tree. Empty if its text is malformed, which a test rules out for the shipped one.
    pub fn grades(&self) -> &Rc<GradeTree> {
        self.grades.get_or_init(|| Rc::new(GradeTree::parse(self.grades_text).unwrap_or_default()))
    }

    /// The hazards. Empty if the text is malformed, which a test rules out; then every guard counts as licensed only.
    pub fn hazards(&self) -> &Rc<HazardBook> {
        self.hazards.get_or_init(|| Rc::new(HazardBook::parse(self.hazards_text).unwrap_or_default()))
    }
}

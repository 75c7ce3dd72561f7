//! The grades, hazards and tables that scripts may name, and the emergency cards.

use std::cell::OnceCell;
use std::rc::Rc;

use crate::market::GradeTree;
use crate::recipe::{EmergencyBook, HazardBook};
use crate::tool::Tables;

/// The grades and hazards that scripts may name. Parsed on first use: listing recipes needs neither.
pub struct Catalogue {
    grades_text: &'static str,
    hazards_text: &'static str,
    emergencies_text: &'static str,
    tables_text: &'static [(&'static str, &'static str)],
    grades: OnceCell<Rc<GradeTree>>,
    hazards: OnceCell<Rc<HazardBook>>,
    emergencies: OnceCell<EmergencyBook>,
    tables: OnceCell<Tables>,
}

impl Catalogue {
    /// A catalogue from the texts of its two files, which tests prove well formed.
    pub fn new(grades_text: &'static str, hazards_text: &'static str) -> Catalogue {
        Catalogue {
            grades_text,
            hazards_text,
            emergencies_text: "",
            tables_text: &[],
            grades: OnceCell::new(),
            hazards: OnceCell::new(),
            emergencies: OnceCell::new(),
            tables: OnceCell::new(),
        }
    }

    /// The same catalogue with lookup tables for tools: names and texts, which tests prove well formed.
    #[must_use]
    pub fn with_tables(self, tables_text: &'static [(&'static str, &'static str)]) -> Catalogue {
        Catalogue { tables_text, ..self }
    }

    /// The same catalogue with emergency cards, from a text that tests prove well formed.
    #[must_use]
    pub fn with_emergencies(self, emergencies_text: &'static str) -> Catalogue {
        Catalogue { emergencies_text, ..self }
    }

    /// The emergency cards. Empty if the text is malformed, which a test rules out for the shipped ones.
    pub fn emergencies(&self) -> &EmergencyBook {
        self.emergencies.get_or_init(|| EmergencyBook::parse(self.emergencies_text).unwrap_or_default())
    }

    /// The tables. Empty if a text is malformed, which a test rules out for the shipped ones.
    pub fn tables(&self) -> &Tables {
        self.tables.get_or_init(|| Tables::parse(self.tables_text.iter().copied()).unwrap_or_default())
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

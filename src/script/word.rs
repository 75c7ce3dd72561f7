//! One word of the script languages: a row of the table next to its registration.

/// One word of a script language.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Word {
    /// What it is called on: `script` for a free-standing word, else the thing before the dot.
    pub of: &'static str,
    /// The word.
    pub name: &'static str,
    /// What it takes, in a script author's terms.
    pub takes: &'static str,
    /// What it does.
    pub does: &'static str,
    /// How it is written; a test runs every example.
    pub example: &'static str,
    /// Set where the rule in [`Word::gives`] does not fit.
    gives: Option<&'static str>,
    /// Set where the rule in [`Word::units`] does not fit.
    units: Option<&'static str>,
}

/// A row of a table of words.
pub(super) const fn word(
    of: &'static str,
    name: &'static str,
    takes: &'static str,
    does: &'static str,
    example: &'static str,
) -> Word {
    Word { of, name, takes, does, example, gives: None, units: None }
}

impl Word {
    /// The row with its return type.
    pub(super) const fn giving(self, gives: &'static str) -> Word {
        Word { gives: Some(gives), ..self }
    }

    /// The row with the units of the numbers that the word takes.
    pub(super) const fn in_units(self, units: &'static str) -> Word {
        Word { units: Some(units), ..self }
    }

    /// The unit of its numbers; empty if it takes none.
    #[must_use]
    pub fn units(&self) -> &'static str {
        self.units.unwrap_or(match self.takes.contains("weight") {
            true => "weights with their unit: 3.6.kg, 850.g, 12.lb",
            false => "",
        })
    }

    /// Its return type, as a type of the script language; for chained words, the thing itself.
    #[must_use]
    pub fn gives(&self) -> &'static str {
        self.gives.unwrap_or(match self.of {
            "script" | "bench" | "sheet" => "nothing",
            of => of,
        })
    }
}

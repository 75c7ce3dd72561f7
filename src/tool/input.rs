//! One question of a tool.

use rust_decimal::Decimal;

use crate::quantity::MassUnit;
use crate::recipe::Mark;

/// The kind of answer an input takes.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum InputKind {
    /// A weight, as at the bench.
    Weight,
    /// A number in a unit; the unit may be empty.
    Number {
        /// The unit in which the script receives it.
        unit: String,
    },
    /// An integer from 0.
    Count,
    /// One of several.
    Choice {
        /// The options.
        options: Vec<String>,
    },
    /// Yes or no.
    YesNo,
    /// A grade of the catalogue.
    Grade,
    /// A price in the yard's currency.
    Price {
        /// The unit of weight it is per, unless the answer names another; `None`: the yard's own.
        unit: Option<MassUnit>,
    },
}

/// When a question is asked: only if an earlier one has one of these answers.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct When {
    /// The earlier input.
    pub key: String,
    /// The answers, as [`super::Value::exact`] writes them.
    pub values: Vec<String>,
}

/// One question of a tool.
#[derive(Debug, Clone, PartialEq)]
pub struct Input {
    /// Its key: the option, and the name in scripts and JSON.
    pub key: String,
    /// The question.
    pub question: String,
    /// The kind of answer it takes; `None` until the script sets it.
    pub kind: Option<InputKind>,
    /// The default answer, as one would type it.
    pub usual: Option<String>,
    /// An example of an answer.
    pub such_as: String,
    /// The help for `?`.
    pub says: String,
    /// The minimum and maximum: grams for a weight, else the number itself.
    pub between: Option<(Decimal, Decimal)>,
    /// Whether it may be left open.
    pub optional: bool,
    /// When it is asked.
    pub when: Option<When>,
    /// Where it is declared.
    pub mark: Mark,
}

impl Input {
    /// A question with everything else unset.
    #[must_use]
    pub fn new(key: &str, question: &str, mark: Mark) -> Input {
        Input {
            key: key.to_owned(),
            question: question.to_owned(),
            kind: None,
            usual: None,
            such_as: String::new(),
            says: String::new(),
            between: None,
            optional: false,
            when: None,
            mark,
        }
    }

    /// What it takes, in a few words, for the prompt and help.
    #[must_use]
    pub fn takes(&self) -> String {
        let kind = match &self.kind {
            Some(InputKind::Weight) => "a weight".to_owned(),
            Some(InputKind::Number { unit }) if unit.is_empty() => "a number".to_owned(),
            Some(InputKind::Number { unit }) => format!("a number in {unit}"),
            Some(InputKind::Count) => "a whole number".to_owned(),
            Some(InputKind::Choice { options }) => options.join(" | "),
            Some(InputKind::YesNo) => "yes | no".to_owned(),
            Some(InputKind::Grade) => "a grade".to_owned(),
            Some(InputKind::Price { unit: Some(unit) }) => format!("a price per {unit}"),
            Some(InputKind::Price { unit: None }) => "a price".to_owned(),
            None => "an answer".to_owned(),
        };
        if self.such_as.is_empty() { kind } else { format!("{kind}, such as {}", self.such_as) }
    }
}

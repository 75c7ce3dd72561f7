//! One piece of work and what it frees.

use crate::quantity::{Estimate, Mass, Minutes, Money};

/// A position in a script: line and column, both from 1; 0 if unknown.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, PartialOrd, Ord)]
pub struct Mark {
    /// The line.
    pub line: usize,
    /// The column in characters.
    pub column: usize,
}

/// Where a script last used each word of a declaration, so that findings can point there.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct Places(Vec<(String, Mark)>);

impl Places {
    /// Records where a word was used.
    pub fn note(&mut self, word: &str, mark: Mark) {
        match self.0.iter_mut().find(|(known, _)| known == word) {
            Some((_, place)) => *place = mark,
            None => self.0.push((word.to_owned(), mark)),
        }
    }

    /// Where a word was last used, if it was.
    pub fn of(&self, word: &str) -> Option<Mark> {
        self.0.iter().find(|(known, _)| known == word).map(|(_, mark)| *mark)
    }
}

/// One piece of work.
#[derive(Debug, Clone, PartialEq)]
pub struct Step {
    /// Its id within the recipe.
    pub id: String,
    /// What is done, in a few words.
    pub title: String,
    /// How long it takes.
    pub minutes: Estimate<Minutes>,
    /// Tools needed.
    pub tools: Vec<String>,
    /// Hazards to confirm before it starts, by id.
    pub guards: Vec<String>,
    /// Prerequisites: at least one step of every inner list must be done.
    pub after: Vec<Vec<String>>,
    /// The part that this step opens; `None` if it works on the unit itself.
    pub opens: Option<String>,
    /// What comes out.
    pub frees: Vec<Freed>,
    /// The new grade of the remainder it works on.
    pub rest: Option<RestGrade>,
    /// Instructions, a paragraph each.
    pub says: Vec<String>,
    /// Consumables used each time.
    pub costs: Vec<StepCost>,
    /// WEEE Annex VII items that this step takes out, by number.
    pub removes: Vec<String>,
    /// The closure that asks further questions, by its number at the script host.
    pub work: Option<usize>,
    /// Whether it is a frame for steps made up at the bench.
    pub made_up: bool,
    /// Where the step is declared.
    pub mark: Mark,
    /// Where each of its words is.
    pub places: Places,
}

impl Step {
    /// A step with only its id and title.
    pub fn new(id: &str, title: &str) -> Step {
        Step {
            id: id.to_owned(),
            title: title.to_owned(),
            minutes: Estimate::exactly(Minutes::ZERO),
            tools: Vec::new(),
            guards: Vec::new(),
            after: Vec::new(),
            opens: None,
            frees: Vec::new(),
            rest: None,
            says: Vec::new(),
            costs: Vec::new(),
            removes: Vec::new(),
            work: None,
            made_up: false,
            mark: Mark::default(),
            places: Places::default(),
        }
    }

    /// Whether it was made up at the bench, so that no script declared it.
    pub fn is_of_the_bench(&self) -> bool {
        self.places == Places::default()
    }

    /// Where a word of this step is, or else where the step is declared.
    pub fn place(&self, word: &str) -> Mark {
        self.places.of(word).unwrap_or(self.mark)
    }
}

/// A part that a step frees.
#[derive(Debug, Clone, PartialEq)]
pub struct Freed {
    /// The part's name, unique within the recipe except for alternative ways to free it.
    pub part: String,
    /// Its expected weight.
    pub expected: Estimate<Mass>,
    /// The grade under which it sells as it is.
    pub grade: String,
    /// The source of the figures, or `estimate`.
    pub figures_from: String,
    /// Where it is declared.
    pub mark: Mark,
}

/// What a step makes of the remainder of the unit, or of the part it opens.
#[derive(Debug, Clone, PartialEq)]
pub struct RestGrade {
    /// The grade under which the remainder sells from then on.
    pub grade: String,
    /// Whether the author calls it better or worse than before; affects how it is shown, not its value.
    pub better: bool,
    /// Where it is declared.
    pub mark: Mark,
}

/// A consumable of a step.
#[derive(Debug, Clone, PartialEq)]
pub struct StepCost {
    /// What it is.
    pub name: String,
    /// What it costs, in the author's currency.
    pub money: Money,
}

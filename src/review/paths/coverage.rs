//! How much was explored, and what was not.

/// How much of a recipe's paths was explored.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct Coverage {
    /// Runs made.
    pub runs: u64,
    /// Situations told apart.
    pub situations: usize,
    /// Answer combinations that the runs stand for, from the start to an end; a lower bound if it is the largest
    /// representable number.
    pub combinations: u128,
    /// Whether every combination of the answers tried is included.
    pub complete: bool,
    /// What was left when the limit was reached, a sentence each; empty if complete.
    pub left: Vec<String>,
    /// What is never varied, or only in part, a sentence each, so that nobody takes more for proven than was tried.
    pub limits: Vec<String>,
}

/// The kinds of questions met: only then is it worth saying how they were answered.
#[derive(Debug, Clone, Copy, Default)]
pub(super) struct Met {
    pub numbers: bool,
    pub weights: bool,
    pub texts: bool,
    pub later: bool,
}

impl Met {
    pub fn limits(self) -> Vec<String> {
        let all = [
            (
                self.numbers,
                "numbers and counts: a few values each, and those around what the script compares with; not what its libraries do",
            ),
            (self.weights, "weights that a script sees: low, usual, high, too light, none"),
            (self.texts, "lines of text: one answer each"),
            (self.later, "putting steps off: one step on each way, where its order can matter"),
        ];
        all.into_iter().filter(|(met, _)| *met).map(|(_, sentence)| sentence.to_owned()).collect()
    }
}

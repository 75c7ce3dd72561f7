//! What can be said of a script without a person at the bench: faults in what it declares, and proofs over every way
//! through it.
//!
//! The room is pure. [`declared`] looks at a recipe as it stands; [`paths`] supposes answers and looks at what a recipe
//! does with them; [`guards`] tells what a recipe in the place of another would no longer guard; [`yard`] looks at a
//! yard and at its rule for mixed lots. It stands beside the bench rather than in it or in `recipe`: it needs recipes,
//! answers, grades and yards alike, and nobody at the bench needs it. All of them give [`Finding`]s.
//!
//! **What `check` finds.** It runs a recipe over every combination of choices, yes and no, skipping and, where that can
//! matter, one step put off, with a few values of each number; ways that can no longer differ are followed once. Each
//! finding has the answers that lead there, which can be played as they stand.
//!
//! | rule | what is wrong |
//! |---|---|
//! | `script` | the script fails on some way: a name that does not exist, a text that cannot be shown, an endless loop, too many questions |
//! | `hidden` | a character in the source that cannot be seen |
//! | `clash` | an id that is taken, or is not that of its file |
//! | `names` | names, titles or keys that can hardly be told apart |
//! | `imprint`, `source`, `range` | no author or licence; figures without a source, or that claim to be exact |
//! | `circle`, `unreachable`, `unused`, `idle`, `order` | a step that waits for what comes after it, is never done, or brings nothing; a part that never comes out; no order of steps that leads to the end |
//! | `guard-late`, `guard-missed` | a guard that is asked when the part is out already; one that was passed over (which would be a defect of the program) |
//! | `guard-round` | a second way to a part without the guard of the first |
//! | `part-guard` | a part comes out, and no guard on the way speaks of what its grade can do |
//! | `annex-guard` | an item of Annex VII that can hurt is taken out without a guard that speaks of it |
//! | `annex-item`, `annex-unheld`, `annex-grade` | an item that does not exist; one that is removed, or that a part is by its grade, and that the unit is not said to hold |
//! | `depollution` | an item that the unit holds is inside at an end at which nothing was skipped |
//! | `hazard-unmarked` | something found to be hazardous stays inside, or in what is left of an opened part, and nothing says so |
//! | `leaves` | a part is opened, and keeps the grade that it had whole |
//! | `masses` | usual weights that do not fit into the unit or the opened part |
//! | `test-session` | an answer of the test session that is missing, none, or that nothing asks for |
//! | `example` | a tool's example comes out otherwise, or there is none |
//! | `date`, `tier`, `minimum`, `charge`, `mixed`, `unreached` | of a yard: prices without a date, or old; tiers that fall; lots that nobody can bring; a charge of nothing; a rule for mixed lots that fails or pays more than sorting; grades that no recipe reaches |
//!
//! **Taking one in.** `adopt` compares guards before anything else, and shows first what would be weaker: guards that
//! are gone, that no longer stand before a step, a part or an item of Annex VII, that a work asks on some ways only,
//! and those that moved. Declared guards are compared exactly, through the steps that are certainly done before; guards
//! that a work asks are known from the ways that were looked at, so that one that hides behind an answer nobody tries
//! is not seen, and the page says so where ways were left out. A tool is held against the one in its place by the
//! cautions that both show over the answers of the latter's examples, and by the hazards that the code of each names.
//! Comments are never searched: a hazard in one guards nothing. Of a changed module only the texts in its code are
//! compared. A weaker script is taken in at a terminal only by typing more than a yes.

mod annex;
pub mod declared;
mod finding;
pub mod guards;
mod order;
pub mod paths;
pub mod yard;

pub use annex::item as annex_item;
pub use finding::{Finding, Severity, Supposed};

//! Static review of scripts: faults in declarations, and proofs over every path, without a user at the bench.
//!
//! The room is pure. [`declared`] checks a recipe's declarations; [`paths`] assumes answers and checks what a recipe
//! does with them; [`guards`] finds what a replacement recipe would no longer guard; [`yard`] checks a yard and its
//! rule for mixed lots. It is separate from `bench` and `recipe`: it needs recipes, answers, grades and yards alike,
//! and nobody at the bench needs it. All of them produce [`Finding`]s.
//!
//! **What `check` finds.** It runs a recipe over every combination of choices, yes and no, skipping and, where that can
//! matter, one postponed step, with a few values of each number; paths that can no longer differ are followed once.
//! Each finding has the answers that lead to it, which can be played as they are.
//!
//! | rule | what is wrong |
//! |---|---|
//! | `script` | the script fails on some path: an unknown name, unprintable text, an endless loop, too many questions |
//! | `hidden` | an invisible character in the source |
//! | `clash` | an id that is taken, or differs from the file name |
//! | `names` | names, titles or keys that are hard to tell apart |
//! | `imprint`, `source`, `range` | no author or licence; figures without a source, or that claim to be exact |
//! | `circle`, `unreachable` | a step that waits for what comes after it; one that is never done |
//! | `unused`, `idle` | a part that never comes out; a step without effect |
//! | `order` | no order of steps reaches the end |
//! | `guard-late`, `guard-missed` | a guard asked after the part is out; one that was bypassed (our own defect) |
//! | `guard-round` | a second way to a part without the guard of the first |
//! | `part-guard` | a part comes out, and no guard on the path covers the dangers of its grade |
//! | `annex-guard` | a dangerous Annex VII item is taken out without a guard that covers it |
//! | `annex-item` | an Annex VII item that does not exist |
//! | `annex-unheld`, `annex-grade` | an item removed, or implied by a part's grade, that the unit is not said to hold |
//! | `depollution` | an item that the unit holds is still inside at an end at which nothing was skipped |
//! | `hazard-unmarked` | something found hazardous stays inside, or in the rest of an opened part, unmarked |
//! | `leaves` | a part is opened but keeps the grade it had whole |
//! | `masses` | usual weights that do not fit into the unit or the opened part |
//! | `test-session` | an answer of the test session is missing, invalid, or not asked for |
//! | `example` | a tool's example has a different result, or there is none |
//! | `date`, `tier`, `minimum` | of a yard: prices without a date, or old; falling tiers; lots that nobody can bring |
//! | `charge`, `mixed` | of a yard: a charge of zero; a mixed-lot rule that fails, or pays more than sorting |
//! | `unreached` | of a yard: grades that no recipe reaches |
//!
//! **Adopting a script.** `adopt` compares guards before anything else, and shows first what would be weaker: guards
//! that are gone, that no longer protect a step, a part or an Annex VII item, that work asks only on some paths, and
//! those that moved. Declared guards are compared exactly, through the steps certain to be done before; guards asked in
//! work are known from the explored paths, so that one hidden behind an answer nobody tries is not seen, and the page
//! says so if paths were left out. A tool is compared with the one it replaces by the cautions both show over the
//! answers of the latter's examples, and by the hazards that the code of each names. Comments are never searched: a
//! hazard in one guards nothing. Of a changed module only the texts in its code are compared. At a terminal
//! a weaker script is adopted only by typing more than a yes.

mod annex;
pub mod declared;
mod finding;
pub mod guards;
mod order;
pub mod paths;
pub mod yard;

pub use annex::item as annex_item;
pub use finding::{Finding, Severity};

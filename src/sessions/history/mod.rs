//! Memory: what past sessions say.
//!
//! An [`Archive`] reads journals back, each under the recipe it ran under, another revision, or today's. Three uses
//! build on it: [`replay`] (what each session would net elsewhere), [`compare`] (a recipe's parts and minutes across
//! sessions) and [`Learned`] (predictions for next time).

mod ahead;
mod archive;
mod compare;
mod compiled;
mod learn;
mod occasion;
mod outcome;
mod past;
mod record;
mod replay;
mod report;
mod revisions;
mod rewrite;
mod sift;
mod summary;
mod then;
mod totals;
mod yards;

pub use archive::{Archive, RecipeChoice};
pub use compare::{CONFIDENCE, Comparison, Filter, MinutesReport, PartReport, compare};
#[cfg(test)]
pub(crate) use learn::three_point;
pub use learn::{Foreseen, Learned};
pub use outcome::{SessionOutcome, Told};
pub use past::Past;
pub use record::SessionRecord;
pub use replay::{EarlierStop, ReplayTerms, Replayed, Valued, replay};
pub use report::{SessionReport, report};
pub use rewrite::{Rewritten, learned_copy};
pub use then::RanUnder;
pub use totals::{ReplayTotals, Sums, Total};

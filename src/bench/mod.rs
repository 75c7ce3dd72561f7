//! A session as pure data: questions, answers, the journal's events, and the run of a recipe over them.

mod drive;
mod entry;
mod interpret;
mod made_up;
mod question;
mod run;
mod standing;
mod state;

pub use drive::{Bench, Work};
pub use entry::{Entry, Kind};
pub use interpret::{NotAnAnswer, exact, interpret, recall};
pub use question::{Answer, Ask, FINISHED, NOTHING, Question, Reading, UNIT, Weighing};
pub use run::{Asked, End, Halted, RunResult, Unfit};
pub use standing::{CORRECTED, KEPT, MENDED, MIX_SEPARATOR, Standing, same_tag, tag};
pub use state::{Fate, FreePart, Presence, UnitState};

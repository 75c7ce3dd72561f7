//! A session as pure data: questions, answers, the journal's events, and the run of a recipe over them.

mod current_answers;
mod drive;
mod entry;
mod interpret;
mod made_up;
mod question;
mod run;
mod state;

pub use current_answers::{CORRECTED, CurrentAnswers, KEPT, MENDED, MIX_SEPARATOR, same_tag, tag};
pub use drive::{Bench, Work};
pub use entry::{Entry, Kind};
pub use interpret::{NotAnAnswer, exact, interpret, recall};
pub use question::{Answer, Ask, FINISHED, NOTHING, Question, Reading, UNIT, Weighing};
pub use run::{Asked, End, Halted, RunResult, Unfit};
pub use state::{Fate, FreePart, Presence, UnitState};

//! Work on scripts: check, adopt, test, new, draft, bundle, tools, and the health of the folder.

mod adopting;
mod bundling;
mod check;
mod draft;
mod facts;
mod grade_finder;
mod health;
mod rehearsal;
mod scaffold;
mod testing;
mod tool_sketch;
mod tools;
mod yard_sketch;

pub use adopting::{AdoptionOffer, Module, Present, Tested, Unshown};
pub use check::{Bounds, Checked, Placed, Subject, SubjectKind, check};
pub use draft::{Draft, draft};
pub use facts::Declared;
pub use grade_finder::{CANNOT_TELL, GradeFinder, NAMED_FROM};
pub use health::{Health, HealthFinding, examine};
pub use rehearsal::{ExampleReport, ToolSummary};
pub use scaffold::{RecipeSketch, StepSketch};
pub use testing::{Difference, TestReport};
pub use tool_sketch::{ToolSketch, input_of};
pub use tools::{Answers, ToolAtYard};
pub use yard_sketch::{PriceSketch, YardSketch, nearest_grades};

//! Use cases: the only place where the rooms below meet.
//!
//! [`World`] is the one door to what lies outside: the user's folder, the clock, the shipped scripts, the script host.
//! Everything a person does at the bench is a method of [`Session`].

mod balance;
mod check;
mod clock;
mod depth;
mod doubt;
mod error;
mod gather;
pub mod memory;
mod outlook;
mod part_list;
mod play;
mod quotes;
mod session;
mod shelves;
mod shipped;
mod timing;
mod valuation;
mod world;

pub use balance::{Balance, FoundSlip};
pub use check::{Bounds, Checked, Kind, Placed, Subject, check};
pub use clock::{Clock, FixedClock, SystemClock};
pub use depth::{Chances, Depth, DepthPlan, NextBundle, PartAdvice, PlanWishes, PlannedStep, Stop};
pub use doubt::Doubt;
pub use error::AppError;
pub use outlook::Outlook;
pub use play::{Demo, play};
pub use quotes::{add_quote, quotes};
pub use session::{Change, Recovery, Session};
pub use shelves::{Listed, Origin, Pick};
pub use valuation::{Valuation, whole_value};
pub use world::World;

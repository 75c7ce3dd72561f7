//! Use cases: the only place where the rooms below meet.
//!
//! [`World`] is the one door to what lies outside: the user's folder, the clock, the shipped scripts, the script host.
//! Everything a person does at the bench is a method of [`Session`].

mod adopting;
mod balance;
mod bundling;
mod changes;
mod check;
mod clock;
mod depth;
mod doubt;
mod error;
mod facts;
mod freed;
mod gather;
mod health;
mod load;
mod load_remarks;
mod load_terms;
pub mod memory;
mod outlook;
mod part_list;
mod pinned;
mod play;
mod prices;
mod quotes;
mod scaffold;
mod session;
mod settle;
mod shelves;
mod shipped;
mod stock;
mod stock_worth;
mod testing;
mod ticket_file;
mod timing;
mod valuation;
mod world;

pub use adopting::{Module, Offer, Present, PriceChange};
pub use balance::{Balance, FoundSlip};
pub use changes::{ChangedLine, Changes};
pub use check::{Bounds, Checked, Kind, Placed, Subject, check};
pub use clock::{Clock, FixedClock, SystemClock};
pub use depth::{Advice, Ahead, Chances, Depth, DepthPlan, NextBundle, PartAdvice, PlanWishes, PlannedStep, Stop};
pub use doubt::Doubt;
pub use error::AppError;
pub use facts::Declared;
pub use health::{Finding, Found, examine};
pub use load::{Delivery, Kept, LoadOrder, LoadPlan};
pub use load_terms::Terms;
pub use outlook::Outlook;
pub use pinned::Notice;
pub use play::{Demo, play};
pub use prices::{Course, Point, Record};
pub use quotes::{add_quote, add_quotes, quotes};
pub use scaffold::{RecipeSketch, StepSketch, YardSketch};
pub use session::{Change, Recovery, Seen, Session};
pub use settle::{Interview, Prompt, Settled, Settling};
pub use shelves::{Listed, Origin, Pick};
pub use stock::{Act, Stock, haul_of};
pub use stock_worth::{Best, Row, Worth};
pub use testing::{Difference, Expected, TestReport};
pub use ticket_file::TicketFile;
pub use valuation::{Valuation, whole_value};
pub use world::World;

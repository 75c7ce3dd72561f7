//! Sessions over files: [`Session`], the bench at work; [`history`], the one reader of past ones; how far to dismantle,
//! and whether weights add up.

mod balance;
mod bench;
mod depth;
mod doubt;
mod haul_of_run;
pub mod history;
mod on_scale;
mod outlook;
mod part_list;
mod play;
mod timing;

pub use balance::{BalanceWithSlips, FoundSlip};
pub use bench::{Change, Recovered, Session};
pub use depth::{Advice, Ahead, Chances, Depth, DepthPlan, DepthStop, NextBundle, PlanWishes};
pub use doubt::Doubt;
pub use on_scale::{OnScale, ScaleOrder, ScaleReading};
pub use play::{Demo, Expected, play};

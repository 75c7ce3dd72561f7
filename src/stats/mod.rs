//! Statistics of yields and weighings: what sessions teach, and whether a weighing can be right.
//!
//! Floats in, floats out. Nothing here reads a file or a clock, and nothing here ever becomes money: exact amounts live
//! in other rooms and come here only to be judged.
//!
//! * [`describe`] sums up a sample; [`distribution`] holds the t and χ² quantiles that the rest needs.
//! * [`three_point`] turns *low, usual, high* into a mean and a variance; [`estimate`] updates it with sessions, and
//!   [`yields`] does so for a part by mass or by share of intake.
//! * [`outliers`] finds outlying values of a sample, by a test that suits its size.
//! * [`balance`] asks whether the parts add up to the intake; [`slips`] names the likely slip if they do not.
//! * [`trend`] shows how the minutes fall with practice.
//!
//! All masses must be in one unit. Where the unit matters (the sd of a deleted observation, confusion of units,
//! Display) it is the gram.

pub mod balance;
pub mod describe;
pub mod distribution;
mod error;
pub mod estimate;
pub mod outliers;
pub mod slips;
pub mod three_point;
pub mod trend;
mod uncertain;
pub mod yields;

pub use uncertain::{Interval, Uncertain};

//! Knockdown: recipes for taking discarded appliances apart, a bench that asks one question at a time, and what it nets.
//!
//! The rooms, from the ground up; arrows between them point down only:
//!
//! * [`quantity`] exact mass, money, price, time · [`naming`] what names look like
//! * [`recipe`] the recipe as data · [`market`] yards, prices, tally · [`stats`] yields, balance · [`plan`] how far to go
//! * [`bench`] a session as data: questions, answers, runs
//! * [`script`] the script host

pub mod bench;
pub mod market;
pub mod naming;
pub mod quantity;
pub mod recipe;
pub mod script;

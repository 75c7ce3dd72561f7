//! Knockdown: recipes for taking discarded appliances apart, a bench that asks one question at a time, and what it
//! nets.
//!
//! The rooms, from the ground up; arrows between them point down only:
//!
//! * [`quantity`] exact mass, money, price, time · [`naming`] what names look like
//! * [`recipe`] the recipe as data · [`market`] yards, prices, tally · [`stats`] yields, balance, slips · [`plan`] how
//!   far to go
//! * [`stock`] what is kept and not yet sold · `scale` what a connected scale says
//! * [`finder`] from what one sees to candidate grades · [`tool`] bench tools as data: inputs, answers, results
//! * [`mod@bench`] a session as data: questions, answers, runs · [`review`] what can be found in a script without a
//!   person there
//! * [`script`] the script host · [`store`] files · `port` serial lines and raw devices
//! * [`world`] the one door outside · [`pricing`] what goods are worth · [`sessions`] the bench at work, and past ones
//! * [`trips`] stock, loads, tickets, books · [`authoring`] what is done with scripts
//! * [`shell`] the interactive face · [`cli`] the command line

pub mod authoring;
pub mod bench;
pub mod cli;
pub mod finder;
pub mod market;
pub mod naming;
pub mod plan;
mod port;
pub mod pricing;
pub mod quantity;
pub mod recipe;
pub mod review;
mod scale;
pub mod script;
pub mod sessions;
pub mod shell;
pub mod stats;
pub mod stock;
pub mod store;
pub mod tool;
pub mod trips;
pub mod world;

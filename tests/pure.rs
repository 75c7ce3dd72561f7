//! What needs neither the program nor a folder: amounts, prices, plans, statistics, the finder's table, readers under fuzz, the house.

#![allow(clippy::unwrap_used, clippy::new_without_default, reason = "a test may stop at a value that must be there")]

mod circles;
mod finder_table;
mod fuzz;
mod house;
mod manifest;
mod market_book;
mod market_fixture;
mod market_grade;
mod market_laws;
mod market_load;
mod market_mixed;
mod market_tally;
mod market_yard;
mod plan_cases;
mod plan_exhaustive;
mod plan_instances;
mod plan_milp;
mod plan_published;
mod quantity_laws;
mod quantity_published;
mod stats_balance;
mod stats_describe;
mod stats_outliers;
mod stats_slips;

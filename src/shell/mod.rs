//! The interactive user interface: what is shown, what is asked, and how a line is read.
//!
//! Callers say what a text means ([`ink`]), never which colour it has; every text from a script, a file or the user is
//! made safe on its way out.

pub mod balance_page;
pub mod bench;
pub mod catalogue_page;
pub mod changes;
pub mod csv_rows;
pub mod discard;
pub mod emergency;
pub mod excerpt;
pub mod find_grade;
pub mod finder_page;
pub mod findings;
pub mod format;
pub mod forms;
pub mod health_page;
pub mod history;
pub mod ink;
mod line;
pub mod load;
mod meaning;
pub mod offer;
mod order;
pub mod page;
pub mod pick;
pub mod plan_page;
pub mod prices_page;
pub mod problem_page;
pub mod progress;
pub mod prompt;
pub mod recipe_page;
pub mod report;
mod second_look;
pub mod session_page;
pub mod settings_page;
pub mod settle;
pub mod signals;
pub mod sketch;
pub mod stock;
pub mod table;
pub mod tally;
pub mod terminal;
pub mod tool_about;
pub mod tool_page;
pub mod welcome;
pub mod words;
pub mod yard_page;

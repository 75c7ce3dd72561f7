//! Shows a tally: as text for a terminal, and as JSON, CSV and Markdown for other programs.
//!
//! Text and Markdown write numbers as the yard does; JSON and CSV always use a point.

mod view;
mod write;

pub mod csv;
pub mod json;
pub mod markdown;
pub mod text;

pub use write::write;

#[cfg(test)]
mod tests;

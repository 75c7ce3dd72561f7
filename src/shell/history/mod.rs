//! Results of past sessions, for people, programs and spreadsheets.

pub mod compare;
pub mod compare_json;
pub mod export;
pub mod layout;
pub mod learned;
pub mod replay;
pub mod replay_files;
mod strip;
mod totals;

//! First versions of a recipe, yard or tool, made from questions.

mod answers;
mod list;
mod recipe;
mod tool;
mod yard;

pub use recipe::asked as recipe;
pub use tool::asked as tool;
pub use yard::{asked as yard, like as yard_like};

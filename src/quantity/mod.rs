//! Exact mass, money, prices and time: the values every other room builds on.
//!
//! Everything here is a decimal; nothing is a float. A value that exists is within its limits: fields are private and
//! every constructor checks, so no room above has to ask again whether a weight makes sense.

mod estimate;
mod exact;
mod limits;
mod mass;
mod mass_unit;
pub mod maths;
mod minutes;
mod money;
mod notation;
mod price;
mod quoted;
mod serde_text;
mod text;
mod token;
mod weighing;

pub use estimate::Estimate;
pub use limits::QuantityError;
pub use mass::Mass;
pub use mass_unit::{MassUnit, UnitError};
pub use minutes::Minutes;
pub use money::{Currency, Money};
pub use notation::{Notation, NumberError, read_count};
pub use price::{Basis, Price};
pub use text::ReadError;
pub use weighing::{Weighed, WeighingRules, weigh};

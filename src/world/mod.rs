//! The one door to the outside: the user's folder, the clock, the shipped scripts, the script host; and lookup by name.

mod acts;
mod changes;
mod clock;
mod door;
mod error;
mod finding;
mod found;
mod notices;
mod picking;
mod pinned;
mod shelves;
pub(crate) mod shipped;

pub use changes::{ChangedLine, Changes};
pub use clock::{Clock, FixedClock, SystemClock};
pub use door::World;
pub(crate) use door::expect_id;
pub use error::AppError;
pub use found::Origin;
pub(crate) use found::{FoundScript, OfferedScript, noun};
pub use notices::Notice;
pub use picking::Pick;
pub use shelves::{ListedScript, Title};

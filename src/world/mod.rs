//! The one door to the outside: the user's folder, the clock, the shipped scripts, the script host; and lookup by name.

mod changes;
mod clock;
mod door;
mod error;
mod picking;
mod pinned;
mod shelves;
pub(crate) mod shipped;

pub use changes::{ChangedLine, Changes};
pub use clock::{Clock, FixedClock, SystemClock};
pub use door::World;
pub(crate) use door::expect_id;
pub use error::AppError;
pub use picking::Pick;
pub use pinned::Notice;
pub(crate) use shelves::{Found, OfferedScript, noun};
pub use shelves::{Listed, Origin, Title};

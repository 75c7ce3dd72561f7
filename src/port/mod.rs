//! The plugs at the back: serial lines and raw USB devices. Bytes in and out, with a time to wait; what they mean is
//! known in [`crate::scale`].
//!
//! Serial lines work on every system that the library behind them knows. A raw USB device is a path that gives one
//! report for each read: `/dev/hidraw0` and its like on Linux. Other systems have no such path; there a scale with a
//! serial line can be used, or weights are typed.

mod raw;
mod serial;

use std::io;
use std::time::Duration;

use crate::scale::{Kind, Setup};

/// Something that bytes come from and go to.
pub trait Link {
    /// What has arrived, at most `most` bytes, waiting no longer than `wait`; nothing if nothing has.
    ///
    /// # Errors
    /// The other end is gone, or the system says what else is wrong.
    fn receive(&mut self, most: usize, wait: Duration) -> io::Result<Vec<u8>>;

    /// Sends a text.
    ///
    /// # Errors
    /// As [`Link::receive`]; or nothing can be sent this way.
    fn send(&mut self, text: &str) -> io::Result<()>;
}

/// Opens the port that a scale is connected to.
///
/// # Errors
/// The port is not there, or may not be opened, or is in use.
pub fn open(setup: &Setup) -> io::Result<Box<dyn Link>> {
    match setup.kind {
        Kind::Commands | Kind::Lines => Ok(Box::new(serial::Line::open(setup)?)),
        Kind::Usb => Ok(Box::new(raw::Device::open(&setup.port, setup.portion())?)),
    }
}

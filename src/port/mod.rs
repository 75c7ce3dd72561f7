//! Ports: serial lines and raw USB devices. Bytes in and out, with a timeout; [`crate::scale`] knows what they mean.
//!
//! Serial lines work on every system that the underlying library supports. A raw USB device is a path that gives one
//! report per read: `/dev/hidraw0` and the like on Linux. Other systems have no such path; there, use a scale with a
//! serial line, or type weights.

mod raw;
mod serial;

use std::io;
use std::time::Duration;

use crate::scale::{ScaleKind, Setup};

/// A source and sink of bytes.
pub trait PortLink {
    /// What has arrived, at most `most` bytes, waiting no longer than `wait`; empty if nothing has.
    ///
    /// # Errors
    /// The other end is disconnected, or another system error.
    fn receive(&mut self, most: usize, wait: Duration) -> io::Result<Vec<u8>>;

    /// Sends a text.
    ///
    /// # Errors
    /// As [`PortLink::receive`]; or nothing can be sent this way.
    fn send(&mut self, text: &str) -> io::Result<()>;
}

/// Opens a scale's port.
///
/// # Errors
/// The port does not exist, may not be opened, or is in use.
pub fn open(setup: &Setup) -> io::Result<Box<dyn PortLink>> {
    match setup.kind {
        ScaleKind::Commands | ScaleKind::Lines => Ok(Box::new(serial::SerialLine::open(setup)?)),
        ScaleKind::Usb => Ok(Box::new(raw::Device::open(&setup.port, setup.portion())?)),
    }
}

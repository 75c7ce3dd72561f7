//! A raw device that gives one report for each read.

use std::fs::File;
use std::io::{self, Read};
use std::sync::mpsc::{Receiver, RecvTimeoutError, SyncSender, sync_channel};
use std::thread;
use std::time::Duration;

use super::Link;

/// Reports that wait to be looked at; the reader waits beyond that.
const WAITING: usize = 4;

/// A device that is being read. A read of such a device can be neither cut short nor given a time on every system, so
/// it is done beside; the reader ends with the first report that nobody wants, or with the device.
pub(super) struct Device {
    reports: Receiver<io::Result<Vec<u8>>>,
}

impl Device {
    /// Opens a device of whose reports no more than the first `most` bytes are wanted.
    pub fn open(path: &str, most: usize) -> io::Result<Device> {
        let file = File::open(path)?;
        let (sender, reports) = sync_channel(WAITING);
        thread::Builder::new().name("scale".into()).spawn(move || pass_on(file, most, &sender))?;
        Ok(Device { reports })
    }
}

/// Reads until the device is gone or nobody listens.
fn pass_on(mut file: File, most: usize, sender: &SyncSender<io::Result<Vec<u8>>>) {
    // What is left of a report when fewer bytes are read is dropped by the system: the next read gives the next report.
    let mut bytes = vec![0; most];
    loop {
        let heard = match file.read(&mut bytes) {
            Ok(0) => Err(io::ErrorKind::UnexpectedEof.into()),
            Ok(count) => Ok(bytes[..count].to_vec()),
            Err(error) if error.kind() == io::ErrorKind::Interrupted => continue,
            Err(error) => Err(error),
        };
        let last = heard.is_err();
        if sender.send(heard).is_err() || last {
            return;
        }
    }
}

impl Link for Device {
    fn receive(&mut self, most: usize, wait: Duration) -> io::Result<Vec<u8>> {
        match self.reports.recv_timeout(wait) {
            Ok(report) => report.map(|mut report| {
                report.truncate(most);
                report
            }),
            Err(RecvTimeoutError::Timeout) => Ok(Vec::new()),
            Err(RecvTimeoutError::Disconnected) => Err(io::ErrorKind::UnexpectedEof.into()),
        }
    }

    fn send(&mut self, _: &str) -> io::Result<()> {
        Err(io::ErrorKind::Unsupported.into())
    }
}

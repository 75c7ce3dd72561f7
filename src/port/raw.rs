//! A raw device that gives one report per read.

use std::fs::File;
use std::io::{self, Read};
use std::sync::mpsc::{Receiver, RecvTimeoutError, SyncSender, sync_channel};
use std::thread;
use std::time::Duration;

use super::PortLink;

/// Reports that may be queued; beyond that the reader waits.
const WAITING: usize = 4;

/// A device being read. Such a read can be neither interrupted nor given a timeout on every system, so a separate
/// thread does it; the reader ends with the first report that nobody wants, or with the device.
pub(super) struct Device {
    reports: Receiver<io::Result<Vec<u8>>>,
}

impl Device {
    /// Opens a device. Only the first `most` bytes of each report are read.
    pub fn open(path: &str, most: usize) -> io::Result<Device> {
        let file = File::open(path)?;
        let (sender, reports) = sync_channel(WAITING);
        thread::Builder::new().name("scale".into()).spawn(move || pass_on(file, most, &sender))?;
        Ok(Device { reports })
    }
}

/// Reads until the device is gone or nobody receives.
fn pass_on(mut file: File, most: usize, sender: &SyncSender<io::Result<Vec<u8>>>) {
    // If fewer bytes are read, the system drops the rest of the report: the next read gives the next report.
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

impl PortLink for Device {
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

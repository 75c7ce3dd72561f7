//! A pseudo-terminal that acts as a scale on a serial line. What it says is what published pages and common scales say; no real
//! scale was at hand.

use std::io::{Read, Write};
use std::sync::Arc;
use std::sync::atomic::{AtomicBool, Ordering};
use std::thread::{self, JoinHandle};
use std::time::Duration;

use portable_pty::{MasterPty, PtySize, SlavePty, native_pty_system};

/// How often a scale that speaks by itself speaks.
const EVERY: Duration = Duration::from_millis(60);

/// A scale at the other end of a line.
pub struct Actor {
    /// Where the program finds it.
    pub port: String,
    // Kept open, so that the line outlives each time that the program opens it.
    _slave: Box<dyn SlavePty + Send>,
    over: Arc<AtomicBool>,
    play: Option<JoinHandle<()>>,
}

fn line() -> (Box<dyn MasterPty + Send>, Box<dyn SlavePty + Send>, String) {
    let pair = native_pty_system().openpty(PtySize::default()).unwrap();
    let port = pair.master.tty_name().unwrap().to_str().unwrap().to_owned();
    (pair.master, pair.slave, port)
}

impl Actor {
    /// A scale that says the next of these lines again and again, the last of them for ever.
    pub fn speaking(lines: Vec<&'static str>) -> Actor {
        let (master, slave, port) = line();
        let over = Arc::new(AtomicBool::new(false));
        let stop = over.clone();
        let play = thread::spawn(move || {
            let mut writer = master.take_writer().unwrap();
            let mut place = 0;
            while !stop.load(Ordering::Relaxed) {
                if writer.write_all(format!("{}\r\n", lines[place]).as_bytes()).is_err() {
                    return;
                }
                place = (place + 1).min(lines.len() - 1);
                thread::sleep(EVERY);
            }
        });
        Actor { port, _slave: slave, over, play: Some(play) }
    }

    /// A scale that answers each line that it is sent; at `None` it is unplugged.
    pub fn answering(mut answer: impl FnMut(&str) -> Option<String> + Send + 'static) -> Actor {
        let (master, slave, port) = line();
        let over = Arc::new(AtomicBool::new(false));
        let play = thread::spawn(move || {
            let (mut reader, mut writer) = (master.try_clone_reader().unwrap(), master.take_writer().unwrap());
            let (mut begun, mut byte) = (Vec::new(), [0]);
            while reader.read_exact(&mut byte).is_ok() {
                if byte[0] != b'\n' {
                    begun.push(byte[0]);
                    continue;
                }
                let line = String::from_utf8_lossy(&begun).trim().to_owned();
                begun.clear();
                let Some(reply) = answer(&line) else { return };
                if writer.write_all(format!("{reply}\r\n").as_bytes()).is_err() {
                    return;
                }
            }
        });
        Actor { port, _slave: slave, over, play: Some(play) }
    }
}

impl Drop for Actor {
    fn drop(&mut self) {
        self.over.store(true, Ordering::Relaxed);
        // One that waits to be asked ends with its line, after this.
        self.play.take_if(|play| play.is_finished());
    }
}

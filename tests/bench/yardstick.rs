//! What a time means on any machine: how often another piece of work fits into it, measured in the same run.
//!
//! That work is the SHA-256 digest of one mebibyte, by the crate that the program uses for digests: plain arithmetic, no
//! memory to speak of, no system calls. The table stands beside the written baseline in `tests/bench/baseline.toml`. A ratio
//! far above its baseline wants looking at; on a machine that does other work, run it again before believing it.

use std::collections::BTreeMap;
use std::path::Path;
use std::time::Duration;

use sha2::{Digest, Sha256};

/// How often the yardstick is laid on; the fastest counts.
const TIMES: usize = 40;
/// A ratio so many times its baseline is pointed out.
const FAR: f64 = 1.5;

/// Times of one benchmark, by name, in the order in which they were taken.
#[derive(Default)]
pub struct Ratios {
    rows: Vec<(String, Duration)>,
    unit: Vec<Duration>,
}

/// The time that this thread has been at work, which other work on the machine does not lengthen.
#[cfg(unix)]
pub fn at_work() -> Duration {
    let now = rustix::time::clock_gettime(rustix::time::ClockId::ThreadCPUTime);
    Duration::new(now.tv_sec.unsigned_abs(), u32::try_from(now.tv_nsec).unwrap_or(0))
}

/// The time that has passed: elsewhere nothing better is at hand.
#[cfg(not(unix))]
pub fn at_work() -> Duration {
    static BEGUN: std::sync::OnceLock<std::time::Instant> = std::sync::OnceLock::new();
    BEGUN.get_or_init(std::time::Instant::now).elapsed()
}

fn digest() -> Duration {
    let work = std::hint::black_box(vec![0x5A_u8; 1 << 20]);
    let start = at_work();
    std::hint::black_box(Sha256::digest(&work));
    at_work().saturating_sub(start)
}

impl Ratios {
    /// Takes down a time. The yardstick is laid on beside each, so that both see the same machine.
    pub fn note(&mut self, name: &str, time: Duration) {
        self.unit.extend((0..TIMES).map(|_| digest()));
        self.rows.push((name.to_owned(), time));
    }

    /// Prints the ratios of this benchmark beside their baseline; with `--baseline` behind `--`, writes them as the new one.
    pub fn finish(self, bench: &str) {
        let Some(unit) = self.unit.iter().min().map(Duration::as_secs_f64) else { return };
        let path = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/bench/baseline.toml");
        let text = std::fs::read_to_string(&path).unwrap_or_default();
        let mut baseline: BTreeMap<String, BTreeMap<String, f64>> = toml::from_str(&text).unwrap_or_default();
        let former = baseline.remove(bench).unwrap_or_default();
        println!(
            "\n{:<62} {:>10} {:>10} {:>8}",
            format!("{bench}, in SHA-256 digests of 1 MiB"),
            "now",
            "baseline",
            "change"
        );
        let mut now = BTreeMap::new();
        for (name, time) in &self.rows {
            let ratio = time.as_secs_f64() / unit;
            let rounded: f64 = format!("{ratio:.3e}").parse().unwrap_or(ratio);
            now.insert(name.clone(), rounded);
            match former.get(name) {
                Some(before) => {
                    let change = ratio / before;
                    let far = if change > FAR { "  slower" } else { "" };
                    println!("{name:<62} {ratio:>10.4} {before:>10.4} {change:>7.2}x{far}");
                }
                None => println!("{name:<62} {ratio:>10.4} {:>10} {:>8}", "none", ""),
            }
        }
        if std::env::args().any(|argument| argument == "--baseline") {
            baseline.insert(bench.to_owned(), now);
            let head =
                "# Times in SHA-256 digests of one mebibyte, by benchmark. Written by `cargo bench -- --baseline`.\n";
            let text = toml::to_string(&baseline).unwrap_or_default();
            match std::fs::write(&path, format!("{head}\n{text}")) {
                Ok(()) => println!("written to {}", path.display()),
                Err(error) => println!("cannot write {}: {error}", path.display()),
            }
        }
    }
}

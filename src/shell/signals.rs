//! Restores the terminal on a panic, and when the system asks the program to end.

use std::io::{self, IsTerminal, Write};

/// Restores the terminal's normal state. Safe to call at any time.
pub fn restore_terminal() {
    if io::stdin().is_terminal() && crossterm::terminal::is_raw_mode_enabled().unwrap_or(false) {
        let _raw_mode_off = crossterm::terminal::disable_raw_mode();
        let mut out = io::stdout();
        // Bracketed paste off, cursor visible.
        let _shown = out.write_all(b"\x1b[?2004l\x1b[?25h\r\n").and_then(|()| out.flush());
    }
}

/// Restores the terminal before a panic is reported, and says that the answers are safe.
pub fn guard_panics() {
    let report = std::panic::take_hook();
    std::panic::set_hook(Box::new(move |info| {
        restore_terminal();
        let text =
            "This is a defect of Knockdown. Every answer that was acknowledged is on disk; `doctor` checks the folder.";
        // A panic in here would abort the process at once, without the report.
        let _unheard = writeln!(io::stderr(), "{text}");
        report(info);
    }));
}

/// Exits cleanly when the system asks for it. Answers need no saving: each was on disk before it was acknowledged.
#[cfg(unix)]
pub fn guard_signals() {
    use signal_hook::consts::{SIGHUP, SIGTERM};
    use signal_hook::iterator::Signals;
    let Ok(mut signals) = Signals::new([SIGTERM, SIGHUP]) else { return };
    std::thread::spawn(move || {
        if let Some(signal) = signals.forever().next() {
            restore_terminal();
            std::process::exit(128 + signal);
        }
    });
}

/// Other systems end the program without asking; the journal is designed for that.
#[cfg(not(unix))]
pub fn guard_signals() {}

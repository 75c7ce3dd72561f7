//! `doctor`: looks for faults in the person's folder, their scripts and sessions. Repairs nothing.

use clap::{ArgMatches, Command};

use super::{Code, Outcome};
use crate::authoring::{Finding, Found, examine};
use crate::shell::ink::{Ink, Page};
use crate::shell::terminal::Terminal;

pub(super) fn declare() -> Command {
    Command::new("doctor").about("Look for faults in your folder, scripts and sessions")
}

pub(super) fn run(terminal: &mut Terminal, _: &ArgMatches) -> Outcome {
    let findings = examine(&terminal.world);
    let mut page = Page::new();
    for finding in &findings {
        match &finding.found {
            Found::Sound => page.line(&[(Ink::Good, "sound  "), (Ink::Plain, &finding.what)]),
            Found::Note(note) => write(finding, (Ink::Caution, "note   "), note, &mut page),
            Found::Off(why) => write(finding, (Ink::Caution, "off    "), why, &mut page),
            Found::Wrong(wrong) => write(finding, (Ink::Danger, "FAULT  "), wrong, &mut page),
        }
    }
    let faults = findings.iter().filter(|finding| matches!(finding.found, Found::Wrong(_))).count();
    page.say(Ink::Heading, &format!("{} looked at, {faults} at fault", findings.len()));
    terminal.show(&page);
    Ok(if faults == 0 { Code::Done } else { Code::Failed })
}

/// Writes a finding behind its sign; several faults of one thing come a line each.
fn write(finding: &Finding, sign: (Ink, &str), lines: &str, page: &mut Page) {
    for line in lines.lines() {
        page.line(&[sign, (Ink::Name, &finding.what), (Ink::Plain, ": "), (Ink::Plain, line)]);
    }
}

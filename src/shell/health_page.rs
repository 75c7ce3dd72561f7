//! What `doctor` found.

use super::ink::{Ink, Page};
use crate::authoring::{Health, HealthFinding};

/// One line per finding, then the number of things at fault.
pub fn page(findings: &[HealthFinding]) -> Page {
    let mut page = Page::new();
    for finding in findings {
        match &finding.found {
            Health::Sound => page.line(&[(Ink::Good, "sound  "), (Ink::Plain, &finding.what)]),
            Health::Note(note) => write(finding, (Ink::Caution, "note   "), note, &mut page),
            Health::Off(why) => write(finding, (Ink::Caution, "off    "), why, &mut page),
            Health::Wrong(wrong) => write(finding, (Ink::Danger, "FAULT  "), wrong, &mut page),
        }
    }
    let faults = findings.iter().filter(|finding| matches!(finding.found, Health::Wrong(_))).count();
    page.say(Ink::Heading, &format!("{} looked at, {faults} at fault", findings.len()));
    page
}

/// Writes a finding after its sign; several faults of one thing take a line each.
fn write(finding: &HealthFinding, sign: (Ink, &str), lines: &str, page: &mut Page) {
    for line in lines.lines() {
        page.line(&[sign, (Ink::Name, &finding.what), (Ink::Plain, ": "), (Ink::Plain, line)]);
    }
}

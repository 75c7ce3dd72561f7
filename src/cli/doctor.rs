//! `doctor`: looks for faults in the user's folder, scripts and sessions. Repairs nothing.

use clap::{ArgMatches, Command};

use super::{Code, Outcome};
use crate::authoring::{Health, examine};
use crate::shell::health_page;
use crate::shell::terminal::Terminal;

pub(super) fn declare() -> Command {
    Command::new("doctor").about("Look for faults in your folder, scripts and sessions")
}

pub(super) fn run(terminal: &mut Terminal, _: &ArgMatches) -> Outcome {
    let findings = examine(&terminal.world);
    terminal.show(&health_page::page(&findings));
    let sound = findings.iter().all(|finding| !matches!(finding.found, Health::Wrong(_)));
    Ok(if sound { Code::Done } else { Code::Failed })
}

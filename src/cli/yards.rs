//! `yards`: lists yards.

use clap::{ArgMatches, Command};
use serde_json::json;

use super::options::{self, Format};
use super::{Code, Outcome};
use crate::shell::ink::{Ink, Page};
use crate::shell::terminal::Terminal;
use crate::store::home::Shelf;
use crate::world::Origin;

pub(super) fn declare() -> Command {
    Command::new("yards").about("List yards").arg(options::format(&["text", "json"]))
}

pub(super) fn run(terminal: &mut Terminal, matches: &ArgMatches) -> Outcome {
    let listed = terminal.world.listed(Shelf::Yards)?;
    let current = terminal.world.yard_id(None)?;
    let mut page = Page::new();
    let mut rows = Vec::new();
    for listed in &listed {
        let own = matches!(listed.origin, Origin::Own(_));
        let mark = if listed.id == current { "* " } else { "  " };
        if let Some(why) = listed.switched_off() {
            page.line(&[(Ink::Plain, mark), (Ink::Name, &listed.id), (Ink::Caution, &format!("  ({why})"))]);
            rows.push(
                json!({ "id": listed.id, "name": listed.name(), "own": own, "switched_off": why, "error": null }),
            );
            continue;
        }
        match terminal.world.yard(&listed.id) {
            Ok((_, yard)) => {
                let facts =
                    format!("{}, {} per {}, prices of {}", yard.region(), yard.currency(), yard.unit(), yard.as_of());
                let remark = if yard.is_sample() { "sample prices, invented" } else { "" };
                page.line(&[
                    (Ink::Plain, mark),
                    (Ink::Name, &listed.id),
                    (Ink::Plain, "  "),
                    (Ink::Heading, yard.name()),
                ]);
                page.line(&[
                    (Ink::Plain, "    "),
                    (Ink::Plain, &facts),
                    (Ink::Faint, if own { "  (yours)" } else { "" }),
                ]);
                if !remark.is_empty() {
                    page.line(&[(Ink::Plain, "    "), (Ink::Caution, remark)]);
                }
                rows.push(json!({
                    "id": listed.id, "name": yard.name(), "region": yard.region(), "currency": yard.currency().code(),
                    "unit": yard.unit().symbol(), "as_of": yard.as_of().to_string(), "sample": yard.is_sample(),
                    "own": own, "in_use": listed.id == current, "error": null,
                }));
            }
            Err(error) => {
                page.line(&[
                    (Ink::Plain, mark),
                    (Ink::Name, &listed.id),
                    (Ink::Danger, "  cannot be read: "),
                    (Ink::Plain, &error.to_string()),
                ]);
                rows.push(json!({ "id": listed.id, "name": listed.name(), "own": own, "error": error.to_string() }));
            }
        }
    }
    if options::format_of(matches) == Format::Json {
        terminal.put(&options::json(&json!({ "format": "knockdown-yards", "version": 1, "yards": rows }))?);
    } else {
        terminal.show(&page);
        terminal.say(Ink::Faint, "* in use; choose another with: settings yard NAME");
    }
    Ok(Code::Done)
}

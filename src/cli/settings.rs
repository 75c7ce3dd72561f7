//! `settings`: shows and changes the person's settings.

use clap::{Arg, ArgAction, ArgMatches, Command};

use super::options::text;
use super::{Code, Outcome};
use crate::shell::ink::{Ink, Page};
use crate::shell::terminal::Terminal;
use crate::store::config::KEYS;
use crate::store::home::Shelf;
use crate::world::AppError;

pub(super) fn declare() -> Command {
    Command::new("settings")
        .about("Show or change your settings")
        .after_help(
            "Examples: settings yard bluegum-siding · settings containers.bucket '1.1 kg' · settings person --remove",
        )
        .arg(
            Arg::new("key")
                .value_name("KEY")
                .help("yard, unit, decimal, scale_division, person, floor_per_hour, color, plain, containers.NAME, cost_per_km, trips.YARD, rates.USD-AUD, scale.PART"),
        )
        .arg(Arg::new("value").value_name("VALUE").help("The new value").num_args(1))
        .arg(
            Arg::new("remove")
                .long("remove")
                .action(ArgAction::SetTrue)
                .requires("key")
                .conflicts_with("value")
                .help("Take the setting away"),
        )
}

pub(super) fn run(terminal: &mut Terminal, matches: &ArgMatches) -> Outcome {
    let Some(key) = text(matches, "key") else {
        show(terminal);
        return Ok(Code::Done);
    };
    let remove = matches.get_flag("remove");
    let value = match (text(matches, "value"), remove) {
        (Some(word), _) if key == "yard" => Some(terminal.world.pick_one(Shelf::Yards, word)?),
        (Some(value), _) => Some(value.to_owned()),
        (None, true) => None,
        (None, false) => {
            return Err(AppError::Refused(format!("write the new value: settings {key} VALUE, or --remove")));
        }
    };
    let stamp = terminal.world.clock.stamp();
    terminal.world.change_setting(key, value.as_deref(), &stamp)?;
    show(terminal);
    Ok(Code::Done)
}

fn show(terminal: &Terminal) {
    let config = &terminal.world.config;
    let decimal = config.decimal.map(|mark| format!("{mark:?}").to_lowercase());
    let color = config.color.map(|when| format!("{when:?}").to_lowercase());
    let plain = config.plain.map(|plain| plain.to_string());
    let values = [
        ("yard", &config.yard),
        ("unit", &config.unit),
        ("decimal", &decimal),
        ("scale_division", &config.scale_division),
        ("person", &config.person),
        ("floor_per_hour", &config.floor_per_hour),
        ("color", &color),
        ("plain", &plain),
        ("cost_per_km", &config.cost_per_km),
    ];
    let mut page = Page::new();
    page.line(&[(Ink::Faint, "in "), (Ink::Faint, &terminal.world.home.config_file().display().to_string())]);
    for (key, value) in values.iter().filter(|(key, _)| KEYS.contains(key)) {
        match value {
            Some(value) => page.line(&[(Ink::Name, &format!("{key:<16} ")), (Ink::Plain, value)]),
            None => page.line(&[(Ink::Name, &format!("{key:<16} ")), (Ink::Faint, "not set")]),
        }
    }
    for (name, weight) in &config.containers {
        page.line(&[(Ink::Name, &format!("container {name}: ")), (Ink::Figure, weight)]);
    }
    for (yard, trip) in &config.trips {
        page.line(&[(Ink::Name, &format!("trip to {yard}: ")), (Ink::Figure, trip)]);
    }
    for (pair, rate) in &config.rates {
        page.line(&[(Ink::Name, &format!("rate {pair}: ")), (Ink::Figure, rate)]);
    }
    for (part, value) in &config.scale {
        page.line(&[(Ink::Name, &format!("scale {part}: ")), (Ink::Plain, value)]);
    }
    terminal.show(&page);
}

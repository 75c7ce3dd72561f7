//! `settings`: shows and changes the user's settings.

use clap::{Arg, ArgAction, ArgMatches, Command};

use super::options::text;
use super::{Code, Outcome};
use crate::shell::settings_page;
use crate::shell::terminal::Terminal;
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
        terminal.show(&settings_page::page(&terminal.world));
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
    terminal.show(&settings_page::page(&terminal.world));
    Ok(Code::Done)
}

//! `recipes`: lists recipes; with `--by`, ranks them by what a unit is worth at the yard in use.

use clap::{Arg, ArgMatches, Command};
use rust_decimal::Decimal;

use super::options::{self, date_of, text};
use super::plan::own_floor;
use super::{Code, Outcome};
use crate::pricing::Valuation;
use crate::quantity::Money;
use crate::sessions::history::{Archive, Learned};
use crate::sessions::{Advice, Depth, DepthPlan, PlanWishes};
use crate::shell::format::{Format, json_text};
use crate::shell::recipe_page::{self, Planned};
use crate::shell::terminal::Terminal;
use crate::store::home::Shelf;

pub(super) fn declare() -> Command {
    Command::new("recipes")
        .about("List recipes; with --by, rank them by what a unit brings at the yard in use")
        .arg(
            Arg::new("by")
                .long("by")
                .value_name("MEASURE")
                .value_parser(["gain", "hour", "net"])
                .help("Rank by gain over selling whole, gain per hour, or net"),
        )
        .arg(options::yard())
        .arg(options::date())
        .arg(options::format(&["text", "json"]))
}

pub(super) fn run(terminal: &mut Terminal, matches: &ArgMatches) -> Outcome {
    if let Some(by) = text(matches, "by") {
        return rank(terminal, matches, by);
    }
    if options::format_of(matches) == Format::Json {
        let listed = terminal.world.listed(Shelf::Recipes)?;
        terminal.put(&json_text(&recipe_page::list_json(&listed))?);
    } else {
        terminal.show(&recipe_page::list(&terminal.world.titles(Shelf::Recipes)?));
    }
    Ok(Code::Done)
}

/// The best plan of each recipe, best first; recipes that cannot be planned come last, with the reason.
fn rank(terminal: &Terminal, matches: &ArgMatches, by: &str) -> Outcome {
    let yard = terminal.world.yard_id(text(matches, "yard"))?;
    let valuation = Valuation::new(&terminal.world, &yard, date_of(matches))?;
    let mut ranked: Vec<Planned> = Vec::new();
    let mut failed = Vec::new();
    let (archive, floor) = (Archive::new(&terminal.world)?, own_floor(terminal));
    for id in terminal.world.ids(Shelf::Recipes)? {
        let planned = terminal.world.recipe(&id).and_then(|(_, recipe)| {
            let foreseen = Learned::from(&archive, &recipe, "")?.ranges(None);
            let wishes = PlanWishes { floor, foreseen, ..PlanWishes::default() };
            let plan = Depth::before(&terminal.world, &valuation, &recipe, &wishes)?.plan()?;
            Ok((recipe.unit().name.clone(), plan))
        });
        match planned {
            Ok((name, plan)) => ranked.push((id, name, plan)),
            Err(error) => failed.push((id, error.to_string())),
        }
    }
    // A unit that is best left whole brings its whole price and takes no time.
    let measure = |plan: &DepthPlan| match (by, plan.advice) {
        ("net", Advice::Work) => plan.net.amount(),
        ("net", _) => plan.whole.amount(),
        (_, advice) if advice != Advice::Work => Decimal::ZERO,
        ("hour", _) => plan.per_hour.map_or(Decimal::ZERO, Money::amount),
        _ => plan.gain.amount(),
    };
    ranked.sort_by(|a, b| measure(&b.2).cmp(&measure(&a.2)).then_with(|| a.0.cmp(&b.0)));
    options::write_as(
        terminal,
        options::format_of(matches),
        || recipe_page::ranking(&valuation, by, &ranked, &failed),
        || recipe_page::ranking_json(&valuation, by, &ranked, &failed),
    )
}

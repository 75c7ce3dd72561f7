//! The folder itself, the clock, and the single files.

use std::collections::BTreeSet;

use jiff::Timestamp;

use super::{Findings, Health};
use crate::naming::counted;
use crate::pricing::quotes;
use crate::store::digest;
use crate::store::home::Single;
use crate::store::log::Ending;
use crate::store::quotes::QuoteLog;
use crate::store::stock::StockLog;
use crate::world::World;

/// No machine ran this program before this time, in seconds.
const LONG_PAST: i64 = 1_700_000_000;

pub(super) fn examine(world: &World, findings: &mut Findings) {
    findings.add(format!("folder {}", world.home.root().display()), writing(world));
    let clock = (world.clock.now().as_second() < LONG_PAST)
        .then(|| format!("the clock says {}, long past. Set it right: entries are dated by it", world.clock.stamp()));
    findings.add("clock", clock);
    findings.add("settings", world.examine_settings().err().map(|error| error.to_string()));
    findings.add(
        "quotes",
        match quotes(world) {
            Ok((_, mut wrong)) => {
                wrong.extend(ending::<QuoteLog>(world));
                Some(wrong.join("\n")).filter(|text| !text.is_empty())
            }
            Err(error) => Some(error.to_string()),
        },
    );
    pins(world, findings);
    findings.add("stock and tickets", yard_run(world));
    unbooked(world, findings);
}

/// Whether the folder can be written: tries to take the lock, which writing needs at least.
fn writing(world: &World) -> Option<String> {
    match world.home.exists() {
        Err(error) => Some(error.to_string()),
        Ok(false) => None,
        Ok(true) => {
            let tried = world.home.lock(&world.clock.stamp()).and_then(|_lock| world.home.try_out());
            tried.err().map(|error| error.to_string())
        }
    }
}

/// What is wrong with a log or its end.
fn ending<L: Single>(world: &World) -> Option<String> {
    match world.home.log::<L>() {
        Err(error) => Some(error.to_string()),
        Ok(reading) => world.home.told::<L>(&reading?.ending),
    }
}

/// The pins, and whether what they pin is there.
fn pins(world: &World, findings: &mut Findings) {
    let Some(pins) = findings.add_error("pins", world.home.pins()) else { return };
    let mut wrong = Vec::new();
    let mut changed = Vec::new();
    for (shelf, id, pin) in pins.iter() {
        let name = format!("{}/{id}.rhai", shelf.folder());
        let text = crate::store::Id::new(id).ok().and_then(|id| world.home.script(shelf, &id).ok()).flatten();
        match text.map(|text| digest(text.as_bytes()) == pin.script) {
            None => {
                wrong.push(format!("{name} is pinned, but there is no such text. Take its table out of pinned.toml"))
            }
            Some(false) => changed.push(format!("{name} was changed after it was taken in")),
            Some(true) => {}
        }
        if matches!(world.home.seen_script(&pin.script), Ok(None)) {
            wrong.push(format!("{name} is pinned as {}, of which no copy was kept", pin.script));
        }
    }
    match (wrong.is_empty(), changed.is_empty()) {
        (true, true) => findings.add("pins", Health::Sound),
        (true, false) => findings.add("pins", Health::Note(changed.join("\n"))),
        (false, _) => findings.add("pins", Health::Wrong(wrong.join("\n"))),
    }
}

/// The log of the stock, and all tickets. What ended sessions yielded is checked with the sessions.
fn yard_run(world: &World) -> Option<String> {
    let mut wrong = Vec::new();
    wrong.extend(ending::<StockLog>(world));
    match world.home.tickets() {
        Err(error) => wrong.push(error.to_string()),
        Ok(list) => {
            let read = |id| world.home.ticket::<crate::trips::TicketFile>(id).err().map(|error| error.to_string());
            wrong.extend(list.ids.iter().filter_map(read));
            wrong.extend(list.others.iter().map(|name| stray("tickets", name)));
        }
    }
    if wrong.is_empty() {
        wrong.extend(world.tickets().map_or_else(|error| vec![error.to_string()], |(_, warnings)| warnings));
    }
    Some(wrong.join("\n")).filter(|text| !text.is_empty())
}

/// Leftovers of a settlement that stopped before its sale was booked: a ticket, and prices stored from it.
fn unbooked(world: &World, findings: &mut Findings) {
    let (Ok(stock), Ok(quotes), Ok(tickets)) = (world.home.stock(), world.home.quotes(), world.home.tickets()) else {
        return;
    };
    if stock.as_ref().is_some_and(|reading| matches!(reading.ending, Ending::Damaged(_))) {
        // The sale may lie behind the damage.
        return;
    }
    let entries = stock.map(|reading| reading.records).unwrap_or_default();
    let quotes = quotes.map(|reading| reading.records).unwrap_or_default();
    let files = tickets.ids.iter().map(crate::store::Id::as_str);
    let named: BTreeSet<&str> = files.chain(quotes.iter().filter_map(|quote| quote.ticket())).collect();
    for id in named.into_iter().filter(|id| entries.iter().all(|entry| entry.ticket.as_deref() != Some(id))) {
        let prices = quotes.iter().filter(|quote| quote.ticket() == Some(id)).count();
        let what = format!(
            "the program ended before its sale was booked, so neither it nor its {} in quotes.toml count. Settle the ticket \
             again; a file of this name can be removed then",
            counted(prices, "price")
        );
        findings.add(format!("tickets/{id}.toml"), Health::Note(what));
    }
}

fn stray(folder: &str, name: &str) -> String {
    format!("{folder}/{name}: the program did not put this file there; move it elsewhere")
}

/// Files that nothing reads, and copies that do not match their names.
pub(super) fn examine_rest(world: &World, findings: &mut Findings) {
    let Some(oddities) = findings.add_error("folder", world.home.survey()) else { return };
    for oddity in oddities {
        let found = if oddity.is_fault { Health::Wrong(oddity.what) } else { Health::Note(oddity.what) };
        findings.add(oddity.path.display().to_string(), found);
    }
    let Ok(list) = world.home.seen_scripts() else { return };
    for id in list.ids {
        let _sound = findings.add_error("kept copy", world.home.seen_script(id.as_str()));
    }
    for name in list.others {
        findings
            .add(format!("scripts-seen/{name}"), Health::Wrong("this is no kept copy; move it elsewhere".to_owned()));
    }
}

/// How far ahead of the clock an entry may be dated, in seconds: the clocks of two machines differ.
const AHEAD: i64 = 24 * 60 * 60;

/// Whether an instant lies ahead of the clock.
pub(super) fn is_ahead(world: &World, at: Timestamp) -> bool {
    at.as_second() > world.clock.now().as_second().saturating_add(AHEAD)
}

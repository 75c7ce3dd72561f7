//! A ticket is settled on a disk that fails at each of its operations: whoever looks then, and after any crash, sees the
//! ticket with its sale and its prices, or none of it.

use std::sync::Arc;

use super::disk::{Fault, TestDisk};
use super::subjects::put_aside;
use super::{NOW, home};
use knockdown::pricing::quotes;
use knockdown::stock::ActKind;
use knockdown::store::quotes::QuoteLog;
use knockdown::store::stock::StockLog;
use knockdown::trips::{Interview, Prompt, SettledTicket, Settling};
use knockdown::world::{AppError, FixedClock, World};

/// Answers what the ticket says, and the default elsewhere.
struct Clerk;

/// The ticket: 1.2 kg of brass at a price of its own, which is kept.
const TICKET: [(&str, &str); 7] = [
    ("line-1/name", "brass"),
    ("line-1/weight", "1.2 kg"),
    ("line-1/price", "4.10/kg"),
    ("line-2/name", "done"),
    ("deduction-1/name", "done"),
    ("quotes", "yes"),
    ("ticket", "77"),
];

impl Interview for Clerk {
    fn ask(&mut self, prompt: &Prompt) -> Result<String, AppError> {
        let given = TICKET.iter().find(|(key, _)| *key == prompt.key).map(|(_, text)| (*text).to_owned());
        Ok(given.or_else(|| prompt.default.clone()).unwrap_or_else(|| panic!("{}: {}", prompt.key, prompt.text)))
    }

    fn refuse(&mut self, prompt: &Prompt, answer: &str, why: &str) -> Result<(), AppError> {
        panic!("{} = {answer}: {why}", prompt.key)
    }

    fn tell(&mut self, _: &str) {}
}

fn world(disk: &Arc<TestDisk>) -> World {
    World::new(home(disk), Box::new(FixedClock(NOW.parse().expect("an instant")))).expect("settings")
}

fn settle(world: &World) -> Result<Option<SettledTicket>, AppError> {
    let stock = world.stock()?;
    Settling::enter(world, &stock, "hollow-lane", &mut Clerk)?.book(&mut Clerk)
}

/// A folder with a find of brass, a quote, and nothing else.
fn stocked() -> Arc<TestDisk> {
    let disk = Arc::new(TestDisk::new());
    let world = world(&disk);
    home(&disk).add_quote(&super::quote("3.40 CAD/lb"), NOW).expect("kept");
    let find = |entry: &mut knockdown::stock::StockEntry| {
        entry.grade = Some("brass".to_owned());
        entry.mass = Some("1.2 kg".parse().expect("a weight"));
    };
    world.act_on_stock(&world.stock().expect("readable"), ActKind::Add, find).expect("added");
    disk
}

/// Whether the folder shows the settlement: all of it or nothing.
fn shows(disk: &Arc<TestDisk>, when: &str) -> bool {
    let world = world(disk);
    let lots = world.stock().expect("readable").ledger.lots().len();
    let (tickets, _) = world.tickets().expect("readable");
    let (quotes, _) = quotes(&world).expect("readable");
    match (lots, tickets.len(), quotes.len()) {
        (1, 0, 1) => false,
        (0, 1, 2) => {
            assert_eq!(tickets[0].number.as_deref(), Some("77"), "{when}");
            true
        }
        other => panic!("{when}: lots, tickets and quotes are {other:?}"),
    }
}

#[test]
fn a_settlement_that_is_stopped_anywhere_is_there_whole_or_not_at_all() {
    let mut unbooked = 0;
    for fault in [Fault::Half, Fault::Gone] {
        for good in 0.. {
            let disk = stocked();
            let world_then = world(&disk);
            disk.fail_after(good, fault);
            let said = settle(&world_then);
            let failed = disk.has_failed();
            disk.heal();
            for (crash, left) in disk.images() {
                let when = format!("{fault:?} at {good}, {crash}");
                assert!(shows(&left, &when) || said.is_err(), "{when}: said to be booked");
            }
            let when = format!("{fault:?} at {good}, going on");
            if !shows(&disk, &when) {
                unbooked += home(&disk).tickets().expect("listed").ids.len();
                // What is left of it counts with no other: settled again, the ticket is there once.
                put_aside::<StockLog>(&home(&disk)).expect("moved");
                put_aside::<QuoteLog>(&home(&disk)).expect("moved");
                settle(&world(&disk)).unwrap_or_else(|error| panic!("{when}: again: {error}"));
                assert!(shows(&disk, &when), "{when}: again");
            }
            if !failed {
                assert!(said.is_ok() && good >= 20, "{good} operations");
                break;
            }
        }
    }
    assert!(unbooked >= 5, "only {unbooked} stops left a ticket without its sale");
}

/// A ticket that was left unbooked and removed by hand leaves prices behind; a later ticket does not take its name.
#[test]
fn prices_of_a_ticket_that_was_never_booked_never_count() {
    let disk = stocked();
    let leftover = knockdown::store::quotes::QuoteRecord {
        origin: Some("settled ticket 2026-11-02-hollow-lane-1".to_owned()),
        ..super::quote("9.99 CAD/lb")
    };
    home(&disk).add_quote(&leftover, NOW).expect("kept");
    let booked = settle(&world(&disk)).expect("booked").expect("booked");
    assert_eq!(booked.ticket, "2026-11-02-hollow-lane-2");
    assert!(shows(&disk, "with a leftover"));
}

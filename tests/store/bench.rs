//! A whole session at the bench on a disk that fails: what the person was told is what the journal holds.

use std::sync::Arc;

use super::NOW;
use super::disk::{Fault, TestDisk};
use knockdown::bench::Kind;
use knockdown::sessions::{Change, Session};
use knockdown::store::log::Ending;
use knockdown::store::{Home, StoreError};
use knockdown::world::{FixedClock, World};

const BOX: &str = r#"unit("test-box", "Test box").weighs((4.kg..8.kg).usually(6.kg)).sold_whole_as("appliance-light");
step("lid", "Take off the lid").minutes(1, 2, 4).frees("lid", (0.5.kg..1.5.kg).usually(1.kg), "steel-light")
    .work(|bench| { bench.choose("screws", "Which screws?", ["cross", "slot"]); });
"#;

/// What the person types, one answer to each question.
const TYPED: [&str; 5] = ["6 kg", "do", "cross", "1 kg", "2"];

fn home(disk: &Arc<TestDisk>) -> Home {
    Home::on(disk.clone(), "/k")
}

fn world(disk: &Arc<TestDisk>) -> World {
    let clock = FixedClock(NOW.parse().expect("an instant"));
    World::new(home(disk), Box::new(clock)).expect("settings")
}

/// A disk with the recipe and nothing else of the person's.
fn new_disk() -> Arc<TestDisk> {
    let disk = Arc::new(TestDisk::new());
    disk.put(std::path::Path::new("/k/recipes/test-box.rhai"), BOX.as_bytes());
    disk
}

/// Works until the first failure; how many answers were acknowledged, `None` if the session did not begin.
fn work(world: &World) -> Option<usize> {
    let mut session = Session::begin(world, "test-box", "hollow-lane", None).ok()?;
    for (acknowledged, typed) in TYPED.iter().enumerate() {
        match session.answer(typed, None) {
            Ok(Change::Answered(_)) => {}
            Ok(Change::NotTaken(why)) => panic!("{typed}: {}", why.message),
            Err(_) => {
                // The session stays where it was, and takes nothing more even if the disk works again.
                assert_eq!(session.entries().len(), acknowledged);
                let again = session.answer(typed, None).expect_err("poisoned").to_string();
                assert!(again.contains("was not saved"), "{again}");
                assert_eq!(session.entries().len(), acknowledged);
                return Some(acknowledged);
            }
        }
    }
    let _laid_aside_or_not = session.pause();
    Some(TYPED.len())
}

/// The answers that the journal holds; `None` without a journal.
fn kept(disk: &Arc<TestDisk>, when: &str) -> Option<Vec<String>> {
    let listed = home(disk).sessions().expect("listed").ids;
    let id = listed.first()?;
    assert_eq!(listed.len(), 1, "{when}");
    let reading = home(disk).session(id).unwrap_or_else(|error| panic!("{when}: {error}"));
    assert!(!matches!(reading.ending, Ending::Damaged(_)), "{when}: {:?}", reading.ending);
    let answers = reading.records.into_iter().filter(|entry| entry.kind == Kind::Answer);
    Some(answers.map(|entry| entry.typed.unwrap_or_default()).collect())
}

#[test]
fn every_failure_keeps_the_answers_that_the_person_was_told_of() {
    for fault in Fault::ALL {
        for good in 0.. {
            let disk = new_disk();
            let world = world(&disk);
            disk.fail_after(good, fault);
            let acknowledged = work(&world);
            let failed = disk.has_failed();
            disk.heal();
            for (crash, left) in disk.images() {
                let when = format!("{fault:?} at {good}, {crash}");
                let Some(found) = kept(&left, &when) else {
                    assert_eq!(acknowledged.unwrap_or_default(), 0, "{when}");
                    continue;
                };
                let count = acknowledged.unwrap_or_default();
                assert!((count..=count + 1).contains(&found.len()), "{when}: {acknowledged:?}, found {found:?}");
                assert_eq!(found, TYPED[..found.len()], "{when}");
            }
            if !failed {
                assert_eq!(acknowledged, Some(TYPED.len()));
                assert!(good > 30, "only {good} operations were tried");
                break;
            }
        }
    }
}

/// What a power cut leaves can be worked on to the end, with the same outcome as without one.
#[test]
fn a_session_goes_on_after_a_power_cut_at_any_question() {
    for answered in 0..TYPED.len() {
        let disk = new_disk();
        let first = world(&disk);
        let mut session = Session::begin(&first, "test-box", "hollow-lane", None).expect("begun");
        let id = session.id().to_owned();
        for typed in &TYPED[..answered] {
            session.answer(typed, None).expect("saved");
        }
        let left = disk.power_cut();
        let second = world(&left);
        let (mut session, recovery) = Session::resume(&second, &id, None, None).expect("taken up");
        assert_eq!(recovery, knockdown::sessions::Recovered::default());
        for typed in &TYPED[answered..] {
            session.answer(typed, None).expect("saved");
        }
        session.answer("difference", None).expect("saved");
        assert!(session.has_ended());
        assert_eq!(kept(&left, "at the end").expect("a journal").len(), TYPED.len() + 1);
    }
}

#[test]
fn two_sessions_at_once_have_a_journal_each_and_one_journal_has_one_writer() {
    let disk = new_disk();
    let world = world(&disk);
    let first = Session::begin(&world, "test-box", "hollow-lane", None).expect("begun");
    let second = Session::begin(&world, "test-box", "hollow-lane", None).expect("begun");
    assert_ne!(first.id(), second.id());
    let id = first.id().to_owned();
    let refused = Session::resume(&world, &id, None, None).err().expect("held").to_string();
    assert!(refused.contains("in use"), "{refused}");
    assert!(matches!(
        home(&disk).resume_session(&knockdown::store::Id::new(&id).expect("a name"), NOW),
        Err(StoreError::Locked { .. })
    ));
    drop(first);
    Session::resume(&world, &id, None, None).expect("free again");
}

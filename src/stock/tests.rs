//! The fold: what stands, what is gone, what comes back.

use jiff::civil::date;
use proptest::prelude::*;

use super::*;
use crate::quantity::{Mass, MassUnit};

fn kg(n: i64) -> Mass {
    Mass::of(n.into(), MassUnit::Kilogram).unwrap()
}

fn lot(id: &str, grade: &str, mass: i64) -> Lot {
    Lot {
        id: id.into(),
        grade: grade.into(),
        mass: Some(kg(mass)),
        division: Mass::ZERO,
        pieces: 1,
        bin: None,
        since: date(2026, 11, 2),
        mixed_in: None,
    }
}

fn entry(seq: u64, kind: ActKind, lots: &[&str]) -> StockEntry {
    let lots = lots.iter().map(ToString::to_string).collect();
    StockEntry { lots, ..StockEntry::new(seq, "2026-11-03T10:00:00Z".into(), kind) }
}

fn freed() -> Vec<Lot> {
    vec![lot("s/coil", "copper-2", 3), lot("s/case", "steel-light", 9), lot("t/coil", "copper-2", 4)]
}

fn ids(ledger: &Ledger) -> Vec<&str> {
    ledger.lots().iter().map(|lot| lot.id.as_str()).collect()
}

#[test]
fn what_is_sold_is_gone_and_undo_brings_it_back_exactly() {
    let before = Ledger::of(freed(), &[]);
    let sale = StockEntry { yard: Some("y".into()), ..entry(1, ActKind::Sale, &["s/coil", "t/coil"]) };
    assert_eq!(ids(&Ledger::of(freed(), std::slice::from_ref(&sale))), ["s/case"]);
    let back = Ledger::of(freed(), &[sale.clone(), entry(2, ActKind::Undo, &[])]);
    assert_eq!(back.lots(), before.lots());
    assert_eq!(back.redoable(), Some(&sale));
    let again = Ledger::of(freed(), &[sale, entry(2, ActKind::Undo, &[]), entry(3, ActKind::Redo, &[])]);
    assert_eq!(ids(&again), ["s/case"]);
    assert_eq!(again.next_seq(), 4);
}

fn lot_of(ledger: &Ledger, id: &str) -> Lot {
    ledger.lots().iter().find(|lot| lot.id == id).unwrap().clone()
}

#[test]
fn pools_keep_weight_pieces_and_age() {
    let pool = StockEntry { grade: Some("copper".into()), ..entry(1, ActKind::Pool, &["s/coil", "t/coil"]) };
    let ledger = Ledger::of(freed(), std::slice::from_ref(&pool));
    let made = lot_of(&ledger, "pool-1");
    assert_eq!((made.mass, made.pieces, made.grade.as_str()), (Some(kg(7)), 2, "copper"));
    let weighed = StockEntry { mass: Some(kg(6)), ..pool };
    assert_eq!(lot_of(&Ledger::of(freed(), &[weighed]), "pool-1").mass, Some(kg(6)));
    let nothing = Ledger::of(freed(), &[entry(1, ActKind::Pool, &["gone"])]);
    assert_eq!(nothing.lots(), freed());
    assert_eq!(nothing.strays()[0].lot, "gone");
}

#[test]
fn packed_lots_wait_for_their_sale() {
    let pack = StockEntry { yard: Some("y".into()), ..entry(1, ActKind::Pack, &["s/coil"]) };
    let ledger = Ledger::of(freed(), std::slice::from_ref(&pack));
    assert_eq!(ledger.packed_for("y").unwrap().len(), 1);
    assert_eq!(ledger.packed_for("z"), None);
    let sale = StockEntry { yard: Some("y".into()), ..entry(2, ActKind::Sale, &["s/coil"]) };
    assert!(Ledger::of(freed(), &[pack, sale]).packed().is_empty());
}

#[test]
fn piles_pool_as_asked() {
    let move_it = StockEntry { bin: Some("shelf".into()), ..entry(1, ActKind::Move, &["t/coil"]) };
    let ledger = Ledger::of(freed(), &[move_it]);
    let sizes = |pooling| piles(ledger.lots(), pooling).iter().map(|pile| pile.lots.len()).collect::<Vec<_>>();
    assert_eq!(sizes(Pooling::Grade), [2, 1]);
    assert_eq!(sizes(Pooling::Bin), [1, 1, 1]);
    assert_eq!(piles(ledger.lots(), Pooling::Grade)[0].mass(), Some(kg(7)));
    let mixed: Vec<Lot> = freed().into_iter().map(|lot| Lot { mixed_in: Some("bucket".into()), ..lot }).collect();
    assert_eq!(piles(&mixed, Pooling::Grade).len(), 1);
}

#[test]
fn every_kind_has_a_word() {
    for kind in [
        ActKind::Add,
        ActKind::Move,
        ActKind::Regrade,
        ActKind::Pool,
        ActKind::WriteOff,
        ActKind::Pack,
        ActKind::Sale,
        ActKind::Undo,
    ] {
        assert_eq!(ActKind::of_word(kind.word()), Some(kind));
    }
}

proptest! {
    /// Whatever is done, taking it all back restores what was freed; and weight only leaves by sales and write-offs.
    #[test]
    fn undoing_everything_restores_everything(acts in prop::collection::vec((0_usize..6, 0_usize..3), 0..12)) {
        let names = ["s/coil", "s/case", "t/coil"];
        let kinds = [ActKind::Move, ActKind::Regrade, ActKind::Pool, ActKind::WriteOff, ActKind::Sale, ActKind::Pack];
        let mut entries: Vec<StockEntry> = Vec::new();
        for (kind, lot) in &acts {
            let grade = Some("copper".to_owned());
            entries.push(StockEntry { grade, ..entry(entries.len() as u64 + 1, kinds[*kind], &[names[*lot]]) });
        }
        let done = Ledger::of(freed(), &entries);
        let total = Mass::sum(done.lots().iter().filter_map(|lot| lot.mass)).unwrap();
        prop_assert!(total <= kg(16));
        let leaves = acts.iter().any(|(kind, _)| matches!(kinds[*kind], ActKind::WriteOff | ActKind::Sale));
        prop_assert!(leaves || total == kg(16));
        for _ in 0..acts.len() {
            entries.push(entry(entries.len() as u64 + 1, ActKind::Undo, &[]));
        }
        let freed_again = Ledger::of(freed(), &entries);
        prop_assert_eq!(freed_again.lots(), &freed()[..]);
    }
}

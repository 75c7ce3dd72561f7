//! From parts to lots: what goes on the yard's scale together, and at which price?

use std::collections::BTreeMap;

use rust_decimal::Decimal;

use super::{Line, MixNote, TallyError, TallyItem, TallyProblem, UnsoldItem};
use crate::market::book::PriceListing;
use crate::market::haul::{Fraction, Haul, Mix, Remainder, RemainderOf, WeightSource};
use crate::market::mixed::less;
use crate::market::{Book, LowestGrade, MixVerdict, MixedLot, MixedPart, Priced, Unsold};
use crate::quantity::{Basis, Mass, Money, Price};

/// A haul, sorted into what the yard buys and what it does not.
pub(super) struct Sorted {
    pub(super) lines: Vec<Line>,
    pub(super) unsold: Vec<UnsoldItem>,
    pub(super) problems: Vec<TallyProblem>,
}

/// Pools everything by price-list line, judges mixed lots, and prices the lots.
pub(super) fn sort_out(haul: &Haul, book: &Book<'_>) -> Result<Sorted, TallyError> {
    let mut sorting = Sorting {
        haul,
        book,
        pools: BTreeMap::new(),
        mixed: vec![Vec::new(); haul.mixes.len()],
        out: Sorted { lines: Vec::new(), unsold: Vec::new(), problems: Vec::new() },
    };
    for fraction in &haul.fractions {
        sorting.fraction(fraction)?;
    }
    for remainder in &haul.remainders {
        sorting.remainder(remainder);
    }
    for (listing, mut items) in std::mem::take(&mut sorting.pools).into_values() {
        items.sort();
        let line = total(&items).and_then(|mass| price_lot(book, &items, mass, None, |net| listing.at(net)));
        sorting.keep(items, line);
    }
    for (mix, mut items) in haul.mixes.iter().zip(std::mem::take(&mut sorting.mixed)) {
        items.sort();
        if items.is_empty() {
            continue;
        }
        if let Some(mass) = mix.net.filter(|mass| mass.is_negative()) {
            sorting.out.problems.push(TallyProblem::NegativeWeight { part: mix.name.clone(), mass });
            sorting.keep(items, Err(Unsold::BelowZero));
        } else {
            let line = sorting.mixed_lot(mix, &items);
            sorting.keep(items, line);
        }
    }
    Ok(in_order(sorting.out))
}

/// Canonical order, so that a tally does not depend on the order in which parts came out.
fn in_order(mut out: Sorted) -> Sorted {
    out.lines.sort_by(|a, b| {
        let name = |line: &Line| (line.priced.priced_as.clone(), line.mix.as_ref().map(|mix| mix.name.clone()));
        b.amount.amount().cmp(&a.amount.amount()).then_with(|| name(a).cmp(&name(b)))
    });
    out.unsold.sort_by(|a, b| (&a.part, &a.grade, a.mass).cmp(&(&b.part, &b.grade, b.mass)));
    out.problems.sort_by_key(|problem| format!("{problem:?}"));
    out
}

struct Sorting<'h, 'b> {
    haul: &'h Haul,
    book: &'h Book<'b>,
    pools: BTreeMap<&'b str, (PriceListing<'b>, Vec<TallyItem>)>,
    mixed: Vec<Vec<TallyItem>>,
    out: Sorted,
}

impl Sorting<'_, '_> {
    fn fraction(&mut self, fraction: &Fraction) -> Result<(), TallyError> {
        let item = TallyItem {
            part: fraction.part.clone(),
            grade: fraction.grade.clone(),
            mass: fraction.net,
            pieces: fraction.pieces,
            how: if fraction.net.is_some() { WeightSource::Weighed } else { WeightSource::Unknown },
            remainder: false,
            regraded_from: fraction.regraded_from.clone(),
        };
        if let Some(mass) = fraction.net.filter(|mass| mass.is_negative()) {
            self.out.problems.push(TallyProblem::NegativeWeight { part: fraction.part.clone(), mass });
            self.unsold(item, Unsold::BelowZero);
            return Ok(());
        }
        let Some(index) = fraction.in_mix else {
            self.pool(item);
            return Ok(());
        };
        let known = self.mixed.len();
        let contents =
            self.mixed.get_mut(index).ok_or(TallyError::NoSuchMix { part: item.part.clone(), index, known })?;
        contents.push(item);
        Ok(())
    }

    /// Puts a remainder where it belongs. One that weighs exactly zero is ignored.
    fn remainder(&mut self, remainder: &Remainder) {
        if remainder.mass.is_some_and(Mass::is_zero) {
            return;
        }
        let part = match &remainder.of {
            RemainderOf::Unit => self.haul.unit_name.clone(),
            RemainderOf::Part(part) => part.clone(),
        };
        let item = TallyItem {
            part,
            grade: remainder.grade.clone().unwrap_or_default(),
            mass: remainder.mass,
            pieces: remainder.pieces,
            how: remainder.how,
            remainder: true,
            regraded_from: None,
        };
        if let Some(mass) = remainder.mass.filter(|mass| mass.is_negative()) {
            self.out.problems.push(TallyProblem::NegativeRemainder { of: item.part.clone(), mass });
            self.unsold(item, Unsold::BelowZero);
        } else if let (RemainderOf::Unit, Some(why)) = (&remainder.of, &self.haul.handed_on) {
            self.unsold(item, Unsold::HandedOn(why.clone()));
        } else if remainder.grade.is_none() {
            self.unsold(item, Unsold::NoGrade);
        } else {
            self.pool(item);
        }
    }

    fn pool(&mut self, item: TallyItem) {
        match self.book.listing(&item.grade) {
            Ok(listing) => {
                self.pools.entry(listing.priced_as()).or_insert_with(|| (listing, Vec::new())).1.push(item);
            }
            Err(reason) => self.unsold(item, reason),
        }
    }

    fn unsold(&mut self, item: TallyItem, reason: Unsold) {
        self.out.unsold.push(UnsoldItem {
            part: item.part,
            grade: Some(item.grade).filter(|grade| !grade.is_empty()),
            mass: item.mass,
            pieces: item.pieces,
            how: item.how,
            remainder: item.remainder,
            reason,
        });
    }

    /// Keeps the line of a lot, or lists its contents as unsold.
    fn keep(&mut self, items: Vec<TallyItem>, outcome: Result<Line, Unsold>) {
        match outcome {
            Ok(line) => self.out.lines.push(line),
            Err(reason) => items.into_iter().for_each(|item| self.unsold(item, reason.clone())),
        }
    }

    /// A mixed lot is judged, weighed and paid separately from clean lots of the same grade.
    fn mixed_lot(&self, mix: &Mix, items: &[TallyItem]) -> Result<Line, Unsold> {
        let mass = mix.net.map_or_else(|| total(items), |mass| Ok(Some(mass)))?;
        let (grade, percent_off) = self.judge(items, mass.unwrap_or(Mass::ZERO))?;
        let note = MixNote { name: mix.name.clone(), percent_off };
        price_lot(self.book, items, mass, Some(note), |net| {
            let mut priced = self.book.price(&grade, net)?;
            priced.price = less(priced.price, percent_off).map_err(Unsold::RuleFailed)?;
            Ok(priced)
        })
    }

    /// Asks the yard's rule, or the default one, how to accept a mixed lot.
    fn judge(&self, items: &[TallyItem], mass: Mass) -> Result<(String, Decimal), Unsold> {
        let contents = items.iter().map(|item| self.mixed_part(item)).collect();
        let rule = self.book.yard().mixed_rule().unwrap_or(&LowestGrade);
        match rule.judge(&MixedLot::new(contents, mass)).map_err(Unsold::RuleFailed)? {
            MixVerdict::AsGrade(grade) => Ok((grade, Decimal::ZERO)),
            MixVerdict::AsGradeLess(grade, percent) => Ok((grade, percent)),
            MixVerdict::Refused(why) => Err(Unsold::Refused(why)),
        }
    }

    fn mixed_part(&self, item: &TallyItem) -> MixedPart {
        let mass = item.mass.unwrap_or(Mass::ZERO);
        let listing = self.book.listing(&item.grade).ok();
        let price = listing.and_then(|listing| listing.price_at(Some(mass))).map(|(price, _)| price);
        MixedPart { grade: item.grade.clone(), mass, pieces: item.pieces, price }
    }
}

/// Prices one lot as the yard's scale shows it.
pub(super) fn price_lot(
    book: &Book<'_>,
    items: &[TallyItem],
    mass: Option<Mass>,
    mix: Option<MixNote>,
    price: impl FnOnce(Option<Mass>) -> Result<Priced, Unsold>,
) -> Result<Line, Unsold> {
    let net = mass.map(|mass| book.yard().on_its_scale(mass));
    let pieces = items.iter().fold(0_u32, |sum, item| sum.saturating_add(item.pieces));
    let priced = price(net)?;
    let amount = amount(priced.price, net, pieces)?;
    Ok(Line { priced, mix, items: items.to_vec(), mass, net, pieces, amount })
}

/// The value of a lot at a price; refuses to price uncounted goods by the piece.
pub(super) fn amount(price: Price, net: Option<Mass>, pieces: u32) -> Result<Money, Unsold> {
    if price.basis() == Basis::Piece && pieces == 0 {
        return Err(Unsold::NotCounted);
    }
    price.of(net.unwrap_or(Mass::ZERO), pieces).map_err(|e| Unsold::OutOfBounds(e.to_string()))
}

/// The total of the weighed items; `None` if none was weighed.
fn total(items: &[TallyItem]) -> Result<Option<Mass>, Unsold> {
    let mut known = items.iter().filter_map(|item| item.mass).peekable();
    if known.peek().is_none() {
        return Ok(None);
    }
    Mass::sum(known).map(Some).map_err(|e| Unsold::OutOfBounds(e.to_string()))
}

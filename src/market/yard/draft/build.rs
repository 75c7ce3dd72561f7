//! The final checks of a draft, once everything is declared.

use jiff::civil::Date;
use rust_decimal::Decimal;

use super::{OfferDraft, YardDraft};
use crate::market::GradeTree;
use crate::market::yard::{Index, Link, Offer, OfferPlace, Tier, VisitFee, Yard, YardError, YardProblem};
use crate::quantity::{Basis, Currency, MassUnit, Money, Price};

impl YardDraft {
    /// The finished yard.
    ///
    /// # Errors
    /// Everything still wrong, not only the first: a missing currency, unit or date, a grade that is not in `tree`, a
    /// tier or minimum lot on a price per piece, a cash step that the currency cannot pay, a number beyond its limit.
    pub fn build(self, tree: &GradeTree) -> Result<Yard, Vec<YardError>> {
        let mut errors = Vec::new();
        let missing = |what, write| YardError::whole(YardProblem::Missing { what, write });
        if self.currency.is_none() {
            errors.push(missing("the currency", ".currency(\"AUD\")"));
        }
        if self.unit.is_none() {
            errors.push(missing("the unit of weight", ".weighs_in(\"kg\")"));
        }
        if self.as_of.is_none() {
            errors.push(missing("the date of the prices", "as_of(\"2026-11-02\")"));
        }
        let (Some(currency), Some(unit), Some(as_of)) = (self.currency, self.unit, self.as_of) else {
            return Err(errors);
        };
        let mut keep = |result: Result<(), YardError>| errors.extend(result.err());
        keep(cash_step(self.pays_to, currency));
        let mut offers = std::collections::BTreeMap::new();
        for (index, draft) in self.offers.into_iter().enumerate() {
            let place = OfferPlace { index, grade: draft.grade.clone() };
            let offer = match draft.index.clone() {
                None => finish(draft, currency, unit, tree),
                Some(name) => {
                    let index = self.indexes.iter().find(|index| index.name == name).ok_or(YardProblem::NoIndex(name));
                    index.and_then(|index| follow(draft, index, as_of, tree))
                }
            };
            keep(
                offer
                    .map(|offer| drop(offers.insert(offer.grade.clone(), offer)))
                    .map_err(|problem| YardError { offer: Some(place), problem }),
            );
        }
        for index in self.indexes.iter().filter(|index| index.value.currency() != currency) {
            let (name, seen) = (index.name.clone(), index.value.currency().code());
            keep(Err(YardError::whole(YardProblem::IndexCurrency { name, seen, currency: currency.code() })));
        }
        let mut visit_fees = Vec::new();
        for (name, amount) in self.visit_fees {
            let fee = Money::new(amount, currency).map(|amount| VisitFee { name, amount: amount.rounded() });
            keep(fee.map(|fee| visit_fees.push(fee)).map_err(|e| YardError::whole(e.into())));
        }
        if !errors.is_empty() {
            return Err(errors);
        }
        Ok(Yard {
            id: self.id,
            name: self.name,
            imprint: self.imprint,
            currency,
            unit,
            division: self.division,
            notation: self.notation,
            pays_to: self.pays_to,
            as_of,
            sample: self.sample,
            offers,
            indexes: self.indexes,
            visit_fees,
            least_load: self.least_load,
            mixed: self.mixed,
        })
    }
}

/// A cash total must come out in whole minor units.
fn cash_step(step: Option<Decimal>, currency: Currency) -> Result<(), YardError> {
    let minor = currency.minor_unit();
    match step {
        Some(step) if !(step % minor).is_zero() => {
            Err(YardError::whole(YardProblem::CashStep { step, minor, currency: currency.code() }))
        }
        _ => Ok(()),
    }
}

fn finish(draft: OfferDraft, currency: Currency, unit: MassUnit, tree: &GradeTree) -> Result<Offer, YardProblem> {
    if tree.get(&draft.grade).is_none() {
        let nearest = tree.nearest(&draft.grade).map(str::to_owned);
        return Err(YardProblem::UnknownGrade { grade: draft.grade, nearest });
    }
    let basis = draft.basis.unwrap_or(Basis::Weight(unit));
    if basis == Basis::Piece && !draft.tiers.is_empty() {
        return Err(YardProblem::WeightRuleOnPieces("tier"));
    }
    if basis == Basis::Piece && draft.minimum.is_some() {
        return Err(YardProblem::WeightRuleOnPieces("minimum lot"));
    }
    let price = |amount| Price::new(amount, currency, basis);
    let tiers = draft.tiers.iter().map(|(from, amount)| Ok(Tier { from: *from, price: price(*amount)? }));
    Ok(Offer {
        price: price(draft.amount)?,
        tiers: tiers.collect::<Result<_, YardProblem>>()?,
        grade: draft.grade,
        name: draft.name,
        minimum: draft.minimum,
        link: None,
    })
}

/// An offer whose amounts are shares of an index: its prices at the index value.
fn follow(draft: OfferDraft, index: &Index, on: Date, tree: &GradeTree) -> Result<Offer, YardProblem> {
    if draft.basis.is_some() {
        return Err(YardProblem::IndexUnit(index.name.clone()));
    }
    let (share, tiers) = (draft.amount, draft.tiers.iter().map(|(_, share)| *share).collect());
    let link = Link { index: index.name.clone(), share, tiers, on };
    let Basis::Weight(unit) = index.value.basis() else { return Err(YardProblem::IndexUnit(index.name.clone())) };
    let offer = finish(draft, index.value.currency(), unit, tree)?;
    Ok(Offer { link: Some(link), ..offer }.at_index(index.value, on)?)
}

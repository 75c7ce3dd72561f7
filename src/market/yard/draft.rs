//! Building a yard piece by piece, as a script declares it.

mod build;
mod limits;

use std::rc::Rc;

use jiff::civil::Date;
use rust_decimal::Decimal;

use self::limits::{
    MAX_NAME, MAX_NOTE, MAX_OFFERS, MAX_TIERS, full, named, nearest_currency, positive, scale_division, short, signed,
    some_weight,
};
use super::{Imprint, Index, OfferPlace, YardError, YardProblem};
use crate::market::mixed::MixedRule;
use crate::naming;
use crate::quantity::{Basis, Currency, Mass, MassUnit, Notation, Price};

/// An offer of a draft, by its index in order of declaration.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub struct OfferId(usize);

impl OfferId {
    /// The index, from 0.
    pub fn index(self) -> usize {
        self.0
    }
}

/// An offer whose currency and basis are not settled yet. The amounts of a charge are stored negative; those of an
/// index-linked offer are shares.
struct OfferDraft {
    grade: String,
    name: String,
    amount: Decimal,
    basis: Option<Basis>,
    tiers: Vec<(Mass, Decimal)>,
    minimum: Option<Mass>,
    charge: bool,
    index: Option<String>,
}

/// A yard being declared. Every call checks what it can at once, so that an error can point at the call;
/// [`YardDraft::build`] checks the rest.
///
/// Statements may come in any order: a price is in the yard's unit and currency wherever those are declared.
pub struct YardDraft {
    id: String,
    name: String,
    imprint: Imprint,
    currency: Option<Currency>,
    unit: Option<MassUnit>,
    division: Option<Mass>,
    notation: Notation,
    pays_to: Option<Decimal>,
    as_of: Option<Date>,
    sample: bool,
    offers: Vec<OfferDraft>,
    indexes: Vec<Index>,
    visit_fees: Vec<(String, Decimal)>,
    least_load: Option<Mass>,
    mixed: Option<Rc<dyn MixedRule>>,
}

impl YardDraft {
    /// A yard without any prices yet.
    ///
    /// # Errors
    /// A malformed id, an empty or overlong name.
    pub fn new(id: &str, name: &str) -> Result<YardDraft, YardError> {
        naming::well_formed_id(id).map_err(|why| YardError::whole(YardProblem::BadId(why)))?;
        Ok(YardDraft {
            id: id.to_owned(),
            name: named("the yard's name", name).map_err(YardError::whole)?,
            imprint: Imprint::default(),
            currency: None,
            unit: None,
            division: None,
            notation: Notation::Point,
            pays_to: None,
            as_of: None,
            sample: false,
            offers: Vec::new(),
            indexes: Vec::new(),
            visit_fees: Vec::new(),
            least_load: None,
            mixed: None,
        })
    }

    /// The id given.
    pub fn id(&self) -> &str {
        &self.id
    }

    /// The name given.
    pub fn name(&self) -> &str {
        &self.name
    }

    /// The script language version that the module needs; 1 by default.
    pub fn api(&self) -> u32 {
        self.imprint.needs_api.max(1)
    }

    /// Where the yard is.
    ///
    /// # Errors
    /// An overlong text.
    pub fn region(&mut self, region: &str) -> Result<(), YardError> {
        self.imprint.region = short("the region", region, MAX_NAME).map_err(YardError::whole)?;
        Ok(())
    }

    /// The currency by its three-letter code.
    ///
    /// # Errors
    /// A code that is not in ISO 4217, with the nearest one that is.
    pub fn currency(&mut self, code: &str) -> Result<(), YardError> {
        let unknown = || YardProblem::UnknownCurrency { code: code.to_owned(), nearest: nearest_currency(code) };
        self.currency = Some(Currency::from_code(code).ok_or_else(unknown).map_err(YardError::whole)?);
        Ok(())
    }

    /// The unit the yard weighs in, with its scale's division in that unit if known.
    ///
    /// # Errors
    /// A division finer than a tenth of a milligram or coarser than a tonne.
    pub fn weighs_in(&mut self, unit: MassUnit, division: Option<Decimal>) -> Result<(), YardError> {
        self.unit = Some(unit);
        self.division = division.map(|d| scale_division(d, unit)).transpose().map_err(YardError::whole)?;
        Ok(())
    }

    /// How the yard writes numbers; with a decimal point by default.
    pub fn notation(&mut self, notation: Notation) {
        self.notation = notation;
    }

    /// The step to which a cash total is rounded, in major units, e.g. 0.05.
    ///
    /// # Errors
    /// A step not above zero.
    pub fn pays_to(&mut self, step: Decimal) -> Result<(), YardError> {
        self.pays_to = Some(positive("a cash step", step).map_err(YardError::whole)?);
        Ok(())
    }

    /// The date of the prices.
    pub fn as_of(&mut self, date: Date) {
        self.as_of = Some(date);
    }

    /// Marks the prices as invented samples.
    pub fn sample(&mut self) {
        self.sample = true;
    }

    /// A remark for users of the module.
    ///
    /// # Errors
    /// An overlong text.
    pub fn note(&mut self, note: &str) -> Result<(), YardError> {
        self.imprint.note = short("the note", note, MAX_NOTE).map_err(YardError::whole)?;
        Ok(())
    }

    /// The module's author.
    ///
    /// # Errors
    /// An overlong text.
    pub fn author(&mut self, author: &str) -> Result<(), YardError> {
        self.imprint.author = short("the author", author, MAX_NAME).map_err(YardError::whole)?;
        Ok(())
    }

    /// The licence for passing on the module.
    ///
    /// # Errors
    /// An overlong text.
    pub fn licence(&mut self, licence: &str) -> Result<(), YardError> {
        self.imprint.licence = short("the licence", licence, MAX_NAME).map_err(YardError::whole)?;
        Ok(())
    }

    /// The module's revision number.
    pub fn revision(&mut self, revision: u32) {
        self.imprint.revision = revision;
    }

    /// The script API version that the module requires.
    pub fn needs_api(&mut self, version: u32) {
        self.imprint.needs_api = version;
    }

    /// The yard pays `amount` for the grade, per unit of its own weight unless changed by [`YardDraft::each`] or
    /// [`YardDraft::per`].
    ///
    /// # Errors
    /// A grade that already has a price, an empty or overlong name, a negative amount.
    pub fn buys(&mut self, grade: &str, name: &str, amount: Decimal) -> Result<OfferId, YardError> {
        self.offer(grade, name, amount, false)
    }

    /// A published price, with its value on the day of the module.
    ///
    /// # Errors
    /// A malformed or duplicate name, a value that is not a price or not above zero.
    pub fn index(&mut self, name: &str, value: &str) -> Result<(), YardError> {
        naming::well_formed_id(name).map_err(|why| YardError::whole(YardProblem::BadIndex(why)))?;
        full("indexes", self.indexes.len(), MAX_TIERS).map_err(YardError::whole)?;
        if self.indexes.iter().any(|known| known.name == name) {
            return Err(YardError::whole(YardProblem::DuplicateIndex(name.to_owned())));
        }
        let wrong = |error: crate::quantity::ReadError| {
            YardError::whole(YardProblem::BadIndex(format!("{value:?} is no value of {name}: {error}")))
        };
        let value: Price = value.parse().map_err(wrong)?;
        positive("the value of an index", value.amount()).map_err(YardError::whole)?;
        self.indexes.push(Index { name: name.to_owned(), value });
        Ok(())
    }

    /// The yard pays a share of an index, e.g. 0.9 of it. Tiers are shares too; the unit is the index's own.
    ///
    /// # Errors
    /// As [`YardDraft::buys`].
    pub fn buys_share(&mut self, grade: &str, name: &str, share: Decimal, index: &str) -> Result<OfferId, YardError> {
        let id = self.offer(grade, name, share, false)?;
        self.change(id, |offer| {
            offer.index = Some(index.to_owned());
            Ok(())
        })?;
        Ok(id)
    }

    /// The yard charges `amount` for accepting the grade.
    ///
    /// # Errors
    /// As [`YardDraft::buys`].
    pub fn charges(&mut self, grade: &str, name: &str, amount: Decimal) -> Result<OfferId, YardError> {
        self.offer(grade, name, amount, true)
    }

    fn offer(&mut self, grade: &str, name: &str, amount: Decimal, charge: bool) -> Result<OfferId, YardError> {
        let index = self.offers.len();
        let fail = |problem| YardError { offer: Some(OfferPlace { index, grade: grade.to_owned() }), problem };
        full("prices", index, MAX_OFFERS).map_err(fail)?;
        if let Some(earlier) = self.offers.iter().find(|offer| offer.grade == grade) {
            return Err(fail(YardProblem::DuplicateGrade { earlier: earlier.name.clone() }));
        }
        let name = named("the local name", name).map_err(fail)?;
        let amount = signed(amount, charge).map_err(fail)?;
        let grade = grade.to_owned();
        self.offers.push(OfferDraft {
            grade,
            name,
            amount,
            basis: None,
            tiers: Vec::new(),
            minimum: None,
            charge,
            index: None,
        });
        Ok(OfferId(index))
    }

    /// Prices the offer by the piece.
    ///
    /// # Errors
    /// An id of another draft.
    pub fn each(&mut self, offer: OfferId) -> Result<(), YardError> {
        self.change(offer, |offer| {
            offer.basis = Some(Basis::Piece);
            Ok(())
        })
    }

    /// Prices the offer by this unit of weight instead of the yard's.
    ///
    /// # Errors
    /// An id of another draft.
    pub fn per(&mut self, offer: OfferId, unit: MassUnit) -> Result<(), YardError> {
        self.change(offer, |offer| {
            offer.basis = Some(Basis::Weight(unit));
            Ok(())
        })
    }

    /// From this weight on the whole lot brings `amount`, on the offer's own basis.
    ///
    /// # Errors
    /// An id of another draft, a negative amount, a threshold that is zero or not above the previous tier's.
    pub fn tier(&mut self, offer: OfferId, from: Mass, amount: Decimal) -> Result<(), YardError> {
        let unit = self.unit.unwrap_or(MassUnit::Gram);
        self.change(offer, |offer| {
            some_weight("a tier's weight", from)?;
            if let Some((former, _)) = offer.tiers.last().filter(|(former, _)| from <= *former) {
                return Err(YardProblem::TierOrder { from, former: *former, unit });
            }
            full("tiers", offer.tiers.len(), MAX_TIERS)?;
            let amount = signed(amount, offer.charge)?;
            offer.tiers.push((from, amount));
            Ok(())
        })
    }

    /// The offer's minimum lot.
    ///
    /// # Errors
    /// An id of another draft, a weight not above zero.
    pub fn minimum(&mut self, offer: OfferId, least: Mass) -> Result<(), YardError> {
        self.change(offer, |offer| {
            some_weight("a minimum lot", least)?;
            offer.minimum = Some(least);
            Ok(())
        })
    }

    /// A fee for every visit.
    ///
    /// # Errors
    /// An empty or overlong name, a negative amount.
    pub fn visit_fee(&mut self, name: &str, amount: Decimal) -> Result<(), YardError> {
        full("visit fees", self.visit_fees.len(), MAX_TIERS).map_err(YardError::whole)?;
        let name = named("the fee's name", name).map_err(YardError::whole)?;
        let amount = signed(amount, false).map_err(YardError::whole)?;
        self.visit_fees.push((name, amount));
        Ok(())
    }

    /// The minimum load, all lots together, that the yard accepts.
    ///
    /// # Errors
    /// A weight not above zero.
    pub fn least_load(&mut self, least: Mass) -> Result<(), YardError> {
        some_weight("a least load", least).map_err(YardError::whole)?;
        self.least_load = Some(least);
        Ok(())
    }

    /// The yard's rule for mixed lots. Without it the lot goes at the price of its lowest-priced grade.
    pub fn mixed(&mut self, rule: Rc<dyn MixedRule>) {
        self.mixed = Some(rule);
    }

    fn change(
        &mut self,
        id: OfferId,
        act: impl FnOnce(&mut OfferDraft) -> Result<(), YardProblem>,
    ) -> Result<(), YardError> {
        let Some(offer) = self.offers.get_mut(id.0) else {
            return Err(YardError::whole(YardProblem::NoSuchOffer(id.0)));
        };
        let grade = offer.grade.clone();
        act(offer).map_err(|problem| YardError { offer: Some(OfferPlace { index: id.0, grade }), problem })
    }
}

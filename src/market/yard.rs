//! A yard: a buyer, with what it takes, its prices and its rules. Pure data; scripts and tests build it alike.

mod draft;
mod error;
mod offer;

use std::collections::BTreeMap;
use std::fmt;
use std::rc::Rc;

use jiff::civil::Date;
use rust_decimal::Decimal;

use super::mixed::MixedRule;
use crate::quantity::{Currency, Mass, MassUnit, Money, Notation, Price, QuantityError};

pub use draft::{OfferId, YardDraft};
pub use error::{OfferPlace, YardError, YardProblem};
pub use offer::{Link, Offer, Tier};

/// A yard's fee per visit.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct VisitFee {
    /// The yard's name for it.
    pub name: String,
    /// The fee, not negative.
    pub amount: Money,
}

/// A published price that the yard's own prices follow, with its value on the day of the module.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Index {
    /// The yard's name for it.
    pub name: String,
    /// Its value on the date of the module's prices.
    pub value: Price,
}

/// Author, licence and versions of the module: facts that change no price.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub(super) struct Imprint {
    pub(super) region: String,
    pub(super) note: String,
    pub(super) author: String,
    pub(super) licence: String,
    pub(super) revision: u32,
    pub(super) needs_api: u32,
}

/// A buyer with its prices and rules, as one dated statement. Made by [`YardDraft::build`], which checks it.
#[derive(Clone)]
pub struct Yard {
    id: String,
    name: String,
    imprint: Imprint,
    currency: Currency,
    unit: MassUnit,
    division: Option<Mass>,
    notation: Notation,
    pays_to: Option<Decimal>,
    as_of: Date,
    sample: bool,
    offers: BTreeMap<String, Offer>,
    indexes: Vec<Index>,
    visit_fees: Vec<VisitFee>,
    least_load: Option<Mass>,
    mixed: Option<Rc<dyn MixedRule>>,
}

impl Yard {
    /// Canonical id, as typed after `--yard`.
    pub fn id(&self) -> &str {
        &self.id
    }

    /// The name as on the sign.
    pub fn name(&self) -> &str {
        &self.name
    }

    /// Where it is; empty if not stated.
    pub fn region(&self) -> &str {
        &self.imprint.region
    }

    /// The currency that it pays in.
    pub fn currency(&self) -> Currency {
        self.currency
    }

    /// The unit it weighs in and, unless an offer says otherwise, prices in.
    pub fn unit(&self) -> MassUnit {
        self.unit
    }

    /// The division of its scale: a net weight on its ticket is a multiple of this.
    pub fn division(&self) -> Option<Mass> {
        self.division
    }

    /// How it writes numbers.
    pub fn notation(&self) -> Notation {
        self.notation
    }

    /// The step to which it rounds a cash total, in major units, if larger than the minor unit.
    pub fn pays_to(&self) -> Option<Decimal> {
        self.pays_to
    }

    /// The date of the prices.
    pub fn as_of(&self) -> Date {
        self.as_of
    }

    /// Whether the prices are invented samples. Whoever shows a price of this yard must show this too.
    pub fn is_sample(&self) -> bool {
        self.sample
    }

    /// The author's remark; may be empty.
    pub fn note(&self) -> &str {
        &self.imprint.note
    }

    /// The module's author; empty if not stated.
    pub fn author(&self) -> &str {
        &self.imprint.author
    }

    /// The licence for passing on the module; empty if not stated.
    pub fn licence(&self) -> &str {
        &self.imprint.licence
    }

    /// The module's revision number; 0 if not stated.
    pub fn revision(&self) -> u32 {
        self.imprint.revision
    }

    /// The script API version the module requires; 0 if not stated.
    pub fn needs_api(&self) -> u32 {
        self.imprint.needs_api
    }

    /// Its offer for exactly this grade, without climbing the tree.
    pub fn offer(&self, grade: &str) -> Option<&Offer> {
        self.offers.get(grade)
    }

    /// Everything that it buys or charges for, by grade id.
    pub fn offers(&self) -> impl Iterator<Item = &Offer> {
        self.offers.values()
    }

    /// The indexes that its prices follow.
    pub fn indexes(&self) -> &[Index] {
        &self.indexes
    }

    /// The same yard with index-linked prices recomputed from the values that `value_of` gives; those without a value
    /// stay.
    ///
    /// # Errors
    /// A price exceeds its limit.
    pub fn at_indexes(&self, value_of: impl Fn(&str) -> Option<(Price, Date)>) -> Result<Yard, QuantityError> {
        let mut yard = self.clone();
        for offer in yard.offers.values_mut() {
            if let Some((value, on)) = offer.link().and_then(|link| value_of(&link.index)) {
                *offer = offer.at_index(value, on)?;
            }
        }
        Ok(yard)
    }

    /// The fees of one visit.
    pub fn visit_fees(&self) -> &[VisitFee] {
        &self.visit_fees
    }

    /// The minimum load, all lots together, that it accepts.
    pub fn least_load(&self) -> Option<Mass> {
        self.least_load
    }

    /// Its own rule for mixed lots, if any.
    pub fn mixed_rule(&self) -> Option<&dyn MixedRule> {
        self.mixed.as_deref()
    }

    /// A net weight as this yard's scale would show it; unchanged if no division is declared.
    pub fn on_its_scale(&self, mass: Mass) -> Mass {
        self.division.map_or(mass, |division| mass.on_scale(division))
    }

    /// The amount as this yard pays it in cash; unchanged if no step is declared.
    pub fn in_cash(&self, amount: Money) -> Money {
        self.pays_to.map_or(amount, |step| amount.rounded_to(step))
    }
}

impl fmt::Debug for Yard {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.debug_struct("Yard")
            .field("id", &self.id)
            .field("as_of", &self.as_of)
            .field("offers", &self.offers)
            .field("mixed_rule", &self.mixed.is_some())
            .finish_non_exhaustive()
    }
}

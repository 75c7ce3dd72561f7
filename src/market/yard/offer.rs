//! One line of a yard's price list.

use jiff::civil::Date;
use rust_decimal::Decimal;

use crate::quantity::{Mass, Price, QuantityError};

/// A better (or worse) price for the whole lot once it is heavy enough.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Tier {
    /// The lot must weigh at least this much.
    pub from: Mass,
    /// The price of the whole lot then.
    pub price: Price,
}

/// How a price follows an index: as a share of its value on a day.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Link {
    /// The index, by the yard's name for it.
    pub index: String,
    /// The base price as a share of the index: 0.9 for 90 %.
    pub share: Decimal,
    /// The same for each tier, lightest first.
    pub tiers: Vec<Decimal>,
    /// The date of the index value used for the prices.
    pub on: Date,
}

/// What a yard pays, or charges, for one grade. A charge is an offer with a negative price.
///
/// Tiers ascend and stand only on a price per weight, as does a minimum lot.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Offer {
    pub(super) grade: String,
    pub(super) name: String,
    pub(super) price: Price,
    pub(super) tiers: Vec<Tier>,
    pub(super) minimum: Option<Mass>,
    pub(super) link: Option<Link>,
}

impl Offer {
    /// The canonical grade id.
    pub fn grade(&self) -> &str {
        &self.grade
    }

    /// The yard's name for it.
    pub fn name(&self) -> &str {
        &self.name
    }

    /// The price below the first tier.
    pub fn price(&self) -> Price {
        self.price
    }

    /// The tiers, lightest first.
    pub fn tiers(&self) -> &[Tier] {
        &self.tiers
    }

    /// The minimum lot.
    pub fn minimum(&self) -> Option<Mass> {
        self.minimum
    }

    /// The index that its price follows, if any.
    pub fn link(&self) -> Option<&Link> {
        self.link.as_ref()
    }

    /// The same offer with its prices recomputed from an index value; unchanged if it follows none.
    ///
    /// # Errors
    /// A price exceeds its limit.
    pub fn at_index(&self, value: Price, on: Date) -> Result<Offer, QuantityError> {
        let Some(link) = &self.link else { return Ok(self.clone()) };
        let tiers = self.tiers.iter().zip(&link.tiers);
        let tiers = tiers.map(|(tier, share)| Ok(Tier { from: tier.from, price: value.share(*share)? }));
        Ok(Offer {
            price: value.share(link.share)?,
            tiers: tiers.collect::<Result<_, QuantityError>>()?,
            link: Some(Link { on, ..link.clone() }),
            ..self.clone()
        })
    }

    /// Whether the yard charges for this grade instead of paying.
    pub fn is_charge(&self) -> bool {
        self.price.amount().is_sign_negative()
    }

    /// The highest tier that a lot of `mass` reaches; the threshold itself counts.
    pub fn tier_for(&self, mass: Mass) -> Option<Tier> {
        self.tiers.iter().rev().find(|tier| tier.from <= mass).copied()
    }
}

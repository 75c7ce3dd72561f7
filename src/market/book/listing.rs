//! One line of the price book, applied to a lot.

use jiff::civil::Date;
use rust_decimal::Decimal;

use crate::market::{Grade, Offer, Quote, Yard};
use crate::quantity::{Basis, Mass, MassUnit, Notation, Price};

/// Where a price comes from.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum PriceSource {
    /// The yard's module.
    Module {
        /// The date of its prices.
        as_of: Date,
    },
    /// A share of an index.
    Index {
        /// The index.
        name: String,
        /// The share, in per cent.
        percent: Decimal,
        /// The date of its value.
        date: Date,
    },
    /// A quote.
    Quote {
        /// The date of the quote.
        date: Date,
        /// Its origin, in the user's words.
        origin: String,
    },
}

impl PriceSource {
    /// The date of the price.
    pub fn date(&self) -> Date {
        match self {
            PriceSource::Module { as_of: date } | PriceSource::Index { date, .. } | PriceSource::Quote { date, .. } => {
                *date
            }
        }
    }
}

/// The price of a lot.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Priced {
    /// The grade that carries the price: the lot's own, or the wider class the yard prices.
    pub priced_as: String,
    /// The yard's name for it.
    pub name: String,
    /// The price for the whole lot.
    pub price: Price,
    /// The tier that the lot reached, if any.
    pub tier: Option<Mass>,
    /// Where the price comes from.
    pub source: PriceSource,
}

/// Why something brings no money here. Not the same as a price of zero.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Unsold {
    /// The grade is not in the catalogue.
    UnknownGrade {
        /// A similar known id.
        nearest: Option<String>,
    },
    /// No grade was given.
    NoGrade,
    /// The yard prices neither the grade nor a wider class.
    NoPrice,
    /// The lot is below the yard's minimum.
    BelowMinimum {
        /// The minimum lot.
        minimum: Mass,
        /// The yard's unit of weight.
        unit: MassUnit,
    },
    /// The yard's rule refuses the mixed lot.
    Refused(String),
    /// The yard's rule failed.
    RuleFailed(String),
    /// The yard pays by weight and the weight is unknown.
    NotWeighed,
    /// The yard pays by the piece and the pieces were not counted.
    NotCounted,
    /// A weight or an amount exceeds its limit; the message says which.
    OutOfBounds(String),
    /// More was taken out than the thing weighed, so that the remainder is negative.
    BelowZero,
    /// It went to a licensed person.
    HandedOn(String),
}

impl Unsold {
    /// A stable code for files: `no-price`, `below-minimum` …
    pub fn code(&self) -> &'static str {
        match self {
            Unsold::UnknownGrade { .. } => "unknown-grade",
            Unsold::NoGrade => "no-grade",
            Unsold::NoPrice => "no-price",
            Unsold::BelowMinimum { .. } => "below-minimum",
            Unsold::Refused(_) => "refused",
            Unsold::RuleFailed(_) => "rule-failed",
            Unsold::NotWeighed => "not-weighed",
            Unsold::NotCounted => "not-counted",
            Unsold::OutOfBounds(_) => "out-of-bounds",
            Unsold::BelowZero => "below-zero",
            Unsold::HandedOn(_) => "handed-on",
        }
    }

    /// The reason in words: `below the minimum lot of 50 lb`.
    pub fn words(&self, notation: Notation) -> String {
        match self {
            Unsold::UnknownGrade { nearest: Some(id) } => format!("not a known grade; did you mean {id}?"),
            Unsold::UnknownGrade { nearest: None } => "not a known grade".into(),
            Unsold::NoGrade => "no grade was given".into(),
            Unsold::NoPrice => "no price here".into(),
            Unsold::BelowMinimum { minimum, unit } => {
                format!("below the minimum lot of {}", minimum.show(*unit, 3, notation))
            }
            Unsold::Refused(why) => format!("refused: {why}"),
            Unsold::RuleFailed(why) => format!("the yard's rule for mixed lots failed: {why}"),
            Unsold::NotWeighed => "weight not known".into(),
            Unsold::NotCounted => "number of pieces not known".into(),
            Unsold::OutOfBounds(why) => why.clone(),
            Unsold::BelowZero => "comes out below zero: a weight is wrong".into(),
            Unsold::HandedOn(why) => format!("handed on: {why}"),
        }
    }
}

/// The price-list line of a grade: an offer of the module, a quote over it, or a quote alone.
///
/// A quote replaces the base price and all tiers, since it applies to the whole lot. A minimum lot stays, being a rule
/// of the yard rather than a price, unless the quote is per piece.
#[derive(Debug, Clone, Copy)]
pub struct PriceListing<'a> {
    level: &'a Grade,
    offer: Option<&'a Offer>,
    quote: Option<&'a Quote>,
    yard: &'a Yard,
}

impl<'a> PriceListing<'a> {
    /// The line at one level of the tree; `None` if there is neither offer nor quote.
    pub(super) fn new(
        level: &'a Grade,
        offer: Option<&'a Offer>,
        quote: Option<&'a Quote>,
        yard: &'a Yard,
    ) -> Option<PriceListing<'a>> {
        (offer.is_some() || quote.is_some()).then_some(PriceListing { level, offer, quote, yard })
    }

    /// The grade that carries the price.
    pub fn priced_as(&self) -> &'a str {
        &self.level.id
    }

    /// The yard's name for it; the catalogue's if only a quote prices it.
    pub fn name(&self) -> &'a str {
        self.offer.map_or(self.level.name.as_str(), Offer::name)
    }

    /// The price of a lot of this weight.
    ///
    /// # Errors
    /// [`Unsold::BelowMinimum`]; [`Unsold::NotWeighed`] if priced by weight and there is none.
    pub fn at(&self, mass: Option<Mass>) -> Result<Priced, Unsold> {
        let (price, tier) = self.price_at(mass).ok_or(Unsold::NotWeighed)?;
        if let (Basis::Weight(_), Some(mass), Some(minimum)) =
            (price.basis(), mass, self.offer.and_then(Offer::minimum))
            && mass < minimum
        {
            return Err(Unsold::BelowMinimum { minimum, unit: self.yard.unit() });
        }
        Ok(Priced {
            priced_as: self.level.id.clone(),
            name: self.name().to_owned(),
            price,
            tier,
            source: self.source(),
        })
    }

    /// Price and tier at a weight, ignoring the minimum lot; `None` if the price needs a weight and there is none.
    pub fn price_at(&self, mass: Option<Mass>) -> Option<(Price, Option<Mass>)> {
        let base = self.quote.map(|quote| quote.price).or_else(|| self.offer.map(Offer::price))?;
        if base.basis() == Basis::Piece {
            return Some((base, None));
        }
        let mass = mass?;
        let tiered = self.offer.filter(|_| self.quote.is_none());
        let tier = tiered.and_then(|offer| offer.tier_for(mass));
        Some(tier.map_or((base, None), |tier| (tier.price, Some(tier.from))))
    }

    /// The weights from which a lot is accepted or its price changes, each with the price from there on; for a price
    /// per piece, a single step from zero.
    pub fn steps(&self) -> Vec<(Mass, Price)> {
        let by_piece = self.price_at(None).is_some();
        let least = self.offer.and_then(Offer::minimum).filter(|_| !by_piece).unwrap_or(Mass::ZERO);
        let tiers = self.offer.filter(|_| self.quote.is_none() && !by_piece).map_or(&[][..], Offer::tiers);
        let later = tiers.iter().map(|tier| tier.from).filter(|from| *from > least);
        let froms = std::iter::once(least).chain(later);
        froms.filter_map(|from| Some((from, self.price_at(Some(from))?.0))).collect()
    }

    fn source(&self) -> PriceSource {
        match (self.quote, self.offer.and_then(Offer::link)) {
            (Some(quote), _) => PriceSource::Quote { date: quote.date, origin: quote.origin.clone() },
            (None, Some(link)) => {
                let percent = (link.share * Decimal::ONE_HUNDRED).normalize();
                PriceSource::Index { name: link.index.clone(), percent, date: link.on }
            }
            (None, None) => PriceSource::Module { as_of: self.yard.as_of() },
        }
    }
}

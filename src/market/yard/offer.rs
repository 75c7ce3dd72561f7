//! One line of a yard's price list.

use crate::quantity::{Basis, Mass, Price};

/// A better (or worse) price for the whole lot once it is heavy enough.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Tier {
    /// The lot must weigh at least this much.
    pub from: Mass,
    /// The price of the whole lot then.
    pub price: Price,
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
}

impl Offer {
    /// The canonical grade id.
    pub fn grade(&self) -> &str {
        &self.grade
    }

    /// What the yard calls it.
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

    /// The lightest lot that the yard takes.
    pub fn minimum(&self) -> Option<Mass> {
        self.minimum
    }

    /// Whether the yard takes money for this grade instead of paying.
    pub fn is_charge(&self) -> bool {
        self.price.amount().is_sign_negative()
    }

    /// Whether it goes by the piece.
    pub fn is_by_piece(&self) -> bool {
        self.price.basis() == Basis::Piece
    }

    /// The highest tier that a lot of `mass` reaches; a lot exactly at the threshold reaches it.
    pub fn tier_for(&self, mass: Mass) -> Option<Tier> {
        self.tiers.iter().rev().find(|tier| tier.from <= mass).copied()
    }

    /// The tiers that pay less than the price just below them.
    pub fn falling_tiers(&self) -> impl Iterator<Item = Tier> {
        let below = std::iter::once(self.price).chain(self.tiers.iter().map(|tier| tier.price));
        self.tiers.iter().zip(below).filter(|(tier, below)| tier.price.amount() < below.amount()).map(|(tier, _)| *tier)
    }
}

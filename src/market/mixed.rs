//! Mixed lots: several grades in one container that nobody will sort.

use rust_decimal::Decimal;

use crate::quantity::{Basis, Mass, Price};

/// What one grade contributes to a mixed lot.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct MixedPart {
    /// The canonical grade.
    pub grade: String,
    /// Its weight as far as known; zero if it was not weighed separately.
    pub mass: Mass,
    /// Number of pieces.
    pub pieces: u32,
    /// What the yard would pay for it if sorted out; `None` if the yard has no price for it.
    pub price: Option<Price>,
}

/// A lot of several grades in one container.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct MixedLot {
    contents: Vec<MixedPart>,
    mass: Mass,
}

impl MixedLot {
    /// A lot from its contents and total weight.
    pub fn new(contents: Vec<MixedPart>, mass: Mass) -> MixedLot {
        MixedLot { contents, mass }
    }

    /// What is in it.
    pub fn contents(&self) -> &[MixedPart] {
        &self.contents
    }

    /// What it weighs in all.
    pub fn mass(&self) -> Mass {
        self.mass
    }

    /// The grade with the lowest price per weight. One without a price ranks below any with one. `None` for an empty
    /// lot.
    pub fn lowest_grade(&self) -> Option<&str> {
        self.contents.iter().min_by_key(|part| (part.per_gram(), &part.grade)).map(|part| part.grade.as_str())
    }

    /// The grade with most of the weight. `None` for an empty lot.
    pub fn heaviest_grade(&self) -> Option<&str> {
        let heaviest = self.contents.iter().max_by_key(|part| {
            let weight = self.weight_of(&part.grade);
            (weight, std::cmp::Reverse(&part.grade))
        });
        heaviest.map(|part| part.grade.as_str())
    }

    /// The grade's share of the weight, from 0 to 1; 0 if it is not in the lot or nothing was weighed.
    pub fn share(&self, grade: &str) -> Decimal {
        let all: Decimal = self.contents.iter().map(|part| part.mass.grams()).sum();
        self.weight_of(grade).checked_div(all).unwrap_or_default()
    }

    fn weight_of(&self, grade: &str) -> Decimal {
        self.contents.iter().filter(|part| part.grade == grade).map(|part| part.mass.grams()).sum()
    }
}

impl MixedPart {
    /// Its price per gram, for comparison only. `None`, which sorts first, if it has no price, or one per piece and no
    /// weight to spread it over.
    fn per_gram(&self) -> Option<Decimal> {
        let price = self.price?;
        match price.basis() {
            Basis::Weight(unit) => price.amount().checked_div(unit.grams()),
            Basis::Piece => price.amount().checked_mul(Decimal::from(self.pieces))?.checked_div(self.mass.grams()),
        }
    }
}

/// How a yard accepts a mixed lot.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum MixVerdict {
    /// All of it as this grade.
    AsGrade(String),
    /// All of it as this grade, with this percentage taken off the price, from 0 to 100.
    AsGradeLess(String, Decimal),
    /// Not at all, and why.
    Refused(String),
}

/// A yard's rule for mixed lots.
pub trait MixedRule {
    /// Judges one lot.
    ///
    /// # Errors
    /// A message if the rule itself fails; the lot is then unsold and the message shown.
    fn judge(&self, lot: &MixedLot) -> Result<MixVerdict, String>;
}

/// The default if a yard states no rule: the lot goes at the price of its lowest-priced grade, and is unsold if any
/// grade has no price. A cautious choice of our own.
#[derive(Debug, Clone, Copy, Default)]
pub struct LowestGrade;

impl MixedRule for LowestGrade {
    fn judge(&self, lot: &MixedLot) -> Result<MixVerdict, String> {
        Ok(match lot.lowest_grade() {
            Some(grade) => MixVerdict::AsGrade(grade.to_owned()),
            None => MixVerdict::Refused("the lot is empty".into()),
        })
    }
}

/// The price with `percent` taken off, carried to 28 digits.
///
/// # Errors
/// A message if the percentage is not within 0 and 100 or the result exceeds its limit.
pub(super) fn less(price: Price, percent: Decimal) -> Result<Price, String> {
    if percent < Decimal::ZERO || percent > Decimal::ONE_HUNDRED {
        return Err(format!("it takes off {percent} %, which does not lie within 0 and 100"));
    }
    let amount = price.amount().checked_mul(Decimal::ONE_HUNDRED - percent).map(|p| p / Decimal::ONE_HUNDRED);
    let amount = amount.ok_or_else(|| format!("{price} less {percent} % cannot be computed"))?;
    Price::new(amount, price.currency(), price.basis()).map_err(|e| e.to_string())
}

//! Why two tallies have different nets: other prices, other grades, or other weights.
//!
//! Haul A was valued by book P, haul B by book Q. A third tally, haul B by the old book P, comes between them, and the
//! difference of the nets splits into three parts:
//!
//! * **price** = net(B, Q) − net(B, P): the same haul on other terms. It covers everything the yard decides: prices,
//!   tiers, minimum lots, what it refuses, visit fees, scale division and cash rounding.
//! * **yield** = (m(B) − m(A)) · v(A) ÷ m(A): more or less sold, at the previous average value per weight; m is the
//!   weight on the lines of a tally by book P, v(A) the value of A's lines. Rounded once to the minor unit. If nothing
//!   was sold by weight before, there is no average, and everything the work changed counts as yield.
//! * **mix** = net(B, P) − net(A, P) − yield: the same weight sold under other grades or by the piece, minus the cost
//!   of getting there. It is defined as the remainder, so it also takes the fraction of a minor unit by which yield was
//!   rounded.
//!
//! All three are exact decimals, and by construction **price + mix + yield = net(B, Q) − net(A, P)** to the last digit.
//! The split follows the usual one of sales into price, mix and volume; the order (volume and mix at old prices, price
//! at new amounts) is a convention, and another order would assign the joint part elsewhere.

use rust_decimal::Decimal;

use super::tally::Tally;
use crate::quantity::{Mass, Money, QuantityError};

/// The parts of a difference between two nets; see the module.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Effects {
    /// The yard's terms.
    pub price: Money,
    /// What was sold as what, and what that cost.
    pub mix: Money,
    /// How much was sold.
    pub yielded: Money,
}

/// The figures of a tally that the split needs.
#[derive(Debug, Clone, Copy)]
struct Sold {
    net: Money,
    /// The value of the lines.
    value: Money,
    /// The weight on the lines, as weighed.
    mass: Mass,
}

impl Effects {
    /// Splits the difference from `before` (old haul, old book) to `after` (new haul, new book); `reworked` is the new
    /// haul by the old book. `None` if the two books are in different currencies: nothing here converts money.
    ///
    /// # Errors
    /// A sum exceeds its limit.
    pub fn between(before: &Tally, reworked: &Tally, after: &Tally) -> Result<Option<Effects>, QuantityError> {
        if before.currency() != after.currency() || before.currency() != reworked.currency() {
            return Ok(None);
        }
        split(Sold::of(before)?, Sold::of(reworked)?, after.net).map(Some)
    }

    /// The sum of two differences.
    ///
    /// # Errors
    /// A sum exceeds its limit, or the currencies differ.
    pub fn plus(self, other: Effects) -> Result<Effects, QuantityError> {
        Ok(Effects {
            price: self.price.plus(other.price)?,
            mix: self.mix.plus(other.mix)?,
            yielded: self.yielded.plus(other.yielded)?,
        })
    }

    /// The whole difference.
    ///
    /// # Errors
    /// The sum exceeds its limit.
    pub fn total(self) -> Result<Money, QuantityError> {
        self.price.plus(self.mix)?.plus(self.yielded)
    }
}

impl Sold {
    fn of(tally: &Tally) -> Result<Sold, QuantityError> {
        let zero = Money::zero(tally.currency());
        Ok(Sold {
            net: tally.net,
            value: tally.lines.iter().try_fold(zero, |sum, line| sum.plus(line.amount))?,
            mass: Mass::sum(tally.lines.iter().filter_map(|line| line.mass))?,
        })
    }
}

fn split(before: Sold, reworked: Sold, after: Money) -> Result<Effects, QuantityError> {
    let work = reworked.net.minus(before.net)?;
    let more = reworked.mass.minus(before.mass)?.grams();
    let average = |value: Decimal| more.checked_mul(value)?.checked_div(before.mass.grams());
    let yielded = match average(before.value.amount()) {
        Some(amount) => Money::new(amount, work.currency())?.rounded(),
        None => work,
    };
    Ok(Effects { price: after.minus(reworked.net)?, mix: work.minus(yielded)?, yielded })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::quantity::Currency;
    use proptest::prelude::*;

    fn cad(cents: i64) -> Money {
        Money::new(Decimal::new(cents, 2), Currency::from_code("CAD").unwrap()).unwrap()
    }

    fn sold(net: i64, value: i64, grams: i64) -> Sold {
        Sold { net: cad(net), value: cad(value), mass: Mass::from_grams(grams.into()).unwrap() }
    }

    #[test]
    fn a_split_by_hand() {
        // Before: 10 kg bring 20.00, fee 1.00. Then 12 kg bring 30.00 by the old list, and net 33.00 by the new one.
        let effects = split(sold(1900, 2000, 10_000), sold(2900, 3000, 12_000), cad(3300)).unwrap();
        assert_eq!(effects.yielded, cad(400)); // 2 kg more at 2.00 each
        assert_eq!(effects.mix, cad(600)); // the other 6.00 of the 10.00 that the work brought
        assert_eq!(effects.price, cad(400));
        assert_eq!(effects.total().unwrap(), cad(1400));
    }

    #[test]
    fn another_yard_alone_is_all_price() {
        let same = sold(1900, 2000, 10_000);
        let effects = split(same, same, cad(2500)).unwrap();
        assert_eq!((effects.price, effects.mix, effects.yielded), (cad(600), cad(0), cad(0)));
    }

    #[test]
    fn where_nothing_was_sold_before_all_work_is_yield() {
        let effects = split(sold(0, 0, 0), sold(700, 700, 3_000), cad(800)).unwrap();
        assert_eq!((effects.price, effects.mix, effects.yielded), (cad(100), cad(0), cad(700)));
    }

    proptest! {
        #[test]
        fn the_three_always_add_up_exactly(
            a in -90_000_i64..90_000, va in -90_000_i64..90_000, ma in 0_i64..5_000_000,
            b in -90_000_i64..90_000, vb in -90_000_i64..90_000, mb in 0_i64..5_000_000,
            after in -90_000_i64..90_000,
        ) {
            let effects = split(sold(a, va, ma), sold(b, vb, mb), cad(after)).unwrap();
            prop_assert_eq!(effects.total().unwrap(), cad(after - a));
            prop_assert_eq!(effects.yielded, effects.yielded.rounded());
        }
    }
}

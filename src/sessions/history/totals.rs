//! Sums over replayed sessions: by recipe and by month.

use std::collections::BTreeMap;

use rust_decimal::Decimal;

use super::replay::{Replayed, Valued};
use crate::market::Effects;
use crate::quantity::{Money, QuantityError};
use crate::world::AppError;

/// The sum of one column over sessions, in one currency.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Total {
    /// Number of sessions in it.
    pub sessions: usize,
    /// What they net.
    pub net: Money,
    /// Their working time in minutes.
    pub minutes: Decimal,
    /// Their original net, for those in the same currency.
    pub was: Money,
    /// The difference, for those in the same currency.
    pub effects: Effects,
    /// Number of sessions in `was` and `effects`.
    pub comparable: usize,
}

/// Totals by key (a recipe, a month), yard and currency code.
pub type Sums = BTreeMap<(String, String, &'static str), Total>;

/// Totals over replayed sessions.
#[derive(Debug, Clone, Default)]
pub struct ReplayTotals {
    /// By the recipe's id.
    pub by_recipe: Sums,
    /// By month, `2026-11`; sessions without a readable day are under `no date`.
    pub by_month: Sums,
    /// All together, under the key `all`.
    pub all: Sums,
}

impl ReplayTotals {
    /// Adds a session, unless it is still open.
    ///
    /// # Errors
    /// A sum exceeds its limit.
    pub fn add(&mut self, session: &Replayed) -> Result<(), AppError> {
        if !session.ended {
            return Ok(());
        }
        let month =
            session.day.map_or_else(|| "no date".to_owned(), |day| format!("{:04}-{:02}", day.year(), day.month()));
        for valued in &session.now {
            for (sums, key) in [
                (&mut self.by_recipe, session.recipe.as_str()),
                (&mut self.by_month, month.as_str()),
                (&mut self.all, "all"),
            ] {
                let key = (key.to_owned(), valued.yard.clone(), valued.net.currency().code());
                let total = sums.entry(key).or_insert_with(|| Total::nothing(valued));
                total.add(session, valued).map_err(|error| AppError::Refused(format!("the totals: {error}")))?;
            }
        }
        Ok(())
    }
}

impl Total {
    fn nothing(valued: &Valued) -> Total {
        let zero = Money::zero(valued.net.currency());
        let effects = Effects { price: zero, mix: zero, yielded: zero };
        Total { sessions: 0, net: zero, minutes: Decimal::ZERO, was: zero, effects, comparable: 0 }
    }

    fn add(&mut self, session: &Replayed, valued: &Valued) -> Result<(), QuantityError> {
        self.sessions += 1;
        self.net = self.net.plus(valued.net)?;
        // At most a thousand hours per session: no number of sessions that fits on a disk overflows a decimal.
        self.minutes += session.minutes.get();
        if let Some(effects) = valued.effects {
            self.effects = self.effects.plus(effects)?;
            self.was = self.was.plus(session.was.net)?;
            self.comparable += 1;
        }
        Ok(())
    }
}

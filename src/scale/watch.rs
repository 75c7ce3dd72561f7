//! Waits until a reading can be taken.
//!
//! A weight counts once the scale reports being stable, twice in a row with the same weight; if it reports neither
//! state, once the weight has stayed the same for a while. An empty scale is waited for; overload and negative weights
//! are refused if they persist.

use std::time::Duration;

use super::{ScaleAmount, Sight, State};

/// How often in a row a scale must report being stable, or a fault.
const SAID: u32 = 2;
/// How often in a row a scale that reports neither must show the same weight, and for how long.
const SHOWN: u32 = 4;
const SHOWN_FOR: Duration = Duration::from_millis(1000);
/// How long a fault is tolerated: a part just being put down may overload a scale.
const WRONG_FOR: Duration = Duration::from_millis(700);
/// How long to wait for a scale that is silent, and for one that does not settle.
const SILENT: Duration = Duration::from_secs(5);
const RESTLESS: Duration = Duration::from_secs(40);

/// Why there is no reading.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum ScaleRefusal {
    /// Overloaded.
    Overload,
    /// It shows a negative weight.
    BelowZero(Option<ScaleAmount>),
    /// It reports a fault, or did not understand.
    Fault,
    /// It did not settle.
    Restless,
    /// Nothing was put on it.
    Empty,
    /// It sent nothing intelligible.
    Silent,
}

/// What to do about the current sight.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum ScaleVerdict {
    /// Wait on.
    Wait,
    /// Take this weight.
    Take(ScaleAmount),
    /// Give up.
    Refuse(ScaleRefusal),
}

/// What has been seen so far.
#[derive(Debug, Clone, Default)]
pub struct ScaleWatch {
    last: Option<Sight>,
    /// How often in a row, and since when.
    times: u32,
    since: Duration,
    heard: Duration,
}

impl ScaleWatch {
    /// Takes a sight at a moment, counted from the beginning of the watch.
    pub fn see(&mut self, sight: Sight, now: Duration) -> ScaleVerdict {
        self.heard = now;
        if self.last == Some(sight) {
            self.times += 1;
        } else {
            (self.last, self.times, self.since) = (Some(sight), 1, now);
        }
        let stays = self.times >= SAID && now.saturating_sub(self.since) >= WRONG_FOR;
        let rests = match sight.state {
            State::Stable => self.times >= SAID,
            State::Unsaid => self.times >= SHOWN && now.saturating_sub(self.since) >= SHOWN_FOR,
            State::Over if stays => return ScaleVerdict::Refuse(ScaleRefusal::Overload),
            State::Under if stays => return ScaleVerdict::Refuse(ScaleRefusal::BelowZero(sight.amount)),
            State::Fault if stays => return ScaleVerdict::Refuse(ScaleRefusal::Fault),
            _ => false,
        };
        match sight.amount.filter(|_| rests) {
            Some(amount) if amount.value.is_zero() => self.at(now),
            Some(amount) if amount.value.is_sign_negative() && stays => {
                ScaleVerdict::Refuse(ScaleRefusal::BelowZero(Some(amount)))
            }
            Some(amount) if amount.value.is_sign_positive() => ScaleVerdict::Take(amount),
            _ => self.at(now),
        }
    }

    /// What to do if nothing has arrived by a moment.
    #[must_use]
    pub fn at(&self, now: Duration) -> ScaleVerdict {
        match self.last {
            _ if now.saturating_sub(self.heard) >= SILENT => ScaleVerdict::Refuse(ScaleRefusal::Silent),
            Some(sight) if now >= RESTLESS => {
                let empty = sight.amount.is_some_and(|amount| amount.value.is_zero());
                ScaleVerdict::Refuse(if empty { ScaleRefusal::Empty } else { ScaleRefusal::Restless })
            }
            _ => ScaleVerdict::Wait,
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::quantity::MassUnit;

    fn sight(state: State, value: &str) -> Sight {
        Sight { state, amount: Some(ScaleAmount { value: value.parse().unwrap(), unit: MassUnit::Kilogram }) }
    }

    /// Feeds these sights a quarter of a second apart; returns the last verdict and how many were seen until then.
    fn run(sights: &[Sight]) -> (ScaleVerdict, usize) {
        let mut watch = ScaleWatch::default();
        for (place, sight) in sights.iter().enumerate() {
            let verdict = watch.see(*sight, Duration::from_millis(250 * place as u64));
            if verdict != ScaleVerdict::Wait {
                return (verdict, place + 1);
            }
        }
        (ScaleVerdict::Wait, sights.len())
    }

    fn taken(verdict: ScaleVerdict) -> Option<String> {
        match verdict {
            ScaleVerdict::Take(amount) => Some(amount.value.to_string()),
            _ => None,
        }
    }

    #[test]
    fn a_stable_weight_is_taken_once_it_is_said_twice() {
        let moving = [sight(State::Moving, "1.2"), sight(State::Stable, "3.5"), sight(State::Moving, "3.6")];
        let stable = [sight(State::Stable, "3.600"); 2];
        let (verdict, seen) = run(&[moving.as_slice(), &stable].concat());
        assert_eq!((taken(verdict).as_deref(), seen), (Some("3.600"), 5));
    }

    #[test]
    fn a_scale_without_a_flag_must_stay_the_same_for_a_second() {
        let (verdict, seen) = run(&[sight(State::Unsaid, "3.6"); 10]);
        assert_eq!((taken(verdict).as_deref(), seen), (Some("3.6"), 5));
        let wavering: Vec<Sight> =
            (0..40).map(|n| sight(State::Unsaid, if n % 3 == 0 { "3.6" } else { "3.7" })).collect();
        assert_eq!(run(&wavering).0, ScaleVerdict::Wait);
    }

    #[test]
    fn overload_and_less_than_nothing_are_refused() {
        let over = [Sight::bare(State::Over); 6];
        assert_eq!(run(&over), (ScaleVerdict::Refuse(ScaleRefusal::Overload), 4));
        let brief = [over[0], over[0], sight(State::Stable, "3.6"), sight(State::Stable, "3.6")];
        assert_eq!(taken(run(&brief).0).as_deref(), Some("3.6"), "a part put down hard overloads for a moment");
        let negative = sight(State::Stable, "-1.100");
        let refused = ScaleVerdict::Refuse(ScaleRefusal::BelowZero(negative.amount));
        assert_eq!(run(&[negative; 6]).0, refused);
        assert_eq!(run(&[Sight::bare(State::Under); 6]).0, ScaleVerdict::Refuse(ScaleRefusal::BelowZero(None)));
        assert_eq!(run(&[Sight::bare(State::Fault); 6]).0, ScaleVerdict::Refuse(ScaleRefusal::Fault));
    }

    #[test]
    fn an_empty_scale_is_waited_for_and_a_silent_one_is_not() {
        let zero = sight(State::Stable, "0.000");
        assert_eq!(run(&[zero; 100]).0, ScaleVerdict::Wait);
        assert_eq!(run(&[zero; 200]).0, ScaleVerdict::Refuse(ScaleRefusal::Empty));
        assert_eq!(run(&[sight(State::Moving, "3.6"); 200]).0, ScaleVerdict::Refuse(ScaleRefusal::Restless));
        assert_eq!(ScaleWatch::default().at(Duration::from_secs(6)), ScaleVerdict::Refuse(ScaleRefusal::Silent));
        assert_eq!(ScaleWatch::default().at(Duration::from_secs(4)), ScaleVerdict::Wait);
        let mut gone_quiet = ScaleWatch::default();
        assert_eq!(gone_quiet.see(sight(State::Moving, "3.6"), Duration::from_secs(4)), ScaleVerdict::Wait);
        assert_eq!(gone_quiet.at(Duration::from_secs(8)), ScaleVerdict::Wait);
        assert_eq!(gone_quiet.at(Duration::from_secs(9)), ScaleVerdict::Refuse(ScaleRefusal::Silent));
    }
}

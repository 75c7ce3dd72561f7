//! The plain gap between intake and parts.

use super::super::describe::compensated_sum;
use super::super::uncertain::Uncertain;

/// How many standard deviations of gap the scale may still explain. Three exclude one honest balance in 370 if errors
/// are normal (two-sided 0.27 %), while real slips are far larger.
pub const Z_LIMIT: f64 = 3.0;

/// The share of the intake that a gap must be able to reveal for "it closes" to mean anything: 5 %. An estimate.
pub const MATTERS_SHARE: f64 = 0.05;

/// What the weights alone say about a balance.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum GapVerdict {
    /// The parts make up the intake within the scale's uncertainty.
    Closes,
    /// They do not, and the scale cannot explain it.
    DoesNotClose,
    /// The weights cannot tell: parts are still to be weighed, or the scale is too coarse for this unit.
    CannotSay,
}

/// Intake minus parts, and its verdict.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Gap {
    /// Intake − Σ parts: positive if something is missing, negative if there is too much.
    pub gap: f64,
    /// Its standard deviation, √Σ sd².
    pub sd: f64,
    /// gap/sd.
    pub z: f64,
    /// What it means.
    pub verdict: GapVerdict,
}

/// The gap once everything has been weighed.
///
/// It does not close if |z| exceeds `Z_LIMIT`. Otherwise it closes, provided a gap of `MATTERS_SHARE` of the intake
/// would have shown. If not, or if nothing was weighed, the weights cannot say.
#[must_use]
pub fn gap(intake: &Uncertain, parts: &[Uncertain]) -> Gap {
    let plain = plain(intake, parts);
    let visible = Z_LIMIT * plain.sd <= MATTERS_SHARE * intake.value().abs();
    let verdict = if plain.z.abs() > Z_LIMIT {
        GapVerdict::DoesNotClose
    } else if visible && !parts.is_empty() {
        GapVerdict::Closes
    } else {
        GapVerdict::CannotSay
    };
    Gap { verdict, ..plain }
}

/// The gap while parts are still to be weighed: only an excess can be seen then, never a shortage.
#[must_use]
pub fn gap_so_far(intake: &Uncertain, parts: &[Uncertain]) -> Gap {
    let plain = plain(intake, parts);
    let verdict = if plain.z < -Z_LIMIT { GapVerdict::DoesNotClose } else { GapVerdict::CannotSay };
    Gap { verdict, ..plain }
}

fn plain(intake: &Uncertain, parts: &[Uncertain]) -> Gap {
    let sum = compensated_sum(parts.iter().map(Uncertain::value));
    let variance = intake.variance() + compensated_sum(parts.iter().map(Uncertain::variance));
    let (gap, sd) = (intake.value() - sum, variance.sqrt());
    Gap { gap, sd, z: gap / sd, verdict: GapVerdict::CannotSay }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn grams(value: f64, sd: f64) -> Uncertain {
        Uncertain::new(value, sd).unwrap()
    }

    #[test]
    fn a_kitchen_scale_and_a_hanging_scale() {
        // Divisions of 1 g and 20 g: sd 0.29 g and 5.8 g.
        let intake = Uncertain::reading(12_840.0, 20.0).unwrap();
        let parts = [3_712.0, 702.0, 8_421.0].map(|m| Uncertain::reading(m, 1.0).unwrap());
        let g = gap(&intake, &parts);
        assert_eq!((g.gap, g.verdict), (5.0, GapVerdict::Closes));
        assert!((g.sd - (400.0_f64 / 12.0 + 3.0 / 12.0).sqrt()).abs() < 1e-12);
    }

    #[test]
    fn a_missing_part_shows() {
        let g = gap(&grams(5000.0, 5.0), &[grams(2000.0, 1.0), grams(2500.0, 1.0)]);
        assert_eq!(g.verdict, GapVerdict::DoesNotClose);
    }

    #[test]
    fn a_coarse_scale_cannot_say() {
        let g = gap(&grams(900.0, 30.0), &[grams(880.0, 1.0)]);
        assert_eq!(g.verdict, GapVerdict::CannotSay);
        assert_eq!(gap(&grams(900.0, 1.0), &[]).verdict, GapVerdict::DoesNotClose);
    }

    #[test]
    fn on_the_way_only_too_much_can_be_seen() {
        let intake = grams(5000.0, 5.0);
        assert_eq!(gap_so_far(&intake, &[grams(900.0, 1.0)]).verdict, GapVerdict::CannotSay);
        assert_eq!(gap_so_far(&intake, &[grams(5900.0, 1.0)]).verdict, GapVerdict::DoesNotClose);
    }
}

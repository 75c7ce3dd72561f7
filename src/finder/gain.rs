//! Which test is most informative next: expected information gain, in bits.

use super::belief::{SeenSigns, normalise};
use super::density::Measured;
use super::table::Finder;

/// A test not made yet, and its expected information.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Next {
    /// The test, by index.
    pub test: usize,
    /// The expected reduction of uncertainty, in bits.
    pub gain: f64,
    /// The same per minute.
    pub per_minute: f64,
}

/// A test is not offered while something it would make dangerous is at least this likely.
const RULED_OUT: f64 = 0.01;
/// The expected relative uncertainty of a density measurement with kitchen scale and measuring jug. An estimate.
const EXPECTED_SD: f64 = 0.02;

impl Finder {
    /// Remaining tests, the most informative per minute first. A test that would make dust of something dangerous is
    /// left out until that is ruled out.
    #[must_use]
    pub fn next(&self, seen: &[SeenSigns], made: &[usize]) -> Vec<Next> {
        let belief = self.belief(seen);
        let may = |test: usize| {
            let endangered = &self.tests[test].not_while;
            let odds =
                self.candidates.iter().zip(&belief).filter(|(candidate, _)| endangered.contains(&candidate.grade));
            odds.map(|(_, probability)| probability).sum::<f64>() < RULED_OUT
        };
        let left = (0..self.tests.len()).filter(|test| !made.contains(test) && may(*test));
        let mut next: Vec<Next> = left
            .map(|test| {
                let gain = self.gain(&belief, test);
                Next { test, gain, per_minute: gain / self.tests[test].minutes.max(0.05) }
            })
            .collect();
        next.sort_by(|a, b| b.per_minute.total_cmp(&a.per_minute).then(a.test.cmp(&b.test)));
        next
    }

    fn gain(&self, belief: &[f64], test: usize) -> f64 {
        let before = entropy(belief);
        let after = if self.tests[test].answers.is_empty() {
            self.after_density(belief)
        } else {
            let answers = 0..self.tests[test].answers.len();
            answers.map(|answer| expected(belief, |candidate| self.likely[test][candidate][answer])).sum()
        };
        (before - after).max(0.0)
    }

    /// The expected uncertainty after a density: over all possible densities, in steps of the measurement uncertainty.
    fn after_density(&self, belief: &[f64]) -> f64 {
        let (mut density, mut sum, mut weight) = (0.6_f64, 0.0, 0.0);
        while density < 22.0 {
            let measured = Measured { density, sd: EXPECTED_SD * density };
            let step = measured.sd;
            let likely = |candidate: usize| measured.likely(self.candidates[candidate].density) * step;
            sum += expected(belief, likely);
            weight += belief.iter().enumerate().map(|(candidate, share)| share * likely(candidate)).sum::<f64>();
            density += step;
        }
        if weight > 0.0 { sum / weight } else { entropy(belief) }
    }
}

/// The uncertainty after an outcome, times the outcome's probability.
fn expected(belief: &[f64], likely: impl Fn(usize) -> f64) -> f64 {
    let mut joint: Vec<f64> = belief.iter().enumerate().map(|(candidate, share)| share * likely(candidate)).collect();
    let outcome: f64 = joint.iter().sum();
    normalise(&mut joint);
    outcome * entropy(&joint)
}

/// Shannon's entropy in bits.
fn entropy(shares: &[f64]) -> f64 {
    shares.iter().filter(|share| **share > 0.0).map(|share| -share * share.log2()).sum()
}

#[cfg(test)]
mod tests {
    use super::*;

    const TABLE: &str = r#"
        [[test]]
        id = "colour"
        question = "What colour?"
        answers = ["red", "silver"]
        minutes = 1.0

        [[test]]
        id = "spark"
        question = "Sparks?"
        answers = ["many", "none"]
        minutes = 4.0
        not_while = ["magnesium"]

        [[test]]
        id = "density"
        question = "Density?"
        minutes = 5.0

        [[candidate]]
        grade = "copper-1"
        what = "copper"
        often = 3
        density = [8.9, 8.96]
        seen.colour = { red = 0.9 }
        source = "an example"
        status = "invented"

        [[candidate]]
        grade = "magnesium"
        what = "magnesium"
        often = 1
        density = [1.74, 1.81]
        seen.colour = { silver = 0.9 }
        source = "an example"
        status = "invented"
    "#;

    /// Worked by hand. Prior 3 : 1. Red: 0.75 · 0.9 = 0.675 and 0.25 · 0.1 = 0.025, together 0.7: copper 0.9642857. The
    /// doubt before is 0.811278 bits; after red (0.7) 0.222285, after silver (0.3: 0.075 and 0.225, copper 0.25)
    /// 0.811278; expected 0.7 · 0.222285 + 0.3 · 0.811278 = 0.398983; gain 0.412295 bits.
    #[test]
    fn the_example_worked_by_hand() {
        let finder = Finder::parse(TABLE).unwrap();
        let red = [SeenSigns::Answer(0, 0)];
        assert!((finder.belief(&red)[0] - 0.964_285_7).abs() < 1e-6);
        assert_eq!(finder.ranked(&red)[0].grade, "copper-1");
        let doubt = entropy(&finder.belief(&[]));
        assert!((doubt - 0.811_278).abs() < 1e-5, "{doubt}");
        let next = finder.next(&[], &[]);
        let colour = next.iter().find(|next| next.test == 0).unwrap();
        assert!((colour.gain - 0.412_295).abs() < 1e-4, "{colour:?}");
        assert!((colour.per_minute - colour.gain).abs() < 1e-12);
    }

    #[test]
    fn nothing_seen_leaves_the_prior_and_cannot_tell_is_nothing_seen() {
        let finder = Finder::parse(TABLE).unwrap();
        assert_eq!(finder.belief(&[]), [0.75, 0.25]);
    }

    #[test]
    fn a_test_that_endangers_is_offered_only_once_the_danger_is_ruled_out() {
        let finder = Finder::parse(TABLE).unwrap();
        let offered = |seen: &[SeenSigns]| finder.next(seen, &[]).iter().any(|next| next.test == 1);
        assert!(!offered(&[]));
        assert!(!offered(&[SeenSigns::Answer(0, 0)]), "3.6 % is not ruled out");
        let heavy = SeenSigns::Density(Measured { density: 8.93, sd: 0.05 });
        assert!(offered(&[SeenSigns::Answer(0, 0), heavy]));
        assert!(!offered(&[SeenSigns::Density(Measured { density: 1.8, sd: 0.05 })]));
    }

    #[test]
    fn order_does_not_matter_and_each_test_is_made_once() {
        let finder = Finder::parse(TABLE).unwrap();
        let (red, heavy) = (SeenSigns::Answer(0, 0), SeenSigns::Density(Measured { density: 8.8, sd: 0.1 }));
        let (one, other) = (finder.belief(&[red, heavy]), finder.belief(&[heavy, red]));
        one.iter().zip(&other).for_each(|(a, b)| assert!((a - b).abs() < 1e-12));
        assert!(finder.next(&[red], &[0]).iter().all(|next| next.test != 0));
        assert!(finder.next(&[], &[]).iter().all(|next| next.gain >= 0.0));
    }

    #[test]
    fn a_table_that_contradicts_itself_is_refused() {
        for (from, to, wanted) in [
            ("{ red = 0.9 }", "{ green = 0.9 }", "no answer `green`"),
            ("{ red = 0.9 }", "{ red = 0.9, silver = 0.2 }", "add up to 1.1"),
            ("seen.colour = { red", "seen.color = { red", "no test `color`"),
            ("often = 3", "often = 0", "`often` is 0"),
            ("[8.9, 8.96]", "[9.9, 8.96]", "goes from 9.9"),
        ] {
            let said = Finder::parse(&TABLE.replacen(from, to, 1)).unwrap_err().to_string();
            assert!(said.contains(wanted), "{said}");
        }
    }
}

//! Sound weighings, drawn at random.

use knockdown::stats::Uncertain;
use knockdown::stats::slips::{TypedWeight, Unit, WeighedPart, WeighingState, Weighings};
use knockdown::stats::three_point::ThreePoint;

/// SplitMix64 (Steele, Lea & Flood 2014; from memory): enough for sampling, and needs no dependency.
pub struct Dice(pub u64);

impl Dice {
    fn next(&mut self) -> u64 {
        self.0 = self.0.wrapping_add(0x9e37_79b9_7f4a_7c15);
        let mut z = self.0;
        z = (z ^ (z >> 30)).wrapping_mul(0xbf58_476d_1ce4_e5b9);
        z = (z ^ (z >> 27)).wrapping_mul(0x94d0_49bb_1331_11eb);
        z ^ (z >> 31)
    }

    /// Between 0 and 1, neither included.
    pub fn unit(&mut self) -> f64 {
        ((self.next() >> 12) as f64 + 0.5) / (1_u64 << 52) as f64
    }

    pub fn between(&mut self, low: f64, high: f64) -> f64 {
        low + (high - low) * self.unit()
    }

    /// Even by factors.
    pub fn by_factors(&mut self, low: f64, high: f64) -> f64 {
        self.between(low.ln(), high.ln()).exp()
    }

    pub fn below(&mut self, n: usize) -> usize {
        (self.unit() * n as f64) as usize
    }

    pub fn pick<T: Copy>(&mut self, from: &[T]) -> T {
        from[self.below(from.len())]
    }

    pub fn normal(&mut self) -> f64 {
        (-2.0 * self.unit().ln()).sqrt() * (2.0 * std::f64::consts::PI * self.unit()).cos()
    }

    /// From PERT, by rejection under the density's peak at the mode.
    pub fn pert(&mut self, low: f64, usual: f64, high: f64) -> f64 {
        let width = high - low;
        let at = (usual - low) / width;
        let density = |x: f64| x.powf(4.0 * at) * (1.0 - x).powf(4.0 * (1.0 - at));
        loop {
            let x = self.unit();
            if self.unit() * density(at) < density(x) {
                return low + width * x;
            }
        }
    }
}

#[derive(Clone, Copy, PartialEq)]
/// Where weighings come from; see the head of this test.
pub enum World {
    Spreads,
    Ranges,
    PoorRanges,
}

/// Containers that the bench knows, in grams.
pub const TARES: [f64; 4] = [62.0, 145.0, 260.0, 385.0];

/// A weighing before any slip.
pub struct Sound {
    pub weighings: Weighings,
    /// Standard deviation of its gap, in grams.
    pub gap_sd: f64,
}

pub fn sound(world: World, dice: &mut Dice) -> Sound {
    match world {
        World::Spreads => spreads(dice),
        World::Ranges => ranges(0.0, dice),
        World::PoorRanges => ranges(0.1, dice),
    }
}

fn spreads(dice: &mut Dice) -> Sound {
    let (mut total, mut variance) = (0.0, 0.0);
    let mut parts = Vec::new();
    for _ in 0..3 + dice.below(4) {
        let mean = (dice.by_factors(100.0, 3000.0) / 5.0).round() * 5.0;
        let sd = mean * dice.pick(&[0.03, 0.05, 0.1, 0.2, 0.3]);
        let truth = (mean + sd * dice.normal()).max(mean * 0.1);
        let reading_sd = dice.pick(&[1.0, 2.0, 5.0]);
        let shown = (truth + reading_sd * dice.normal()).round();
        total += truth;
        variance += reading_sd * reading_sd;
        parts.push(WeighedPart {
            weighing: WeighingState::Entered(TypedWeight::new(u(shown, reading_sd))),
            expected: Some(u(mean, sd)),
        });
    }
    let sd = dice.pick(&[5.0, 10.0, 20.0]);
    let intake = TypedWeight::new(u((total + sd * dice.normal()).round(), sd));
    finished(intake, parts, variance + sd * sd)
}

fn ranges(misfits: f64, dice: &mut Dice) -> Sound {
    let unit = dice.pick(&[Unit::Kilogram, Unit::Pound]);
    let (mut total, mut variance) = (0.0, 0.0);
    let mut parts = Vec::new();
    for _ in 0..3 + dice.below(6) {
        let usual = dice.by_factors(50.0, 5000.0);
        let low = usual * dice.between(0.6, 0.95);
        let high = usual * dice.between(1.05, 1.6);
        let range = ThreePoint::new(low, usual, high).expect("in order");
        let misfit = dice.unit() < misfits;
        let truth = if misfit { usual * dice.by_factors(0.5, 2.0) } else { dice.pert(low, usual, high) };
        let entry = shown(truth, if unit == Unit::Kilogram { 1.0 } else { unit.grams() * 0.002 }, unit);
        total += truth;
        variance += entry.reading().variance();
        parts.push(WeighedPart {
            weighing: WeighingState::Entered(entry),
            expected: Some(range.expected(0.3).expect("an expectation")),
        });
    }
    let division = dice.pick(&[5.0, 10.0, 20.0]);
    let intake = shown(total, if unit == Unit::Kilogram { division } else { unit.grams() * division / 500.0 }, unit);
    let variance = variance + intake.reading().variance();
    finished(intake, parts, variance)
}

fn finished(intake: TypedWeight, parts: Vec<WeighedPart>, variance: f64) -> Sound {
    Sound { weighings: Weighings { intake, parts, tares: TARES.to_vec() }, gap_sd: variance.sqrt() }
}

fn u(value: f64, sd: f64) -> Uncertain {
    Uncertain::new(value, sd).expect("a sound value")
}

/// A mass as a scale with this division shows it, typed with three decimals.
fn shown(truth: f64, division: f64, unit: Unit) -> TypedWeight {
    let value = (truth / division).round().max(1.0) * division;
    TypedWeight::new(Uncertain::reading(value, division).expect("a reading")).typed(unit, 3)
}

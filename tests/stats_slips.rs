//! How well slips are named, measured on sampled weighings with and without a planted slip.
//!
//! # How the sampling is done
//! Everything is drawn from a seeded generator, so that each run measures the same cases. Nothing is left out afterwards: a
//! planted slip counts even if it changes the weight by less than the scale can tell; only one that changes nothing at all
//! (two equal digits swapped, say) is drawn again. *Visible* counts those that change the weight by more than three
//! standard deviations of the gap. A slip is *rightly named* if there is an alarm, and the likeliest candidate is both at the
//! right entry and of the right kind.
//!
//! The worlds are ours, and the odds in the room were set with them in view; that is fitting, not prediction. Real benches
//! will differ, above all in how good the recipes' ranges are. Hence the third world, in which one part in ten does not
//! fit its range.
//!
//! * *spreads*: 3–6 parts, means 100–3000 g, sd 3, 5, 10, 20 or 30 % of the mean, normal; part readings with sd 1, 2 or
//!   5 g, intake with 5, 10 or 20 g; only masses known. This is the form of the sample balances.
//! * *ranges*: 3–8 parts, usual masses 50–5000 g, low 60–95 % and high 105–160 % of it, PERT; a 1 g scale for parts, 5, 10
//!   or 20 g divisions for the intake; typed in kilograms or in pounds.
//! * *poor ranges*: the same, but one part in ten lies anywhere from half to twice its usual mass.

use knockdown::stats::Uncertain;
use knockdown::stats::slips::{
    Diagnosis, Entry, Part, Place, Slip, Unit, Weighing, Weighings, diagnose, diagnose_entry,
};
use knockdown::stats::three_point::ThreePoint;

/// SplitMix64 (Steele, Lea & Flood 2014; from memory): enough for sampling, and needs no dependency.
struct Dice(u64);

impl Dice {
    fn next(&mut self) -> u64 {
        self.0 = self.0.wrapping_add(0x9e37_79b9_7f4a_7c15);
        let mut z = self.0;
        z = (z ^ (z >> 30)).wrapping_mul(0xbf58_476d_1ce4_e5b9);
        z = (z ^ (z >> 27)).wrapping_mul(0x94d0_49bb_1331_11eb);
        z ^ (z >> 31)
    }

    /// Between 0 and 1, neither included.
    fn unit(&mut self) -> f64 {
        ((self.next() >> 12) as f64 + 0.5) / (1_u64 << 52) as f64
    }

    fn between(&mut self, low: f64, high: f64) -> f64 {
        low + (high - low) * self.unit()
    }

    /// Even by factors.
    fn by_factors(&mut self, low: f64, high: f64) -> f64 {
        self.between(low.ln(), high.ln()).exp()
    }

    fn below(&mut self, n: usize) -> usize {
        (self.unit() * n as f64) as usize
    }

    fn pick<T: Copy>(&mut self, from: &[T]) -> T {
        from[self.below(from.len())]
    }

    fn normal(&mut self) -> f64 {
        (-2.0 * self.unit().ln()).sqrt() * (2.0 * std::f64::consts::PI * self.unit()).cos()
    }

    /// From PERT, by rejection under the density's peak at the mode.
    fn pert(&mut self, range: &ThreePoint) -> f64 {
        let width = range.high() - range.low();
        let at = (range.usual() - range.low()) / width;
        let density = |x: f64| x.powf(4.0 * at) * (1.0 - x).powf(4.0 * (1.0 - at));
        loop {
            let x = self.unit();
            if self.unit() * density(at) < density(x) {
                return range.low() + width * x;
            }
        }
    }
}

#[derive(Clone, Copy, PartialEq)]
enum World {
    Spreads,
    Ranges,
    PoorRanges,
}

/// Containers that the bench knows, in grams.
const TARES: [f64; 4] = [62.0, 145.0, 260.0, 385.0];

/// A weighing before any slip.
struct Sound {
    weighings: Weighings,
    gap_sd: f64,
}

fn sound(world: World, dice: &mut Dice) -> Sound {
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
        parts.push(Part {
            weighing: Weighing::Entered(Entry::new(u(shown, reading_sd))),
            expected: Some(u(mean, sd)),
        });
    }
    let sd = dice.pick(&[5.0, 10.0, 20.0]);
    let intake = Entry::new(u((total + sd * dice.normal()).round(), sd));
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
        let truth = if misfit {
            usual * dice.by_factors(0.5, 2.0)
        } else {
            dice.pert(&range)
        };
        let entry = shown(
            truth,
            if unit == Unit::Kilogram {
                1.0
            } else {
                unit.grams() * 0.002
            },
            unit,
        );
        total += truth;
        variance += entry.reading().variance();
        parts.push(Part {
            weighing: Weighing::Entered(entry),
            expected: Some(range.expected(0.3).expect("an expectation")),
        });
    }
    let division = dice.pick(&[5.0, 10.0, 20.0]);
    let intake = shown(
        total,
        if unit == Unit::Kilogram {
            division
        } else {
            unit.grams() * division / 500.0
        },
        unit,
    );
    let variance = variance + intake.reading().variance();
    finished(intake, parts, variance)
}

fn finished(intake: Entry, parts: Vec<Part>, variance: f64) -> Sound {
    Sound {
        weighings: Weighings {
            intake,
            parts,
            tares: TARES.to_vec(),
        },
        gap_sd: variance.sqrt(),
    }
}

fn u(value: f64, sd: f64) -> Uncertain {
    Uncertain::new(value, sd).expect("a sound value")
}

/// A mass as a scale with this division shows it, typed with three decimals.
fn shown(truth: f64, division: f64, unit: Unit) -> Entry {
    let value = (truth / division).round().max(1.0) * division;
    Entry::new(Uncertain::reading(value, division).expect("a reading")).typed(unit, 3)
}

/// What kind of slip to plant; the order is that of the report.
const KINDS: [&str; 7] = [
    "unit", "decimal", "digits", "tare", "twice", "repeat", "left out",
];

struct Planted {
    weighings: Weighings,
    place: Place,
    slip: Slip,
    /// By how many grams the entry is now wrong.
    change: f64,
}

/// Plants a slip of a kind, or `None` if the draw changes nothing.
fn plant(sound: &Sound, kind: &str, dice: &mut Dice) -> Option<Planted> {
    let mut weighings = sound.weighings.clone();
    let index = dice.below(weighings.parts.len());
    let typing = matches!(kind, "unit" | "decimal" | "digits");
    let at_intake = typing && dice.below(weighings.parts.len() + 1) == 0;
    let Weighing::Entered(part) = weighings.parts[index].weighing else {
        return None;
    };
    let entry = if at_intake { weighings.intake } else { part };
    let place = if at_intake {
        Place::Intake
    } else {
        Place::Part(index)
    };
    let (slip, wrong) = match kind {
        "unit" => wrong_unit(&entry, dice),
        "decimal" => wrong_decimal(&entry, dice),
        "digits" => swapped_digits(&entry, dice)?,
        "tare" => {
            let tare = dice.pick(&TARES);
            (Slip::TareLeftOn { tare }, entry.reading().value() + tare)
        }
        "twice" => (Slip::EnteredTwice, entry.reading().value() * 2.0),
        "repeat" => {
            let part = dice.below(weighings.parts.len());
            let Weighing::Entered(other) = weighings.parts[part].weighing else {
                return None;
            };
            (Slip::RepeatOf { part }, other.reading().value())
        }
        _ => return Some(left_out(weighings, index, dice)),
    };
    let change = wrong - entry.reading().value();
    let wrong = Entry::new(u(wrong, entry.reading().sd()));
    // All digits of the number are typed, whichever side of the point they fall on.
    let decimals = match slip {
        Slip::DecimalPlace { places } => (3 - places) as u32,
        _ => 3,
    };
    let wrong = entry
        .unit()
        .map_or(wrong, |unit| wrong.typed(unit, decimals));
    if at_intake {
        weighings.intake = wrong;
    } else {
        weighings.parts[index].weighing = Weighing::Entered(wrong);
    }
    (change.abs() > 1e-6).then_some(Planted {
        weighings,
        place,
        slip,
        change,
    })
}

/// Half the time a part of the recipe is passed over, half the time something is not even on the list.
fn left_out(mut weighings: Weighings, index: usize, dice: &mut Dice) -> Planted {
    let Weighing::Entered(entry) = weighings.parts[index].weighing else {
        unreachable!("all parts are entered before a slip is planted")
    };
    let listed = dice.below(2) == 0;
    if listed {
        weighings.parts[index].weighing = Weighing::Skipped;
    } else {
        weighings.parts.remove(index);
    }
    Planted {
        weighings,
        place: if listed {
            Place::Part(index)
        } else {
            Place::Unlisted
        },
        slip: Slip::LeftOut,
        change: -entry.reading().value(),
    }
}

fn wrong_unit(entry: &Entry, dice: &mut Dice) -> (Slip, f64) {
    use Unit::{Gram, Kilogram, Ounce, Pound};
    let pairs = [
        (Pound, Kilogram),
        (Kilogram, Pound),
        (Ounce, Pound),
        (Pound, Ounce),
        (Gram, Kilogram),
        (Kilogram, Gram),
    ];
    let usable: Vec<(Unit, Unit)> = pairs
        .into_iter()
        .filter(|p| entry.unit().is_none_or(|unit| unit == p.1))
        .collect();
    let (meant, typed) = dice.pick(&usable);
    let wrong = entry.reading().value() * typed.grams() / meant.grams();
    (Slip::WrongUnit { meant, typed }, wrong)
}

fn wrong_decimal(entry: &Entry, dice: &mut Dice) -> (Slip, f64) {
    let places = dice.pick(&[1, 1, 1, -1, -1, -1, 2, -2]);
    let wrong = entry.reading().value() * 10_f64.powi(places);
    (Slip::DecimalPlace { places }, wrong)
}

/// Five times in six two neighbours.
fn swapped_digits(entry: &Entry, dice: &mut Dice) -> Option<(Slip, f64)> {
    let step = entry.unit().map_or(1.0, |unit| unit.grams() / 1000.0);
    let width = if entry.unit().is_some() { 4 } else { 1 };
    let count = (entry.reading().value() / step).round();
    let mut digits: Vec<char> = format!("{count:0width$}").chars().collect();
    if digits.len() < 2 {
        return None;
    }
    let i = dice.below(digits.len() - 1);
    let j = if dice.below(6) > 0 {
        i + 1
    } else {
        i + 1 + dice.below(digits.len() - 1 - i)
    };
    digits.swap(i, j);
    if width == 1 && digits[0] == '0' {
        return None;
    }
    let wrong: f64 = digits.iter().collect::<String>().parse().ok()?;
    (wrong > 0.0).then_some((Slip::DigitsSwapped, wrong * step))
}

#[derive(Default, Clone, Copy)]
struct Count {
    planted: u32,
    alarmed: u32,
    place: u32,
    named: u32,
    visible: u32,
    visible_named: u32,
}

impl Count {
    fn add(&mut self, planted: &Planted, found: &Diagnosis, visible: bool) {
        let first = found.likeliest();
        let place = first.is_some_and(|c| c.place == planted.place);
        if std::env::var("WHY").is_ok() && !(place && first.is_some_and(|c| c.slip == planted.slip))
        {
            println!(
                "   {} {:?} {:.1}: {:?}",
                planted.place,
                planted.slip,
                planted.change,
                first.map(|c| (c.to_string(), c.probability))
            );
        }
        let named = place && first.is_some_and(|c| c.slip == planted.slip);
        self.planted += 1;
        self.alarmed += u32::from(first.is_some());
        self.place += u32::from(place);
        self.named += u32::from(named);
        self.visible += u32::from(visible);
        self.visible_named += u32::from(visible && named);
    }

    fn plus(self, o: Self) -> Self {
        Self {
            planted: self.planted + o.planted,
            alarmed: self.alarmed + o.alarmed,
            place: self.place + o.place,
            named: self.named + o.named,
            visible: self.visible + o.visible,
            visible_named: self.visible_named + o.visible_named,
        }
    }
}

fn percent(part: u32, whole: u32) -> f64 {
    100.0 * f64::from(part) / f64::from(whole.max(1))
}

fn row(what: &str, c: &Count) {
    println!(
        "  {what:9} planted {:5}  alarm {:5.1} %  right entry {:5.1} %  rightly named {:5.1} %  of visible {:5.1} % ({})",
        c.planted,
        percent(c.alarmed, c.planted),
        percent(c.place, c.planted),
        percent(c.named, c.planted),
        percent(c.visible_named, c.visible),
        c.visible,
    );
}

/// Measures one world: all kinds alike, `each` of a kind, and as many sound weighings as slips.
fn measure(world: World, name: &str, seed: u64, each: u32) -> (Count, f64) {
    let mut dice = Dice(seed);
    println!("{name}:");
    let mut all = Count::default();
    for kind in KINDS {
        let mut count = Count::default();
        while count.planted < each {
            let sound = sound(world, &mut dice);
            if let Some(planted) = plant(&sound, kind, &mut dice) {
                let visible = planted.change.abs() > 3.0 * sound.gap_sd;
                count.add(&planted, &diagnose(&planted.weighings), visible);
            }
        }
        row(kind, &count);
        all = all.plus(count);
    }
    row("all", &all);
    let clean = each * KINDS.len() as u32;
    let alarms = (0..clean)
        .filter(|_| diagnose(&sound(world, &mut dice).weighings).is_alarm())
        .count();
    let false_alarms = percent(alarms as u32, clean);
    println!("  false alarms {false_alarms:.2} % of {clean} sound weighings");
    (all, false_alarms)
}

fn check(world: World, name: &str, seed: u64) {
    let (all, false_alarms) = measure(world, name, seed, 500);
    assert!(
        percent(all.visible_named, all.visible) >= 90.0,
        "{name}: too few rightly named"
    );
    assert!(false_alarms <= 10.0, "{name}: too many false alarms");
}

#[test]
fn slips_are_named_where_parts_spread_normally() {
    check(World::Spreads, "spreads", 1);
}

#[test]
fn slips_are_named_where_recipes_give_ranges() {
    check(World::Ranges, "ranges", 2);
}

#[test]
fn slips_are_named_where_some_ranges_are_poor() {
    check(World::PoorRanges, "poor ranges", 3);
}

//! Slips, planted at random.

use knockdown::stats::Uncertain;
use knockdown::stats::slips::{Place, Slip, TypedWeight, Unit, WeighingState, Weighings};

use super::worlds::{Dice, Sound, TARES};

/// What kind of slip to plant; the order is that of the report.
pub const KINDS: [&str; 7] = ["unit", "decimal", "digits", "tare", "twice", "repeat", "left out"];

/// A weighing with a slip in it.
pub struct Planted {
    pub weighings: Weighings,
    pub place: Place,
    pub slip: Slip,
    /// By how many grams the entry is now wrong.
    pub change: f64,
}

/// Plants a slip of a kind, or `None` if the draw changes nothing.
pub fn plant(sound: &Sound, kind: &str, dice: &mut Dice) -> Option<Planted> {
    let mut weighings = sound.weighings.clone();
    let index = dice.below(weighings.parts.len());
    let typing = matches!(kind, "unit" | "decimal" | "digits");
    let at_intake = typing && dice.below(weighings.parts.len() + 1) == 0;
    let WeighingState::Entered(part) = weighings.parts[index].weighing else {
        return None;
    };
    let entry = if at_intake { weighings.intake } else { part };
    let place = if at_intake { Place::Intake } else { Place::Part(index) };
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
            let WeighingState::Entered(other) = weighings.parts[part].weighing else {
                return None;
            };
            (Slip::RepeatOf { part }, other.reading().value())
        }
        _ => return Some(left_out(weighings, index, dice)),
    };
    let change = wrong - entry.reading().value();
    let wrong = TypedWeight::new(Uncertain::new(wrong, entry.reading().sd()).expect("a mass"));
    // All digits of the number are typed, whichever side of the point they fall on.
    let decimals = match slip {
        Slip::DecimalPlace { places } => (3 - places) as u32,
        _ => 3,
    };
    let wrong = entry.unit().map_or(wrong, |unit| wrong.typed(unit, decimals));
    if at_intake {
        weighings.intake = wrong;
    } else {
        weighings.parts[index].weighing = WeighingState::Entered(wrong);
    }
    (change.abs() > 1e-6).then_some(Planted { weighings, place, slip, change })
}

/// Half the time a part of the recipe is passed over, half the time something is not even on the list.
fn left_out(mut weighings: Weighings, index: usize, dice: &mut Dice) -> Planted {
    let WeighingState::Entered(entry) = weighings.parts[index].weighing else {
        unreachable!("all parts are entered before a slip is planted")
    };
    let listed = dice.below(2) == 0;
    if listed {
        weighings.parts[index].weighing = WeighingState::Skipped;
    } else {
        weighings.parts.remove(index);
    }
    Planted {
        weighings,
        place: if listed { Place::Part(index) } else { Place::Unlisted },
        slip: Slip::LeftOut,
        change: -entry.reading().value(),
    }
}

fn wrong_unit(entry: &TypedWeight, dice: &mut Dice) -> (Slip, f64) {
    use Unit::{Gram, Kilogram, Ounce, Pound};
    let pairs =
        [(Pound, Kilogram), (Kilogram, Pound), (Ounce, Pound), (Pound, Ounce), (Gram, Kilogram), (Kilogram, Gram)];
    let usable: Vec<(Unit, Unit)> = pairs.into_iter().filter(|p| entry.unit().is_none_or(|unit| unit == p.1)).collect();
    let (meant, typed) = dice.pick(&usable);
    let wrong = entry.reading().value() * typed.grams() / meant.grams();
    (Slip::WrongUnit { meant, typed }, wrong)
}

fn wrong_decimal(entry: &TypedWeight, dice: &mut Dice) -> (Slip, f64) {
    let places = dice.pick(&[1, 1, 1, -1, -1, -1, 2, -2]);
    let wrong = entry.reading().value() * 10_f64.powi(places);
    (Slip::DecimalPlace { places }, wrong)
}

/// Five times in six two neighbours.
fn swapped_digits(entry: &TypedWeight, dice: &mut Dice) -> Option<(Slip, f64)> {
    let step = entry.unit().map_or(1.0, |unit| unit.grams() / 1000.0);
    let width = if entry.unit().is_some() { 4 } else { 1 };
    let count = (entry.reading().value() / step).round();
    let mut digits: Vec<char> = format!("{count:0width$}").chars().collect();
    if digits.len() < 2 {
        return None;
    }
    let i = dice.below(digits.len() - 1);
    let j = if dice.below(6) > 0 { i + 1 } else { i + 1 + dice.below(digits.len() - 1 - i) };
    digits.swap(i, j);
    if width == 1 && digits[0] == '0' {
        return None;
    }
    let wrong: f64 = digits.iter().collect::<String>().parse().ok()?;
    (wrong > 0.0).then_some((Slip::DigitsSwapped, wrong * step))
}

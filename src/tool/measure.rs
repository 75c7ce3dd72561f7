//! Units of measure other than weight: lengths, volumes, electrical units, time. Each is a power of ten or an exact
//! multiple of its base, so that numbers convert without rounding wherever a decimal can hold them.

use rust_decimal::Decimal;

use crate::quantity::Notation;

/// A unit of measure.
#[derive(Debug, PartialEq, Eq)]
pub struct Measure {
    /// Its symbol.
    pub symbol: &'static str,
    /// Other spellings, in lower case.
    spellings: &'static [&'static str],
    /// What it measures: units of one kind convert.
    kind: &'static str,
    /// Its size in base units: mantissa and scale.
    size: (i64, u32),
}

const fn unit(
    symbol: &'static str,
    spellings: &'static [&'static str],
    kind: &'static str,
    mantissa: i64,
    scale: u32,
) -> Measure {
    Measure { symbol, spellings, kind, size: (mantissa, scale) }
}

/// Inch and foot: the international yard of 0.9144 m (NIST Handbook 44, appendix C; from memory). A mil is a thousandth
/// of an inch.
#[rustfmt::skip]
static MEASURES: &[Measure] = &[
    unit("mm", &["millimetre", "millimetres", "millimeter", "millimeters"], "length", 1, 3),
    unit("cm", &["centimetre", "centimetres", "centimeter", "centimeters"], "length", 1, 2),
    unit("m", &["metre", "metres", "meter", "meters"], "length", 1, 0),
    unit("km", &["kilometre", "kilometres", "kilometer", "kilometers"], "length", 1000, 0),
    unit("mil", &["mils", "thou"], "length", 254, 7),
    unit("in", &["inch", "inches", "\""], "length", 254, 4),
    unit("ft", &["foot", "feet", "'"], "length", 3048, 4),
    unit("yd", &["yard", "yards"], "length", 9144, 4),
    unit("mm2", &["mm²", "sq mm"], "area", 1, 0),
    unit("ml", &["millilitre", "millilitres", "milliliter", "cc", "cm³", "cm3"], "volume", 1, 0),
    unit("cl", &["centilitre", "centilitres"], "volume", 10, 0),
    unit("l", &["litre", "litres", "liter", "liters"], "volume", 1000, 0),
    unit("pF", &["picofarad"], "capacitance", 1, 12),
    unit("nF", &["nanofarad"], "capacitance", 1, 9),
    unit("uF", &["µf", "μf", "mfd", "microfarad", "microfarads"], "capacitance", 1, 6),
    unit("mF", &["millifarad"], "capacitance", 1, 3),
    unit("F", &["farad", "farads"], "capacitance", 1, 0),
    unit("mV", &["millivolt", "millivolts"], "voltage", 1, 3),
    unit("V", &["volt", "volts"], "voltage", 1, 0),
    unit("kV", &["kilovolt", "kilovolts"], "voltage", 1000, 0),
    unit("ohm", &["ohms", "ω", "Ω"], "resistance", 1, 0),
    unit("kohm", &["kilohm", "kilohms", "kω", "kΩ", "k"], "resistance", 1000, 0),
    unit("Mohm", &["megohm", "megohms", "mω", "MΩ"], "resistance", 1_000_000, 0),
    unit("s", &["sec", "second", "seconds"], "time", 1, 0),
    unit("min", &["minute", "minutes"], "time", 60, 0),
    unit("h", &["hr", "hour", "hours"], "time", 3600, 0),
    unit("A", &["amp", "amps", "ampere", "amperes"], "current", 1, 0),
    unit("W", &["watt", "watts"], "power", 1, 0),
    unit("J", &["joule", "joules"], "energy", 1, 0),
    unit("%", &["percent", "per cent"], "share", 1, 0),
];

/// The unit with this name. Case counts if it distinguishes two units: `mF` is not `MF`, and `m` is not `M`.
#[must_use]
pub fn measure(name: &str) -> Option<&'static Measure> {
    let name = name.trim();
    let lower = name.to_lowercase();
    let exact = MEASURES.iter().find(|unit| unit.symbol == name || unit.spellings.contains(&name));
    let by_spelling = || MEASURES.iter().find(|unit| unit.spellings.contains(&lower.as_str()));
    // `KV` and `V` in any case are clear; `MF` and `mf` are not, and are rejected.
    let mut loose = MEASURES.iter().filter(|unit| unit.symbol.to_lowercase() == lower);
    let by_case = || loose.next().filter(|_| loose.next().is_none() && lower != "mf");
    exact.or_else(by_spelling).or_else(by_case)
}

impl Measure {
    /// Whether the two units convert.
    #[must_use]
    pub fn converts_to(&self, other: &Measure) -> bool {
        self.kind == other.kind
    }

    /// The number in `other`; `None` if they do not convert or the result is not representable.
    #[must_use]
    pub fn convert(&self, amount: Decimal, other: &Measure) -> Option<Decimal> {
        if self == other {
            return Some(amount);
        }
        let size = |unit: &Measure| Decimal::new(unit.size.0, unit.size.1);
        // The division comes last, so that 90 s are exactly 1.5 min.
        let in_base = amount.checked_mul(size(self)).filter(|_| self.converts_to(other))?;
        in_base.checked_div(size(other)).map(|amount| amount.normalize())
    }
}

/// Reads a number with an optional unit: `0.65`, `650 nF`, `12 ft 6 in`. Returns the number in `unit`, and one step of
/// the last digit typed.
///
/// # Errors
/// A message naming what is not a number, not a unit, or a unit of something else.
pub(super) fn read(text: &str, unit: &str, notation: Notation) -> Result<(Decimal, Decimal), String> {
    let parts = parts(text);
    if parts.is_empty() {
        return Err(format!("a number is missing; write for example 12 {unit}").trim_end().to_owned());
    }
    let mut total = Decimal::ZERO;
    let mut resolution = Decimal::ZERO;
    for (number, name) in &parts {
        let (value, step) = number_of(number, notation)?;
        let (value, step) = match (name.as_str(), measure(unit)) {
            ("", _) if parts.len() > 1 => return Err(format!("`{number}` has no unit")),
            ("", _) => (value, step),
            (name, _) if name == unit => (value, step),
            (name, Some(wanted)) => in_unit((value, step), name, wanted)?,
            (name, None) if unit.is_empty() => {
                return Err(format!("`{name}` does not belong here; write a plain number"));
            }
            (name, None) => return Err(format!("`{name}` is not {unit}; leave it out or write {unit}")),
        };
        total = total.checked_add(value).ok_or("that is more than can be kept")?;
        resolution = step;
    }
    Ok((total.normalize(), resolution.normalize()))
}

fn in_unit((value, step): (Decimal, Decimal), name: &str, wanted: &Measure) -> Result<(Decimal, Decimal), String> {
    let symbol = wanted.symbol;
    let known = || MEASURES.iter().filter(|unit| unit.kind == wanted.kind).map(|unit| unit.symbol);
    let known = || known().collect::<Vec<_>>().join(", ");
    let typed = measure(name).filter(|typed| typed.converts_to(wanted));
    let typed = typed.ok_or_else(|| format!("`{name}` is no unit of {}; write one of {}", wanted.kind, known()))?;
    match (typed.convert(value, wanted), typed.convert(step, wanted)) {
        (Some(value), Some(step)) => Ok((value, step)),
        _ => Err(format!("that is more {symbol} than can be kept")),
    }
}

/// A number with one step of its last typed digit.
fn number_of(text: &str, notation: Notation) -> Result<(Decimal, Decimal), String> {
    let value = notation.read_signed(text).map_err(|error| error.to_string())?;
    let behind = text.rfind(['.', ',']).map_or("", |at| &text[at + 1..]);
    let as_fraction: Option<Decimal> = text.replace(',', ".").trim_start_matches(['+', '-', '−']).parse().ok();
    let is_fraction = as_fraction.is_some_and(|fraction| fraction == value.abs());
    let places = if is_fraction { u32::try_from(behind.len()).unwrap_or(0).min(28) } else { 0 };
    Ok((value, Decimal::new(1, places)))
}

/// Numbers with what follows each.
fn parts(text: &str) -> Vec<(String, String)> {
    let mut parts: Vec<(String, String)> = Vec::new();
    let mut in_number = false;
    for c in text.trim().chars() {
        let of_number =
            c.is_ascii_digit() || (matches!(c, '.' | ',') && in_number) || matches!(c, '+' | '-' | '−' | '.');
        let superscript = c.is_ascii_digit() && !in_number && parts.last().is_some_and(|(_, name)| takes_digit(name));
        if of_number && !superscript {
            if !in_number {
                parts.push((String::new(), String::new()));
            }
            in_number = true;
        } else if !c.is_whitespace() {
            in_number = false;
        }
        match parts.last_mut() {
            Some((number, _)) if in_number && !c.is_whitespace() => number.push(c),
            Some((number, _)) if in_number => {
                // A space ends a number.
                in_number = number.is_empty();
            }
            Some((_, name)) => name.push(c),
            None => parts.push((String::new(), c.to_string())),
        }
    }
    parts.iter_mut().for_each(|(_, name)| *name = name.trim().to_owned());
    parts
}

/// Whether a following digit is part of a unit's name: `mm2`, `cm3`.
fn takes_digit(name: &str) -> bool {
    matches!(name.trim_start(), "mm" | "cm")
}

#[cfg(test)]
mod tests {
    use super::*;

    fn reads(text: &str, unit: &str) -> Result<String, String> {
        read(text, unit, Notation::Point).map(|(value, step)| format!("{value} by {step}"))
    }

    #[test]
    fn numbers_with_and_without_a_unit() {
        for (text, unit, wanted) in [
            ("0.65", "uF", "0.65 by 0.01"),
            ("650 nF", "uF", "0.65 by 0.001"),
            ("650nF", "uF", "0.65 by 0.001"),
            ("2.10 kV", "V", "2100 by 10"),
            ("12 ft 6 in", "m", "3.81 by 0.0254"),
            ("1,5", "m", "1.5 by 0.1"),
            ("40", "", "40 by 1"),
            ("-5", "", "-5 by 1"),
            ("13.50 ml", "ml", "13.5 by 0.01"),
            ("13.5 cm3", "ml", "13.5 by 0.1"),
            ("2.5 mm2", "mm2", "2.5 by 0.1"),
            ("470 UF", "uF", "470 by 1"),
            ("90 s", "min", "1.5 by 0.0166666666666666666666666667"),
            ("92.5 %", "%", "92.5 by 0.1"),
        ] {
            assert_eq!(reads(text, unit).as_deref(), Ok(wanted), "{text}");
        }
    }

    #[test]
    fn what_is_refused_and_why() {
        for (text, unit, wanted) in [
            ("", "uF", "a number is missing; write for example 12 uF"),
            ("12 kg", "uF", "`kg` is no unit of capacitance; write one of pF, nF, uF, mF, F"),
            ("3 MF", "uF", "`MF` is no unit of capacitance; write one of pF, nF, uF, mF, F"),
            ("12 6", "m", "`12` has no unit"),
            ("4 V", "", "`V` does not belong here; write a plain number"),
            ("1,234", "m", "`1,234` can be read as 1234 or as 1.234; write the one you mean"),
        ] {
            assert_eq!(reads(text, unit), Err(wanted.to_owned()), "{text}");
        }
        for text in ["volts", "-", "..", "1.2.3.4 V", "\u{1b}[2J"] {
            assert!(reads(text, "V").is_err(), "{text:?}");
        }
    }

    #[test]
    fn no_spelling_means_two_units() {
        let mut seen = std::collections::BTreeSet::new();
        for unit in MEASURES {
            for name in std::iter::once(&unit.symbol).chain(unit.spellings) {
                assert!(seen.insert(*name), "{name}");
                assert_eq!(measure(name), Some(unit), "{name}");
            }
        }
    }
}

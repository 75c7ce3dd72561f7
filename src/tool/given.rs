//! An answer to a tool's question: parsed from what was typed, echoed as understood.

use rust_decimal::Decimal;

use super::input::{Input, InputKind};
use super::measure;
use crate::market::GradeTree;
use crate::naming::{nearest, one_line};
use crate::quantity::{Basis, Currency, Mass, MassUnit, Notation, Price, WeighingRules, weigh};

/// An answer as understood.
#[derive(Debug, Clone, PartialEq)]
pub enum Value {
    /// A weight.
    Weight(Mass),
    /// A number in the input's unit.
    Number(Decimal),
    /// An integer.
    Count(i64),
    /// An option, or a grade.
    Text(String),
    /// Yes or no.
    Yes(bool),
    /// A price.
    Price(Price),
    /// Left open, or not asked.
    Nothing,
}

/// An answer.
#[derive(Debug, Clone, PartialEq)]
pub struct GivenInput {
    /// The value as understood.
    pub value: Value,
    /// One step of the last digit typed: grams for a weight, else in the input's unit. `None` for the other kinds.
    pub step: Option<Decimal>,
}

/// The context for reading answers.
#[derive(Clone, Copy)]
pub struct Rules<'a> {
    /// The number format.
    pub notation: Notation,
    /// The unit of a weight without one.
    pub unit: MassUnit,
    /// The weight of a named container.
    pub tare: &'a dyn Fn(&str) -> Option<Mass>,
    /// The grades of the catalogue.
    pub grades: &'a GradeTree,
    /// The currency of prices.
    pub currency: Currency,
}

impl GivenInput {
    /// A question that was not asked, or left open.
    pub const NOTHING: GivenInput = GivenInput { value: Value::Nothing, step: None };

    fn plain(value: Value) -> GivenInput {
        GivenInput { value, step: None }
    }
}

impl Value {
    /// The answer in an unambiguous form: what JSON, examples and conditions use.
    #[must_use]
    pub fn exact(&self, input: &Input) -> String {
        match self {
            Value::Weight(mass) => mass.to_string(),
            Value::Number(number) => match &input.kind {
                Some(InputKind::Number { unit }) if !unit.is_empty() => format!("{} {unit}", number.normalize()),
                _ => number.normalize().to_string(),
            },
            Value::Count(count) => count.to_string(),
            Value::Text(text) => text.clone(),
            Value::Yes(yes) => if *yes { "yes" } else { "no" }.to_owned(),
            Value::Price(price) => price.to_string(),
            Value::Nothing => String::new(),
        }
    }

    /// The answer as echoed in that number format.
    #[must_use]
    pub fn show(&self, input: &Input, notation: Notation, unit: MassUnit) -> String {
        match self {
            Value::Weight(mass) => {
                let own = mass.show_friendly(unit, notation);
                let other = if is_metric(unit) { MassUnit::Pound } else { MassUnit::Kilogram };
                format!("{own} ({})", mass.show_friendly(other, notation))
            }
            Value::Number(number) => match &input.kind {
                Some(InputKind::Number { unit }) => {
                    format!("{} {unit}", notation.show(number.normalize())).trim_end().to_owned()
                }
                _ => notation.show(number.normalize()),
            },
            Value::Price(price) => super::figure::shown(*price, notation),
            Value::Nothing => "left open".to_owned(),
            other => other.exact(input),
        }
    }
}

fn is_metric(unit: MassUnit) -> bool {
    matches!(unit, MassUnit::Gram | MassUnit::Kilogram | MassUnit::Tonne)
}

/// Reads an answer.
///
/// # Errors
/// A message that says what is wrong with it and what to write.
pub fn value_of(input: &Input, text: &str, rules: &Rules<'_>) -> Result<GivenInput, String> {
    let text = text.trim();
    if text.is_empty() && input.optional {
        return Ok(GivenInput::NOTHING);
    }
    if text.is_empty() {
        return Err(format!("an answer is missing; it takes {}", input.takes()));
    }
    let given = match &input.kind {
        Some(InputKind::Weight) => weight(text, rules)?,
        Some(InputKind::Number { unit }) => {
            let (number, step) = measure::read(text, unit, rules.notation)?;
            GivenInput { value: Value::Number(number), step: Some(step) }
        }
        Some(InputKind::Count) => GivenInput { value: Value::Count(count(text)?), step: None },
        Some(InputKind::Choice { options }) => GivenInput::plain(Value::Text(option(text, options)?)),
        Some(InputKind::YesNo) => GivenInput::plain(Value::Yes(yes_no(text)?)),
        Some(InputKind::Grade) => GivenInput::plain(Value::Text(grade(text, rules.grades)?)),
        Some(InputKind::Price { unit }) => {
            let basis = Basis::Weight(unit.unwrap_or(rules.unit));
            let price = Price::read(text, rules.currency, basis, rules.notation).map_err(|error| error.to_string())?;
            GivenInput::plain(Value::Price(price))
        }
        None => return Err("this input does not say what it takes".to_owned()),
    };
    within(input, &given.value, rules)?;
    Ok(given)
}

fn weight(text: &str, rules: &Rules<'_>) -> Result<GivenInput, String> {
    let weighing = WeighingRules { notation: rules.notation, unit: rules.unit, tare: rules.tare };
    let weighed = weigh(text, &weighing).map_err(|error| error.to_string())?;
    Ok(GivenInput { value: Value::Weight(weighed.net), step: Some(weighed.resolution.grams()) })
}

fn count(text: &str) -> Result<i64, String> {
    let digits = text.bytes().all(|byte| byte.is_ascii_digit());
    let count = text.parse().ok().filter(|count| digits && (0..=1_000_000).contains(count));
    count.ok_or_else(|| format!("`{}` is no whole number from 0 to 1000000", one_line(text, 40)))
}

/// Whether options are themselves numbers, such as gauges: then none can be chosen by position.
pub fn are_numbers(options: &[String]) -> bool {
    options.iter().any(|option| option.bytes().all(|byte| byte.is_ascii_digit()))
}

/// The option meant: by its text, its number, its beginning, or a part that only it contains.
fn option(text: &str, options: &[String]) -> Result<String, String> {
    let lower = text.to_lowercase();
    let exact = options.iter().find(|option| option.to_lowercase() == lower);
    let place = || lower.parse::<usize>().ok().filter(|_| !are_numbers(options));
    let numbered = || place().and_then(|place| options.get(place.checked_sub(1)?));
    let mut begun = options.iter().filter(|option| option.to_lowercase().starts_with(&lower));
    let begun = || begun.next().filter(|_| begun.next().is_none());
    let mut holding = options.iter().filter(|option| option.to_lowercase().contains(&lower));
    let holding = || holding.next().filter(|_| holding.next().is_none());
    exact.or_else(numbered).or_else(begun).or_else(holding).cloned().ok_or_else(|| {
        let hint = nearest(&lower, options.iter().map(String::as_str));
        let hint =
            hint.map_or_else(|| format!("one of {}", options.join("; ")), |meant| format!("did you mean {meant}?"));
        format!("`{}` is none of the answers; {hint}", one_line(text, 40))
    })
}

fn yes_no(text: &str) -> Result<bool, String> {
    match text.to_lowercase().as_str() {
        "y" | "yes" | "true" => Ok(true),
        "n" | "no" | "false" => Ok(false),
        _ => Err(format!("`{}` is neither yes nor no", one_line(text, 40))),
    }
}

fn grade(text: &str, grades: &GradeTree) -> Result<String, String> {
    if let Some(grade) = grades.get(text) {
        return Ok(grade.id.clone());
    }
    match grades.search(text).as_slice() {
        [only] => Ok(only.id.clone()),
        [] => {
            let hint = grades.nearest(text);
            let hint = hint.map_or_else(|| "`show grades` lists them".into(), |near| format!("did you mean `{near}`?"));
            Err(format!("there is no grade `{}`; {hint}", one_line(text, 40)))
        }
        several => {
            let ids: Vec<&str> = several.iter().take(6).map(|grade| grade.id.as_str()).collect();
            Err(format!("`{}` can mean {}; write which one", one_line(text, 40), ids.join(", ")))
        }
    }
}

fn within(input: &Input, value: &Value, rules: &Rules<'_>) -> Result<(), String> {
    let Some((low, high)) = input.between else { return Ok(()) };
    let number = match value {
        Value::Weight(mass) => mass.grams(),
        Value::Number(number) => *number,
        Value::Count(count) => Decimal::from(*count),
        Value::Price(price) => price.amount(),
        _ => return Ok(()),
    };
    if (low..=high).contains(&number) {
        return Ok(());
    }
    let show = |bound: Decimal| match (value, Mass::from_grams(bound)) {
        (Value::Weight(_), Ok(mass)) => mass.show_friendly(rules.unit, rules.notation),
        _ => Value::Number(bound).show(input, rules.notation, rules.unit),
    };
    let seen = value.show(input, rules.notation, rules.unit);
    Err(format!("{seen} is outside {} to {}; check the unit and the decimal mark", show(low), show(high)))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::recipe::Mark;

    fn input(kind: InputKind) -> Input {
        Input { kind: Some(kind), ..Input::new("key", "What?", Mark::default()) }
    }

    fn reads(input: &Input, text: &str) -> Result<String, String> {
        let grades = GradeTree::parse(include_str!("../../scripts/catalogue/grades.toml")).unwrap();
        let rules = Rules {
            notation: Notation::Point,
            unit: MassUnit::Pound,
            tare: &|name| (name == "bucket").then(|| "1 lb".parse().unwrap()),
            grades: &grades,
            currency: Currency::from_code("CAD").unwrap(),
        };
        value_of(input, text, &rules).map(|given| given.value.exact(input))
    }

    #[test]
    fn each_kind_reads_what_people_write() {
        let choice = InputKind::Choice { options: vec!["copper".into(), "aluminium".into(), "cannot tell".into()] };
        let gauge = InputKind::Choice { options: ["1/0", "12", "14"].map(str::to_owned).to_vec() };
        for (kind, text, wanted) in [
            (gauge.clone(), "14", Ok("14")),
            (gauge.clone(), "3", Err("`3` is none of the answers; one of 1/0; 12; 14")),
            (gauge, "1/", Ok("1/0")),
            (InputKind::Weight, "8 lb 2 oz", Ok("3685.43800625 g")),
            (InputKind::Weight, "3 lb - bucket", Ok("907.18474 g")),
            (InputKind::Number { unit: "V".into() }, "2.1 kV", Ok("2100 V")),
            (InputKind::Count, "7", Ok("7")),
            (InputKind::Count, "-1", Err("`-1` is no whole number from 0 to 1000000")),
            (choice.clone(), "2", Ok("aluminium")),
            (choice.clone(), "COP", Ok("copper")),
            (choice.clone(), "c", Err("`c` is none of the answers; one of copper; aluminium; cannot tell")),
            (choice, "coper", Err("`coper` is none of the answers; did you mean copper?")),
            (InputKind::YesNo, "Y", Ok("yes")),
            (InputKind::YesNo, "maybe", Err("`maybe` is neither yes nor no")),
            (InputKind::Grade, "copper-2", Ok("copper-2")),
            (InputKind::Grade, "coper-2", Err("there is no grade `coper-2`; did you mean `copper-2`?")),
            (InputKind::Price { unit: None }, "3.40", Ok("3.40 CAD/lb")),
            (InputKind::Price { unit: Some(MassUnit::TroyOunce) }, "31", Ok("31.00 CAD/ozt")),
        ] {
            let input = input(kind);
            assert_eq!(reads(&input, text).as_deref().map_err(String::as_str), wanted, "{text}");
        }
    }

    #[test]
    fn what_is_out_of_range_is_refused_in_the_answers_own_unit() {
        let mut volts = input(InputKind::Number { unit: "V".into() });
        volts.between = Some((Decimal::ONE, Decimal::from(50_000)));
        assert_eq!(reads(&volts, "50 kV").as_deref(), Ok("50000 V"));
        let said = reads(&volts, "51 kV").unwrap_err();
        assert_eq!(said, "51000 V is outside 1 V to 50000 V; check the unit and the decimal mark");
        let mut lot = input(InputKind::Weight);
        lot.between = Some((Decimal::ONE, Decimal::from(1_000_000)));
        assert!(reads(&lot, "2 t").unwrap_err().contains("2204.623 lb"), "{:?}", reads(&lot, "2 t"));
    }

    #[test]
    fn an_answer_may_be_left_open_only_where_it_may() {
        let mut open = input(InputKind::Count);
        assert!(reads(&open, " ").unwrap_err().starts_with("an answer is missing; it takes a whole number"));
        open.optional = true;
        assert_eq!(reads(&open, " ").as_deref(), Ok(""));
    }
}

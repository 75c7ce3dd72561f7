//! Generates a bench tool from a few answers: it asks its inputs, returns the first, and has an example that passes.

use std::fmt::Write as _;

use super::scaffold::{one_line, quoted};
use crate::naming::well_formed_id;
use crate::quantity::{MassUnit, Notation};
use crate::recipe::Mark;
use crate::store::home::Shelf;
use crate::tool::{Example, Input, InputKind, Rules, Value, value_of};
use crate::world::{AppError, OfferedScript, World};

/// What is asked for a new tool.
#[derive(Debug, Clone, PartialEq)]
pub struct ToolSketch {
    /// Its id, which becomes its command.
    pub id: String,
    /// What it computes, in a line.
    pub title: String,
    /// Its inputs; [`Input::such_as`] of each shows a typical answer.
    pub inputs: Vec<Input>,
    /// The name of its result.
    pub result: String,
    /// Hazards whose cautions it shows.
    pub hazards: Vec<String>,
    /// Where its figures come from.
    pub figures_from: String,
    /// Who writes it; empty when not said.
    pub author: String,
}

impl ToolSketch {
    /// The script, with its example.
    ///
    /// # Errors
    /// An answer that a script cannot contain.
    pub fn script(&self, world: &World) -> Result<String, AppError> {
        let bare = self.declaration();
        let offered = OfferedScript {
            shelf: Shelf::Tools,
            id: self.id.clone(),
            text: bare.clone(),
            session: None,
            modules: Vec::new(),
        };
        let given = self.inputs.iter().map(|input| (input.key.clone(), input.such_as.clone())).collect();
        let example = Example { given, ..Example::default() };
        let sheet = world.for_test(Some(offered)).play_example(&self.id, &example)?;
        let sheet = sheet.map_err(|(key, why)| AppError::Answer(format!("`{key}`: {why}; nothing is written")))?;
        let key = self.result_key();
        let comes_to = sheet.figure(&key).map(|figure| figure.amount.exact()).unwrap_or_default();
        let given = self.inputs.iter().map(|input| pair(&input.key, &input.such_as)).collect::<Vec<_>>().join(", ");
        let caution = match self.hazards.as_slice() {
            [] => String::new(),
            hazards => format!(", {}", pair("caution", &hazards.join(", "))),
        };
        Ok(format!(
            "{bare}\n// A case worked by hand, which `test {}` runs. Keys are written with `_` for `-`. Add one for each turn of the work.\n\
             example(\"a first case\", #{{ {given} }}, #{{ {}{caution} }});\n",
            self.id,
            pair(&key, &comes_to)
        ))
    }

    /// Everything but the example.
    fn declaration(&self) -> String {
        let author = if self.author.is_empty() { String::new() } else { format!(".author({})", quoted(&self.author)) };
        let mut text = format!(
            "// {}\n\
             //\n\
             // `words` lists what can be written here. A figure that others rest on belongs to a source: say which in figures_from.\n\n\
             tool({}, {})\n    .figures_from({})\n    {author}.revision(1).needs_api(1);\n\n",
            one_line(&self.title),
            quoted(&self.id),
            quoted(&self.title),
            quoted(&self.figures_from),
        );
        for input in &self.inputs {
            // Writing to a string cannot fail; so below.
            let _ = writeln!(
                text,
                "input({}, {}){}.such_as({});",
                quoted(&input.key),
                quoted(&input.question),
                kind_words(input),
                quoted(&input.such_as)
            );
        }
        text.push_str("\nworks_out(|sheet| {\n    // An answer stands under its key, with `_` for `-`. Work out here what is to come of them.\n");
        if let Some(first) = self.inputs.first() {
            let value = format!("sheet.{}", first.key.replace('-', "_"));
            let value = match &first.kind {
                Some(InputKind::YesNo) => format!("if {value} {{ \"yes\" }} else {{ \"no\" }}"),
                Some(InputKind::Number { unit }) if !unit.is_empty() => format!("{value}, {}", quoted(unit)),
                _ => value,
            };
            let (key, label) = (quoted(&self.result_key()), quoted(&self.result));
            let _ = writeln!(text, "    sheet.gives({key}, {label}, {value});");
        }
        for hazard in &self.hazards {
            let _ = writeln!(text, "    sheet.caution({});", quoted(hazard));
        }
        text.push_str("});\n");
        text
    }

    /// The key of its result, made from its name.
    fn result_key(&self) -> String {
        let key = crate::naming::id_of_title(&self.result);
        let free =
            well_formed_id(&key).is_ok() && !matches!(key.as_str(), "verdict" | "remark" | "caution" | "refused");
        if free { key } else { "result".to_owned() }
    }
}

/// The words that say what an input takes.
fn kind_words(input: &Input) -> String {
    match &input.kind {
        Some(InputKind::Weight) => ".weight()".to_owned(),
        Some(InputKind::Number { unit }) if unit.is_empty() => ".number()".to_owned(),
        Some(InputKind::Number { unit }) => format!(".number({})", quoted(unit)),
        Some(InputKind::Count) => ".count()".to_owned(),
        Some(InputKind::Choice { options }) => {
            format!(".choice([{}])", options.iter().map(|option| quoted(option)).collect::<Vec<_>>().join(", "))
        }
        Some(InputKind::YesNo) => ".yes_no()".to_owned(),
        Some(InputKind::Grade) => ".grade()".to_owned(),
        Some(InputKind::Price { .. }) => ".price()".to_owned(),
        None => String::new(),
    }
}

/// `key: "value"` of a map, the key with `_` for `-`.
fn pair(key: &str, value: &str) -> String {
    format!("{}: {}", key.replace('-', "_"), quoted(value))
}

impl World {
    /// Whether an input's key can follow a dot in a script: a keyword cannot.
    #[must_use]
    pub fn is_key(&self, key: &str) -> bool {
        well_formed_id(key).is_ok() && self.host().is_name(&key.replace('-', "_"))
    }

    /// Reads a typical answer to an input and returns it in script form, with a decimal point and an explicit unit; as
    /// typed if that is unambiguous.
    ///
    /// # Errors
    /// What is wrong with it.
    pub fn typical(&self, input: &Input, text: &str, notation: Notation, unit: MassUnit) -> Result<String, String> {
        let (_, yard) = self.yard(&self.yard_id(None).map_err(|e| e.to_string())?).map_err(|e| e.to_string())?;
        let grades = self.host().catalogue().grades();
        let read = |text: &str, notation, unit| {
            let tare = |_: &str| None;
            value_of(input, text, &Rules { notation, unit, tare: &tare, grades, currency: yard.currency() })
        };
        let given = read(text, notation, unit)?;
        if let Value::Price(price) = &given.value {
            return Ok(price.amount().normalize().to_string());
        }
        if matches!(given.value, Value::Text(_) | Value::Yes(_)) {
            return Ok(given.value.exact(input));
        }
        // Unambiguous means the same whatever the reader's unit and notation.
        let is_clear = |text: &String| {
            let others = [MassUnit::Kilogram, MassUnit::Pound].map(|unit| read(text, Notation::Point, unit));
            !text.contains(',') && others.iter().all(|other| other.as_ref().is_ok_and(|it| it.value == given.value))
        };
        let pointed = text.trim().replace(',', ".");
        let with_unit = format!("{pointed} {}", unit.symbol());
        let clear = [text.trim().to_owned(), pointed, with_unit].into_iter().find(is_clear);
        Ok(clear.unwrap_or_else(|| given.value.exact(input)))
    }
}

/// An input of the kind that a script-language word names; `None` for an unknown word. The caller sets a number's unit
/// and a choice's options.
#[must_use]
pub fn input_of(key: &str, question: &str, kind: &str) -> Option<Input> {
    let kind = match kind {
        "weight" => InputKind::Weight,
        "number" => InputKind::Number { unit: String::new() },
        "count" => InputKind::Count,
        "choice" => InputKind::Choice { options: Vec::new() },
        "yes_no" | "yes no" | "yes/no" => InputKind::YesNo,
        "grade" => InputKind::Grade,
        "price" => InputKind::Price { unit: None },
        _ => return None,
    };
    Some(Input { kind: Some(kind), ..Input::new(key, question, Mark::default()) })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::store::Home;
    use crate::world::FixedClock;

    fn world() -> World {
        let clock = FixedClock("2026-11-02T10:00:00Z".parse().unwrap());
        World::without_settings(Home::at("/nowhere/at/all"), Box::new(clock))
    }

    fn sketch(inputs: Vec<Input>, hazards: &[&str]) -> ToolSketch {
        ToolSketch {
            id: "pail".into(),
            title: "What a \"pail\" holds\\".into(),
            inputs,
            result: "Net".into(),
            hazards: hazards.iter().map(|hazard| (*hazard).to_owned()).collect(),
            figures_from: "estimate".into(),
            author: "A. Writer".into(),
        }
    }

    fn input(kind: &str, typed: &str, unit: &str, options: &[&str]) -> Input {
        let mut input = input_of("lot-size", "What of it?", kind).unwrap();
        match &mut input.kind {
            Some(InputKind::Number { unit: of }) => unit.clone_into(of),
            Some(InputKind::Choice { options: of }) => {
                *of = options.iter().map(|option| (*option).to_owned()).collect()
            }
            _ => {}
        }
        let such_as = world().typical(&input, typed, Notation::Comma, MassUnit::Pound);
        Input { such_as: such_as.unwrap(), ..input }
    }

    /// Whatever is asked first, the tool that is written loads, and its example holds.
    #[test]
    fn a_tool_of_every_kind_loads_and_its_example_holds() {
        let kinds = [
            input("weight", "3,5", "", &[]),
            input("weight", "8 lb 2 oz", "", &[]),
            input("number", "2,1 kV", "V", &[]),
            input("number", "12", "", &[]),
            input("count", "7", "", &[]),
            input("choice", "2", "", &["red \"one\"", "blue"]),
            input("yes_no", "y", "", &[]),
            input("grade", "copper-2", "", &[]),
            input("price", "3,40", "", &[]),
        ];
        let world = world();
        for input in kinds {
            let kind = input.kind.clone();
            for hazards in [&[][..], &["heavy-lift", "sharp-sheet"][..]] {
                let text =
                    sketch(vec![input.clone()], hazards).script(&world).unwrap_or_else(|e| panic!("{kind:?}: {e}"));
                let offered = OfferedScript {
                    shelf: Shelf::Tools,
                    id: "pail".into(),
                    text: text.clone(),
                    session: None,
                    modules: Vec::new(),
                };
                let reports = world.for_test(Some(offered)).rehearse("pail").unwrap_or_else(|e| panic!("{e}\n{text}"));
                assert_eq!(reports.reports.len(), 1, "{text}");
                assert!(reports.reports[0].differences.is_empty(), "{:?}\n{text}", reports.reports);
            }
        }
    }

    #[test]
    fn what_was_typed_stays_where_it_is_clear_to_everybody() {
        for (kind, typed, unit, wanted) in [
            ("weight", "8 lb 2 oz", "", "8 lb 2 oz"),
            ("weight", "2", "", "2 lb"),
            ("weight", "2,5 kg", "", "2.5 kg"),
            ("weight", "1.234,5 kg", "", "1234500 g"),
            ("number", "2,1 kV", "V", "2.1 kV"),
            ("yes_no", "y", "", "yes"),
            ("price", "3,40", "", "3.4"),
        ] {
            assert_eq!(input(kind, typed, unit, &[]).such_as, wanted, "{typed}");
        }
    }

    #[test]
    fn words_of_the_language_are_no_keys() {
        let world = world();
        for key in ["gross", "wet-share", "x2"] {
            assert!(world.is_key(key), "{key}");
        }
        for key in ["if", "while", "2x", "Gross", "a b", "", "call"] {
            assert!(!world.is_key(key), "{key}");
        }
    }
}

//! A tool being declared by its script.

use rust_decimal::Decimal;

use super::given::{Rules, value_of};
use super::input::{Input, InputKind, When};
use super::{Example, Tool};
use crate::market::GradeTree;
use crate::naming::{self, suggest};
use crate::quantity::{Currency, MassUnit, Notation};
use crate::recipe::{Mark, RecipeFault};

/// The most inputs of a tool.
const MAX_INPUTS: usize = 40;
/// The most examples of a tool.
const MAX_EXAMPLES: usize = 60;

/// Keys that are options of every tool.
const TAKEN: [&str; 10] =
    ["answers", "yard", "date", "format", "home", "plain", "color", "no-input", "help", "version"];
/// Result keys that every tool can have.
const OUTCOMES: [&str; 4] = ["verdict", "remark", "caution", "refused"];

/// Whether a key is reserved, so that no input can have it.
#[must_use]
pub fn is_taken(key: &str) -> bool {
    TAKEN.contains(&key) || OUTCOMES.contains(&key)
}

/// A tool being declared.
#[derive(Debug, Clone, Default)]
pub struct ToolDraft {
    tool: Option<Tool>,
}

impl ToolDraft {
    /// Starts the tool.
    ///
    /// # Errors
    /// A message: an invalid id, or a second tool.
    pub fn tool(&mut self, id: &str, title: &str, mark: Mark) -> Result<(), String> {
        naming::well_formed_id(id)?;
        if self.tool.is_some() {
            return Err("this file already declares a tool".to_owned());
        }
        self.tool = Some(Tool {
            id: id.to_owned(),
            title: title.to_owned(),
            says: Vec::new(),
            figures_from: Vec::new(),
            author: String::new(),
            licence: String::new(),
            revision: 1,
            needs_api: 1,
            reads_sessions: false,
            inputs: Vec::new(),
            examples: Vec::new(),
            mark,
        });
        Ok(())
    }

    /// The tool as far as declared.
    ///
    /// # Errors
    /// A message: no tool is declared yet.
    pub fn tool_mut(&mut self) -> Result<&mut Tool, String> {
        self.tool.as_mut().ok_or_else(|| "no tool is declared yet".to_owned())
    }

    /// Whether a tool is declared.
    #[must_use]
    pub fn is_begun(&self) -> bool {
        self.tool.is_some()
    }

    /// Adds a question; returns its index.
    ///
    /// # Errors
    /// A message: a key that is invalid or taken, or too many inputs.
    pub fn input(&mut self, key: &str, question: &str, mark: Mark) -> Result<usize, String> {
        naming::well_formed_id(key)?;
        let tool = self.tool_mut()?;
        if is_taken(key) {
            return Err(format!("the key `{key}` is the program's own"));
        }
        if tool.input(key).is_some() {
            return Err(format!("the input `{key}` is declared twice"));
        }
        if tool.inputs.len() >= MAX_INPUTS {
            return Err(format!("too many inputs: at most {MAX_INPUTS}"));
        }
        tool.inputs.push(Input::new(key, question, mark));
        Ok(tool.inputs.len() - 1)
    }

    /// The input at an index.
    ///
    /// # Errors
    /// A message: it belongs to another script.
    pub fn input_mut(&mut self, place: usize) -> Result<&mut Input, String> {
        self.tool_mut()?.inputs.get_mut(place).ok_or_else(|| "this input is not of this tool".to_owned())
    }

    /// Sets the kind of answer an input takes.
    ///
    /// # Errors
    /// A message: it was set before.
    pub fn kind(&mut self, place: usize, kind: InputKind) -> Result<(), String> {
        let input = self.input_mut(place)?;
        match &input.kind {
            Some(_) => Err(format!("the input `{}` already says what it takes", input.key)),
            None => {
                input.kind = Some(kind);
                Ok(())
            }
        }
    }

    /// Sets the range of an answer.
    ///
    /// # Errors
    /// A message: the bounds are in the wrong order.
    pub fn between(&mut self, place: usize, low: Decimal, high: Decimal) -> Result<(), String> {
        if low > high {
            return Err(format!("{low} is more than {high}"));
        }
        self.input_mut(place)?.between = Some((low, high));
        Ok(())
    }

    /// Sets when an input is asked.
    ///
    /// # Errors
    /// A message: the other input does not come before this one.
    pub fn when(&mut self, place: usize, key: &str, values: Vec<String>) -> Result<(), String> {
        let tool = self.tool_mut()?;
        let earlier: Vec<&str> =
            tool.inputs[..place.min(tool.inputs.len())].iter().map(|input| input.key.as_str()).collect();
        if !earlier.contains(&key) {
            let hint = suggest(key, earlier.iter().copied());
            return Err(format!("no earlier input is called `{}`; {hint}", naming::one_line(key, 60)));
        }
        self.input_mut(place)?.when = Some(When { key: key.to_owned(), values });
        Ok(())
    }

    /// Adds an example; returns its index.
    ///
    /// # Errors
    /// A message: there are too many.
    pub fn example(&mut self, example: Example) -> Result<usize, String> {
        let tool = self.tool_mut()?;
        if tool.examples.len() >= MAX_EXAMPLES {
            return Err(format!("too many examples: at most {MAX_EXAMPLES}"));
        }
        tool.examples.push(example);
        Ok(tool.examples.len() - 1)
    }

    /// The finished tool.
    ///
    /// # Errors
    /// Every fault found.
    pub fn finish(self, grades: &GradeTree) -> Result<Tool, Vec<RecipeFault>> {
        let fault = |mark, message: String, hint: &str| RecipeFault { mark, message, hint: hint.to_owned() };
        let Some(tool) = self.tool else {
            let start = Mark { line: 1, column: 1 };
            return Err(vec![fault(
                start,
                "this script declares no tool".into(),
                "start with tool(\"id\", \"Title\")",
            )]);
        };
        let mut faults = Vec::new();
        for input in &tool.inputs {
            let Some(kind) = &input.kind else {
                let hint = "add .weight(), .number(\"V\"), .count(), .choice([…]), .yes_no(), .grade() or .price()";
                faults.push(fault(input.mark, format!("the input `{}` does not say what it takes", input.key), hint));
                continue;
            };
            let texts = input.usual.iter().map(|text| ("what is usual", text));
            let texts = texts.chain((!input.such_as.is_empty()).then_some(("the example", &input.such_as)));
            // Prices and weights without a unit are rejected at a yard with another unit; these texts must have theirs.
            let unfit = texts.filter_map(|(what, text)| read_fixed(input, text, grades).err().map(|why| (what, why)));
            faults.extend(unfit.map(|(what, why)| {
                fault(
                    input.mark,
                    format!("{what} of the input `{}` is none: {why}", input.key),
                    "write it as an answer, with its unit",
                )
            }));
            if let (InputKind::Choice { options }, true) = (kind, input.optional)
                && options.is_empty()
            {
                faults.push(fault(input.mark, format!("the input `{}` has no options", input.key), ""));
            }
        }
        faults.extend(tool.examples.iter().flat_map(|example| misfits(&tool, example, grades)));
        if faults.is_empty() { Ok(tool) } else { Err(faults) }
    }
}

/// Reads a text in a script: with a decimal point, and an explicit unit.
fn read_fixed(input: &Input, text: &str, grades: &GradeTree) -> Result<(), String> {
    let Some(currency) = Currency::from_code("CAD") else { return Ok(()) };
    if matches!(input.kind, Some(InputKind::Price { .. })) {
        // Its currency is that of the yard, which is not known yet.
        return Ok(());
    }
    let rules = Rules { notation: Notation::Point, unit: MassUnit::Kilogram, tare: &|_| None, grades, currency };
    value_of(input, text, &rules).map(drop)
}

/// What an example names that the tool does not have.
fn misfits(tool: &Tool, example: &Example, grades: &GradeTree) -> Vec<RecipeFault> {
    let keys = tool.inputs.iter().map(|input| input.key.as_str());
    let mut faults = Vec::new();
    for (key, text) in &example.given {
        let fault = |message: String, hint: String| RecipeFault { mark: example.mark, message, hint };
        match tool.input(key) {
            None => faults.push(fault(
                format!("the example gives `{}`, which is no input", naming::one_line(key, 60)),
                suggest(key, keys.clone()),
            )),
            Some(input) if input.kind.is_some() => {
                if let Err(why) = read_fixed(input, text, grades) {
                    faults.push(fault(format!("the example gives `{key}`: {why}"), String::new()));
                }
            }
            Some(_) => {}
        }
    }
    if example.gives.is_empty() {
        let message = "the example says nothing of what comes of it".to_owned();
        faults.push(RecipeFault { mark: example.mark, message, hint: "add what a result comes to".to_owned() });
    }
    faults
}

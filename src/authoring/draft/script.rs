//! The script of a draft.

use std::fmt::Write as _;

use rust_decimal::Decimal;

use super::super::scaffold::{bracketed, one_line, quoted, weight};
use super::{Material, Worked};
use crate::bench::{FreePart, Presence};
use crate::quantity::{Mass, MassUnit};

/// The range around a single weighing, in tenths of it: a guess, and labelled as one.
const AROUND: [i64; 3] = [7, 10, 15];

impl Material<'_> {
    /// The script, with a list at its head of what is to be filled in.
    pub(super) fn script(&self, to_fill_in: &[String]) -> String {
        let mut text = format!("// {}, drafted from one session.\n//\n// To fill in:\n", one_line(&self.name));
        for line in to_fill_in {
            // Writing to a string cannot fail; so below.
            let _ = writeln!(text, "// - {}", one_line(line));
        }
        text.push_str(
            "// Every range is a guess around 1 session. No qualified person has reviewed the safety texts, and this unit may hold\n// what that one did not: look at every guard again.\n\n",
        );
        self.write_unit(&mut text);
        if !self.inside.is_empty() || self.steps.iter().any(|worked| worked.measured || worked.oil_filled().is_some()) {
            text.push_str("\nimport \"checks\" as checks;\n");
        }
        for worked in &self.steps {
            self.write_step(worked, &mut text);
        }
        self.write_treatment(&mut text);
        text
    }

    fn write_unit(&self, text: &mut String) {
        let unit = self.session.recipe().unit();
        let weighs = match self.weight() {
            Some(mass) => around(mass, self.session.unit()),
            None => {
                let [low, usual, high] = [unit.weighs.low(), unit.weighs.usual(), unit.weighs.high()];
                range([low, usual, high], self.session.unit())
            }
        };
        let _ = write!(
            text,
            "unit({}, {})\n    .weighs({weighs})\n    .figures_from(\"estimate, low confidence: {}\")\n    .sold_whole_as({})\n",
            quoted(&self.id),
            quoted(&self.name),
            if self.weight().is_some() { "1 unit weighed; range guessed" } else { "not weighed" },
            quoted(&unit.whole_grade)
        );
        list("    .guards", &self.guards, text);
        let state = &self.session.run_result().state;
        let held: Vec<String> = unit.holds.iter().filter(|item| !state.not_held.contains(item)).cloned().collect();
        list("    .holds", &held, text);
        let author = self.session.header().person.as_deref();
        let author = author.map(|name| format!(".author({})", quoted(name))).unwrap_or_default();
        let _ = writeln!(text, "    {author}.revision(1).needs_api(1);");
    }

    fn write_step(&self, worked: &Worked<'_>, text: &mut String) {
        let step = worked.step;
        let _ = write!(text, "\nstep({}, {})", quoted(&worked.id), quoted(&step.title));
        if let Some(part) = &step.opens {
            let _ = write!(text, ".opens({})", quoted(part));
        }
        text.push('\n');
        list("    .after", &worked.after, text);
        let minutes = worked.minutes.get().normalize();
        let [low, usual, high] = if minutes > Decimal::ZERO {
            [minutes / Decimal::TWO, minutes, minutes * Decimal::TWO].map(|number| number.normalize())
        } else {
            [step.minutes.low(), step.minutes.usual(), step.minutes.high()].map(|time| time.get().normalize())
        };
        let _ = writeln!(text, "    .minutes({low}, {usual}, {high})  // from 1 session; half and twice of it guessed");
        list("    .tools", &step.tools, text);
        list("    .guards", &worked.guards, text);
        for said in &step.says {
            let _ = writeln!(text, "    .says({})", quoted(said));
        }
        for part in &worked.parts {
            self.write_part(part, text);
        }
        list("    .removes", &worked.removes, text);
        match (&step.opens, &step.rest) {
            (Some(part), Some(rest)) => {
                let _ = writeln!(text, "    .leaves({}, {})", quoted(part), quoted(&rest.grade));
            }
            (None, Some(rest)) => {
                let _ =
                    writeln!(text, "    .{}({})", if rest.better { "cleans" } else { "spoils" }, quoted(&rest.grade));
            }
            _ if self.ends_unit(worked) => {
                let _ = writeln!(text, "    .cleans({})", quoted(&self.session.run_result().state.grade));
            }
            _ => {}
        }
        write_work(worked, text);
        text.truncate(text.trim_end().len());
        text.push_str(";\n");
    }

    /// Whether the remainder of the unit changes its grade after the last step on it.
    fn ends_unit(&self, worked: &Worked<'_>) -> bool {
        let last = self.steps.iter().rfind(|worked| worked.step.opens.is_none());
        let whole = &self.session.recipe().unit().whole_grade;
        last.is_some_and(|last| last.id == worked.id) && self.session.run_result().state.grade != *whole
    }

    fn write_part(&self, part: &FreePart, text: &mut String) {
        let (range, figures) = match part.presence {
            Presence::Weighed(reading) if reading.net > Mass::ZERO => {
                let shown = weight(reading.net, self.session.unit());
                let figures = format!("estimate, low confidence: 1 session, weighed {shown}; range guessed");
                (around(reading.net, self.session.unit()), figures)
            }
            _ => (
                "(0.1.g..5.g).usually(1.g)".to_owned(),
                "estimate, low confidence: too light to weigh in 1 session".to_owned(),
            ),
        };
        let _ = writeln!(
            text,
            "    .frees({}, {range}, {})\n    .figures_from({})",
            quoted(&part.part),
            quoted(&part.grade),
            quoted(&figures)
        );
    }

    /// What is still inside is left to a licensed treater, in a step of its own; if skipped, every tally says so.
    fn write_treatment(&self, text: &mut String) {
        if self.inside.is_empty() {
            return;
        }
        let last = self.steps.iter().rfind(|worked| worked.step.opens.is_none()).map(|worked| worked.id.clone());
        text.push_str(
            "\n// Not out when the session ended. A step that takes it out should come in place of this one.\n",
        );
        text.push_str("step(\"treatment\", \"Have what is still inside taken out by a licensed treater\")\n");
        list("    .after", &last.into_iter().collect::<Vec<_>>(), text);
        text.push_str("    .minutes(5, 10, 30)\n");
        list("    .guards", &self.treatment_guards(), text);
        text.push_str("    .says(\"Entered only when the treater's record is at hand. Otherwise skip it: then it is still inside, and the tally says so.\")\n");
        list("    .removes", &self.inside, text);
        text.push_str(
            "    .work(|bench| {\n        bench.note(\"record\", \"What does the treater's record say (who, licence, day)?\");\n        if !checks::only_once(bench, \"treated\", \"Does it name this very unit, and all that was still inside?\") {\n            bench.hand_on(\"what is still inside is a licensed treater's work\");\n        }\n    });\n",
        );
    }
}

/// The safety checks of a step: charge is measured again, and an oil-filled can must be proven free of PCB.
fn write_work(worked: &Worked<'_>, text: &mut String) {
    if !worked.measured && worked.oil_filled().is_none() {
        return;
    }
    text.push_str("    .work(|bench| {\n");
    if let Some(part) = worked.oil_filled() {
        let _ = writeln!(
            text,
            "        bench.regrade({}, checks::oil_capacitor(bench, \"oil-mark\"));",
            quoted(&part.part)
        );
    }
    if worked.measured {
        text.push_str(
            "        if !checks::voltage_gone(bench, \"reading\", \"the second time, where it reads highest\") {\n            bench.hand_on(\"its stored charge does not come down: closed again, marked as charged\");\n        }\n",
        );
    }
    text.push_str("    })\n");
}

/// A line `.word([…])`, or nothing for an empty list.
fn list(word: &str, entries: &[String], text: &mut String) {
    if !entries.is_empty() {
        let _ = writeln!(text, "{word}({})", bracketed(entries));
    }
}

fn around(mass: Mass, unit: MassUnit) -> String {
    // Rounded to whole grams where that changes little: a guess need not look exact.
    let rounded = |mass: Mass| {
        let grams = mass.grams();
        let grams = if grams > Decimal::from(100) { grams.round() } else { grams };
        Mass::from_grams(grams).unwrap_or(mass)
    };
    let times = |tenths: i64| mass.times(Decimal::new(tenths, 1)).map_or(mass, rounded);
    let [low, _, high] = AROUND.map(times);
    range([low, mass, high], unit)
}

fn range(of: [Mass; 3], unit: MassUnit) -> String {
    let [low, usual, high] = of.map(|mass| weight(mass, unit));
    format!("({low}..{high}).usually({usual})")
}

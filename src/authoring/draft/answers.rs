//! The test session of a draft: the original session's answers, under the keys of the new recipe.

use std::fmt::Write as _;

use super::{Material, Worked};
use crate::bench::{Ask, Presence, UNIT};
use crate::quantity::Mass;
use crate::recipe::Action;

impl Material<'_> {
    /// The answers of the session, for the steps of the draft.
    pub(super) fn test_session(&self) -> String {
        let state = &self.session.run_result().state;
        let mut text = format!(
            "# The session that the recipe was drafted from. Weights are in grams, as they were understood.\n\nyard = {}\ndate = \"{}\"\n\n[{UNIT}]\n",
            toml_text(self.session.valuation().yard.id()),
            self.session.valuation().date
        );
        let unknown = || "unknown".to_owned();
        let intake = state.intake.map_or_else(unknown, |reading| reading.net.to_string());
        let _ = writeln!(text, "intake = {}", toml_text(&intake));
        self.guards(&self.guards, &mut text);
        let remainder = state.remainder.map_or_else(|| "difference".to_owned(), |reading| reading.net.to_string());
        let _ = writeln!(text, "remainder = {}", toml_text(&remainder));
        for worked in &self.steps {
            self.step(worked, &mut text);
        }
        if !self.inside.is_empty() {
            text.push_str("\n[treatment]\nbegin = \"skip\"\n");
        }
        text
    }

    fn step(&self, worked: &Worked<'_>, text: &mut String) {
        let _ = write!(text, "\n[{}]\nbegin = \"do\"\n", worked.id);
        self.guards(&worked.guards, text);
        if worked.measured {
            let _ = writeln!(text, "reading = {}", toml_text(&self.reading(worked)));
            text.push_str("reading-proof = \"yes, both times\"\n");
        }
        if worked.oil_filled().is_some() {
            text.push_str("oil-mark = \"dry, with No PCBs or a date after 1995\"\n");
        }
        for part in &worked.parts {
            let weight = match part.presence {
                Presence::Weighed(reading) if reading.net > Mass::ZERO => reading.net.to_string(),
                _ => "too light".to_owned(),
            };
            let _ = writeln!(text, "{} = {}", toml_text(&part.part), toml_text(&weight));
        }
        let _ = writeln!(text, "minutes = {}", toml_text(&worked.minutes.get().normalize().to_string()));
    }

    /// The last voltage reading in a step.
    fn reading(&self, worked: &Worked<'_>) -> String {
        let asked = self.session.run_result().asked.iter().rev().find(|asked| {
            asked.question.step == worked.was && matches!(&asked.question.ask, Ask::Number { unit } if unit == "V")
        });
        asked.map(|asked| crate::bench::exact(&asked.question, &asked.answer)).unwrap_or_default()
    }

    fn guards(&self, guards: &[String], text: &mut String) {
        for id in guards {
            let answer = match self.session.hazards().get(id) {
                Some(hazard) if hazard.class == Action::Danger => hazard.word.clone().unwrap_or_default(),
                Some(hazard) if hazard.class == Action::Licensed => self.done_by(id),
                _ => "yes".to_owned(),
            };
            let _ = writeln!(text, "{} = {}", toml_text(&format!("guard.{id}")), toml_text(&answer));
        }
    }

    /// Who did the licensed work, as recorded.
    fn done_by(&self, hazard: &str) -> String {
        let asked = self.session.run_result().asked.iter();
        let guard = asked
            .rev()
            .find(|asked| matches!(&asked.question.ask, Ask::Guard { hazard: known, .. } if known == hazard));
        guard.map(|asked| crate::bench::exact(&asked.question, &asked.answer)).unwrap_or_default()
    }
}

/// A text as TOML writes it.
fn toml_text(text: &str) -> String {
    toml::Value::String(text.to_owned()).to_string()
}

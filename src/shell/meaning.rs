//! What an answer means, shown while it is typed.

use std::collections::BTreeMap;

use super::line::Meaning;
use crate::bench::{Answer, Ask, Question, Reading, interpret};
use crate::quantity::{Mass, MassUnit, Notation, WeighingRules};

/// Everything needed to interpret an answer without the session: the editor holds it while it reads.
pub(super) struct AnswerMeaning {
    pub question: Question,
    pub notation: Notation,
    pub unit: MassUnit,
    pub containers: BTreeMap<String, Mass>,
}

impl Meaning for AnswerMeaning {
    fn of(&self, line: &str) -> Option<(String, bool)> {
        if line.trim().is_empty() {
            return None;
        }
        let tare = |name: &str| self.containers.get(&name.trim().to_lowercase()).copied();
        let rules = WeighingRules { notation: self.notation, unit: self.unit, tare: &tare };
        let answer = interpret(&self.question, line, &rules).ok()?;
        Some((meaning(&self.question, line, &answer, self.unit, self.notation).unwrap_or_default(), true))
    }
}

/// An answer in words, if these say more than the typed text: a weight with its unit, in both systems; the option that
/// a number picks; a number with what it counts.
pub(super) fn meaning(
    question: &Question,
    typed: &str,
    answer: &Answer,
    unit: MassUnit,
    notation: Notation,
) -> Option<String> {
    let text = match (answer, &question.ask) {
        (Answer::Weight(reading), _) => return Some(weight(question, reading, unit, notation)),
        (Answer::Absent, _) => "not in this unit".to_owned(),
        (Answer::TooLight, _) => "there, too light for the scale".to_owned(),
        (Answer::Choice(option), _) => option.clone(),
        (Answer::Number(number), Ask::Number { unit }) => format!("{} {unit}", notation.show(*number)),
        (Answer::Minutes(minutes), _) if notation.read(typed.trim()).is_err() => minutes.show(notation),
        _ => return None,
    };
    let same = text.trim().eq_ignore_ascii_case(typed.trim());
    (!same).then(|| format!("= {}", text.trim()))
}

fn weight(question: &Question, reading: &Reading, unit: MassUnit, notation: Notation) -> String {
    let own = reading.net.show_friendly(unit, notation);
    let other_unit = if is_metric(unit) { MassUnit::Pound } else { MassUnit::Kilogram };
    let other = reading.net.show_friendly(other_unit, notation);
    let pieces = if reading.pieces > 1 { format!("{} pieces, ", reading.pieces) } else { String::new() };
    format!("= {pieces}{own} ({other}){}", range_remark(question, reading.net, unit, notation))
}

fn range_remark(question: &Question, net: Mass, unit: MassUnit, notation: Notation) -> String {
    match &question.ask {
        Ask::Weight { expected: Some(expected), .. } if expected.low() < expected.high() && !expected.covers(net) => {
            let side = if net < expected.low() { "below" } else { "above" };
            let bound = if net < expected.low() { expected.low() } else { expected.high() };
            format!(", {side} the expected {}", bound.show_friendly(unit, notation))
        }
        _ => String::new(),
    }
}

/// Whether a unit belongs to the metric system.
pub(super) fn is_metric(unit: MassUnit) -> bool {
    matches!(unit, MassUnit::Gram | MassUnit::Kilogram | MassUnit::Tonne)
}

//! What the thing may be, given the observations.

use std::collections::BTreeMap;

use super::density::Measured;
use super::table::Finder;

/// An observation.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum SeenSigns {
    /// An answer to a test, both by index.
    Answer(usize, usize),
    /// A measured density.
    Density(Measured),
}

/// A grade with its probability.
#[derive(Debug, Clone, PartialEq)]
pub struct Ranked {
    /// The grade.
    pub grade: String,
    /// What it is; the likeliest of several under one grade.
    pub what: String,
    /// Its probability.
    pub probability: f64,
    /// Hazards of its candidates.
    pub hazards: Vec<String>,
}

impl Finder {
    /// The probability of each candidate, in table order; they add up to 1.
    #[must_use]
    pub fn belief(&self, seen: &[SeenSigns]) -> Vec<f64> {
        let mut belief: Vec<f64> = self.candidates.iter().map(|candidate| candidate.often).collect();
        for seen in seen {
            for (place, belief) in belief.iter_mut().enumerate() {
                *belief *= match seen {
                    SeenSigns::Answer(test, answer) => self.likely[*test][place][*answer],
                    SeenSigns::Density(measured) => measured.likely(self.candidates[place].density),
                };
            }
            normalise(&mut belief);
        }
        normalise(&mut belief);
        belief
    }

    /// Grades by probability, likeliest first; among equals the first in the table.
    #[must_use]
    pub fn ranked(&self, seen: &[SeenSigns]) -> Vec<Ranked> {
        let mut by_grade: BTreeMap<&str, (usize, Ranked, f64)> = BTreeMap::new();
        for (place, (candidate, probability)) in self.candidates.iter().zip(self.belief(seen)).enumerate() {
            let entry = by_grade.entry(&candidate.grade).or_insert_with(|| {
                let (grade, what) = (candidate.grade.clone(), candidate.what.clone());
                (place, Ranked { grade, what, probability: 0.0, hazards: Vec::new() }, 0.0)
            });
            entry.1.probability += probability;
            if probability > entry.2 {
                entry.1.what.clone_from(&candidate.what);
                entry.2 = probability;
            }
            let new = candidate.hazards.iter().filter(|hazard| !entry.1.hazards.contains(hazard));
            let new: Vec<String> = new.cloned().collect();
            entry.1.hazards.extend(new);
        }
        let mut ranked: Vec<(usize, Ranked)> =
            by_grade.into_values().map(|(place, ranked, _)| (place, ranked)).collect();
        ranked.sort_by(|(a, left), (b, right)| right.probability.total_cmp(&left.probability).then(a.cmp(b)));
        ranked.into_iter().map(|(_, ranked)| ranked).collect()
    }
}

/// Normalises weights to a total of 1. None is ever zero, since no answer is impossible.
pub(super) fn normalise(weights: &mut [f64]) {
    let sum: f64 = weights.iter().sum();
    if sum > 0.0 {
        weights.iter_mut().for_each(|weight| *weight /= sum);
    }
}

//! The grade tree: look-up, lineage, and search by words.

use std::collections::BTreeMap;
use std::sync::{Arc, OnceLock};

use serde::Deserialize;

use super::{Grade, GradeError};
use crate::naming::{self, Listed, Listing};

/// All grades. Every parent exists and no grade is its own ancestor.
#[derive(Debug, Clone, Default)]
pub struct GradeTree {
    grades: Vec<Grade>,
    place: BTreeMap<String, usize>,
    listing: OnceLock<Arc<Listing>>,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct GradeFile {
    #[serde(default)]
    grade: Vec<Grade>,
}

impl GradeTree {
    /// Parses a file of `[[grade]]` tables.
    ///
    /// # Errors
    /// [`GradeError`] for invalid TOML, and as [`GradeTree::new`].
    pub fn parse(toml_text: &str) -> Result<GradeTree, GradeError> {
        let file: GradeFile = toml::from_str(toml_text).map_err(|e| GradeError::Syntax(e.to_string()))?;
        GradeTree::new(file.grade)
    }

    /// Builds a tree from entries in any order.
    ///
    /// # Errors
    /// [`GradeError`] for a duplicate or malformed id, a missing parent, a cycle, replacement hazards that are empty,
    /// and an incomplete change of waste code.
    pub fn new(grades: Vec<Grade>) -> Result<GradeTree, GradeError> {
        let mut tree = GradeTree { grades, place: BTreeMap::new(), listing: OnceLock::new() };
        for (at, grade) in tree.grades.iter().enumerate() {
            naming::well_formed_id(&grade.id).map_err(GradeError::BadId)?;
            if tree.place.insert(grade.id.clone(), at).is_some() {
                return Err(GradeError::Duplicate(grade.id.clone()));
            }
            if grade.own_hazards && grade.hazards.is_empty() {
                return Err(GradeError::NoHazards(grade.id.clone()));
            }
            if grade.waste_code_next.is_some() != grade.waste_code_next_from.is_some() {
                return Err(GradeError::HalfWasteCode(grade.id.clone()));
            }
        }
        tree.check_parents()?;
        tree.check_circles()?;
        Ok(tree)
    }

    fn check_parents(&self) -> Result<(), GradeError> {
        for grade in &self.grades {
            let Some(parent) = &grade.parent else { continue };
            if !self.place.contains_key(parent) {
                return Err(GradeError::MissingParent {
                    id: grade.id.clone(),
                    parent: parent.clone(),
                    nearest: self.nearest(parent).map(str::to_owned),
                });
            }
        }
        Ok(())
    }

    /// Walks up from every grade; a walk longer than the list has met a cycle.
    fn check_circles(&self) -> Result<(), GradeError> {
        for grade in &self.grades {
            let Some(inside) = self.lineage(&grade.id).nth(self.grades.len()) else { continue };
            // After that many steps the walk is on the cycle itself, so going round once from here lists exactly it.
            let mut circle = vec![inside.id.clone()];
            circle.extend(self.lineage(&inside.id).skip(1).map(|g| g.id.clone()).take_while(|id| *id != inside.id));
            circle.push(inside.id.clone());
            return Err(GradeError::Cycle(circle));
        }
        Ok(())
    }

    /// The grade with this id.
    pub fn get(&self, id: &str) -> Option<&Grade> {
        self.place.get(id).map(|at| &self.grades[*at])
    }

    /// All grades in the order of the file.
    pub fn iter(&self) -> impl Iterator<Item = &Grade> {
        self.grades.iter()
    }

    /// The grade itself, then each wider class up to the root. Empty for an unknown id.
    pub fn lineage(&self, id: &str) -> impl Iterator<Item = &Grade> {
        std::iter::successors(self.get(id), |grade| grade.parent.as_deref().and_then(|parent| self.get(parent)))
    }

    /// The grades directly below this one, in the order of the file.
    pub fn children<'a>(&'a self, id: &'a str) -> impl Iterator<Item = &'a Grade> {
        self.grades.iter().filter(move |grade| grade.parent.as_deref() == Some(id))
    }

    /// The grades without a wider class, in the order of the file.
    pub fn roots(&self) -> impl Iterator<Item = &Grade> {
        self.grades.iter().filter(|grade| grade.parent.is_none())
    }

    /// Whether the grade counts as metal: its own setting or that of the nearest wider class; `None` if neither is set.
    pub fn is_metal(&self, id: &str) -> Option<bool> {
        self.lineage(id).find_map(|grade| grade.metal)
    }

    /// The listed id most similar to `id`, if any is close.
    pub fn nearest(&self, id: &str) -> Option<&str> {
        naming::nearest(&id.trim().to_lowercase(), self.place.keys().map(String::as_str))
    }

    /// Hazards of a part of this grade, its own first, then those of wider classes, up to one whose own replace its
    /// parent's.
    pub fn hazards(&self, id: &str) -> Vec<&str> {
        let mut replaced = false;
        let upwards = self.lineage(id).take_while(|grade| !std::mem::replace(&mut replaced, grade.own_hazards));
        each_once(upwards.flat_map(|grade| &grade.hazards))
    }

    /// WEEE Annex VII items of such a part, its own first, then those of wider classes.
    pub fn annex_vii(&self, id: &str) -> Vec<&str> {
        each_once(self.lineage(id).flat_map(|grade| &grade.annex_vii))
    }

    /// The hazard that says how to store a pile of it: its own, or that of the nearest wider class; `None` if neither
    /// is set.
    pub fn stored(&self, id: &str) -> Option<&str> {
        self.lineage(id).find_map(|grade| grade.stored.as_deref())
    }

    /// The grades as a searchable list; built on first use.
    pub fn listing(&self) -> &Arc<Listing> {
        self.listing.get_or_init(|| {
            let listed = |grade: &Grade| Listed {
                id: grade.id.clone(),
                name: grade.name.clone(),
                also: grade.also.clone(),
                looks: grade.looks.clone(),
            };
            Arc::new(Listing::new("grade", self.grades.iter().map(listed).collect()))
        })
    }

    /// The grades that contain every word in id, name, other names or looks, best first. No words, no results.
    pub fn search(&self, words: &str) -> Vec<&Grade> {
        self.listing().with_all(words).into_iter().filter_map(|found| self.get(&found.id)).collect()
    }
}

fn each_once<'a>(items: impl Iterator<Item = &'a String>) -> Vec<&'a str> {
    let mut all: Vec<&str> = Vec::new();
    for item in items {
        if !all.contains(&item.as_str()) {
            all.push(item);
        }
    }
    all
}

//! Which script a word means: an exact id, else part of an id or name. A mere look-alike is suggested, never taken.

use super::door::World;
use super::error::AppError;
use super::found::noun;
use super::shelves::Title;
use crate::naming::nearest;
use crate::store::home::Shelf;

/// The result of looking up a word.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Pick {
    /// Exactly one match.
    One(String),
    /// Several matches: ids with their names.
    Several(Vec<(String, String)>),
    /// No match, but at least one look-alike.
    Near(Vec<(String, String)>),
}

/// Ids with their names.
fn named(titles: Vec<&Title>) -> Vec<(String, String)> {
    titles.into_iter().map(|title| (title.id.clone(), title.shown().to_owned())).collect()
}

/// The most scripts named in an error.
const MOST: usize = 8;

impl World {
    /// Refuses a grade that the catalogue does not have.
    ///
    /// # Errors
    /// [`AppError::Name`] with a near name.
    pub fn known_grade(&self, grade: &str) -> Result<(), AppError> {
        let tree = self.host().catalogue().grades();
        if tree.get(grade).is_some() {
            return Ok(());
        }
        let near = tree.nearest(grade).or_else(|| tree.search(grade).first().map(|grade| grade.id.as_str()));
        let hint = near.map_or("`show grades` lists all".to_owned(), |near| format!("did you mean `{near}`?"));
        Err(AppError::Name(format!("there is no grade `{}`; {hint}", grade.escape_debug())))
    }

    /// Picks a script by an id or a part of its id or name.
    ///
    /// # Errors
    /// Nothing matches, and nothing looks like it.
    pub fn pick(&self, shelf: Shelf, word: &str) -> Result<Pick, AppError> {
        if self.ids(shelf)?.iter().any(|id| id == word) {
            return Ok(Pick::One(word.to_owned()));
        }
        let titles = self.titles(shelf)?;
        match held(&titles, word).as_slice() {
            [only] => Ok(Pick::One(only.id.clone())),
            [] => match near(&titles, word) {
                none if none.is_empty() => self.find(shelf, word).map(|found| Pick::One(found.id)),
                near => Ok(Pick::Near(named(near))),
            },
            several => Ok(Pick::Several(named(several.to_vec()))),
        }
    }

    /// The scripts of a shelf whose id or name contains a word: ids with names.
    ///
    /// # Errors
    /// The user's folder cannot be read.
    pub fn fitting(&self, shelf: Shelf, word: &str) -> Result<Vec<(String, String)>, AppError> {
        Ok(named(held(&self.titles(shelf)?, word)))
    }

    /// Looks up exactly one script.
    ///
    /// # Errors
    /// Nothing matches, or several scripts do; the error names them.
    pub fn pick_one(&self, shelf: Shelf, word: &str) -> Result<String, AppError> {
        let shown = word.escape_debug();
        match self.pick(shelf, word)? {
            Pick::One(id) => Ok(id),
            Pick::Several(several) => {
                let ids: Vec<_> = several.iter().take(MOST).map(|(id, _)| id.as_str()).collect();
                Err(AppError::Name(format!("`{shown}` can mean {}; write which one", ids.join(", "))))
            }
            Pick::Near(near) => {
                let ids: Vec<_> = near.iter().take(MOST).map(|(id, _)| format!("`{id}`")).collect();
                let message = format!("there is no {} `{shown}`; did you mean {}?", noun(shelf), ids.join(" or "));
                Err(AppError::Name(message))
            }
        }
    }

    /// The one script that a word means across several kinds: by id, else a recipe or yard by part of its id or name.
    ///
    /// # Errors
    /// The word matches nothing, or several things; the error names the look-alikes or the matches.
    pub fn named(&self, shelves: &[Shelf], word: &str) -> Result<(Shelf, String), AppError> {
        let titles: Vec<(Shelf, Vec<Title>)> =
            shelves.iter().map(|shelf| Ok((*shelf, self.titles(*shelf)?))).collect::<Result<_, AppError>>()?;
        let each = |pick: &dyn Fn(Shelf, &[Title]) -> Vec<String>| -> Vec<(Shelf, String)> {
            let picked = titles.iter().map(|(shelf, titles)| (*shelf, pick(*shelf, titles)));
            picked.flat_map(|(shelf, ids)| ids.into_iter().map(move |id| (shelf, id))).collect()
        };
        let ids = |titles: Vec<&Title>| titles.into_iter().map(|title| title.id.clone()).collect::<Vec<_>>();
        let exact = each(&|_, titles| ids(titles.iter().filter(|title| title.id == word).collect()));
        // A tool takes precedence over a report of the same name, because the tool is what runs.
        let exact: Vec<_> = match exact.as_slice() {
            [tool @ (Shelf::Tools, _), (Shelf::Reports, _)] => vec![tool.clone()],
            other => other.to_vec(),
        };
        let parts = each(&|shelf, titles| match shelf {
            Shelf::Recipes | Shelf::Yards => ids(held(titles, word)),
            Shelf::Tools | Shelf::Reports | Shelf::Library => Vec::new(),
        });
        let shown = word.escape_debug();
        let list = |found: &[(Shelf, String)], with: &str| {
            let said: Vec<_> =
                found.iter().take(MOST).map(|(shelf, id)| format!("the {} `{id}`", noun(*shelf))).collect();
            said.join(with)
        };
        match (exact.as_slice(), parts.as_slice()) {
            ([only], _) | ([], [only]) => Ok(only.clone()),
            ([], []) => {
                let near = each(&|_, titles| ids(near(titles, word)));
                let kinds: Vec<String> = shelves.iter().map(|shelf| format!("`{}`", shelf.folder())).collect();
                let hint = match near.as_slice() {
                    [] => format!("{} list what there is", kinds.join(", ").replace(", `reports`", "")),
                    near => format!("did you mean {}?", list(near, " or ")),
                };
                Err(AppError::Name(format!("nothing is called `{shown}`; {hint}")))
            }
            ([], several) => {
                Err(AppError::Name(format!("`{shown}` can mean {}; write the whole id", list(several, ", "))))
            }
            (several, _) => {
                Err(AppError::Name(format!("`{shown}` is {}; give one of your own another id", list(several, " and "))))
            }
        }
    }
}

/// Scripts whose id or name contains a word. A word of one or two letters must start a word there.
fn held<'a>(titles: &'a [Title], word: &str) -> Vec<&'a Title> {
    let word = word.to_lowercase();
    let is_short = word.chars().count() < 3;
    let begins = |text: &str| text.split(|c: char| !c.is_alphanumeric()).any(|part| part.starts_with(&word));
    let holds = |title: &&Title| {
        let text = format!("{} {}", title.id, title.shown()).to_lowercase();
        if is_short { begins(&text) } else { text.contains(&word) }
    };
    if word.is_empty() { Vec::new() } else { titles.iter().filter(holds).collect() }
}

/// Scripts whose id, or a word of whose id or name, resembles the word.
fn near<'a>(titles: &'a [Title], word: &str) -> Vec<&'a Title> {
    let word = word.to_lowercase();
    if let Some(id) = nearest(&word, titles.iter().map(|title| title.id.as_str())) {
        return titles.iter().filter(|title| title.id == id).collect();
    }
    let slips = |known: &str| match known.chars().count() {
        0..=3 => 0,
        4..=7 => 1,
        _ => 2,
    };
    let is_near = |known: &str| strsim::damerau_levenshtein(known, &word) <= slips(known);
    let any_near = |title: &&Title| {
        let text = format!("{} {}", title.id, title.shown()).to_lowercase();
        text.split(|c: char| !c.is_alphanumeric()).any(is_near)
    };
    if word.is_empty() { Vec::new() } else { titles.iter().filter(any_near).collect() }
}

#[cfg(test)]
mod tests {
    use super::super::clock::FixedClock;
    use super::*;
    use crate::store::Home;

    fn world() -> World {
        let clock = FixedClock("2026-11-02T10:00:00Z".parse().unwrap());
        World::without_settings(Home::at("/nowhere/at/all"), Box::new(clock))
    }

    #[test]
    fn a_part_of_a_name_picks_and_what_only_looks_like_one_never_does() {
        let world = world();
        let pick = |word: &str| world.pick(Shelf::Recipes, word);
        for (word, id) in [("oven", "countertop-oven"), ("Microwave", "countertop-oven"), ("kettle", "kettle")] {
            assert_eq!(pick(word).unwrap(), Pick::One(id.to_owned()), "{word}");
        }
        for (word, id) in [("kettel", "kettle"), ("micorwave", "countertop-oven"), ("refridgerator", "refrigerator")] {
            let Ok(Pick::Near(near)) = pick(word) else { panic!("{word}: {:?}", pick(word)) };
            assert_eq!(near.iter().map(|(id, _)| id.as_str()).collect::<Vec<_>>(), [id], "{word}");
        }
        for word in ["nope", "wrods", "ctoven", "26", "x", "en", ""] {
            assert!(pick(word).is_err(), "{word:?}: {:?}", pick(word));
        }
    }

    #[test]
    fn among_kinds_an_id_goes_before_a_part_and_what_is_near_is_named_with_its_kind() {
        let world = world();
        let all = [Shelf::Recipes, Shelf::Yards, Shelf::Tools, Shelf::Reports];
        let named = |word: &str| world.named(&all, word).map_err(|error| error.to_string());
        assert_eq!(named("wire"), Ok((Shelf::Tools, "wire".to_owned())));
        assert_eq!(named("pay-by-month"), Ok((Shelf::Reports, "pay-by-month".to_owned())));
        assert_eq!(named("oven"), Ok((Shelf::Recipes, "countertop-oven".to_owned())));
        assert_eq!(
            named("capacitr"),
            Err("nothing is called `capacitr`; did you mean the tool `capacitor`?".to_owned())
        );
        assert_eq!(
            named("nope"),
            Err("nothing is called `nope`; `recipes`, `yards`, `tools` list what there is".to_owned())
        );
    }
}

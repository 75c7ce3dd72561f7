//! The scripts built into the program.

use std::rc::Rc;

use include_dir::{Dir, include_dir};

use crate::finder::Finder;
use crate::script::{Catalogue, Library, Modules};
use crate::store::home::Shelf;

static RECIPES: Dir<'_> = include_dir!("$CARGO_MANIFEST_DIR/recipes");
static YARDS: Dir<'_> = include_dir!("$CARGO_MANIFEST_DIR/scripts/yards");
static TOOLS: Dir<'_> = include_dir!("$CARGO_MANIFEST_DIR/scripts/tools");
static REPORTS: Dir<'_> = include_dir!("$CARGO_MANIFEST_DIR/scripts/reports");
static LIBRARY: Dir<'_> = include_dir!("$CARGO_MANIFEST_DIR/scripts/library");

fn folder(shelf: Shelf) -> Option<&'static Dir<'static>> {
    match shelf {
        Shelf::Recipes => Some(&RECIPES),
        Shelf::Yards => Some(&YARDS),
        Shelf::Library => Some(&LIBRARY),
        Shelf::Tools => Some(&TOOLS),
        Shelf::Reports => Some(&REPORTS),
    }
}

/// Names and texts of the shipped scripts of a kind, sorted by name.
pub(crate) fn scripts(shelf: Shelf) -> impl Iterator<Item = (&'static str, &'static str)> {
    let mut found: Vec<_> = folder(shelf).into_iter().flat_map(|dir| dir.files()).filter_map(text_of).collect();
    found.sort_unstable();
    found.into_iter()
}

fn text_of(file: &'static include_dir::File<'static>) -> Option<(&'static str, &'static str)> {
    let name = file.path().to_str()?.strip_suffix(".rhai")?;
    Some((name, file.contents_utf8()?))
}

/// The text of a shipped script.
pub(crate) fn script(shelf: Shelf, id: &str) -> Option<&'static str> {
    folder(shelf)?.get_file(format!("{id}.rhai"))?.contents_utf8()
}

/// Display name of a shipped script, read from the text of its first statement alone; `None` if that is not written in
/// the usual way.
pub(crate) fn title(text: &str) -> Option<&str> {
    let head = text.lines().find(|line| !line.trim().is_empty() && !line.starts_with("//"))?;
    let call = head.strip_prefix("unit(\"").or_else(|| head.strip_prefix("yard(\""))?;
    let (name, _) = call.split_once("\", \"")?.1.split_once('"')?;
    (!name.contains('\\')).then_some(name)
}

/// The test session of a shipped recipe: an answers file.
pub(crate) fn session_of(recipe: &str) -> Option<&'static str> {
    RECIPES.get_file(format!("{recipe}.session.toml"))?.contents_utf8()
}

/// What scripts may import: the shipped modules, and those in `others` whose names do not collide with them.
pub(crate) fn library(others: impl IntoIterator<Item = (String, String)>) -> Library {
    let others = others.into_iter().map(|(name, text)| (name, Rc::from(text)));
    Library::new(others.chain(scripts(Shelf::Library).map(|(name, text)| (name.to_owned(), Rc::from(text)))))
}

/// Today's id of a shipped yard that was renamed; sessions, quotes and settings with the old name stay valid.
pub(crate) fn yard_now(id: &str) -> &str {
    match id {
        "kasumidani" => "tsukisabi",
        other => other,
    }
}

/// The shipped modules of an older version that differ from today's. Its sessions are read with these because their
/// journals keep no text of them.
pub(crate) fn modules_then(program: &str) -> Modules {
    let first = program.starts_with("0.1.").then(|| ("checks".to_owned(), Rc::from(CHECKS_0_1)));
    Modules::new(first.into_iter().collect())
}

/// The module `checks` of version 0.1.
const CHECKS_0_1: &str = include_str!("../../scripts/then/checks-0.1.rhai");

/// The shipped grades, hazards and emergency cards.
pub(crate) fn catalogue() -> Catalogue {
    Catalogue::new(
        include_str!("../../scripts/catalogue/grades.toml"),
        include_str!("../../scripts/catalogue/hazards.toml"),
    )
    .with_emergencies(include_str!("../../scripts/catalogue/emergencies.toml"))
    .with_tables(TABLES)
}

/// The grade finder's table. Empty if malformed, which a test rules out.
pub(crate) fn finder() -> Finder {
    Finder::parse(include_str!("../../scripts/catalogue/finder.toml")).unwrap_or_default()
}

/// A table of the catalogue: name and text.
macro_rules! table {
    ($name:literal) => {
        ($name, include_str!(concat!("../../scripts/catalogue/tables/", $name, ".toml")))
    };
}

/// The shipped tables in which tools look up figures.
static TABLES: &[(&str, &str)] = &[
    table!("wire-gauges"),
    table!("conductor-metals"),
    table!("cables"),
    table!("densities"),
    table!("charge-limits"),
    table!("touch-charge-limits"),
    table!("scale-tolerances"),
    table!("fineness"),
    table!("copper-shares"),
    table!("container-tares"),
];

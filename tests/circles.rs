//! Which file knows which: no file reaches itself by way of others, but within [`ONE_THING`]. And what names stand for: one
//! thing each.
//!
//! Read off the paths in the text, in `use` and written out. What a file passes on by `pub use` and does not use itself is no
//! arrow of its own: whoever names it reaches the file behind it. Not seen: names that come by way of a glob or a macro, and
//! methods on a type of another file.

use std::collections::{BTreeMap, BTreeSet};
use std::fs;
use std::path::Path;

/// Where a file and those in the folder of its name may know each other, and why: one thing that is too long for one file.
const ONE_THING: &[(&str, &str)] = &[
    ("authoring::check", "a kind of script a file, over the subject and the findings of all"),
    ("authoring::health", "a part of the folder a file, each adding to one list of findings"),
    ("cli", "a command a file, and the table that calls it, over one outcome"),
    ("market::tally", "a part of the sum a file, over the errors of the whole"),
    ("market::ticket", "the ticket, and what reconciles it"),
    ("port", "a kind of plug a file, each a link as the room declares it"),
    ("review::paths", "one walk, over the facts of its recipe"),
    ("sessions::bench", "the session, and how it is opened"),
    ("shell::ink", "a page, and how its lines are broken"),
    ("shell::report", "a report, and how it is written"),
    ("shell::tally", "a tally's page, a form a file"),
    ("stats::outliers", "a test a file, over what a test gives"),
    ("store::config", "the settings, how they are read and how one is changed"),
    ("store::log", "the layout of a log, and how one is read"),
    ("trips::settle", "one interview: lines of a ticket, then what is left"),
];

/// A module's place below `src`, and of an item the segments behind it.
type Segments = Vec<String>;

/// The source, read for its paths.
struct Crate {
    /// The text of each module without comments and unit tests.
    texts: BTreeMap<Segments, String>,
    /// What a module passes on: the name, and where it comes from.
    passed_on: BTreeMap<Segments, BTreeMap<String, Segments>>,
}

/// A path that a module names, from the root of the crate.
struct Named {
    path: Segments,
    /// The name under which it is passed on, if it is.
    passed_on_as: Option<String>,
}

impl Crate {
    fn read() -> Crate {
        let mut texts = BTreeMap::new();
        collect(&Path::new(env!("CARGO_MANIFEST_DIR")).join("src"), &mut Vec::new(), &mut texts);
        let mut found = Crate { texts, passed_on: BTreeMap::new() };
        for module in found.texts.keys().cloned().collect::<Vec<_>>() {
            let on =
                found.named(&module).into_iter().filter_map(|named| Some((named.passed_on_as?, named.path))).collect();
            found.passed_on.insert(module, on);
        }
        found
    }

    /// The paths that a module names.
    fn named(&self, module: &[String]) -> Vec<Named> {
        let mut named = Vec::new();
        let mut statement = String::new();
        for line in self.texts[module].lines().map(str::trim) {
            if !statement.is_empty() || line.starts_with("use ") || line.starts_with("pub") && line.contains(" use ") {
                statement.push_str(line);
                if !line.ends_with(';') {
                    continue;
                }
            }
            let whole = std::mem::take(&mut statement);
            let (items, is_public) = match whole.split_once("use ") {
                Some((before, list)) => (expanded(list.trim_end_matches(';')), before.starts_with("pub")),
                None => (written_out(line), false),
            };
            for item in items {
                let (path, alias) = item.split_once(" as ").unwrap_or((&item, ""));
                let Some(path) = self.absolute(module, path) else { continue };
                let alias = Some(alias.trim().to_owned()).filter(|alias| !alias.is_empty());
                let passed_on_as = alias.or_else(|| path.last().cloned()).filter(|_| is_public);
                named.push(Named { path, passed_on_as });
            }
        }
        named
    }

    /// A path from the root of the crate; `None` for what belongs to another crate.
    fn absolute(&self, module: &[String], path: &str) -> Option<Segments> {
        let mut segments: Vec<&str> = path.split("::").map(str::trim).collect();
        let mut base = match segments[0] {
            "crate" => Vec::new(),
            "self" | "super" => module.to_vec(),
            first => {
                let child = [module, &[first.to_owned()]].concat();
                return self.texts.contains_key(&child).then(|| {
                    let rest = segments[1..].iter().map(|s| (*s).to_owned());
                    child.into_iter().chain(rest).collect()
                });
            }
        };
        if matches!(segments[0], "crate" | "self") {
            segments.remove(0);
        }
        while segments.first() == Some(&"super") {
            base.pop();
            segments.remove(0);
        }
        base.extend(segments.into_iter().map(str::to_owned));
        Some(base)
    }

    /// The module that a path leads to, through all that is passed on.
    fn module_of(&self, path: &[String]) -> Segments {
        let mut path = path.to_vec();
        // A chain of modules that pass on a name is as long as folders are deep.
        for _ in 0..8 {
            let depth = (0..=path.len()).rev().find(|depth| self.texts.contains_key(&path[..*depth])).unwrap_or(0);
            let (module, rest) = path.split_at(depth);
            let on = rest.first().and_then(|name| self.passed_on.get(module)?.get(name));
            match on {
                Some(behind) => path = behind.iter().chain(&rest[1..]).cloned().collect(),
                None => return module.to_vec(),
            }
        }
        path
    }

    /// Which modules each module knows.
    fn arrows(&self) -> BTreeMap<Segments, BTreeSet<Segments>> {
        let known = |module: &Segments| {
            // What is passed on and used as well is known like anything else.
            let words: BTreeSet<&str> = self.texts[module]
                .lines()
                .filter(|line| !line.contains("use "))
                .flat_map(|line| line.split(|c: char| !(c.is_alphanumeric() || c == '_')))
                .collect();
            let is_used = |named: &Named| named.passed_on_as.as_ref().is_none_or(|name| words.contains(name.as_str()));
            let named = self.named(module).into_iter().filter(is_used);
            named.map(|named| self.module_of(&named.path)).filter(|to| to != module && !to.is_empty()).collect()
        };
        self.texts.keys().map(|module| (module.clone(), known(module))).collect()
    }
}

/// Reads the modules below a folder; files named `tests.rs` are unit tests.
fn collect(folder: &Path, at: &mut Segments, texts: &mut BTreeMap<Segments, String>) {
    for entry in fs::read_dir(folder).unwrap() {
        let path = entry.unwrap().path();
        let name = path.file_stem().unwrap().to_str().unwrap().to_owned();
        if path.is_dir() {
            at.push(name);
            collect(&path, at, texts);
            at.pop();
        } else if !matches!(name.as_str(), "tests" | "lib" | "main") {
            let module = if name == "mod" { at.clone() } else { [at.as_slice(), &[name]].concat() };
            texts.insert(module, code(&fs::read_to_string(&path).unwrap()));
        }
    }
}

/// A text without comments and without the unit tests at its end.
fn code(text: &str) -> String {
    let text = text.split("#[cfg(test)]\nmod tests {").next().unwrap_or_default();
    text.lines().map(|line| line.split("//").next().unwrap_or_default()).collect::<Vec<_>>().join("\n")
}

/// The paths of a `use` list, braces multiplied out.
fn expanded(list: &str) -> Vec<String> {
    let list = list.trim();
    let Some(open) = list.find('{') else {
        return vec![list.to_owned()];
    };
    let (before, inside) = (&list[..open], &list[open + 1..list.rfind('}').unwrap_or(list.len())]);
    let mut depth = 0;
    let items = inside.split(|c: char| {
        depth += i32::from(c == '{') - i32::from(c == '}');
        c == ',' && depth == 0
    });
    let items = items.filter(|item| !item.trim().is_empty());
    items.flat_map(expanded).map(|item| format!("{before}{item}")).collect()
}

/// The paths of two names and more in a line of code; most lead nowhere in this crate.
fn written_out(code: &str) -> Vec<String> {
    let word = |c: char| !(c.is_alphanumeric() || c == '_' || c == ':');
    let paths = code.split(word).map(|path| path.trim_matches(':')).filter(|path| path.contains("::"));
    paths.filter(|path| !path.contains(":::")).map(str::to_owned).collect()
}

/// The sets of modules that reach each other.
fn circles(arrows: &BTreeMap<Segments, BTreeSet<Segments>>) -> Vec<BTreeSet<Segments>> {
    let reach = |from: &Segments| {
        let mut seen: BTreeSet<Segments> = BTreeSet::new();
        let mut next: Vec<&Segments> = arrows[from].iter().collect();
        while let Some(module) = next.pop() {
            if seen.insert(module.clone()) {
                next.extend(arrows.get(module).into_iter().flatten());
            }
        }
        seen
    };
    let reached: BTreeMap<&Segments, BTreeSet<Segments>> =
        arrows.keys().map(|module| (module, reach(module))).collect();
    let both = |module: &Segments| -> BTreeSet<Segments> {
        let back = |other: &&Segments| reached.get(*other).is_some_and(|known| known.contains(module));
        reached[module].iter().filter(back).cloned().collect()
    };
    let mut found: Vec<BTreeSet<Segments>> = arrows.keys().map(both).filter(|circle| circle.len() > 1).collect();
    found.sort();
    found.dedup();
    found
}

#[test]
fn no_file_knows_itself_by_way_of_others() {
    let arrows = Crate::read().arrows();
    let count: usize = arrows.values().map(BTreeSet::len).sum();
    assert!(arrows.len() > 300 && count > 1000, "{} modules with {count} arrows were found", arrows.len());
    let circles = circles(&arrows);
    let parent = |circle: &BTreeSet<Segments>| {
        let shortest = circle.iter().min_by_key(|module| module.len()).unwrap();
        circle.iter().all(|module| module.starts_with(shortest)).then(|| shortest.join("::"))
    };
    let one_thing = |parent: &str| ONE_THING.iter().any(|(known, _)| *known == parent);
    let wrong: Vec<_> = circles.iter().filter(|circle| !parent(circle).is_some_and(|name| one_thing(&name))).collect();
    assert!(wrong.is_empty(), "files that reach themselves: {wrong:#?}");
    let seen: BTreeSet<String> = circles.iter().filter_map(parent).collect();
    let gone: Vec<_> = ONE_THING.iter().filter(|(name, _)| !seen.contains(*name)).collect();
    assert!(gone.is_empty(), "is listed, and there is no such circle any more: {gone:?}");
}

/// The test sees a circle where there is one.
#[test]
fn a_circle_is_seen() {
    let module = |name: &str| vec!["room".to_owned(), name.to_owned()];
    let texts = [
        ("one", "use super::two::Thing;"),
        ("two", "pub fn f() { super::three::g() }"),
        ("three", "use crate::room::{one, other::{A, B}};"),
    ];
    let texts: BTreeMap<_, _> = texts.map(|(name, text)| (module(name), text.to_owned())).into();
    let found = circles(&Crate { texts, passed_on: BTreeMap::new() }.arrows());
    assert_eq!(found, [["one", "three", "two"].map(module).into()]);
}

#[test]
fn a_public_name_stands_for_one_thing() {
    let mut places: BTreeMap<String, Vec<String>> = BTreeMap::new();
    for (module, text) in &Crate::read().texts {
        for line in text.lines().filter(|line| line.starts_with("pub")) {
            let mut words = line.split_whitespace().skip_while(|word| word.starts_with("pub") || *word == "in");
            let is_type = words.next().is_some_and(|word| ["struct", "enum", "trait", "type"].contains(&word));
            let name = words.next().and_then(|name| name.split(|c: char| !c.is_alphanumeric()).next());
            if let Some(name) = name.filter(|_| is_type) {
                places.entry(name.to_owned()).or_default().push(module.join("::"));
            }
        }
    }
    assert!(places.len() > 400, "{} names were found", places.len());
    let shared: Vec<_> = places.iter().filter(|(_, places)| places.len() > 1).collect();
    assert!(shared.is_empty(), "these stand for several things: {shared:#?}");
}

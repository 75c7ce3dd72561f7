//! Adopts a script from someone else: examined first, then installed and pinned.

mod weakened;

use std::collections::BTreeSet;

use super::check::{Bounds, Checked, Subject, check_one};
use super::facts::{Declared, Facts};
use super::rehearsal::{ExampleReport, ToolSummary};
use super::testing::TestReport;
use crate::quantity::Price;
use crate::review::guards::{Guards, Spot};
use crate::store::bundle::{Bundle, BundleKind};
use crate::store::home::Shelf;
use crate::world::{AppError, Changes, FoundScript, OfferedScript, Origin, World, shipped};

pub use weakened::{Unshown, WeakenedGuards};

/// A bundle that was examined and loads. Nothing is written before [`AdoptionOffer::take`].
pub struct AdoptionOffer {
    /// The bundle.
    pub bundle: Bundle,
    /// What its script declares.
    pub declared: Declared,
    /// Hazards it asks about, by id, with the places that ask: declared, or seen on a path that was explored.
    pub hazards: Vec<(String, Vec<Spot>)>,
    /// What it would replace.
    pub present: Option<Present>,
    /// The modules that travel with it.
    pub modules: Vec<Module>,
    /// What its tests showed.
    pub tested: Tested,
    /// A tool's summary; empty for other kinds.
    pub summary: ToolSummary,
    /// What `check` found in it.
    pub checked: Checked,
}

/// The result of an offer's tests.
pub enum Tested {
    /// It has none.
    Not,
    /// Not run: `check` found errors, so that it cannot be adopted anyway.
    LeftOff,
    /// A recipe's test session was played.
    Session(Result<TestReport, AppError>),
    /// A tool's examples were run, each as in `check`.
    Examples(Vec<ExampleReport>),
}

/// What an offer would replace.
pub struct Present {
    /// Whether that is shipped or the user's own.
    pub origin: Origin,
    /// The changes in its text.
    pub changes: Changes,
    /// Weaker guards or missing cautions; `None` for a yard.
    pub weakened: Option<WeakenedGuards>,
    /// Changed prices of a yard.
    pub prices: Vec<PriceChange>,
}

/// A price change.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct PriceChange {
    /// The grade.
    pub grade: String,
    /// The current price; `None` if the grade has none.
    pub old: Option<Price>,
    /// The offered price; `None` if the offer drops the grade.
    pub new: Option<Price>,
}

/// A module that travels with an offer.
pub struct Module {
    /// Its name.
    pub name: String,
    /// The changes to an existing module of that name; `None` if there is none.
    pub changes: Option<Changes>,
    /// Hazards named in the existing module's code but not in this one's.
    pub unnamed: Vec<String>,
}

impl AdoptionOffer {
    /// Examines a bundle: loads its script with its own modules, compares it with what it would replace, runs its
    /// tests.
    ///
    /// # Errors
    /// The script or a module is at fault or needs a newer program; the bundle's description contradicts the script; a
    /// module travels along that nothing imports or that would replace a shipped one.
    pub fn examine(world: &World, bundle: Bundle) -> Result<AdoptionOffer, AppError> {
        let offered = OfferedScript {
            shelf: bundle.kind.shelf(),
            id: bundle.id.clone(),
            text: bundle.source.clone(),
            session: bundle.session.clone(),
            modules: bundle.imports.clone().into_iter().collect(),
        };
        let offered = world.for_test(Some(offered));
        let script = offered.script(&offered.find(bundle.kind.shelf(), &bundle.id)?)?;
        let declared = Declared::by(&offered, bundle.kind, &script)?;
        expect_facts(&bundle, &declared.facts())?;
        let imported = offered.own_imports(&bundle.source);
        let subject = Subject::named(&offered, bundle.kind.shelf(), &bundle.id)?;
        // Checked alone: which grades other recipes reach says nothing about the offer.
        let checked = check_one(&offered, &subject, Bounds::default());
        let tested = match bundle.kind {
            BundleKind::Recipe if bundle.session.is_some() && !checked.is_sound() => Tested::LeftOff,
            BundleKind::Recipe if bundle.session.is_some() => Tested::Session(offered.play_test(&bundle.id)),
            BundleKind::Tool | BundleKind::Report => Tested::Examples(checked.rehearsal.reports.clone()),
            BundleKind::Recipe | BundleKind::Yard => Tested::Not,
        };
        Ok(AdoptionOffer {
            hazards: asked_hazards(&declared, &checked),
            present: present(world, &offered, &bundle, &declared, &checked)?,
            modules: bundle
                .imports
                .iter()
                .map(|(name, text)| module(world, name, text, &imported))
                .collect::<Result<_, _>>()?,
            tested,
            summary: match declared {
                Declared::Tool(_) => checked.rehearsal.summary(&offered, &bundle.source),
                Declared::Recipe(_) | Declared::Yard(_) => ToolSummary::default(),
            },
            checked,
            declared,
            bundle,
        })
    }

    /// Whether exactly this text is already there and pinned.
    ///
    /// # Errors
    /// The pins cannot be read.
    pub fn is_there(&self, world: &World) -> Result<bool, AppError> {
        let pins = world.home.pins()?;
        let pinned =
            pins.get(self.bundle.kind.shelf(), &self.bundle.id).is_some_and(|pin| pin.bundle == self.bundle.digest());
        let same = |changes: Option<&Changes>| changes.is_some_and(Changes::is_empty);
        let modules = self.modules.iter().all(|module| same(module.changes.as_ref()));
        Ok(pinned && modules && same(self.present.as_ref().map(|present| &present.changes)))
    }

    /// Why it cannot be adopted: `check` finds an error, or its own test session fails.
    #[must_use]
    pub fn hindrance(&self) -> Option<String> {
        if let Tested::Session(Err(error)) = &self.tested {
            return Some(format!("its test session does not play: {error}"));
        }
        (!self.checked.is_sound()).then(|| "check finds errors in it".to_owned())
    }

    /// Whether it guards less than what it would replace, or this cannot be determined.
    #[must_use]
    pub fn guards_less(&self) -> bool {
        let weakened = self.present.as_ref().and_then(|present| present.weakened.as_ref());
        weakened.is_some_and(|weakened| !weakened.is_none())
            || self.modules.iter().any(|module| !module.unnamed.is_empty())
    }

    /// Installs it in the user's folder and pins it. Returns the digests of stored copies of the user's texts that it
    /// replaced.
    ///
    /// # Errors
    /// Something hinders it, or the folder cannot be written.
    pub fn take(&self, world: &World) -> Result<Vec<String>, AppError> {
        if let Some(hindrance) = self.hindrance() {
            let message = format!("{} is not taken in: {hindrance}", self.bundle.id);
            return Err(AppError::Refused(message));
        }
        Ok(world.home.adopt(&self.bundle, &world.clock.stamp())?)
    }
}

/// What the user is shown must be what the script declares.
fn expect_facts(bundle: &Bundle, facts: &Facts) -> Result<(), AppError> {
    let numbers = |bundle: u32, script: u32| (bundle.to_string(), script.to_string());
    let pairs = [
        ("id", (bundle.id.clone(), facts.id.clone())),
        ("name", (bundle.name.clone(), facts.name.clone())),
        ("author", (bundle.author.clone(), facts.author.clone())),
        ("licence", (bundle.licence.clone(), facts.licence.clone())),
        ("revision", numbers(bundle.revision, facts.revision)),
        ("needs_api", numbers(bundle.needs_api, facts.needs_api)),
    ];
    match pairs.into_iter().find(|(_, (bundle, script))| bundle != script) {
        Some((key, (said, is))) => Err(AppError::Refused(format!(
            "the bundle says that its {key} is {said:?}, but its script says {is:?}; ask its author for a sound one"
        ))),
        None => Ok(()),
    }
}

/// The hazards a recipe asks about, with the places that ask. A tool's cautions are in its summary.
fn asked_hazards(declared: &Declared, checked: &Checked) -> Vec<(String, Vec<Spot>)> {
    let Declared::Recipe(recipe) = declared else { return Vec::new() };
    Guards::of(recipe, &checked.guards).asked().into_iter().map(|(id, spots)| (id.to_owned(), spots)).collect()
}

fn present(
    world: &World,
    offered: &World,
    bundle: &Bundle,
    declared: &Declared,
    checked: &Checked,
) -> Result<Option<Present>, AppError> {
    let found = match world.find(bundle.kind.shelf(), &bundle.id) {
        Ok(found) => found,
        Err(AppError::Name(_)) => return Ok(None),
        Err(other) => return Err(other),
    };
    Ok(Some(Present {
        changes: Changes::between(&found.text, &bundle.source),
        weakened: match declared {
            // The same text guards the same; the modules it imports are compared separately.
            Declared::Recipe(_) | Declared::Tool(_) if found.text == bundle.source => Some(WeakenedGuards::default()),
            Declared::Tool(_) => Some(WeakenedGuards::of_tool(world, offered, &found, checked)),
            Declared::Recipe(recipe) => Some(WeakenedGuards::between(world, &found, recipe, checked)),
            Declared::Yard(_) => None,
        },
        prices: prices(world, bundle.kind, &found, declared),
        origin: found.origin,
    }))
}

/// Price changes against the existing yard; empty if that cannot be read.
fn prices(world: &World, kind: BundleKind, found: &FoundScript, declared: &Declared) -> Vec<PriceChange> {
    let loaded = world
        .host()
        .open(&found.file(), &found.text)
        .map_err(AppError::from)
        .and_then(|script| Declared::by(world, kind, &script));
    let (Declared::Yard(new), Ok(Declared::Yard(old))) = (declared, loaded) else { return Vec::new() };
    let grades: BTreeSet<&str> = old.offers().chain(new.offers()).map(|offer| offer.grade()).collect();
    let change = |grade: &str| {
        let (was, is) = (old.offer(grade), new.offer(grade));
        let price = PriceChange { grade: grade.to_owned(), old: was.map(|o| o.price()), new: is.map(|o| o.price()) };
        // Tiers and minimum lots matter as much as the first price.
        (was != is).then_some(price)
    };
    grades.into_iter().filter_map(change).collect()
}

fn module(
    world: &World,
    name: &str,
    text: &str,
    imported: &std::collections::BTreeMap<String, String>,
) -> Result<Module, AppError> {
    if shipped::script(Shelf::Library, name).is_some() {
        let message =
            format!("the bundle brings a module `{name}`, which would stand in for the shipped one of that name");
        return Err(AppError::Refused(message));
    }
    if !imported.contains_key(name) {
        return Err(AppError::Refused(format!("the bundle brings a module `{name}`, which nothing in it imports")));
    }
    let present = world.home.script(Shelf::Library, &crate::store::Id::new(name)?)?;
    let named = world.host().texts(text);
    let was = present.as_deref().map(|old| world.host().texts(old)).unwrap_or_default();
    let hazards = world.host().catalogue().hazards().ids();
    let unnamed = hazards.filter(|id| was.contains(*id) && !named.contains(*id)).map(str::to_owned).collect();
    Ok(Module { name: name.to_owned(), changes: present.map(|old| Changes::between(&old, text)), unnamed })
}

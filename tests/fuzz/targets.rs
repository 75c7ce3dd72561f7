//! What is fuzzed: every reader of text that comes from outside. Each takes any bytes; a panic, or an answer that contradicts
//! itself, is a defect.

use std::cell::OnceCell;
use std::collections::BTreeMap;
use std::io;
use std::path::Path;
use std::rc::Rc;

use knockdown::bench::{Answer, Ask, CurrentAnswers, Entry, Kind, Question, Weighing, exact, interpret, recall};
use knockdown::market::MixedLot;
use knockdown::naming::is_unsafe;
use knockdown::quantity::{
    Basis, Currency, Estimate, Mass, MassUnit, Minutes, Money, Notation, Price, WeighingRules, read_count, weigh,
};
use knockdown::recipe::Action;
use knockdown::script::{Catalogue, Host, Library, ScriptError};
use knockdown::shell::excerpt::excerpt;
use knockdown::store::bundle::{self, Bundle, Contents};
use knockdown::store::disk::{Disk, FileKind, HeldLock, OpenFile};
use knockdown::store::journal::SessionLog;
use knockdown::store::quotes::QuoteLog;
use knockdown::store::{answers, config, log};

/// A reader under fuzz.
pub type Target = fn(&[u8]);

/// All of them, by name.
pub const TARGETS: [(&str, Target); 8] = [
    ("quantities", quantities),
    ("questions", questions),
    ("logs", logs),
    ("settings", settings),
    ("bundles", bundles),
    ("recipes", recipes),
    ("yards", yards),
    ("programs", programs),
];

fn text(data: &[u8]) -> String {
    String::from_utf8_lossy(data).into_owned()
}

const NOTATIONS: [Notation; 2] = [Notation::Point, Notation::Comma];

fn rules(notation: Notation) -> WeighingRules<'static> {
    let tare = |name: &str| (name == "bucket").then_some(Mass::from_grams(300.into()).unwrap_or(Mass::ZERO));
    WeighingRules { notation, unit: MassUnit::Pound, tare: Box::leak(Box::new(tare)) }
}

thread_local! {
    static RULES: [WeighingRules<'static>; 2] = NOTATIONS.map(rules);
    static HOST: OnceCell<Host> = const { OnceCell::new() };
}

/// Weights, numbers, counts, prices, money, minutes, units.
fn quantities(data: &[u8]) {
    let text = text(data);
    let cad = Currency::from_code("CAD").expect("a currency");
    RULES.with(|all| {
        for rules in all {
            match weigh(&text, rules) {
                Ok(weighed) => {
                    assert!(!weighed.net.is_negative(), "{text:?}");
                    let spelt = weighed.net.to_string();
                    assert_eq!(spelt.parse::<Mass>().ok(), Some(weighed.net), "{text:?}: {spelt}");
                }
                Err(error) => {
                    assert!(text.get(error.at.clone()).is_some(), "{text:?}: {:?}", error.at);
                    assert!(!error.to_string().chars().any(is_unsafe), "{text:?}: {error}");
                }
            }
            let notation = rules.notation;
            if let Ok(number) = notation.read_signed(&text) {
                assert_eq!(notation.read_signed(&notation.show(number)).ok(), Some(number), "{text:?}");
            }
            let _number = notation.read(&text);
            let _price =
                Price::read(&text, cad, Basis::Weight(MassUnit::Kilogram), notation).map(|price| price.show(notation));
            let _money = Money::read(&text, cad, notation).map(|money| money.show(notation));
            let _minutes = Minutes::read(&text, notation).map(|minutes| minutes.show(notation));
        }
    });
    let _parsed = (text.parse::<Mass>(), text.parse::<MassUnit>(), read_count(&text), Currency::from_code(&text));
}

fn asks() -> Vec<Ask> {
    let grams = |g: i64| Mass::from_grams(g.into()).expect("a mass");
    let minutes = |m: i64| Minutes::new(m.into()).expect("minutes");
    let expected = Estimate::new(grams(100), grams(200), grams(900)).ok();
    let guard = |action, word: &str| Ask::Guard { hazard: "x".into(), action, word: word.into() };
    let mut asks = vec![
        Ask::Begin { may_wait: true },
        Ask::Begin { may_wait: false },
        guard(Action::Caution, ""),
        guard(Action::Danger, "DISCHARGED"),
        guard(Action::Licensed, ""),
        Ask::YesNo,
        Ask::Choice { options: ["copper", "copper all through", "Ünlü ß", "2"].map(str::to_owned).to_vec() },
        Ask::Number { unit: "V".into() },
        Ask::Count,
        Ask::Text,
        Ask::Minutes { expected: Estimate::exactly(minutes(3)) },
    ];
    let weighings = [Weighing::Intake, Weighing::Part, Weighing::Remainder, Weighing::Other];
    asks.extend(weighings.map(|what| Ask::Weight { expected, what }));
    asks
}

/// What is typed at a question, and what a journal keeps of it: the two undo each other.
fn questions(data: &[u8]) {
    let text = text(data);
    for ask in asks() {
        let question = Question { step: "lid".into(), key: "key".into(), text: "?".into(), ask };
        let _recalled = recall(&question, &text);
        RULES.with(|all| {
            for rules in all {
                match interpret(&question, &text, rules) {
                    Ok(answer) => {
                        let kept = exact(&question, &answer);
                        let same = recall(&question, &kept);
                        assert_eq!(same.as_ref(), Ok(&answer), "{text:?} for {:?} is kept as {kept:?}", question.ask);
                        if let Answer::Text(said) = &answer {
                            assert!(!said.chars().any(char::is_control), "{text:?}");
                        }
                    }
                    Err(error) => {
                        let at = error.at.clone().unwrap_or(0..0);
                        assert!(text.get(at.clone()).is_some(), "{text:?}: {at:?}");
                    }
                }
            }
        });
    }
}

/// A disk that holds one file and can do nothing but read it.
struct OneFile(Vec<u8>);

fn refused<T>() -> io::Result<T> {
    Err(io::ErrorKind::PermissionDenied.into())
}

impl Disk for OneFile {
    fn kind(&self, _: &Path) -> io::Result<Option<FileKind>> {
        Ok(Some(FileKind::File { len: self.0.len() as u64 }))
    }
    fn read(&self, _: &Path, limit: u64) -> io::Result<Vec<u8>> {
        Ok(self.0.iter().copied().take(usize::try_from(limit).unwrap_or(usize::MAX)).collect())
    }
    fn list(&self, _: &Path) -> io::Result<Vec<String>> {
        refused()
    }
    fn make_folder(&self, _: &Path) -> io::Result<()> {
        refused()
    }
    fn create(&self, _: &Path) -> io::Result<Box<dyn OpenFile>> {
        refused()
    }
    fn append(&self, _: &Path) -> io::Result<Box<dyn OpenFile>> {
        refused()
    }
    fn rename(&self, _: &Path, _: &Path) -> io::Result<()> {
        refused()
    }
    fn rename_new(&self, _: &Path, _: &Path) -> io::Result<()> {
        refused()
    }
    fn remove(&self, _: &Path) -> io::Result<()> {
        refused()
    }
    fn sync_folder(&self, _: &Path) -> io::Result<()> {
        refused()
    }
    fn lock(&self, _: &Path, _: &str) -> io::Result<Option<Box<dyn HeldLock>>> {
        refused()
    }
}

/// Journals and quotes.
fn logs(data: &[u8]) {
    let disk = OneFile(data.to_vec());
    let path = Path::new("log.toml");
    if let Ok(reading) = log::read::<SessionLog>(&disk, path) {
        let standing = CurrentAnswers::of(reading.records);
        assert!(standing.names().all(|name| standing.answer(name).is_some()));
    }
    let _quotes = log::read::<QuoteLog>(&disk, path);
}

/// Settings, and files of answers.
fn settings(data: &[u8]) {
    let (path, text) = (Path::new("file.toml"), text(data));
    let _config = config::parse(path, &text);
    for key in ["yard", "containers.bucket", &text] {
        if let Ok(edited) = config::edit(path, &text, key, Some(&text)) {
            assert!(config::parse(path, &edited).is_ok(), "{key:?} in {text:?} gives {edited:?}");
        }
    }
    if let Ok(answers) = answers::parse(path, &text) {
        assert!(answers.iter().all(|answer| (1..=text.lines().count().max(1)).contains(&answer.line)), "{text:?}");
    }
}

/// Bundles: as they come, which the digest mostly refuses; and whatever text is sealed into one comes out of it again.
fn bundles(data: &[u8]) {
    let (path, text) = (Path::new("bundle.toml"), text(data));
    if let Ok(bundle) = Bundle::parse(path, &text) {
        let again = Bundle::parse(path, &bundle.text()).expect("what was read can be written and read");
        assert_eq!(again.digest(), bundle.digest(), "{text:?}");
    }
    let contents = Contents {
        kind: bundle::BundleKind::Recipe,
        id: "victim".to_owned(),
        name: "Victim".to_owned(),
        author: String::new(),
        licence: String::new(),
        revision: 1,
        needs_api: 1,
        notes: text.clone(),
        source: text.clone(),
        session: Some(text.clone()),
        imports: BTreeMap::from([("module".to_owned(), text.clone())]),
    };
    if let Ok(sealed) = Bundle::seal(contents) {
        let read = Bundle::parse(path, &sealed.text()).unwrap_or_else(|error| panic!("{error}: {text:?}"));
        assert_eq!(
            (read.digest(), &read.source, &read.notes),
            (sealed.digest(), &sealed.source, &sealed.notes),
            "{text:?}"
        );
    }
}

fn with_host(act: impl FnOnce(&Host)) {
    HOST.with(|host| {
        act(host.get_or_init(|| {
            let grades = include_str!("../../scripts/catalogue/grades.toml");
            let hazards = include_str!("../../scripts/catalogue/hazards.toml");
            let checks = Rc::from(include_str!("../../scripts/library/checks.rhai"));
            Host::new(Rc::new(Catalogue::new(grades, hazards)), Library::new([("checks".to_owned(), checks)]))
        }));
    });
}

/// An error of a script is short, can be shown, and is no defect.
fn sound(error: &ScriptError) {
    let shown = excerpt(error, false, 80);
    assert!(!shown.chars().any(|c| c != '\n' && is_unsafe(c)), "{shown:?}");
    assert!(!error.message.contains("itself failed"), "{shown}\n{}", error.source);
    assert!(error.message.chars().count() <= 401, "{shown}");
}

/// Recipes: listed, read, declared, and run over no answers and over some.
fn recipes(data: &[u8]) {
    let text = text(data);
    with_host(|host| {
        let _listed = host.glance("x.rhai", &text).map_err(|error| sound(&error));
        let script = match host.open("x.rhai", &text) {
            Ok(script) => script,
            Err(error) => return sound(&error),
        };
        match host.recipe(&script) {
            Err(errors) => errors.iter().for_each(sound),
            Ok(_) => run(host, &script),
        }
    });
}

/// Answers whatever is asked, for a while.
fn run(host: &Host, script: &knockdown::script::Script) {
    let mut entries: Vec<Entry> = Vec::new();
    for round in 0..12 {
        let run_result = match host.run(script, Rc::new(CurrentAnswers::of(entries.iter().cloned()))) {
            Ok(run_result) => run_result,
            Err(errors) => return errors.iter().for_each(sound),
        };
        let Some(question) = run_result.waits() else { return };
        let typed = match &question.ask {
            Ask::Begin { .. } => "do",
            Ask::Guard { action: Action::Danger, word, .. } => word,
            Ask::Guard { action: Action::Licensed, .. } => "by J. Doe",
            Ask::Guard { .. } => "yes",
            Ask::YesNo => ["yes", "no"][round % 2],
            Ask::Choice { .. } => ["1", "2"][round % 2],
            Ask::Weight { .. } => "1 kg",
            _ => "3",
        };
        entries.push(Entry {
            seq: round as u64 + 1,
            at: "2026-11-02T10:00:00Z".into(),
            kind: Kind::Answer,
            question: Some(question.name()),
            typed: Some(typed.to_owned()),
            understood: Some(typed.to_owned()),
            origin: None,
        });
    }
}

/// Yards: read, declared, and asked about a mixed lot.
fn yards(data: &[u8]) {
    let text = text(data);
    with_host(|host| {
        let _listed = host.glance("x.rhai", &text).map_err(|error| sound(&error));
        match host.open("x.rhai", &text) {
            Err(error) => sound(&error),
            Ok(script) => match host.yard(&script) {
                Err(errors) => errors.iter().for_each(sound),
                Ok(yard) => {
                    if let Some(rule) = yard.mixed_rule() {
                        let said = rule.judge(&MixedLot::new(Vec::new(), Mass::ZERO)).err().unwrap_or_default();
                        assert!(!said.contains("itself failed"), "{said}\n{text}");
                    }
                }
            },
        }
    });
}

/// Programs made up from the language's own words, so that calls reach the functions of the engine.
fn programs(data: &[u8]) {
    recipes(super::program::program(data).as_bytes());
}

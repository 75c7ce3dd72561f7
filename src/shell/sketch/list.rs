//! Reads a yard's price list from a file, and finds out which grade each of its names stands for.

use std::path::{Path, PathBuf};

use super::answers::{grade_words, known_grade, plain};
use crate::authoring::{PriceSketch, YardSketch};
use crate::quantity::{Basis, Mass, Price, WeighingRules, weigh};
use crate::shell::csv_rows::csv_reader;
use crate::shell::forms::{Blank, ask};
use crate::shell::ink::Ink;
use crate::shell::terminal::Terminal;
use crate::store::files::read_text;
use crate::world::AppError;

/// The largest price list, in bytes.
const MAX_LIST: u64 = 1024 * 1024;
/// The most prices in one list.
const MOST_ROWS: usize = 1000;
/// The columns of a list; the first two are required.
const COLUMNS: [&str; 4] = ["name", "price", "grade", "at_least"];
/// The word for leaving a row out.
const NONE: &str = "none";

/// A row of a list, as written.
pub(super) struct PriceRow {
    path: PathBuf,
    line: u64,
    name: String,
    price: String,
    grade: String,
    at_least: String,
}

impl PriceRow {
    fn wrong(&self, what: &str) -> String {
        format!("{}, line {}: {what}", self.path.display(), self.line)
    }
}

/// Reads the rows of a list.
///
/// # Errors
/// The file cannot be read, or has other columns.
pub(super) fn read(terminal: &Terminal, path: &Path) -> Result<Vec<PriceRow>, AppError> {
    let text = read_text(terminal.world.home.disk().as_ref(), path, MAX_LIST)?;
    let wrong = |line: u64, what: String| AppError::Answer(format!("{}, line {line}: {what}", path.display()));
    let mut reader = csv_reader(&text);
    let head = reader.headers().map_err(|error| wrong(1, error.to_string()))?.clone();
    let strange = head.iter().find(|column| !COLUMNS.contains(column));
    if strange.is_some() || COLUMNS[..2].iter().any(|needed| !head.iter().any(|column| column == *needed)) {
        let seen = head.iter().collect::<Vec<_>>().join(", ");
        return Err(wrong(
            1,
            format!(
                "{}the head row is {seen:?}; it must have name and price, and may have grade and at_least",
                strange.map(|column| format!("{column:?} is no column of a list: ")).unwrap_or_default()
            ),
        ));
    }
    let mut rows = Vec::new();
    for row in reader.records() {
        let row = row.map_err(|error| wrong(error.position().map_or(0, csv::Position::line), error.to_string()))?;
        let line = row.position().map_or(0, csv::Position::line);
        if rows.len() == MOST_ROWS {
            return Err(wrong(line, format!("a list has at most {MOST_ROWS} prices")));
        }
        let cell = |name: &str| {
            head.iter().position(|column| column == name).and_then(|at| row.get(at)).unwrap_or_default().to_owned()
        };
        let path = path.to_owned();
        rows.push(PriceRow {
            path,
            line,
            name: cell("name"),
            price: cell("price"),
            grade: cell("grade"),
            at_least: cell("at_least"),
        });
    }
    if rows.is_empty() {
        return Err(wrong(1, "there is no price below the head row".to_owned()));
    }
    Ok(rows)
}

/// A row that is understood except for its grade.
struct Understood<'r> {
    row: &'r PriceRow,
    name: String,
    price: Price,
    minimum: Option<Mass>,
}

/// The rows as prices of the yard. All rows are parsed before the first question, which asks the grade that the yard
/// means by a name.
///
/// # Errors
/// Everything that is wrong, each with its line; or the user left the questions.
pub(super) fn mapped(
    terminal: &Terminal,
    rows: Vec<PriceRow>,
    yard: &YardSketch,
) -> Result<Vec<PriceSketch>, AppError> {
    let mut wrong = Vec::new();
    let mut understood = Vec::new();
    for row in &rows {
        match understand(terminal, row, yard) {
            Ok(row) => understood.push(row),
            Err(why) => wrong.push(row.wrong(&why)),
        }
    }
    if !wrong.is_empty() {
        return Err(AppError::Answer(format!("{}\nNothing is written.", wrong.join("\n"))));
    }
    let mut prices: Vec<PriceSketch> = Vec::new();
    let mut left_out = Vec::new();
    let grades = Grades::of(terminal)?;
    for (number, row) in understood.into_iter().enumerate() {
        match grades.of_row(terminal, &row, (number + 1, rows.len()), yard, &prices)? {
            Some(grade) => {
                prices.push(PriceSketch { grade, name: row.name, price: row.price, minimum: row.minimum });
            }
            None => left_out.push(row.name),
        }
    }
    terminal.say(Ink::Plain, &format!("{} prices taken.", prices.len()));
    if !left_out.is_empty() {
        terminal.say(Ink::Caution, &format!("Left out: {}", left_out.join(", ")));
    }
    Ok(prices)
}

fn understand<'r>(terminal: &Terminal, row: &'r PriceRow, yard: &YardSketch) -> Result<Understood<'r>, String> {
    let name = plain(&row.name).map_err(|why| format!("the name {:?}: {why}", row.name))?;
    let price = Price::read(&row.price, yard.currency, Basis::Weight(yard.unit), yard.notation);
    let price = price.map_err(|error| format!("{:?} is no price of {name}: {error}", row.price))?;
    let rules = WeighingRules { notation: yard.notation, unit: yard.unit, tare: &|_| None };
    let minimum = match row.at_least.as_str() {
        "" => None,
        text => {
            Some(weigh(text, &rules).map_err(|error| format!("{text:?} is no smallest lot of {name}: {error}"))?.net)
        }
    };
    if minimum.is_some_and(|least| least <= Mass::ZERO || price.basis() == Basis::Piece) {
        return Err(format!("the smallest lot of {name} must be above zero, and needs a price by weight"));
    }
    if !row.grade.is_empty() {
        known_grade(terminal, &row.grade)?;
    }
    Ok(Understood { row, name, price, minimum })
}

/// What a name can stand for.
struct Grades {
    words: Vec<(String, String)>,
    called: Vec<(String, String)>,
}

impl Grades {
    fn of(terminal: &Terminal) -> Result<Grades, AppError> {
        let mut words = grade_words(terminal);
        words.push((NONE.to_owned(), "leave this row out".to_owned()));
        Ok(Grades { words, called: terminal.world.names_of_grades()? })
    }

    /// The grade of a row: the one given in the list, else the one that the user says. `None` leaves the row out.
    fn of_row(
        &self,
        terminal: &Terminal,
        row: &Understood<'_>,
        (number, of): (usize, usize),
        yard: &YardSketch,
        known: &[PriceSketch],
    ) -> Result<Option<String>, AppError> {
        let taken = |grade: &str| {
            let other = known.iter().find(|price| price.grade == grade)?;
            Some(format!("{grade} has its price already, as {}; choose a finer grade, or {NONE}", other.name))
        };
        if !row.row.grade.is_empty() {
            let grade = row.row.grade.clone();
            return taken(&grade).map_or(Ok(Some(grade)), |why| Err(AppError::Answer(row.row.wrong(&why))));
        }
        let near = crate::authoring::nearest_grades(&row.name, &self.called);
        let free: Vec<&str> = near.iter().map(String::as_str).filter(|grade| taken(grade).is_none()).take(4).collect();
        let hint = if free.is_empty() { "words search".to_owned() } else { format!("near are {}", free.join(", ")) };
        let text = format!(
            "{number} of {of}: {:?} at {} {}. Which grade is it? {hint}; {NONE} leaves it out",
            row.name,
            row.price.show(yard.notation),
            yard.currency
        );
        let blank = Blank::new(text).words(self.words.clone());
        let blank = if let Some(first) = free.first() { blank.or(*first) } else { blank };
        ask(terminal, &blank, |typed| {
            if typed == NONE {
                return Ok(None);
            }
            let grade = known_grade(terminal, typed)?;
            taken(&grade).map_or(Ok(Some(grade)), Err)
        })
    }
}

//! Generates new yards: from a few answers and a price list, or as a copy of a similar yard.

use std::fmt::Write as _;

use jiff::civil::Date;
use rust_decimal::Decimal;

use super::scaffold::{one_line, quoted, weight};
use crate::quantity::{Basis, Currency, Mass, MassUnit, Notation, Price};
use crate::script::unit_word;
use crate::store::home::Shelf;
use crate::world::{AppError, World};

/// What is asked for a new yard.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct YardSketch {
    /// Its id.
    pub id: String,
    /// The name on its sign.
    pub name: String,
    /// Where it is; may be empty.
    pub region: String,
    /// The currency it pays in.
    pub currency: Currency,
    /// The unit it weighs in.
    pub unit: MassUnit,
    /// The division of its scale in that unit, if known.
    pub division: Option<Decimal>,
    /// How it writes numbers.
    pub notation: Notation,
    /// The step to which it rounds cash, in major units.
    pub pays_to: Option<Decimal>,
    /// The date of the prices.
    pub as_of: Date,
    /// Its price list.
    pub prices: Vec<PriceSketch>,
    /// Its author; empty if not stated.
    pub author: String,
}

/// One price of a new yard.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct PriceSketch {
    /// The grade.
    pub grade: String,
    /// The yard's name for it.
    pub name: String,
    /// The price it pays; negative for a charge.
    pub price: Price,
    /// The minimum lot.
    pub minimum: Option<Mass>,
}

impl PriceSketch {
    /// Its line in the script of a yard that weighs in `unit`.
    fn write(&self, unit: MassUnit, text: &mut String) {
        let amount = self.price.amount().normalize();
        let by_piece = self.price.basis() == Basis::Piece;
        let word = match (amount.is_sign_negative(), by_piece) {
            (true, _) => "charges",
            (false, true) => "pays_each",
            (false, false) => "buys",
        };
        // Writing to a string cannot fail; so below.
        let _ = write!(text, "{word}({}, {}, {})", quoted(&self.grade), quoted(&self.name), amount.abs());
        match self.price.basis() {
            Basis::Piece if amount.is_sign_negative() => text.push_str(".each()"),
            Basis::Weight(other) if other != unit => drop(write!(text, ".per({})", quoted(unit_word(other)))),
            _ => {}
        }
        if let Some(least) = self.minimum.filter(|_| !by_piece) {
            let _ = write!(text, ".at_least({})", weight(least, unit));
        }
        text.push_str(";\n");
    }
}

impl YardSketch {
    /// The script.
    #[must_use]
    pub fn script(&self) -> String {
        let unit = unit_word(self.unit);
        let division = self.division.map(|division| format!(", {}", division.normalize())).unwrap_or_default();
        let mut text = format!(
            "// {}\n\
             //\n\
             // Prices are per {unit} unless .per(\"kg\") or .each() follows. A grade without a line here is looked up in wider classes:\n\
             // `show copper-2` says which. `words` lists what can be written here.\n\n\
             yard({}, {}).region({}).currency({}).weighs_in({}{division})",
            one_line(&self.name),
            quoted(&self.id),
            quoted(&self.name),
            quoted(&self.region),
            quoted(self.currency.code()),
            quoted(unit)
        );
        if let Some(step) = self.pays_to {
            let _ = write!(text, ".pays_to({})", step.normalize());
        }
        if self.notation == Notation::Comma {
            text.push_str(".decimal_comma()");
        }
        if !self.author.is_empty() {
            let _ = write!(text, "\n    .author({})", quoted(&self.author));
        }
        let _ = write!(
            text,
            "\n    .revision(1).needs_api(1);\n\n// The day on which the prices below were taken down.\nas_of(\"{}\");\n\n",
            self.as_of
        );
        for price in &self.prices {
            price.write(self.unit, &mut text);
        }
        text.push_str(
            "\n// More that a yard may do:\n\
             //     buys(\"copper-2\", \"No. 2 copper\", 9.70).from(20.kg, 10.00);    all of a lot from 20 kg on at the higher price\n\
             //     pays_each(\"compressor-sealed\", \"Sealed unit\", 4.00);\n\
             //     charges(\"crt-display\", \"Tube display\", 5.00).each();\n\
             //     mixed(|lot| lot.lowest_grade());                            how it treats a lot of mixed grades\n",
        );
        text
    }
}

impl World {
    /// A yard's script with another id and name, the rest unchanged, with a line at its head that says so.
    ///
    /// # Errors
    /// No such yard, or its script does not begin with its declaration.
    pub fn yard_like(&self, model: &str, id: &str, name: &str) -> Result<String, AppError> {
        let found = self.find(Shelf::Yards, model)?;
        let Some((id_at, name_at)) = self.host().declared_names(&found.text, "yard") else {
            return Err(AppError::Refused(format!("{} does not begin with yard(\"id\", \"name\")", found.file())));
        };
        let text = &found.text;
        let today = self.clock.today();
        Ok(format!(
            "// {}: copied from {model} on {today}. Prices and habits below are still those of {model}, until you write this yard's.\n//\n{}{}{}{}{}",
            one_line(name),
            &text[..id_at.start],
            quoted(id),
            &text[id_at.end..name_at.start],
            quoted(name),
            &text[name_at.end..]
        ))
    }

    /// Names of grades, from the catalogue and from every readable yard: name and grade.
    ///
    /// # Errors
    /// The user's folder cannot be read.
    pub fn names_of_grades(&self) -> Result<Vec<(String, String)>, AppError> {
        let tree = self.host().catalogue().grades();
        let mut names = Vec::new();
        for grade in tree.iter() {
            let called = [&grade.id, &grade.name].into_iter().chain(&grade.also);
            names.extend(called.map(|name| (name.clone(), grade.id.clone())));
        }
        for id in self.ids(Shelf::Yards)? {
            if let Ok((_, yard)) = self.yard(&id) {
                names.extend(yard.offers().map(|offer| (offer.name().to_owned(), offer.grade().to_owned())));
            }
        }
        Ok(names)
    }
}

/// Similarity from which a name is offered (our judgement).
const ALIKE: f64 = 0.4;

/// The grades whose known names share most words with `name`, best first.
pub fn nearest_grades(name: &str, called: &[(String, String)]) -> Vec<String> {
    let wanted = words(name);
    let mut best: Vec<(f64, &str)> = Vec::new();
    for (known, grade) in called {
        let known = words(known);
        let shared = wanted.iter().filter(|word| known.contains(word)).count();
        // The share of common words in both (Dice's coefficient).
        let alike = 2.0 * shared as f64 / (wanted.len() + known.len()).max(1) as f64;
        match best.iter_mut().find(|(_, id)| id == grade) {
            Some(entry) => entry.0 = entry.0.max(alike),
            None => best.push((alike, grade)),
        }
    }
    best.retain(|(alike, _)| *alike >= ALIKE);
    best.sort_by(|a, b| b.0.total_cmp(&a.0));
    best.into_iter().map(|(_, grade)| grade.to_owned()).collect()
}

/// The distinctive words of a name: letters and digits in lower case, without a plural s.
fn words(name: &str) -> Vec<String> {
    let lower = name.to_lowercase();
    let words =
        lower.split(|c: char| !c.is_alphanumeric()).filter(|word| !matches!(*word, "" | "no" | "nr" | "and" | "of"));
    let mut words: Vec<String> = words.map(|word| word.strip_suffix('s').unwrap_or(word).to_owned()).collect();
    words.sort();
    words.dedup();
    words
}

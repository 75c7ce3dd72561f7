//! `quote`: keeps a price that a yard told the person; lists those kept.

use clap::{Arg, ArgMatches, Command};

use super::options::{self, date_of, text};
use super::{Code, Outcome};
use crate::app::{add_quote, quotes};
use crate::shell::face::Face;
use crate::shell::ink::{Ink, Page};

pub(super) fn declare() -> Command {
    Command::new("quote")
        .about("Keep a price that a yard told you; without a grade, list those kept")
        .after_help("Example: quote copper-2 3.55")
        .arg(Arg::new("grade").value_name("GRADE").help("A grade, by its id").requires("price"))
        .arg(Arg::new("price").value_name("PRICE").help("3.55, 3.55/lb, 4 each; without a unit, in the yard's own"))
        .arg(options::yard())
        .arg(options::date())
        .arg(Arg::new("from").long("from").value_name("TEXT").help("Where it comes from: phone, board at the gate"))
}

pub(super) fn run(face: &mut Face, matches: &ArgMatches) -> Outcome {
    let (Some(grade), Some(price)) = (text(matches, "grade"), text(matches, "price")) else { return list(face) };
    let id = face.world.yard_id(text(matches, "yard"))?;
    let (_, yard) = face.world.yard(&id)?;
    let date = date_of(matches).unwrap_or_else(|| face.world.clock.today());
    let quote = add_quote(&face.world, &yard, grade, price, date, text(matches, "from"))?;
    let shown = quote.price.show(face.world.notation(&yard));
    face.say(
        Ink::Money,
        &format!("{} at {} from {} on: {shown} {}", quote.grade, quote.yard, quote.date, yard.currency()),
    );
    if date < yard.as_of() {
        let as_of = yard.as_of();
        face.say(
            Ink::Caution,
            &format!("The yard's module has prices of {as_of}, which are later: this quote does not override them."),
        );
    }
    Ok(Code::Done)
}

fn list(face: &Face) -> Outcome {
    let (quotes, warnings) = quotes(&face.world)?;
    for warning in warnings {
        face.say_aside(&format!("warning: {warning}"));
    }
    let mut page = Page::new();
    for quote in &quotes {
        let head = format!("{}  {}  {}  ", quote.date, quote.yard, quote.grade);
        page.line(&[
            (Ink::Plain, &head),
            (Ink::Money, &quote.price.to_string()),
            (Ink::Faint, &format!("  {}", quote.origin)),
        ]);
    }
    if quotes.is_empty() {
        page.say(Ink::Plain, "No quotes are kept. quote GRADE PRICE keeps one.");
    }
    face.show(&page);
    Ok(Code::Done)
}

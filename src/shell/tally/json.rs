//! The tally as a versioned document for other programs. Decimals are strings, so that no reader rounds them by
//! accident.

mod rows;

use serde::Serialize;

use crate::market::tally::{Balance, BalanceVerdict, Problem, Whole};
use crate::market::{Quote, Tally};
use crate::quantity::Notation;
use crate::shell::format::{digits, json_text};
use crate::world::AppError;
use rows::{CostRow, LineRow, PriceRow, UnsoldRow, Weight};

/// Name of the format.
const FORMAT: &str = "knockdown-tally";
/// Raised when a field changes its meaning or goes away; new fields alone do not raise it.
const VERSION: u32 = 1;

#[derive(Serialize)]
struct Document<'a> {
    format: &'static str,
    version: u32,
    unit: &'a str,
    recipe: &'a str,
    yard: YardPart<'a>,
    prices: PricePart<'a>,
    problems: Vec<ProblemRow>,
    handed_on: Option<&'a str>,
    intake: Option<Weight>,
    lines: Vec<LineRow<'a>>,
    costs: Vec<CostRow<'a>>,
    rounding: String,
    paid: String,
    net: String,
    whole: WholePart<'a>,
    gain: Option<String>,
    minutes: String,
    gain_per_hour: Option<String>,
    unsold: Vec<UnsoldRow<'a>>,
    balance: BalancePart,
    recovery: Option<RecoveryPart>,
}

#[derive(Serialize)]
struct YardPart<'a> {
    id: &'a str,
    name: &'a str,
    region: &'a str,
    currency: &'static str,
    unit: &'static str,
    division: Option<Weight>,
    pays_to: Option<String>,
}

#[derive(Serialize)]
struct PricePart<'a> {
    date: String,
    as_of: String,
    taken_down_after_date: bool,
    sample: bool,
    quotes: Vec<QuoteRow<'a>>,
    set_aside: Vec<QuoteRow<'a>>,
}

#[derive(Serialize)]
struct QuoteRow<'a> {
    grade: &'a str,
    price: PriceRow,
    date: String,
    origin: &'a str,
    #[serde(skip_serializing_if = "Option::is_none")]
    reason: Option<&'static str>,
}

#[derive(Serialize)]
struct ProblemRow {
    code: &'static str,
    words: String,
}

#[derive(Serialize)]
struct WholePart<'a> {
    line: Option<LineRow<'a>>,
    visit_fees: String,
    rounding: String,
    trip_share: String,
    value: Option<String>,
    unsold: Option<&'static str>,
    words: Option<String>,
}

#[derive(Serialize)]
struct BalancePart {
    verdict: &'static str,
    words: String,
    gap: Option<Weight>,
    sd_grams: Option<String>,
    z: Option<String>,
}

#[derive(Serialize)]
struct RecoveryPart {
    metal: Weight,
    percent: String,
}

/// The document `{"format":"knockdown-tally","version":1,…}`, indented, ended by a line feed.
///
/// # Errors
/// None is known; serde's own is passed on.
pub fn write(tally: &Tally) -> Result<String, AppError> {
    json_text(&document(tally))
}

fn document(tally: &Tally) -> Document<'_> {
    let unit = tally.yard.unit;
    let problem = |p: &Problem| ProblemRow { code: p.code(), words: p.words(unit, Notation::Point) };
    Document {
        format: FORMAT,
        version: VERSION,
        unit: &tally.unit_name,
        recipe: &tally.recipe,
        yard: yard_part(tally),
        prices: price_part(tally),
        problems: tally.problems.iter().map(problem).collect(),
        handed_on: tally.handed_on.as_deref(),
        intake: tally.intake.map(|mass| Weight::new(mass, unit)),
        lines: tally.lines.iter().map(|line| LineRow::new(line, unit)).collect(),
        costs: tally.costs.iter().map(CostRow::new).collect(),
        rounding: digits(tally.rounding),
        paid: digits(tally.paid),
        net: digits(tally.net),
        whole: whole_part(&tally.whole, tally),
        gain: tally.gain.map(digits),
        minutes: tally.minutes.get().to_string(),
        gain_per_hour: tally.per_hour.map(digits),
        unsold: tally.unsold.iter().map(|item| UnsoldRow::new(item, unit)).collect(),
        balance: balance_part(&tally.balance, tally),
        recovery: tally
            .recovery
            .map(|r| RecoveryPart { metal: Weight::new(r.metal, unit), percent: r.percent.to_string() }),
    }
}

fn yard_part(tally: &Tally) -> YardPart<'_> {
    let yard = &tally.yard;
    YardPart {
        id: &yard.id,
        name: &yard.name,
        region: &yard.region,
        currency: yard.currency.code(),
        unit: yard.unit.symbol(),
        division: yard.division.map(|division| Weight::new(division, yard.unit)),
        pays_to: yard.pays_to.map(|step| step.to_string()),
    }
}

fn price_part(tally: &Tally) -> PricePart<'_> {
    let prices = &tally.prices;
    fn row<'q>(quote: &'q Quote, reason: Option<&'static str>) -> QuoteRow<'q> {
        let price = PriceRow::new(quote.price);
        QuoteRow { grade: &quote.grade, price, date: quote.date.to_string(), origin: &quote.origin, reason }
    }
    PricePart {
        date: prices.date.to_string(),
        as_of: prices.as_of.to_string(),
        taken_down_after_date: prices.later,
        sample: prices.sample,
        quotes: prices.quotes.iter().map(|quote| row(quote, None)).collect(),
        set_aside: prices.set_aside.iter().map(|(quote, why)| row(quote, Some(why.words()))).collect(),
    }
}

fn whole_part<'a>(whole: &'a Whole, tally: &Tally) -> WholePart<'a> {
    let unsold = whole.value.as_ref().err();
    WholePart {
        line: whole.line.as_ref().map(|line| LineRow::new(line, tally.yard.unit)),
        visit_fees: digits(whole.visit_fees),
        rounding: digits(whole.rounding),
        trip_share: digits(whole.trip_share),
        value: whole.value.as_ref().ok().copied().map(digits),
        unsold: unsold.map(|reason| reason.code()),
        words: unsold.map(|reason| reason.words(Notation::Point)),
    }
}

fn balance_part(balance: &Balance, tally: &Tally) -> BalancePart {
    let verdict = match balance.verdict {
        BalanceVerdict::Closes => "closes",
        BalanceVerdict::DoesNotClose => "does-not-close",
        BalanceVerdict::CannotBeSaid(_) => "cannot-be-said",
    };
    BalancePart {
        verdict,
        words: balance.verdict.words(),
        gap: balance.gap.map(|gap| Weight::new(gap, tally.yard.unit)),
        sd_grams: balance.sd_grams.map(|sd| format!("{sd:.3}")),
        z: balance.z.map(|z| format!("{z:.2}")),
    }
}

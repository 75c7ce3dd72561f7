//! The pages of yards: a list of all, as a page and as JSON, and one with its prices.

use serde_json::{Value, json};

use super::ink::{Ink, Page};
use super::page::is_own;
use crate::market::Yard;
use crate::quantity::Price;
use crate::world::{ListedScript, World};

/// All yards, two lines each. `current` is the one in use.
pub fn list(world: &World, yards: &[ListedScript], current: &str) -> Page {
    let mut page = Page::new();
    for listed in yards {
        let mark = if listed.id == current { "* " } else { "  " };
        let head = [(Ink::Plain, mark), (Ink::Name, listed.id.as_str())];
        if let Some(why) = listed.switched_off() {
            page.line(&[head[0], head[1], (Ink::Caution, &format!("  ({why})"))]);
            continue;
        }
        match world.yard(&listed.id) {
            Ok((_, yard)) => {
                let facts =
                    format!("{}, {} per {}, prices of {}", yard.region(), yard.currency(), yard.unit(), yard.as_of());
                let own = if is_own(listed) { "  (yours)" } else { "" };
                page.line(&[head[0], head[1], (Ink::Plain, "  "), (Ink::Heading, yard.name())]);
                page.line(&[(Ink::Plain, "    "), (Ink::Plain, &facts), (Ink::Faint, own)]);
                if yard.is_sample() {
                    page.line(&[(Ink::Plain, "    "), (Ink::Caution, "sample prices, invented")]);
                }
            }
            Err(error) => {
                page.line(&[head[0], head[1], (Ink::Danger, "  cannot be read: "), (Ink::Plain, &error.to_string())])
            }
        }
    }
    page.say(Ink::Faint, "* in use; choose another with: settings yard NAME");
    page
}

/// The document `{"format":"knockdown-yards","version":1,…}`.
pub fn list_json(world: &World, yards: &[ListedScript], current: &str) -> Value {
    let row = |listed: &ListedScript| {
        let (id, own) = (&listed.id, is_own(listed));
        if let Some(why) = listed.switched_off() {
            return json!({ "id": id, "name": listed.name(), "own": own, "switched_off": why, "error": null });
        }
        match world.yard(id) {
            Ok((_, yard)) => json!({
                "id": id, "name": yard.name(), "region": yard.region(), "currency": yard.currency().code(),
                "unit": yard.unit().symbol(), "as_of": yard.as_of().to_string(), "sample": yard.is_sample(),
                "own": own, "in_use": id == current, "error": null,
            }),
            Err(error) => json!({ "id": id, "name": listed.name(), "own": own, "error": error.to_string() }),
        }
    };
    json!({ "format": "knockdown-yards", "version": 1, "yards": yards.iter().map(row).collect::<Vec<_>>() })
}

/// A yard in full: its terms and its prices.
pub fn page(world: &World, yard: &Yard) -> Page {
    let notation = world.notation(yard);
    let mut page = Page::new();
    page.line(&[(Ink::Heading, yard.name()), (Ink::Faint, &format!("  {}", yard.id()))]);
    page.say(
        Ink::Plain,
        &format!("{}, {}, weighs in {}, prices of {}", yard.region(), yard.currency(), yard.unit(), yard.as_of()),
    );
    if yard.is_sample() {
        page.say(Ink::Caution, "Sample prices: invented, not those of a real yard.");
    }
    page.say(Ink::Plain, yard.note());
    for offer in yard.offers() {
        // A charge is stored as a negative price; the word already says so, and a sign would repeat it.
        let sign = if offer.is_charge() { "charges " } else { "" };
        let price = |price: Price| price.show(notation).replacen('-', "", usize::from(offer.is_charge()));
        let tiers: Vec<String> = offer
            .tiers()
            .iter()
            .map(|tier| format!("from {} {}", tier.from.show(yard.unit(), 3, notation), price(tier.price)))
            .collect();
        let minimum = offer.minimum().map(|least| format!("at least {}", least.show(yard.unit(), 3, notation)));
        let terms: Vec<String> = tiers.into_iter().chain(minimum).collect();
        page.line(&[
            (Ink::Name, &format!("{:<28} ", offer.grade())),
            (Ink::Plain, &format!("{:<34} ", offer.name())),
            (Ink::Money, &format!("{sign}{}", price(offer.price()))),
            (Ink::Faint, &if terms.is_empty() { String::new() } else { format!("  {}", terms.join("; ")) }),
        ]);
    }
    for fee in yard.visit_fees() {
        page.line(&[
            (Ink::Plain, "Each visit: "),
            (Ink::Plain, &fee.name),
            (Ink::Money, &format!("  {}", fee.amount.show(notation))),
        ]);
    }
    page
}

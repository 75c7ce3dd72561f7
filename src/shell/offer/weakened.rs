//! What an offered script guards or warns about less than the one it replaces: the first thing to know about it.

use super::super::ink::{Ink, Page};
use crate::authoring::{AdoptionOffer, Unshown};
use crate::recipe::{Action, HazardBook};
use crate::review::annex_item;
use crate::review::guards::{Loss, Spot, Weaker};

/// The most places listed with one guard.
const MOST_SPOTS: usize = 6;

/// The guards and cautions that it weakens.
pub(super) fn page(book: &HazardBook, offer: &AdoptionOffer) -> Page {
    let mut page = Page::new();
    page.say(Ink::Danger, "IT GUARDS LESS than what it would stand in for:");
    if let Some(weakened) = offer.present.as_ref().and_then(|present| present.weakened.as_ref()) {
        weakened.weaker.iter().for_each(|weaker| guard(book, weaker, &mut page));
        for item in &weakened.unheld {
            page.line(&[
                (Ink::Danger, "  no longer to be taken out: "),
                (Ink::Plain, &format!("{} (WEEE Annex VII, {item})", annex_item(item).unwrap_or("unknown"))),
            ]);
        }
        weakened.unshown.iter().for_each(|unshown| caution(book, unshown, &mut page));
        if let Some(why) = &weakened.unknown {
            page.say(Ink::Danger, &format!("  what is there cannot be read, so the two cannot be compared: {why}"));
        }
        if weakened.in_part {
            page.say(
                Ink::Caution,
                "  Not every way through both was looked at: guards that a work asks can be missing here.",
            );
        }
    }
    for module in &offer.modules {
        for hazard in module.unnamed.iter().filter_map(|id| book.get(id)) {
            page.line(&[
                (Ink::Danger, &format!("  no longer named in the module {}: ", module.name)),
                (Ink::Danger, hazard.class.word()),
                (Ink::Plain, ": "),
                (Ink::Plain, &hazard.name),
            ]);
        }
    }
    page
}

/// A caution that a tool no longer shows.
fn caution(book: &HazardBook, unshown: &Unshown, page: &mut Page) {
    let Some(hazard) = book.get(&unshown.hazard) else { return };
    let tail = match &unshown.example {
        Some(example) => format!(" (the tool that is there shows it in its example \"{example}\")"),
        None => " (the code of the tool that is there names it)".to_owned(),
    };
    page.line(&[
        (Ink::Danger, "  no longer shown: "),
        (Ink::Danger, hazard.class.word()),
        (Ink::Plain, ": "),
        (Ink::Plain, &hazard.name),
        (Ink::Plain, &tail),
    ]);
}

fn guard(book: &HazardBook, weaker: &Weaker, page: &mut Page) {
    let (ink, head, tail) = match &weaker.loss {
        Loss::Gone(was) => (Ink::Danger, "no longer asked: ", format!(" (was asked {})", spots(was))),
        Loss::Exposed(before) => (Ink::Danger, "no longer asked before ", spots_bare(before)),
        Loss::Sometimes(before) => (Ink::Danger, "no longer asked on every way before ", spots_bare(before)),
        Loss::Moved(from, to) => (Ink::Caution, "moved: ", format!(" (was asked {}; is {})", spots(from), spots(to))),
    };
    let known = book.get(&weaker.hazard);
    let class = known.map_or(Action::Licensed, |hazard| hazard.class);
    let name = known.map_or(weaker.hazard.as_str(), |hazard| hazard.name.as_str());
    let class_ink = if class == Action::Caution { Ink::Caution } else { Ink::Danger };
    let what = [(class_ink, class.word()), (Ink::Plain, ": "), (Ink::Plain, name)];
    let head = format!("  {head}");
    let line = match weaker.loss {
        Loss::Exposed(_) | Loss::Sometimes(_) => {
            vec![(ink, head.as_str()), (Ink::Name, tail.as_str()), (ink, ": "), what[0], what[1], what[2]]
        }
        Loss::Gone(_) | Loss::Moved(..) => {
            vec![(ink, head.as_str()), what[0], what[1], what[2], (Ink::Plain, tail.as_str())]
        }
    };
    page.line(&line);
}

/// Where a guard is asked: `before everything, before step lid`.
pub(super) fn spots(spots: &[Spot]) -> String {
    format!("before {}", spots_bare(spots))
}

fn spots_bare(spots: &[Spot]) -> String {
    let mut words: Vec<String> = spots.iter().take(MOST_SPOTS).map(spot).collect();
    if spots.len() > MOST_SPOTS {
        words.push(format!("{} more", spots.len() - MOST_SPOTS));
    }
    words.join(", ")
}

fn spot(spot: &Spot) -> String {
    match spot {
        Spot::Unit => "everything".to_owned(),
        Spot::Step(id) => format!("step `{id}`"),
        Spot::StepGone(id) => format!("step `{id}`, which is gone"),
        Spot::Part(part) => format!("`{part}` comes out"),
        Spot::Item(item) => format!("{} (Annex VII, {item})", annex_item(item).unwrap_or("unknown")),
    }
}

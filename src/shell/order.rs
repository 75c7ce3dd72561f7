//! Orders that work at every question: one list for parsing, completing and explaining them.

/// An order and what it does.
pub(super) struct OrderWord {
    pub word: &'static str,
    pub takes: &'static str,
    pub does: &'static str,
}

const fn order(word: &'static str, takes: &'static str, does: &'static str) -> OrderWord {
    OrderWord { word, takes, does }
}

/// All orders.
pub(super) const ORDERS: &[OrderWord] = &[
    order("back", "", "go back one question; Enter keeps its answer"),
    order("undo", "", "take the last act back"),
    order("redo", "", "bring back what was taken back"),
    order("skip", "", "leave this step out"),
    order("stop here", "", "work no further; the rest is sold or handed on as it is"),
    order("pause", "", "lay the session aside; `resume` takes it up again"),
    order("discard", "", "the session is a mistake: set it aside, so that it counts nowhere"),
    order("note", "TEXT", "keep a remark; its words that begin with # are tags"),
    order("why", "", "why this is asked, and what hangs on it"),
    order("tally", "", "what the unit would bring as it stands"),
    order("steps", "", "all steps, and which are done"),
    order("yard", "NAME", "value at another yard from here on"),
    order("quote", "GRADE PRICE", "enter a price that the yard told you"),
    order("mix", "PART, PART", "parts went into one container and stay together"),
    order("reread", "", "read the recipe again after you edited it"),
    order("?", "", "this list"),
];

/// The order that a line gives.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) enum Order {
    Back,
    Undo,
    Redo,
    Skip,
    Stop,
    Pause,
    Discard,
    Note(String),
    Why,
    Tally,
    Steps,
    Yard(String),
    Quote(String),
    Mix(String),
    Reread,
    Help,
}

/// Parses a line as an order. `None` if it is an answer. A line that begins with `=` is always an answer.
pub(super) fn read(line: &str) -> Option<Order> {
    let line = line.trim();
    let (word, rest) = line.split_once(char::is_whitespace).map_or((line, ""), |(word, rest)| (word, rest.trim()));
    let with_rest = !rest.is_empty();
    match (word.to_lowercase().as_str(), with_rest) {
        ("back", false) => Some(Order::Back),
        ("undo", false) => Some(Order::Undo),
        ("redo", false) => Some(Order::Redo),
        ("skip", false) => Some(Order::Skip),
        ("stop", false) => Some(Order::Stop),
        ("stop", true) if rest.eq_ignore_ascii_case("here") => Some(Order::Stop),
        ("pause" | "quit" | "exit", false) => Some(Order::Pause),
        ("discard", false) => Some(Order::Discard),
        ("why", false) => Some(Order::Why),
        ("tally", false) => Some(Order::Tally),
        ("steps", false) => Some(Order::Steps),
        ("reread", false) => Some(Order::Reread),
        ("?" | "help", false) => Some(Order::Help),
        ("note", _) => Some(Order::Note(rest.to_owned())),
        ("yard", true) => Some(Order::Yard(rest.to_owned())),
        ("quote", true) => Some(Order::Quote(rest.to_owned())),
        ("mix", true) => Some(Order::Mix(rest.to_owned())),
        _ => None,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn orders_are_told_from_answers() {
        assert_eq!(read(" stop here "), Some(Order::Stop));
        assert_eq!(read("note left bolt was stripped"), Some(Order::Note("left bolt was stripped".into())));
        assert_eq!(read("mix a, b c"), Some(Order::Mix("a, b c".into())));
        for answer in ["3.6 kg", "skip it", "yard", "back to front", "copper", "= skip", ""] {
            assert_eq!(read(answer), None, "{answer:?}");
        }
    }

    #[test]
    fn every_listed_order_is_read() {
        for order in ORDERS {
            let line = if order.takes.is_empty() { order.word.to_owned() } else { format!("{} x", order.word) };
            assert!(read(&line).is_some(), "{line}");
        }
    }
}

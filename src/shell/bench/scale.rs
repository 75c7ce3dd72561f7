//! Reads the connected scale instead of a typed weight: the reading is shown live and taken when stable; if the scale
//! fails, the user types the weight.

use std::io::{self, Write};
use std::time::Duration;

use crossterm::event::{self, Event, KeyCode, KeyEventKind};
use crossterm::terminal;

use crate::bench::{Ask, Question};
use crate::quantity::Notation;
use crate::scale::{ScaleAmount, ScaleRefusal, Sight, State};
use crate::sessions::{OnScale, ScaleOrder, ScaleReading, Session};
use crate::shell::ink::Ink;
use crate::shell::terminal::Terminal;

/// The longest that one poll of the scale may take.
const LOOK: Duration = Duration::from_millis(100);

/// What a line asks of the scale.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) enum Wanted {
    /// Its reading, minus what follows the minus sign: `scale`, `scale - bucket`.
    Reading(String),
    /// Tare the empty container on the scale.
    Tare,
    /// Zero it.
    Zero,
}

/// Parses a line at a weight question as a request to the scale. An empty line is a request if a scale is set up and
/// Enter has no other answer.
pub(super) fn wanted(terminal: &Terminal, question: &Question, text: &str, default: Option<&str>) -> Option<Wanted> {
    if !matches!(question.ask, Ask::Weight { .. }) {
        return None;
    }
    let text = text.trim();
    if text.is_empty() {
        let enters = default.is_none() && terminal.world.scale().is_ok_and(|setup| setup.is_some());
        return enters.then(|| Wanted::Reading(String::new()));
    }
    let word = text.get(..5).filter(|word| word.eq_ignore_ascii_case("scale"))?;
    match text[word.len()..].trim() {
        "" => Some(Wanted::Reading(String::new())),
        "tare" => Some(Wanted::Tare),
        "zero" => Some(Wanted::Zero),
        less if less.starts_with('-') => Some(Wanted::Reading(less.to_owned())),
        _ => None,
    }
}

/// Carries out a request; returns the text of a weight as the user would have typed it, if there is one. Any failure is
/// reported, and the question stays open: the weight can be typed.
pub(super) fn weigh(
    terminal: &Terminal,
    session: &Session<'_>,
    wanted: &Wanted,
    tare: &mut Option<String>,
) -> Option<String> {
    let mut reading = match terminal.world.read_scale() {
        Ok(reading) => reading,
        Err(error) => return type_it(terminal, &format!("No reading: {error}")),
    };
    let notation = session.valuation().notation;
    match wanted {
        Wanted::Zero => {
            order(terminal, &mut reading, ScaleOrder::Zero, "Zeroed.");
            *tare = None;
            None
        }
        Wanted::Tare => {
            match order(terminal, &mut reading, ScaleOrder::Tare, "Tared by the scale: it shows the net from here on.")
            {
                Ordered::Done | Ordered::Failed => None,
                Ordered::NoOrders => {
                    let container = live(terminal, &mut reading, notation)?.show(notation);
                    terminal
                        .say(Ink::Plain, &format!("Container: {container}. The next reading here counts less that."));
                    *tare = Some(container);
                    None
                }
            }
        }
        Wanted::Reading(less) => {
            let gross = live(terminal, &mut reading, notation)?.show(notation);
            let less = match tare.take() {
                Some(container) if less.is_empty() => format!("- {container}"),
                _ => less.clone(),
            };
            Some(if less.is_empty() { gross } else { format!("{gross} {less}") })
        }
    }
}

/// The result of an order to the scale.
enum Ordered {
    Done,
    Failed,
    NoOrders,
}

fn order(terminal: &Terminal, reading: &mut ScaleReading, order: ScaleOrder, done: &str) -> Ordered {
    match reading.order(order) {
        Ok(true) => {
            terminal.say(Ink::Plain, done);
            Ordered::Done
        }
        Ok(false) => {
            if order == ScaleOrder::Zero {
                terminal.say(Ink::Caution, "This scale takes no orders: press its own key for zero.");
            }
            Ordered::NoOrders
        }
        Err(error) => {
            type_it(terminal, &error.to_string());
            Ordered::Failed
        }
    }
}

/// Says what went wrong, and that the weight can be typed.
fn type_it(terminal: &Terminal, what: &str) -> Option<String> {
    terminal.say(Ink::Caution, &format!("{what}. Type the weight, or try `scale` again."));
    None
}

/// Shows the scale's reading until it is stable. A key stops that.
fn live(terminal: &Terminal, reading: &mut ScaleReading, notation: Notation) -> Option<ScaleAmount> {
    let mut screen = Screen::new(terminal);
    let said = loop {
        match reading.step(LOOK) {
            OnScale::Waits(sight) => {
                if let Some(sight) = sight {
                    screen.show(&words(sight, notation));
                }
                if screen.stopped() {
                    break Err("Nothing is taken".to_owned());
                }
            }
            OnScale::Takes(amount) => break Ok(amount),
            OnScale::Refuses(refusal) => break Err(why(refusal, notation)),
            OnScale::Gone(error) => break Err(format!("The scale is gone ({error})")),
        }
    };
    drop(screen);
    match said {
        Ok(amount) => {
            terminal.say(Ink::Figure, &format!("  scale: {}", amount.show(notation)));
            Some(amount)
        }
        Err(what) => {
            type_it(terminal, &what);
            None
        }
    }
}

fn words(sight: Sight, notation: Notation) -> String {
    let state = match sight.state {
        State::Stable => "at rest",
        State::Moving => "moving",
        State::Unsaid => "settling",
        State::Over => "too much on it",
        State::Under => "below zero",
        State::Busy => "busy",
        State::Done => "done",
        State::Fault => "fault",
    };
    match sight.amount {
        Some(amount) if amount.value.is_zero() => format!("scale: {}, put it on", amount.show(notation)),
        Some(amount) => format!("scale: {}, {state}", amount.show(notation)),
        None => format!("scale: {state}"),
    }
}

fn why(refusal: ScaleRefusal, notation: Notation) -> String {
    match refusal {
        ScaleRefusal::Overload => {
            "The scale is overloaded: take it off at once. Weigh it in parts, such as 1.2 + 0.4".to_owned()
        }
        ScaleRefusal::BelowZero(amount) => {
            let shown = amount.map_or(String::new(), |amount| format!(" ({})", amount.show(notation)));
            format!("The scale shows less than nothing{shown}: empty it and zero it, `scale zero` or its own key")
        }
        ScaleRefusal::Fault => "The scale reports a fault, or a unit that is not read here".to_owned(),
        ScaleRefusal::Restless => {
            "The scale does not come to rest: no draught, nothing touching, firm ground".to_owned()
        }
        ScaleRefusal::Empty => "Nothing was put on the scale".to_owned(),
        ScaleRefusal::Silent => {
            "The scale says nothing that can be read: is it on, and do speed, frame and pattern suit?".to_owned()
        }
    }
}

/// Shows the live reading: overwritten in one line or, in plain mode, one line per change.
struct Screen<'f> {
    terminal: &'f Terminal,
    last: String,
    drawn: bool,
}

impl<'f> Screen<'f> {
    fn new(terminal: &'f Terminal) -> Screen<'f> {
        if terminal.edits() {
            terminal.say(Ink::Faint, "  any key stops the reading");
            let _keys_unread = terminal::enable_raw_mode();
        }
        Screen { terminal, last: String::new(), drawn: false }
    }

    fn show(&mut self, text: &str) {
        if self.last == text {
            return;
        }
        text.clone_into(&mut self.last);
        if !self.terminal.edits() {
            self.terminal.say(Ink::Faint, &format!("  {text}"));
            return;
        }
        let room = self.terminal.width().saturating_sub(1);
        let line: String = format!("  {text}").chars().take(room).collect();
        self.terminal.put(&format!("\r\x1b[K{line}"));
        self.drawn = true;
    }

    /// Whether a key was pressed.
    fn stopped(&self) -> bool {
        if !self.terminal.edits() {
            return false;
        }
        let mut stopped = false;
        while event::poll(Duration::ZERO).unwrap_or(false) {
            stopped |= matches!(event::read(), Ok(Event::Key(key))
                if key.kind == KeyEventKind::Press && !matches!(key.code, KeyCode::Modifier(_)));
        }
        stopped
    }
}

impl Drop for Screen<'_> {
    fn drop(&mut self) {
        if self.terminal.edits() {
            let _cooked_already = terminal::disable_raw_mode();
        }
        if self.drawn {
            self.terminal.put("\r\x1b[K");
        }
        let _gone = io::stdout().flush();
    }
}

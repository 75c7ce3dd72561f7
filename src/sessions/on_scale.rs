//! One reading of the connected scale, from request to result.

use std::io;
use std::time::{Duration, Instant};

use crate::port::{self, PortLink};
use crate::scale::{ScaleAmount, ScaleRefusal, ScaleVerdict, ScaleWatch, Setup, Sight, State, Talk};
use crate::world::{AppError, World};

/// Polling interval of a scale that must be asked.
const ASKED_EVERY: Duration = Duration::from_millis(250);
/// Time limit for the scale to carry out an order.
const CARRIED_OUT: Duration = Duration::from_secs(5);

/// The outcome of one wait.
#[derive(Debug)]
pub enum OnScale {
    /// Nothing yet; what the display shows, if new.
    Waits(Option<Sight>),
    /// This stable weight.
    Takes(ScaleAmount),
    /// No weight, and why.
    Refuses(ScaleRefusal),
    /// The scale is disconnected.
    Gone(io::Error),
}

/// Orders that a scale may accept.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum ScaleOrder {
    /// Set the current reading to zero.
    Zero,
    /// Tare the container on it.
    Tare,
}

/// A scale that is being read.
pub struct ScaleReading {
    talk: Talk,
    link: Box<dyn PortLink>,
    watch: ScaleWatch,
    begun: Instant,
    asked: Option<Instant>,
    /// How many bytes to read at a time.
    portion: usize,
}

impl World {
    /// Begins a reading of the connected scale.
    ///
    /// # Errors
    /// No scale is set up, its settings are invalid, or its port cannot be opened.
    pub fn read_scale(&self) -> Result<ScaleReading, AppError> {
        let Some(setup) = self.scale()? else {
            return Err(AppError::Refused(
                "no scale is set up; `settings scale.kind commands` (or lines, or usb) and `settings scale.port PORT` do"
                    .into(),
            ));
        };
        let link = port::open(&setup).map_err(|error| not_opened(&setup, &error))?;
        let (watch, begun) = (ScaleWatch::default(), Instant::now());
        let portion = setup.portion();
        Ok(ScaleReading { talk: Talk::new(setup), link, watch, begun, asked: None, portion })
    }
}

fn not_opened(setup: &Setup, error: &io::Error) -> AppError {
    let hint = match error.kind() {
        io::ErrorKind::NotFound => "is it plugged in, and is this its port?",
        io::ErrorKind::PermissionDenied => "you may not use it: on Linux, join the group that owns it",
        _ => "does another program use it?",
    };
    AppError::Refused(format!("the scale at {} cannot be opened: {error}; {hint}", setup.port))
}

impl ScaleReading {
    /// Waits for at most `wait` and reports the outcome.
    pub fn step(&mut self, wait: Duration) -> OnScale {
        match self.ask_and_hear(wait) {
            Err(error) => OnScale::Gone(error),
            Ok(sights) => {
                let mut shown = None;
                for sight in sights.into_iter().filter(|sight| sight.state != State::Done) {
                    shown = Some(sight);
                    match self.watch.see(sight, self.begun.elapsed()) {
                        ScaleVerdict::Wait => {}
                        verdict => return said(verdict, shown),
                    }
                }
                said(self.watch.at(self.begun.elapsed()), shown)
            }
        }
    }

    /// Sends the scale an order. `false` if it takes no such orders.
    ///
    /// # Errors
    /// It did not carry out the order, or is disconnected.
    pub fn order(&mut self, order: ScaleOrder) -> Result<bool, AppError> {
        let (text, what) = match order {
            ScaleOrder::Zero => (self.talk.zero(), "zero itself"),
            ScaleOrder::Tare => (self.talk.tare(), "tare"),
        };
        let Some(text) = text else { return Ok(false) };
        let refused = |why: &str| AppError::Refused(format!("the scale did not {what}: {why}"));
        let gone = |error: io::Error| refused(&format!("it is gone ({error})"));
        self.link.send(text).map_err(gone)?;
        let ordered = Instant::now();
        while ordered.elapsed() < CARRIED_OUT {
            for sight in self.hear(Duration::from_millis(100)).map_err(gone)? {
                match sight.state {
                    State::Done => return Ok(true),
                    State::Busy => return Err(refused("it cannot just now; let it come to rest")),
                    State::Over | State::Under => return Err(refused("what lies on it is out of its range for that")),
                    State::Fault => return Err(refused("it does not know the order")),
                    _ => {}
                }
            }
        }
        Err(refused("it does not answer"))
    }

    /// Polls the scale if due, and receives what arrives within `wait`.
    fn ask_and_hear(&mut self, wait: Duration) -> io::Result<Vec<Sight>> {
        let due = self.asked.is_none_or(|asked| asked.elapsed() >= ASKED_EVERY);
        if let Some(question) = self.talk.question().filter(|_| due) {
            self.link.send(question)?;
            self.asked = Some(Instant::now());
        }
        self.hear(wait)
    }

    fn hear(&mut self, wait: Duration) -> io::Result<Vec<Sight>> {
        let bytes = self.link.receive(self.portion, wait)?;
        Ok(if bytes.is_empty() { Vec::new() } else { self.talk.hear(&bytes) })
    }
}

fn said(verdict: ScaleVerdict, shown: Option<Sight>) -> OnScale {
    match verdict {
        ScaleVerdict::Wait => OnScale::Waits(shown),
        ScaleVerdict::Take(amount) => OnScale::Takes(amount),
        ScaleVerdict::Refuse(refusal) => OnScale::Refuses(refusal),
    }
}

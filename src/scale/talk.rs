//! The conversation with a scale: what to send, and what the received bytes mean.

use super::setup::{ScaleKind, Setup};
use super::{Sight, commands, report};

/// The longest line accepted; more without a line end is noise, as from a wrong speed.
const LONGEST: usize = 200;

/// Turns received bytes into sights.
#[derive(Debug, Clone)]
pub struct Talk {
    setup: Setup,
    begun: Vec<u8>,
}

impl Talk {
    /// Nothing has arrived yet.
    #[must_use]
    pub fn new(setup: Setup) -> Talk {
        Talk { setup, begun: Vec::new() }
    }

    /// What requests the scale's weight; `None` if it sends unasked.
    #[must_use]
    pub fn question(&self) -> Option<&str> {
        match self.setup.kind {
            ScaleKind::Commands => Some(commands::WEIGHT),
            ScaleKind::Lines => self.setup.ask.as_deref(),
            ScaleKind::Usb => None,
        }
    }

    /// What zeroes the scale, if it takes orders.
    #[must_use]
    pub fn zero(&self) -> Option<&'static str> {
        (self.setup.kind == ScaleKind::Commands).then_some(commands::ZERO)
    }

    /// What tares the scale, if it takes orders.
    #[must_use]
    pub fn tare(&self) -> Option<&'static str> {
        (self.setup.kind == ScaleKind::Commands).then_some(commands::TARE)
    }

    /// The meaning of these bytes, in order. An incomplete line is kept until its end arrives.
    pub fn hear(&mut self, bytes: &[u8]) -> Vec<Sight> {
        if self.setup.kind == ScaleKind::Usb {
            return report::sight(bytes).into_iter().collect();
        }
        let mut sights = Vec::new();
        for &byte in bytes {
            if byte != b'\n' && byte != b'\r' {
                self.begun.push(byte);
                if self.begun.len() > LONGEST {
                    self.begun.clear();
                }
                continue;
            }
            let line = String::from_utf8_lossy(&self.begun);
            let line = line.trim_matches(|c: char| c.is_control());
            if !line.is_empty() {
                sights.extend(match self.setup.kind {
                    ScaleKind::Commands => commands::sight(line),
                    _ => self.setup.pattern.sight(line, &self.setup.words, self.setup.unit),
                });
            }
            self.begun.clear();
        }
        sights
    }
}

#[cfg(test)]
mod tests {
    use std::collections::BTreeMap;

    use super::*;
    use crate::scale::State;

    fn talk(pairs: &[(&str, &str)]) -> Talk {
        let settings: BTreeMap<String, String> =
            pairs.iter().chain(&[("port", "x")]).map(|(key, value)| ((*key).to_owned(), (*value).to_owned())).collect();
        Talk::new(Setup::read(&settings).unwrap().unwrap())
    }

    #[test]
    fn lines_that_arrive_in_pieces() {
        let mut talk = talk(&[("kind", "lines")]);
        assert!(talk.hear(b"6 kg\r\n 3.6").len() == 1);
        assert!(talk.hear(b"00 k").is_empty());
        let sights = talk.hear(b"g\r\n\r\n3.601 kg\n");
        assert_eq!(sights.len(), 2);
        assert_eq!(sights[0].amount.unwrap().value.to_string(), "3.600");
        assert_eq!(talk.question(), None);
    }

    #[test]
    fn noise_is_no_weight() {
        let mut talk = talk(&[("kind", "commands")]);
        assert!(talk.hear(&[0xFF; 1000]).is_empty());
        assert!(talk.hear(b"\r\n").is_empty());
        assert_eq!(talk.hear(b"S +\r\n"), [Sight::bare(State::Over)]);
        assert_eq!((talk.question(), talk.zero()), (Some("SI\r\n"), Some("Z\r\n")));
    }
}

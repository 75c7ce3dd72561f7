//! Which scale is connected, and its protocol: read from the user's settings.

use std::collections::BTreeMap;

use super::lines::{Pattern, Words};
use super::report;
use crate::quantity::MassUnit;

/// The protocol of a scale.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum ScaleKind {
    /// The standard interface command set.
    Commands,
    /// Lines of text.
    Lines,
    /// USB data reports.
    Usb,
}

/// The parity bit of a serial line.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Parity {
    /// None.
    None,
    /// Even.
    Even,
    /// Odd.
    Odd,
}

/// The character format of a serial line: `8N1`.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Frame {
    /// Data bits, 7 or 8.
    pub bits: u8,
    /// The parity bit.
    pub parity: Parity,
    /// Stop bits, 1 or 2.
    pub stops: u8,
}

/// A scale as described by the settings.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Setup {
    /// Its protocol.
    pub kind: ScaleKind,
    /// Where it is connected: `/dev/ttyUSB0`, `COM3`, `/dev/hidraw0`.
    pub port: String,
    /// Bits per second of a serial line.
    pub speed: u32,
    /// The character format of a serial line.
    pub frame: Frame,
    /// What requests a weight from a scale of [`ScaleKind::Lines`]; `None` if it sends unasked.
    pub ask: Option<String>,
    pub(super) pattern: Pattern,
    pub(super) words: Words,
    pub(super) unit: Option<MassUnit>,
}

/// The settings of a scale, each with its meaning.
pub const KEYS: [(&str, &str); 11] = [
    ("kind", "commands, lines or usb"),
    ("port", "where it is connected, such as /dev/ttyUSB0, COM3 or /dev/hidraw0"),
    ("speed", "bits per second of a serial line; 9600 unless said"),
    ("frame", "data bits, parity and stop bits of a serial line; 8N1 unless said"),
    ("pattern", "what a line looks like, such as {state},{skip},{weight} {unit}"),
    ("unit", "the unit of lines that name none"),
    ("stable", "words that say it rests, such as ST"),
    ("moving", "words that say it moves, such as US"),
    ("over", "words that say more lies on it than it can weigh, such as OL"),
    ("under", "words that say it stands below zero"),
    ("ask", "what asks it for a weight, such as P\\r\\n; without it, it is listened to"),
];

impl Setup {
    /// How many bytes to read at a time: one report of a USB scale, otherwise whatever is available.
    #[must_use]
    pub fn portion(&self) -> usize {
        if self.kind == ScaleKind::Usb { report::LENGTH } else { 256 }
    }

    /// Reads the settings of a scale; `None` if there are none.
    ///
    /// # Errors
    /// An unknown key or invalid value, and what to write.
    pub fn read(settings: &BTreeMap<String, String>) -> Result<Option<Setup>, String> {
        if settings.is_empty() {
            return Ok(None);
        }
        settings.iter().try_for_each(|(key, value)| check(key, value))?;
        let text = |key: &str| settings.get(key).map(String::as_str);
        let need = |key: &str| {
            let says = KEYS.iter().find(|(known, _)| *known == key).map_or("", |(_, says)| says);
            text(key).ok_or_else(|| format!("scale.{key} is missing: {says}"))
        };
        let words = |key: &str| text(key).unwrap_or("").split_whitespace().map(str::to_owned).collect::<Vec<_>>();
        Ok(Some(Setup {
            kind: kind(need("kind")?)?,
            port: need("port")?.to_owned(),
            speed: text("speed").map_or(Ok(9600), speed)?,
            frame: frame(text("frame").unwrap_or("8N1"))?,
            ask: text("ask").map(unescape),
            pattern: Pattern::read(text("pattern").unwrap_or("{weight} {unit}"))?,
            words: Words {
                stable: words("stable"),
                moving: words("moving"),
                over: words("over"),
                under: words("under"),
            },
            unit: text("unit").map(unit).transpose()?,
        }))
    }
}

/// Rejects a setting that could not be used, whatever the others are.
///
/// # Errors
/// What is invalid, and what to write.
pub fn check(key: &str, value: &str) -> Result<(), String> {
    match key {
        "kind" => kind(value).map(drop),
        "speed" => speed(value).map(drop),
        "frame" => frame(value).map(drop),
        "pattern" => Pattern::read(value).map(drop),
        "unit" => unit(value).map(drop),
        "port" if value.trim().is_empty() || value.contains(char::is_control) => {
            Err(format!("{value:?} is no port; write such as /dev/ttyUSB0 or COM3"))
        }
        _ if KEYS.iter().any(|(known, _)| *known == key) => Ok(()),
        _ => {
            let known: Vec<&str> = KEYS.iter().map(|(known, _)| *known).collect();
            Err(format!("a scale has no {key:?}; it has {}", known.join(", ")))
        }
    }
}

fn kind(text: &str) -> Result<ScaleKind, String> {
    match text {
        "commands" => Ok(ScaleKind::Commands),
        "lines" => Ok(ScaleKind::Lines),
        "usb" => Ok(ScaleKind::Usb),
        _ => Err(format!("{text:?} is no kind of scale; write commands, lines or usb")),
    }
}

fn speed(text: &str) -> Result<u32, String> {
    let speed = text.parse().ok().filter(|speed| (50..=4_000_000).contains(speed));
    speed.ok_or_else(|| format!("{text:?} is no speed; write bits per second, such as 9600"))
}

fn frame(text: &str) -> Result<Frame, String> {
    let frame = || {
        let [bits, parity, stops] = text.as_bytes() else { return None };
        let parity = match parity.to_ascii_uppercase() {
            b'N' => Parity::None,
            b'E' => Parity::Even,
            b'O' => Parity::Odd,
            _ => return None,
        };
        let bits = matches!(bits, b'7' | b'8').then(|| bits - b'0')?;
        let stops = matches!(stops, b'1' | b'2').then(|| stops - b'0')?;
        Some(Frame { bits, parity, stops })
    };
    frame().ok_or_else(|| format!("{text:?} is no frame; write data bits, parity and stop bits, such as 8N1 or 7E1"))
}

fn unit(text: &str) -> Result<MassUnit, String> {
    text.parse().map_err(|error| format!("{text:?} is no unit: {error}"))
}

/// Decodes `\r`, `\n` and `\\` as written in settings.
fn unescape(text: &str) -> String {
    let mut out = String::new();
    let mut chars = text.chars();
    while let Some(c) = chars.next() {
        match c {
            '\\' => match chars.next() {
                Some('r') => out.push('\r'),
                Some('n') => out.push('\n'),
                Some(other) => out.push(other),
                None => out.push('\\'),
            },
            other => out.push(other),
        }
    }
    out
}

#[cfg(test)]
mod tests {
    use super::*;

    fn settings(pairs: &[(&str, &str)]) -> BTreeMap<String, String> {
        pairs.iter().map(|(key, value)| ((*key).to_owned(), (*value).to_owned())).collect()
    }

    #[test]
    fn a_scale_needs_a_kind_and_a_port() {
        assert_eq!(Setup::read(&settings(&[])), Ok(None));
        let message = Setup::read(&settings(&[("kind", "usb")])).unwrap_err();
        assert!(message.contains("scale.port is missing"), "{message}");
        let setup =
            Setup::read(&settings(&[("kind", "lines"), ("port", "COM3"), ("frame", "7e1"), ("ask", "P\\r\\n")]));
        let setup = setup.unwrap().unwrap();
        assert_eq!((setup.speed, setup.ask.as_deref()), (9600, Some("P\r\n")));
        assert_eq!(setup.frame, Frame { bits: 7, parity: Parity::Even, stops: 1 });
    }

    #[test]
    fn what_does_not_suit_is_named() {
        for (key, value, said) in [
            ("kind", "modem", "commands, lines or usb"),
            ("speed", "fast", "9600"),
            ("speed", "10", "9600"),
            ("frame", "9N1", "8N1"),
            ("pattern", "{weigt}", "{weigt}"),
            ("unit", "ton", "ton"),
            ("port", " ", "no port"),
            ("colour", "red", "it has kind"),
        ] {
            let message = Setup::read(&settings(&[("kind", "lines"), ("port", "x"), (key, value)])).unwrap_err();
            assert!(message.contains(said), "{key}: {message}");
        }
    }
}

//! Recorded reports of a USB scale, from a file and from a pipe with a name.

use std::fs::OpenOptions;
use std::io::Write;
use std::process::Command;
use std::thread;
use std::time::Duration;

use super::{Place, assert_shows};

/// Nothing on it; in motion; 6 kg at rest, in grams: data reports of the usage tables, number 3.
const ZERO: [u8; 6] = [3, 2, 2, 0, 0, 0];
const MOVING: [u8; 6] = [3, 3, 2, 0, 0xDC, 0x05];
const SIX_KILOGRAMS: [u8; 6] = [3, 4, 2, 0, 0x70, 0x17];
const OVER: [u8; 6] = [3, 6, 2, 0, 0, 0];

#[test]
fn reports_from_a_recording() {
    let place = Place::new("fixed-yard", &[("kind", "usb"), ("port", "recording")]);
    let recording = [ZERO, MOVING, SIX_KILOGRAMS, SIX_KILOGRAMS].concat();
    let path = place.home().join("recording");
    std::fs::write(&path, recording).unwrap();
    let config = std::fs::read_to_string(place.home().join("config.toml")).unwrap();
    let config = config.replace("\"recording\"", &format!("{:?}", path.to_str().unwrap()));
    std::fs::write(place.home().join("config.toml"), config).unwrap();
    let shown = place.work(&["scale", "pause"]);
    assert_shows(&shown, &["scale: 0 g, put it on", "scale: 1500 g, moving", "scale: 6000 g", "= 6 kg"]);
    assert_eq!(place.entry("unit/intake"), ("6000 g".into(), Some("scale".into())));
}

/// A pipe with a name, to which these reports are written a while apart; then its end is closed, as by unplugging.
fn pipe(reports: Vec<[u8; 6]>) -> (tempfile::TempDir, String) {
    let dir = tempfile::tempdir().unwrap();
    let path = dir.path().join("hidraw0");
    assert!(Command::new("mkfifo").arg(&path).status().unwrap().success());
    let end = path.clone();
    thread::spawn(move || {
        let mut pipe = OpenOptions::new().write(true).open(end).unwrap();
        for report in reports {
            if pipe.write_all(&report).is_err() {
                return;
            }
            thread::sleep(Duration::from_millis(80));
        }
    });
    let path = path.to_str().unwrap().to_owned();
    (dir, path)
}

#[test]
fn reports_as_they_come() {
    let (_dir, port) = pipe([vec![ZERO; 5], vec![MOVING; 3], vec![SIX_KILOGRAMS; 20]].concat());
    let place = Place::new("fixed-yard", &[("kind", "usb"), ("port", &port)]);
    assert_shows(&place.work(&["scale", "pause"]), &["scale: 6000 g", "= 6 kg"]);
}

#[test]
fn unplugged_and_overloaded() {
    let (_dir, port) = pipe(vec![MOVING; 4]);
    let place = Place::new("fixed-yard", &[("kind", "usb"), ("port", &port)]);
    assert_shows(&place.work(&["scale", "6 kg", "pause"]), &["The scale is gone", "= 6 kg"]);
    let (_dir, port) = pipe(vec![OVER; 30]);
    let place = Place::new("fixed-yard", &[("kind", "usb"), ("port", &port)]);
    assert_shows(&place.work(&["scale", "6 kg", "pause"]), &["The scale is overloaded", "= 6 kg"]);
}

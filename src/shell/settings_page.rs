//! The page of the user's settings.

use super::ink::{Ink, Page};
use crate::store::config::KEYS;
use crate::world::World;

/// All settings with their values, and the file that holds them.
pub fn page(world: &World) -> Page {
    let config = &world.config;
    let decimal = config.decimal.map(|mark| format!("{mark:?}").to_lowercase());
    let color = config.color.map(|when| format!("{when:?}").to_lowercase());
    let plain = config.plain.map(|plain| plain.to_string());
    let values = [
        ("yard", &config.yard),
        ("unit", &config.unit),
        ("decimal", &decimal),
        ("scale_division", &config.scale_division),
        ("person", &config.person),
        ("floor_per_hour", &config.floor_per_hour),
        ("color", &color),
        ("plain", &plain),
        ("cost_per_km", &config.cost_per_km),
    ];
    let mut page = Page::new();
    page.line(&[(Ink::Faint, "in "), (Ink::Faint, &world.home.config_file().display().to_string())]);
    for (key, value) in values.iter().filter(|(key, _)| KEYS.contains(key)) {
        match value {
            Some(value) => page.line(&[(Ink::Name, &format!("{key:<16} ")), (Ink::Plain, value)]),
            None => page.line(&[(Ink::Name, &format!("{key:<16} ")), (Ink::Faint, "not set")]),
        }
    }
    for (name, weight) in &config.containers {
        page.line(&[(Ink::Name, &format!("container {name}: ")), (Ink::Figure, weight)]);
    }
    for (yard, trip) in &config.trips {
        page.line(&[(Ink::Name, &format!("trip to {yard}: ")), (Ink::Figure, trip)]);
    }
    for (pair, rate) in &config.rates {
        page.line(&[(Ink::Name, &format!("rate {pair}: ")), (Ink::Figure, rate)]);
    }
    for (part, value) in &config.scale {
        page.line(&[(Ink::Name, &format!("scale {part}: ")), (Ink::Plain, value)]);
    }
    page
}

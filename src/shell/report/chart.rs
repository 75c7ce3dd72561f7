//! Charts as inline SVG. Each is next to a table or list with the same content in words.

use rust_decimal::Decimal;
use rust_decimal::prelude::ToPrimitive;

use super::html::Html;
use crate::quantity::{Mass, MassUnit, Money, Notation};

/// The most segments of a bar; the rest is pooled.
const SEGMENTS: usize = 8;

/// A segment: name, weight, share of the total in per cent.
struct Segment {
    name: String,
    mass: Mass,
    share: f64,
}

fn segments(masses: &[(String, Mass, bool)]) -> Vec<Segment> {
    let total = Mass::sum(masses.iter().map(|(_, mass, _)| *mass)).unwrap_or(Mass::ZERO);
    let share = |mass: Mass| {
        let share = (mass.grams() * Decimal::ONE_HUNDRED).checked_div(total.grams());
        share.and_then(|share| share.to_f64()).unwrap_or(0.0)
    };
    let named = if masses.len() > SEGMENTS { SEGMENTS - 1 } else { masses.len() };
    let segment = |name: &str, mass| Segment { name: name.to_owned(), mass, share: share(mass) };
    let mut all: Vec<Segment> = masses[..named].iter().map(|(name, mass, _)| segment(name, *mass)).collect();
    if named < masses.len() {
        let rest = Mass::sum(masses[named..].iter().map(|(_, mass, _)| *mass)).unwrap_or(Mass::ZERO);
        all.push(segment(&format!("{} lighter ones", masses.len() - named), rest));
    }
    all
}

/// One bar of all weights, heaviest first, with its legend.
pub(super) fn mass_bar(masses: &[(String, Mass, bool)], unit: MassUnit, notation: Notation, html: &mut Html) {
    let segments = segments(masses);
    if segments.is_empty() {
        return;
    }
    html.raw("<figure><svg viewBox=\"0 0 1000 40\" preserveAspectRatio=\"none\" role=\"img\" aria-label=\"Weights as one bar; the list below says the same\">\n");
    let mut at = 0.0;
    for (place, segment) in segments.iter().enumerate() {
        let wide = segment.share * 10.0;
        let seen = (wide - 2.0).max(0.5);
        html.raw(&format!("<rect class=\"c{place}\" x=\"{at:.1}\" y=\"0\" width=\"{seen:.1}\" height=\"40\"/>\n"));
        at += wide;
    }
    html.raw("</svg>\n<ul class=\"legend\">\n");
    for (place, segment) in segments.iter().enumerate() {
        let share = Decimal::try_from(segment.share).unwrap_or_default().round_dp(1);
        let mass = segment.mass.show_friendly(unit, notation);
        html.raw(&format!("<li><span class=\"swatch c{place}\"></span>"));
        html.text(&format!("{} {mass}, {} %", segment.name, notation.show(share))).raw("</li>\n");
    }
    html.raw("</ul></figure>\n");
}

/// A bar from zero to an amount, on a scale shared by all bars of a table.
pub(super) fn amount_bar(amount: Option<Money>, all: &[Option<Money>], html: &mut Html) {
    let value = |money: &Money| money.amount().to_f64().unwrap_or(0.0);
    let values: Vec<f64> = all.iter().flatten().map(value).collect();
    let low = values.iter().copied().fold(0.0, f64::min);
    let high = values.iter().copied().fold(0.0, f64::max);
    let Some(amount) = amount.as_ref().map(value).filter(|_| high > low) else { return };
    let place = |value: f64| (value - low) / (high - low) * 200.0;
    let (from, to) = (place(amount.min(0.0)), place(amount.max(0.0)));
    let (zero, wide) = (place(0.0), (to - from).max(0.5));
    let class = if amount < 0.0 { "loss" } else { "gain" };
    html.raw(&format!(
        "<svg class=\"bar\" viewBox=\"0 0 200 12\" preserveAspectRatio=\"none\" aria-hidden=\"true\">\
         <rect class=\"{class}\" x=\"{from:.1}\" y=\"1\" width=\"{wide:.1}\" height=\"10\"/>\
         <line class=\"zero\" x1=\"{zero:.1}\" y1=\"0\" x2=\"{zero:.1}\" y2=\"12\"/></svg>"
    ));
}

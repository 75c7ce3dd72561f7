//! README's picture of the bench: a real screen of 80 columns and 24 lines, drawn as SVG, so that it stays true.

use std::fmt::Write;
use std::path::Path;

use vt100::{Cell, Color};

use crate::terminal::screen::Place;

/// The size of a character cell, in pixels.
const CELL: (u16, u16) = (9, 18);

/// The sixteen colours of a terminal, on a dark ground.
const COLOURS: [&str; 16] = [
    "#3b4252", "#e06c75", "#98c379", "#e5c07b", "#61afef", "#c678dd", "#56b6c2", "#d8dee9", "#7f848e", "#ff7b86",
    "#b5e08f", "#ffd68a", "#82c4ff", "#dd99f0", "#7fd8e0", "#ffffff",
];

#[test]
fn the_picture_is_a_real_screen() {
    let path = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/readme/bench.svg");
    let place = Place::new();
    let mut screen = place.run_coloured(80, 24, &["bench", "countertop-oven", "--yard", "bluegum-siding"]);
    screen.types("13.1 kg");
    screen.shows("UNPLUGGED");
    screen.edits(">");
    let drawn = screen.look(drawing);
    assert!(drawn.contains("Still plugged in"), "{drawn}");
    if std::env::var_os("UPDATE_README").is_some() {
        std::fs::write(&path, drawn).unwrap();
    } else {
        let kept = std::fs::read_to_string(&path).unwrap_or_default();
        assert_eq!(kept, drawn, "the picture shows something else than the bench; renew it with UPDATE_README=1");
    }
}

fn drawing(screen: &vt100::Screen) -> String {
    let (rows, columns) = screen.size();
    let (width, height) = (columns.get() * CELL.0 + 20, rows.get() * CELL.1 + 20);
    let mut svg = format!(
        "<svg xmlns=\"http://www.w3.org/2000/svg\" viewBox=\"0 0 {width} {height}\" font-family=\"monospace\" font-size=\"15\">\n\
         <rect width=\"100%\" height=\"100%\" rx=\"6\" fill=\"#1e222a\"/>\n"
    );
    for row in 0..rows.get() {
        for (at, text, first) in runs(screen, row, columns.get()) {
            let _ = writeln!(
                svg,
                "<text x=\"{}\" y=\"{}\" textLength=\"{}\" fill=\"{}\"{} xml:space=\"preserve\">{}</text>",
                10 + at * CELL.0,
                24 + row * CELL.1,
                u16::try_from(text.chars().count()).unwrap() * CELL.0,
                colour(first.fgcolor()),
                if first.bold() { " font-weight=\"bold\"" } else { "" },
                escaped(&text)
            );
        }
    }
    svg.push_str("</svg>\n");
    svg
}

/// The stretches of a row that look alike: where each begins, its text, its first cell. What is blank is left out.
fn runs(screen: &vt100::Screen, row: u16, columns: u16) -> Vec<(u16, String, &Cell)> {
    let mut runs: Vec<(u16, String, &Cell)> = Vec::new();
    for (column, cell) in (0..columns).filter_map(|column| Some((column, screen.cell(row, column)?))) {
        let text = if cell.contents().is_empty() { " " } else { cell.contents() };
        match runs.last_mut() {
            Some((_, run, first)) if (first.fgcolor(), first.bold()) == (cell.fgcolor(), cell.bold()) => {
                run.push_str(text)
            }
            _ => runs.push((column, text.to_owned(), cell)),
        }
    }
    runs.iter_mut().for_each(|(_, text, _)| text.truncate(text.trim_end().len()));
    runs.retain(|(_, text, _)| !text.is_empty());
    runs
}

fn colour(colour: Color) -> String {
    match colour {
        Color::Idx(at) if usize::from(at) < COLOURS.len() => COLOURS[usize::from(at)].to_owned(),
        Color::Rgb(red, green, blue) => format!("#{red:02x}{green:02x}{blue:02x}"),
        _ => COLOURS[7].to_owned(),
    }
}

fn escaped(text: &str) -> String {
    text.replace('&', "&amp;").replace('<', "&lt;").replace('>', "&gt;")
}

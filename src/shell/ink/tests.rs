use proptest::prelude::*;

use super::*;

const INKS: [Ink; 9] =
    [Ink::Plain, Ink::Heading, Ink::Name, Ink::Figure, Ink::Money, Ink::Faint, Ink::Good, Ink::Caution, Ink::Danger];

fn text(page: &Page) -> String {
    Painter { colour: false }.paint(page)
}

#[test]
fn what_could_drive_a_terminal_is_shown_instead() {
    assert_eq!(sanitize("\u{1b}[31mred\u{7}"), "\\u{1b}[31mred\\u{7}");
    assert_eq!(sanitize("\u{9b}2J\u{7f}\r\n\t"), "\\u{9b}2J\\u{7f}\\u{d}\\u{a}\\u{9}");
    assert_eq!(sanitize("12\u{202e}34\u{2066}"), "12\\u{202e}34\\u{2066}");
    assert_eq!(sanitize("cop\u{200b}per\u{feff}\u{e0041}"), "cop\\u{200b}per\\u{feff}\\u{e0041}");
    let fine = "Ståltråd № 2, 銅線 – 1,5 kg ½";
    assert!(matches!(sanitize(fine), Cow::Borrowed(text) if text == fine));
}

#[test]
fn wrapping_keeps_every_word_and_hangs_later_lines() {
    let mut page = Page::new();
    page.line(&[
        (Ink::Plain, "  "),
        (Ink::Name, "No. 2 copper"),
        (Ink::Plain, " from the "),
        (Ink::Figure, "transformer"),
    ]);
    assert_eq!(text(&page.wrapped(18)), "  No. 2 copper\n    from the\n    transformer\n");
    assert_eq!(page.wrapped(80), page, "what fits is left alone");
}

#[test]
fn wrapping_keeps_columns_before_the_break() {
    let mut page = Page::new();
    page.line(&[
        (Ink::Name, "copper-2   "),
        (Ink::Plain, "No. 2"),
        (Ink::Money, "   3.40"),
        (Ink::Faint, "  from 50 lb"),
    ]);
    assert_eq!(text(&page.wrapped(26)), "copper-2   No. 2   3.40\n  from 50 lb\n");
}

#[test]
fn a_figure_keeps_its_unit() {
    let wrapped = |text_: &str, columns| {
        let mut page = Page::new();
        page.say(Ink::Plain, text_);
        text(&page.wrapped(columns))
    };
    assert_eq!(
        wrapped("usually 900 g (600 g to 1,4 kg), or none", 31),
        "usually 900 g (600 g to\n  1,4 kg), or none\n"
    );
    assert_eq!(wrapped("it comes to -12.50 CAD", 19), "it comes to\n  -12.50 CAD\n");
    // A word that is no unit may be split from its figure.
    assert_eq!(wrapped("there are 12 screws", 13), "there are 12\n  screws\n");
    // With two inks, each piece keeps its own.
    let mut page = Page::new();
    page.line(&[(Ink::Plain, "it weighs about "), (Ink::Figure, "14.2"), (Ink::Faint, " kg")]);
    let wrapped = page.wrapped(20);
    assert_eq!(text(&wrapped), "it weighs about\n  14.2 kg\n");
    assert!(Painter { colour: true }.paint(&wrapped) != text(&wrapped));
}

#[test]
fn a_word_wider_than_the_page_is_broken() {
    let mut page = Page::new();
    page.line(&[(Ink::Plain, "abcdefghijklmnopqrstuvwxyz")]);
    assert_eq!(text(&page.wrapped(12)), "abcdefghijkl\n  mnopqrstuv\n  wxyz\n");
    let mut wide = Page::new();
    wide.line(&[(Ink::Plain, "銅銅銅銅銅銅銅")]);
    assert_eq!(text(&wide.wrapped(12)), "銅銅銅銅銅銅\n  銅\n", "each takes two columns");
}

#[test]
fn blanks_do_not_pile_up_and_texts_split_into_lines() {
    let mut page = Page::new();
    page.blank();
    page.say(Ink::Plain, "one\ntwo");
    page.blank();
    page.blank();
    page.say(Ink::Plain, "three");
    assert_eq!(text(&page), "one\ntwo\n\nthree\n");
}

#[test]
fn without_colour_there_is_no_escape_and_with_it_the_words_are_the_same() {
    let mut page = Page::new();
    INKS.iter().for_each(|ink| page.line(&[(*ink, "word"), (Ink::Plain, "   ")]));
    assert_eq!(text(&page), "word\n".repeat(INKS.len()));
    let coloured = Painter { colour: true }.paint(&page);
    assert!(coloured.contains("\u{1b}["));
    let mut bare = String::new();
    let mut rest = coloured.as_str();
    while let Some((before, after)) = rest.split_once('\u{1b}') {
        bare.push_str(before);
        rest = after.split_once('m').unwrap().1;
    }
    bare.push_str(rest);
    let words: Vec<&str> = bare.lines().map(str::trim_end).collect();
    assert_eq!(words, ["word"; 9]);
}

/// WCAG 2 relative luminance of an entry of the 6×6×6 cube of the 256-colour palette.
fn luminance(entry: u8) -> f64 {
    let level = |step: u8| [0.0, 95.0, 135.0, 175.0, 215.0, 255.0][usize::from(step)] / 255.0;
    let linear = |c: f64| if c <= 0.03928 { c / 12.92 } else { ((c + 0.055) / 1.055_f64).powf(2.4) };
    let cube = entry - 16;
    0.2126 * linear(level(cube / 36)) + 0.7152 * linear(level(cube / 6 % 6)) + 0.0722 * linear(level(cube % 6))
}

#[test]
fn colours_stand_out_on_white_and_on_black() {
    let mut seen = 0;
    for ink in INKS {
        match ink.style().foreground {
            None => {}
            Some(Color::Fixed(entry)) => {
                let light = luminance(entry);
                assert!(1.05 / (light + 0.05) >= 3.5, "{ink:?} on white");
                assert!((light + 0.05) / 0.05 >= 3.5, "{ink:?} on black");
                seen += 1;
            }
            Some(other) => panic!("{ink:?} uses {other:?}, whose look the terminal decides"),
        }
    }
    assert_eq!(seen, 3);
}

proptest! {
    #[test]
    fn nothing_unsafe_gets_onto_a_page_and_no_line_is_too_wide(text in any::<String>(), columns in 0_usize..60) {
        let mut page = Page::new();
        page.line(&[(Ink::Name, &text), (Ink::Money, &text)]);
        let wrapped = page.wrapped(columns);
        let painted = Painter { colour: false }.paint(&wrapped);
        prop_assert!(!painted.chars().any(|c| c != '\n' && is_unsafe(c)));
        for line in wrapped.lines() {
            let wide: usize = line.iter().map(|span| width(span.text())).sum();
            // Twelve columns are the narrowest supported layout.
            prop_assert!(wide <= columns.max(12), "{} columns", wide);
        }
        let bare = |text: &str| text.chars().filter(|c| !c.is_whitespace()).collect::<String>();
        prop_assert_eq!(bare(&painted), bare(&sanitize(&format!("{text}{text}"))), "no character is lost");
    }
}

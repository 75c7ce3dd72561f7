//! Characters of two columns, of none, and of scripts without blanks between words.

use unicode_width::UnicodeWidthStr;

use crate::screen::Place;

/// The test box with names that take two columns a character.
fn wide_box() -> String {
    crate::stock::BOX
        .replace("Test box", "試験用の箱")
        .replace("Take off the lid", "蓋を取り外してから、内側の配線を傷つけないように脇へ置く")
        .replace("Four screws.", "ねじは四本あります。どれも同じ長さですので、まとめて小さな皿に入れておいてください。")
        .replace("A box that only tests open.", "Straße, naïve café, \u{65e5}\u{672c}, e\u{301}tude")
}

#[test]
fn wide_text_keeps_to_the_window() {
    for columns in [20, 40, 80, 200] {
        let place = Place::new();
        place.write("home/recipes/test-box.rhai", &wide_box());
        let mut screen =
            place.run_at(columns, &["bench", "test-box"], &[("NO_COLOR", "1"), ("TERM", "xterm-256color")]);
        for line in ["6 kg", "do", "1 kg", "2", "stop here"] {
            screen.types(line);
        }
        screen.writes("Net");
        assert_eq!(screen.ends(), 0, "at {columns}");
        let raw = screen.raw();
        let pages = raw.split("\r\n").filter(|line| !line.contains('\u{1b}'));
        let widest = pages.max_by_key(|line| line.width()).unwrap();
        assert!(widest.width() <= usize::from(columns), "at {columns}: {widest:?} takes {}", widest.width());
        assert!(raw.contains("ねじは"), "{raw}");
    }
}

#[test]
fn wide_text_is_edited_and_kept() {
    let place = Place::new();
    let mut screen = place.run_at(40, &["bench", "test-box"], &[("NO_COLOR", "1"), ("TERM", "xterm-256color")]);
    screen.is_ready();
    screen.press("note 蓋のねじが壊");
    screen.edits("> note 蓋のねじが壊");
    screen.press("\u{7f}外れた");
    screen.edits("> note 蓋のねじが外れた");
    screen.enter("\r");
    screen.writes("Noted.");
    screen.types("pause");
    assert_eq!(screen.ends(), 5);
    let journal = place.read("home/sessions/2026-11-02-test-box-1.toml");
    assert!(journal.contains("蓋のねじが外れた"), "{journal}");
}

//! Tests of answers files.

use super::*;

fn answers(text: &str) -> Vec<(String, String, usize)> {
    let answers = parse(Path::new("a.toml"), text).expect("readable");
    answers.into_iter().map(|answer| (answer.question, answer.text, answer.line)).collect()
}

fn complaint(text: &str) -> String {
    parse(Path::new("a.toml"), text).expect_err("refused").to_string()
}

fn row(question: &str, text: &str, line: usize) -> (String, String, usize) {
    (question.to_owned(), text.to_owned(), line)
}

#[test]
fn answers_come_in_the_order_of_the_file_with_their_lines() {
    let text =
        "intake = \"13 kg\"\n\n[z]\nb = \"copper\"\na = 6\n[m]\nsub.key = true\n\"x/y\" = false\n[m.deep]\nk = '1,2'\n";
    let expected = [
        row("intake", "13 kg", 1),
        row("z/b", "copper", 4),
        row("z/a", "6", 5),
        row("m/sub.key", "yes", 7),
        row("m/x/y", "no", 8),
        row("m/deep.k", "1,2", 10),
    ];
    assert_eq!(answers(text), expected);
}

#[test]
fn a_whole_question_can_be_one_key() {
    assert_eq!(answers("\"transformer/weight\" = \"3.6 kg\""), [row("transformer/weight", "3.6 kg", 1)]);
}

#[test]
fn numbers_keep_every_digit() {
    for literal in ["12345678901234.123456789", "0.1", "3.60", "-2", "+3", "0", "1e3"] {
        assert_eq!(answers(&format!("[s]\nk = {literal}\n"))[0].1, literal);
    }
    assert_eq!(answers("[s]\nk = 1_234.5\n")[0].1, "1234.5");
}

#[test]
fn wrong_types_name_the_key_and_the_line() {
    let cases = [
        ("[1, 2]", "is a list"),
        ("[[1]]", "is a list"),
        ("nan", "\"nan\", which is no decimal number"),
        ("-inf", "no decimal number"),
        ("0xff", "no decimal number"),
        ("0b1", "no decimal number"),
        ("2026-11-02", "Put it in quotes"),
        ("12:30:00", "Put it in quotes"),
    ];
    for (value, wanted) in cases {
        let said = complaint(&format!("[transformer]\n\nweight = {value}\n"));
        assert!(said.starts_with("a.toml, line 3: the answer to transformer/weight"), "{said}");
        assert!(said.contains(wanted), "{said}");
    }
    assert!(complaint("[[step]]\nk = 1\n").contains("the answer to step is a list"));
}

#[test]
fn what_is_no_toml_is_refused_with_its_line() {
    for text in ["[s]\nk = \n", "[s]\nk = 1\nk = 2\n", "[s]\nk = \"a\n", "[s]\nk = 1.\n", "\n\u{0}\n", "[s]\nk = 01\n"]
    {
        let said = complaint(text);
        assert!(said.starts_with("a.toml, line "), "{said}");
    }
    assert!(complaint(&"a=".repeat(10)).starts_with("a.toml, line 1"));
    assert!(complaint(&format!("k = {}{}", "[".repeat(10_000), "]".repeat(10_000))).starts_with("a.toml, line 1"));
}

#[test]
fn a_question_answered_twice_names_both_lines() {
    let said = complaint("\"s/k\" = 1\n[s]\nk = 2\n");
    assert_eq!(said, "a.toml, line 3: s/k is answered here and on line 1. Take one away");
}

#[test]
fn control_characters_are_shown_in_messages() {
    let said = complaint("[\"\\u001b[2J\"]\nk = [1]\n");
    assert!(!said.contains('\u{1b}') && said.contains("\\u{1b}[2J/k"), "{said:?}");
}

#[test]
fn a_file_that_is_no_text_names_the_line() {
    let folder = tempfile::tempdir().expect("a folder");
    let path = folder.path().join("a.toml");
    std::fs::write(&path, b"[s]\nk = \"\xff\"\n").expect("written");
    let said = read(&crate::store::disk::LocalDisk, &path).expect_err("refused").to_string();
    assert!(said.contains("line 2: the bytes there are not UTF-8"), "{said}");
    std::fs::write(&path, vec![b'#'; 1024 * 1024 + 1]).expect("written");
    assert!(matches!(read(&crate::store::disk::LocalDisk, &path), Err(StoreError::TooLarge { .. })));
    assert!(matches!(read(&crate::store::disk::LocalDisk, folder.path()), Err(StoreError::WrongKind { .. })));
}

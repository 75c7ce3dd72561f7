use proptest::prelude::*;

use super::*;

fn contents() -> Contents {
    Contents {
        kind: BundleKind::Recipe,
        id: "heat-gun".into(),
        name: "Heat gun \"1.5 kW\"".into(),
        author: "A. Writer".into(),
        licence: "CC0-1.0".into(),
        revision: 2,
        needs_api: 1,
        notes: "Tried on three.\nMind the mica.".into(),
        source: "unit(\"heat-gun\", \"Heat gun\");\n\tstep('x');\n".into(),
        session: Some("yard = \"hollow-lane\"\n".into()),
        imports: BTreeMap::from([("mica".to_owned(), "fn f() { 1 }\n".to_owned())]),
    }
}

fn read(text: &str) -> Result<Bundle, String> {
    Bundle::parse(Path::new("b.toml"), text).map_err(|error| error.to_string())
}

#[test]
fn what_is_written_is_read_again() {
    let bundle = Bundle::seal(contents()).unwrap();
    assert_eq!(read(&bundle.text()), Ok(bundle.clone()));
    assert!(
        bundle.text().contains("source = '''\nunit(\"heat-gun\", \"Heat gun\");\n"),
        "the script stands there readably"
    );
}

#[test]
fn ends_of_lines_do_not_change_the_digest() {
    let bundle = Bundle::seal(contents()).unwrap();
    assert_eq!(read(&bundle.text().replace('\n', "\r\n")), Ok(bundle));
}

/// The digest computed by hand, as the module documentation defines it.
#[test]
fn the_digest_is_the_documented_one() {
    let bare =
        Contents { notes: String::new(), session: None, imports: BTreeMap::new(), source: "x\n".into(), ..contents() };
    let bundle = Bundle::seal(bare).unwrap();
    let records = "format\n16\nknockdown-bundle\nversion\n1\n1\nkind\n6\nrecipe\nid\n8\nheat-gun\nname\n17\nHeat gun \"1.5 kW\"\n\
                   author\n9\nA. Writer\nlicence\n7\nCC0-1.0\nrevision\n1\n2\nneeds_api\n1\n1\nnotes\n0\n\nsource\n2\nx\n\n";
    assert_eq!(bundle.digest(), crate::store::digest(records.as_bytes()));
}

#[test]
fn a_change_in_any_value_is_found_out() {
    let text = Bundle::seal(contents()).unwrap().text();
    for (old, new) in [
        ("id = \"heat-gun\"", "id = \"heat-gum\""),
        ("A. Writer", "B. Writer"),
        ("CC0-1.0", "CC0-1.1"),
        ("revision = 2", "revision = 3"),
        ("needs_api = 1", "needs_api = 2"),
        ("Tried on three", "Tried on four"),
        ("step('x')", "step('y')"),
        ("hollow-lane", "hollow-land"),
        ("fn f() { 1 }", "fn f() { 2 }"),
        ("mica = ", "mike = "),
        ("digest = \"", "digest = \"0"),
    ] {
        assert_eq!(text.matches(old).count(), 1, "{old}");
        let said = read(&text.replace(old, new)).unwrap_err();
        assert!(said.contains("the digest is") && said.starts_with("b.toml, line "), "{old}: {said}");
    }
}

#[test]
fn what_is_no_bundle_gets_one_clear_error() {
    let text = Bundle::seal(contents()).unwrap().text();
    for (bad, wanted) in [
        (String::new(), "not a knockdown-bundle file"),
        ("x = 1\n".into(), "not a knockdown-bundle file"),
        ("format = ".into(), "line 1"),
        (text.replace("version = 1", "version = 2\nlater = 3"), "format version 2; this one reads up to 1"),
        (text.replace("version = 1", "version = 0"), "`version` is not 1"),
        (text.replace("version = 1", "version = \"1\""), "`version` is not 1"),
        (text.replace("version = 1\n", ""), "`version` is not 1"),
        (text.replace("author = \"A. Writer\"\n", ""), "missing field `author`"),
        (text.replace("notes = ", "remarks = "), "unknown field `remarks`"),
        (text.replace("revision = 2", "revision = -2"), "line"),
        (text.replace("kind = \"recipe\"", "kind = \"plugin\""), "unknown variant `plugin`"),
        (text.replace("\"heat-gun\"\nname", "\"../heat-gun\"\nname"), "cannot be a name here"),
        (text.replace("\"heat-gun\"\nname", "\"con\"\nname"), "cannot be a name here"),
        (text.replace("mica = ", "\"../mica\" = "), "cannot be a name here"),
        (text.replace("A. Writer", "A\\u001B[2J"), "a character that cannot be shown"),
        (text.replace("step('x')", "step('\u{9b}')"), "U+009B"),
        (text.replace("A. Writer", &"x".repeat(201)), "201 characters"),
        (text.replace("step('x')", &"x".repeat(140_000)), "bytes; at most 131072"),
        (format!("{text}{}", "[a".repeat(5_000)), "line"),
    ] {
        let said = read(&bad).expect_err(&bad);
        assert!(said.contains(wanted), "{wanted}: {said}");
        assert!(!said.chars().any(char::is_control), "{said:?}");
    }
}

#[test]
fn a_text_with_such_quotes_is_written_with_escapes() {
    for source in ["let a = '''x''';\n", "ends in '", "''", "\\ \" '\n\n", "\n\nstarts empty", ""] {
        let bundle = Bundle::seal(Contents { source: source.into(), ..contents() }).unwrap();
        assert_eq!(read(&bundle.text()).unwrap().source, source);
    }
}

proptest! {
    #[test]
    fn no_text_makes_the_reader_panic(text in any::<String>()) {
        let _either = read(&text);
        let _either = read(&format!("format = \"knockdown-bundle\"\nversion = 1\n{text}"));
    }

    #[test]
    fn any_plain_text_survives(source in "[ -~\n\täöü'\"\\\\\u{202e}]{0,200}", notes in "[ -~\n']{0,60}") {
        let bundle = Bundle::seal(Contents { source: source.clone(), notes: notes.clone(), ..contents() }).unwrap();
        let read = read(&bundle.text()).unwrap();
        prop_assert_eq!((&read.source, &read.notes), (&source, &notes));
    }
}

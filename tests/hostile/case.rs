//! One hostile script: a file with a head of comments that say what it attacks and how it must end.

use std::fs;
use std::path::{Path, PathBuf};

/// How a script must end.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Ending {
    /// In one error that says this.
    Error(String),
    /// Well, with this shown on the way: the attack has no effect.
    Shown(String),
}

/// A hostile script.
#[derive(Debug, Clone)]
pub struct Case {
    /// The file's name without extension.
    pub name: String,
    /// How it must end.
    pub ending: Ending,
    /// Answers to its own questions, as lines for an answers file: `"step/key" = "answer"`.
    pub answers: Vec<String>,
    /// The script, written out in full.
    pub script: String,
}

/// All cases of a folder, by name.
pub fn cases(folder: &str) -> Vec<Case> {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/hostile").join(folder);
    let files = fs::read_dir(&folder).expect("the folder of cases").map(|entry| entry.expect("an entry").path());
    let mut files: Vec<PathBuf> = files.filter(|path| path.extension().is_some_and(|e| e == "rhai")).collect();
    files.sort();
    files.iter().map(|path| read(path)).collect()
}

fn read(path: &Path) -> Case {
    let text = spelt_out(&fs::read_to_string(path).expect("a case is UTF-8"));
    let name = path.file_stem().expect("a name").to_string_lossy().into_owned();
    let head = |key: &str| {
        let lines = text.lines().take_while(|line| line.starts_with("//"));
        lines
            .filter_map(|line| line.strip_prefix(&format!("// {key}: ")))
            .map(|s| s.trim().to_owned())
            .collect::<Vec<_>>()
    };
    assert_eq!(head("attacks").len(), 1, "{name}: one line `// attacks: …` says what the script attacks");
    let ending = match (head("error").as_slice(), head("shows").as_slice()) {
        ([error], []) => Ending::Error(error.clone()),
        ([], [shown]) => Ending::Shown(shown.clone()),
        _ => panic!("{name}: one line, `// error: …` or `// shows: …`, says how the script must end"),
    };
    Case { ending, answers: head("answer"), script: text, name }
}

/// Writes out what a case abbreviates: `⟦U+001B⟧` is that character, `⟦500 × x{n};⟧` is `x0;x1;…`, with `\n` for a new line.
fn spelt_out(text: &str) -> String {
    let mut out = String::new();
    let mut rest = text;
    while let Some((before, after)) = rest.split_once('⟦') {
        let (inside, behind) = after.split_once('⟧').expect("⟦ is closed by ⟧");
        out.push_str(before);
        match inside.strip_prefix("U+") {
            Some(code) => out.push(u32::from_str_radix(code, 16).ok().and_then(char::from_u32).expect("a code point")),
            None => {
                let (times, what) = inside.split_once(" × ").expect("⟦times × text⟧");
                let times: usize = times.parse().expect("a count");
                (0..times).for_each(|n| out.push_str(&what.replace("\\n", "\n").replace("{n}", &n.to_string())));
            }
        }
        rest = behind;
    }
    out + rest
}

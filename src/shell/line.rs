//! Reads one line: with an editor at a terminal, unedited from anywhere else.

use std::borrow::Cow;
use std::io::{self, BufRead};
use std::sync::{Arc, Mutex};
use std::time::Duration;

use nu_ansi_term::{Color, Style};
use reedline::{
    ColumnarMenu, Completer, CompletionResult, EditCommand, Emacs, FileBackedHistory, Highlighter, Hinter, History,
    KeyCode, KeyModifiers, MenuBuilder, Prompt, PromptEditMode, PromptHistorySearch, Reedline, ReedlineEvent,
    ReedlineMenu, Signal, Span, StyledText, Suggestion, default_emacs_keybindings,
};

use super::emergency;
use super::ink::{Ink, Page, sanitize};
use super::terminal::Terminal;
use crate::naming::Listing;
use crate::world::AppError;

/// The user's input.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) enum TypedLine {
    /// A line.
    Text(String),
    /// Ctrl-C, with the text typed so far.
    Interrupt(String),
    /// The end of input.
    End,
}

/// The error when the terminal can no longer be read.
pub(super) fn lost(error: io::Error) -> AppError {
    AppError::Refused(format!("the terminal cannot be read: {error}; all answers so far are on disk"))
}

/// The longest line accepted; anything longer was pasted into the wrong window.
const MAX_LINE: usize = 4096;

/// Aids for typing a line.
#[derive(Default)]
pub(super) struct Aids {
    /// The prompt before the line.
    pub prompt: String,
    /// The question as shown above the line: shown again after anything that came between.
    pub asked: Page,
    /// Completions, each with a remark.
    pub words: Vec<(String, String)>,
    /// Whether only the first word is completed, or every word.
    pub first_only: bool,
    /// Shows the meaning of the line behind it while it is typed.
    pub meaning: Option<Box<dyn Meaning>>,
    /// The initial text of the line.
    pub draft: String,
    /// A list whose entries the whole line describes: matching entries complete it.
    pub list: Option<Arc<Listing>>,
    /// Path of the line history.
    pub history: Option<std::path::PathBuf>,
}

impl Aids {
    /// What helps to answer a question.
    pub fn to_answer(asked: Page) -> Aids {
        Aids { prompt: "> ".to_owned(), asked, first_only: true, ..Aids::default() }
    }

    /// The same with words that complete.
    pub fn words(self, words: Vec<(String, String)>) -> Aids {
        Aids { words, ..self }
    }
}

/// Tells what a line means while it is typed.
pub(super) trait Meaning: Send {
    /// The meaning in a few words, or `None` if there is none yet; and whether the line would be accepted.
    fn of(&self, line: &str) -> Option<(String, bool)>;
}

impl Terminal {
    /// Asks a question and reads its answer; `None` if the user left it by Ctrl-C, or input has ended. Every question
    /// goes through here but those of the bench and of the command prompt, where Ctrl-C means something else.
    ///
    /// # Errors
    /// The terminal is gone.
    pub(super) fn ask(&self, aids: Aids) -> Result<Option<String>, AppError> {
        self.show(&aids.asked);
        Ok(match self.read_line(aids).map_err(lost)? {
            TypedLine::Text(text) => Some(text),
            TypedLine::Interrupt(_) | TypedLine::End => None,
        })
    }

    /// Reads a line: every line that the user types comes through here. A line that is too long is refused as a whole,
    /// never cut; `help now` shows the emergency cards and is never passed on.
    pub(super) fn read_line(&self, aids: Aids) -> io::Result<TypedLine> {
        if self.edits() { edit(self, aids) } else { self.read_plain(&aids.prompt, &aids.asked) }
    }

    fn read_plain(&self, prompt: &str, asked: &Page) -> io::Result<TypedLine> {
        loop {
            self.put(&sanitize(prompt));
            let Some((bytes, whole)) = next_line(&mut io::stdin().lock())? else {
                self.put("\n");
                return Ok(TypedLine::End);
            };
            let text = String::from_utf8_lossy(&bytes);
            let text = text.trim_end_matches(['\n', '\r']).to_owned();
            if !self.on_terminal {
                // A log of piped input shows the answers.
                let shown: String = text.chars().take(MAX_LINE).collect();
                self.put(&format!("{}{}\n", sanitize(&shown), if whole { "" } else { " …" }));
            }
            if !whole {
                self.refuse_line();
            } else if !self.helps_now(&text, asked)? {
                return Ok(TypedLine::Text(text));
            }
        }
    }

    /// Whether a line calls for the emergency cards; if so they are shown, followed by the question again.
    fn helps_now(&self, line: &str, asked: &Page) -> io::Result<bool> {
        let Some(what) = emergency::wanted(line) else { return Ok(false) };
        self.help_now(&what, asked)?;
        Ok(true)
    }

    /// Shows the emergency cards, one screen at a time if they do not fit on the terminal together with the question.
    ///
    /// # Errors
    /// The terminal is gone.
    pub fn help_now(&self, what: &str, asked: &Page) -> io::Result<()> {
        let book = self.world.host().catalogue().emergencies();
        let pages = emergency::now(book, &self.at_hand.borrow(), what);
        let rows = self.rows().filter(|_| self.may_ask).unwrap_or(usize::MAX);
        // Each screen has an empty line above it and the input line below it.
        let screens = emergency::screens(&pages, self.width(), rows.saturating_sub(2));
        let below = asked.wrapped(self.width()).lines().len() + 3;
        let fits = matches!(screens.as_slice(), [one] if one.lines().len().saturating_add(below) <= rows);
        for (place, screen) in screens.iter().enumerate() {
            self.blank_line();
            self.show(screen);
            let is_last = place + 1 == screens.len();
            if fits || (is_last && asked.lines().is_empty()) {
                break;
            }
            let prompt = if is_last { "Enter: back > " } else { "Enter: more; q: back > " };
            let turned = self.read_line(Aids { prompt: prompt.to_owned(), ..Aids::default() })?;
            if !matches!(turned, TypedLine::Text(text) if text.trim().is_empty()) {
                break;
            }
        }
        if !asked.lines().is_empty() {
            self.blank_line();
            self.show(asked);
        }
        self.forget_keys();
        Ok(())
    }

    /// Discards keys pressed before the next question was shown: nobody can confirm in advance what they have not read.
    pub(super) fn forget_keys(&self) {
        if !self.on_terminal || crossterm::terminal::enable_raw_mode().is_err() {
            return;
        }
        // A terminal that fails here also fails at the next line, which reports it.
        while matches!(crossterm::event::poll(Duration::ZERO), Ok(true)) && crossterm::event::read().is_ok() {}
        let _usual_mode = crossterm::terminal::disable_raw_mode();
    }

    fn refuse_line(&self) {
        self.say(
            Ink::Caution,
            &format!("Not taken: the line is longer than {MAX_LINE} bytes. Was it pasted by mistake?"),
        );
    }
}

/// The bytes up to the end of the line, and whether that was all of it: the rest of a line that is too long is skipped,
/// so that it is not taken for lines of its own. `None` at the end of input.
fn next_line(input: &mut impl BufRead) -> io::Result<Option<(Vec<u8>, bool)>> {
    let mut bytes = Vec::new();
    let limit = MAX_LINE as u64 + 1;
    if io::Read::take(&mut *input, limit).read_until(b'\n', &mut bytes)? == 0 {
        return Ok(None);
    }
    let whole = bytes.len() <= MAX_LINE || bytes.ends_with(b"\n");
    if !whole {
        input.skip_until(b'\n')?;
    }
    Ok(Some((bytes, whole)))
}

fn edit(terminal: &Terminal, aids: Aids) -> io::Result<TypedLine> {
    let typed = Arc::new(Mutex::new(String::new()));
    let meaning = Arc::new(Mutex::new(aids.meaning));
    let colour = terminal.look.colour;
    let mut keys = default_emacs_keybindings();
    keys.add_binding(
        KeyModifiers::NONE,
        KeyCode::Tab,
        ReedlineEvent::UntilFound(vec![ReedlineEvent::Menu("words".into()), ReedlineEvent::MenuNext]),
    );
    let menu = ColumnarMenu::default().with_name("words").with_marker("");
    let mut editor = Reedline::create()
        .with_ansi_colors(colour)
        .with_edit_mode(Box::new(Emacs::new(keys)))
        .with_completer(Box::new(Words { words: aids.words, first_only: aids.first_only, list: aids.list }))
        .with_menu(ReedlineMenu::EngineCompleter(Box::new(menu)))
        // On other systems the terminal library does not support bracketed paste; pasted lines arrive one by one.
        .use_bracketed_paste(cfg!(not(windows)))
        .with_quick_completions(true)
        .with_partial_completions(true)
        .with_hinter(Box::new(MeaningHint { meaning: meaning.clone() }))
        .with_highlighter(Box::new(Taken { typed: typed.clone(), meaning, colour }));
    if let Some(history) = aids.history.and_then(|path| FileBackedHistory::with_file(500, path).ok()) {
        editor = editor.with_history(Box::new(history));
    }
    if !aids.draft.is_empty() {
        editor.run_edit_commands(&[EditCommand::InsertString(aids.draft)]);
    }
    loop {
        match editor.read_line(&Ask(aids.prompt.clone()))? {
            Signal::Success(text) => match text.trim_end_matches(['\r', '\n']) {
                // Any later lines were written before their questions were read.
                text if text.contains(['\r', '\n']) => {
                    let lines = text.lines().count();
                    let why = format!("Not taken: {lines} lines were pasted at once; write one line at a time.");
                    terminal.say(Ink::Caution, &why);
                }
                text if text.len() > MAX_LINE => terminal.refuse_line(),
                text if terminal.helps_now(text, &aids.asked)? => {}
                text => return Ok(TypedLine::Text(text.to_owned())),
            },
            Signal::CtrlC => {
                let draft = typed.lock().map(|text| text.clone()).unwrap_or_default();
                return Ok(TypedLine::Interrupt(draft));
            }
            Signal::CtrlD => return Ok(TypedLine::End),
            _ => {}
        }
    }
}

/// The prompt: one text, nothing on the right.
struct Ask(String);

impl Prompt for Ask {
    fn render_prompt_left(&self) -> Cow<'_, str> {
        sanitize(&self.0)
    }

    fn render_prompt_right(&self) -> Cow<'_, str> {
        Cow::Borrowed("")
    }

    fn render_prompt_indicator(&self, _: PromptEditMode) -> Cow<'_, str> {
        Cow::Borrowed("")
    }

    fn render_prompt_multiline_indicator(&self) -> Cow<'_, str> {
        Cow::Borrowed("")
    }

    fn render_prompt_history_search_indicator(&self, search: PromptHistorySearch) -> Cow<'_, str> {
        Cow::Owned(format!("search {}: ", sanitize(&search.term)))
    }

    fn get_prompt_color(&self) -> reedline::Color {
        reedline::Color::Default
    }
}

/// Completes words.
struct Words {
    words: Vec<(String, String)>,
    first_only: bool,
    list: Option<Arc<Listing>>,
}

/// The most list entries offered at once.
const MOST_LISTED: usize = 12;

impl Completer for Words {
    fn complete(&mut self, line: &str, pos: usize) -> CompletionResult {
        let before = line.get(..pos).unwrap_or(line);
        let start = if self.first_only { 0 } else { before.rfind(char::is_whitespace).map_or(0, |at| at + 1) };
        let begun = before.get(start..).unwrap_or_default().to_lowercase();
        let fits = |word: &&(String, String)| word.0.to_lowercase().starts_with(&begun);
        let suggestions: Vec<Suggestion> = self
            .words
            .iter()
            .filter(fits)
            .map(|(word, remark)| Suggestion {
                value: word.clone(),
                description: (!remark.is_empty()).then(|| sanitize(remark).into_owned()),
                span: Span::new(start, pos),
                append_whitespace: !self.first_only,
                ..Suggestion::default()
            })
            .collect();
        let described = self.list.iter().flat_map(|list| list.find(before)).take(MOST_LISTED).map(|entry| Suggestion {
            value: entry.id.clone(),
            description: Some(sanitize(&entry.name).into_owned()),
            span: Span::new(0, pos),
            append_whitespace: false,
            ..Suggestion::default()
        });
        CompletionResult::fresh(suggestions.into_iter().chain(described).collect::<Vec<Suggestion>>())
    }
}

type SharedMeaning = Arc<Mutex<Option<Box<dyn Meaning>>>>;

fn meaning_of(meaning: &SharedMeaning, line: &str) -> Option<(String, bool)> {
    meaning.lock().ok()?.as_ref()?.of(line)
}

/// Shows the meaning behind the line.
struct MeaningHint {
    meaning: SharedMeaning,
}

impl Hinter for MeaningHint {
    fn handle(&mut self, line: &str, _: usize, _: &dyn History, colours: bool, _: &str) -> String {
        let Some((text, _)) = meaning_of(&self.meaning, line) else { return String::new() };
        let text = format!("   {}", sanitize(&text));
        if colours { Style::new().fg(Color::Fixed(244)).paint(text).to_string() } else { text }
    }

    fn complete_hint(&self) -> String {
        String::new()
    }

    fn next_hint_token(&self) -> String {
        String::new()
    }
}

/// Shows by font weight whether the line would be accepted, and remembers what was typed, so that Ctrl-C loses nothing.
struct Taken {
    typed: Arc<Mutex<String>>,
    meaning: SharedMeaning,
    colour: bool,
}

impl Highlighter for Taken {
    fn highlight(&self, line: &str, _: usize) -> StyledText {
        if let Ok(mut typed) = self.typed.lock() {
            line.clone_into(&mut typed);
        }
        let taken = meaning_of(&self.meaning, line).is_some_and(|(_, taken)| taken);
        let style = if taken && self.colour { Style::new().bold() } else { Style::new() };
        let mut text = StyledText::new();
        text.push((style, sanitize(line).into_owned()));
        text
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_line_too_long_is_passed_over_to_its_end() {
        let long = "x".repeat(MAX_LINE + 1);
        let exact = "y".repeat(MAX_LINE);
        let text = format!("{long}{long}6 kg\n{exact}\n\nlast");
        let mut input = text.as_bytes();
        let mut next = || next_line(&mut input).unwrap().map(|(bytes, whole)| (bytes.len(), whole));
        assert_eq!(next(), Some((MAX_LINE + 1, false)));
        assert_eq!(next(), Some((MAX_LINE + 1, true)));
        assert_eq!(next(), Some((1, true)));
        assert_eq!(next(), Some((4, true)));
        assert_eq!(next(), None);
    }
}

//! The terminal, or its substitute: where pages go and lines come from, and how both look.

use std::cell::{Cell, RefCell};
use std::io::{self, IsTerminal, Write};

use super::excerpt::excerpt;
use super::ink::{Ink, Page, Painter};
use crate::store::config::Color;
use crate::world::{AppError, World};

/// How things are shown.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Look {
    /// Plain lines only: no cursor movement, no rules, one fact a line.
    pub plain: bool,
    /// Whether meanings also get colour.
    pub colour: bool,
    /// The width that `COLUMNS` sets, if it does.
    pub columns: Option<usize>,
}

/// What the environment says when the program starts. Read once, at the edge of the process.
#[derive(Debug, Clone, Default)]
pub struct Surroundings {
    /// `NO_COLOR` is set and not empty.
    pub no_color: bool,
    /// `TERM` is `dumb`.
    pub dumb: bool,
    /// The width in `COLUMNS`.
    pub columns: Option<usize>,
}

/// Options from the command line.
#[derive(Debug, Clone, Copy, Default, PartialEq, Eq)]
pub struct Flags {
    /// `--plain`.
    pub plain: bool,
    /// `--color`.
    pub color: Option<Color>,
    /// `--no-input`: never ask.
    pub no_input: bool,
}

/// The widest running text, and the default width.
const USUAL_WIDTH: usize = 80;
/// Plain output breaks no lines, unless a width is set.
const UNBROKEN: usize = 10_000;

/// The connection to the user.
pub struct Terminal {
    /// The world in which use cases work.
    pub world: World,
    /// How things are shown.
    pub look: Look,
    /// Whether asking is allowed at all.
    pub may_ask: bool,
    /// Whether input and output are both a terminal.
    pub on_terminal: bool,
    /// The first error in writing output, if any.
    lost: RefCell<Option<io::Error>>,
    aside: Cell<bool>,
    /// The ids of the relevant hazards, nearest first: those of the work that the question belongs to.
    pub(super) at_hand: RefCell<Vec<String>>,
}

impl Terminal {
    /// A terminal over a world. Settings come last: the command line and the environment take precedence.
    pub fn new(world: World, wishes: Flags, around: &Surroundings) -> Terminal {
        let out = io::stdout().is_terminal();
        // The line editor paints on the error stream.
        let on_terminal = out && io::stdin().is_terminal() && io::stderr().is_terminal();
        let plain = wishes.plain || around.dumb || world.config.plain.unwrap_or(false);
        let colour = match wishes.color.or(world.config.color) {
            Some(Color::Always) => true,
            Some(Color::Never) => false,
            Some(Color::Auto) | None => out && !around.no_color && !around.dumb,
        };
        let look = Look { plain, colour: colour && !(plain && wishes.color.is_none()), columns: around.columns };
        Terminal {
            world,
            look,
            may_ask: !wishes.no_input,
            on_terminal,
            lost: RefCell::default(),
            aside: Cell::new(false),
            at_hand: RefCell::default(),
        }
    }

    /// Whether lines are edited with cursor movement; otherwise they are read unedited.
    pub fn edits(&self) -> bool {
        self.on_terminal && !self.look.plain
    }

    /// The width in columns, queried each time: the window may have been resized.
    pub fn width(&self) -> usize {
        let window = || crossterm::terminal::size().ok().map(|(columns, _)| usize::from(columns)).filter(|w| *w > 0);
        match self.look.columns {
            Some(columns) => columns,
            None if self.look.plain => UNBROKEN,
            None if self.on_terminal => window().unwrap_or(USUAL_WIDTH),
            None => USUAL_WIDTH,
        }
        .max(20)
    }

    /// The height of the window in lines; `None` if nothing scrolls away.
    pub(super) fn rows(&self) -> Option<usize> {
        let window = || crossterm::terminal::size().ok().map(|(_, rows)| usize::from(rows)).filter(|rows| *rows > 0);
        self.on_terminal.then(window).flatten()
    }

    /// Shows a page.
    pub fn show(&self, page: &Page) {
        let painter = Painter { colour: self.look.colour };
        self.put(&painter.paint(&page.wrapped(self.width())));
    }

    /// Shows one line.
    pub fn say(&self, ink: Ink, text: &str) {
        let mut page = Page::new();
        page.say(ink, text);
        self.show(&page);
    }

    /// Shows an error on the error stream: script errors with their place, all others as a sentence.
    pub fn error(&self, error: &AppError) {
        let text = match error {
            AppError::Script(errors) => {
                let width = self.width().min(120);
                errors.iter().map(|error| excerpt(error, self.look.colour, width)).collect::<Vec<_>>().join("\n")
            }
            other => {
                let mut page = Page::new();
                page.say(Ink::Danger, &format!("error: {other}"));
                Painter { colour: self.look.colour }.paint(&page.wrapped(self.width()))
            }
        };
        let mut out = io::stderr().lock();
        // If errors cannot be written either, the exit code still tells.
        let _unheard = out.write_all(text.as_bytes());
    }

    /// Prints a message on the error stream, so that it never mixes with JSON or CSV.
    pub fn say_aside(&self, text: &str) {
        let mut page = Page::new();
        page.say(Ink::Caution, text);
        let text = Painter { colour: self.look.colour }.paint(&page.wrapped(self.width()));
        let _unheard = io::stderr().lock().write_all(text.as_bytes());
    }

    /// Prints a blank line (not in plain mode).
    pub fn blank_line(&self) {
        if !self.look.plain {
            self.put("\n");
        }
    }

    /// Sets whether everything except finished texts goes to the error stream from here on, so that a conversation does
    /// not mix with its JSON, CSV or Markdown result.
    pub fn talk_aside(&self, aside: bool) {
        self.aside.set(aside);
    }

    /// Writes text that is already painted.
    pub fn put(&self, text: &str) {
        self.flush_notices();
        if self.aside.get() { self.write(&mut io::stderr().lock(), text) } else { self.write_stdout(text) }
    }

    /// Writes a finished text unchanged to standard output: JSON, CSV, Markdown.
    pub fn write_stdout(&self, text: &str) {
        self.flush_notices();
        self.write(&mut io::stdout().lock(), text);
    }

    fn write(&self, out: &mut dyn Write, text: &str) {
        if let Err(error) = out.write_all(text.as_bytes()).and_then(|()| out.flush()) {
            self.lost.borrow_mut().get_or_insert(error);
        }
    }

    /// Prints pending notices about scripts in use on the error stream, before anything else is shown.
    pub fn flush_notices(&self) {
        for notice in self.world.notices() {
            let page = super::changes::notice(&notice);
            let text = Painter { colour: self.look.colour }.paint(&page.wrapped(self.width()));
            let _unheard = io::stderr().lock().write_all(text.as_bytes());
        }
    }

    /// Whether the output could not be written: then nobody sees the questions, so nothing more is asked.
    pub fn is_gone(&self) -> bool {
        self.lost.borrow().is_some()
    }

    /// The output error, if any. A reader that closed the output is no error: it had what it wanted.
    pub fn unwritten(&self) -> Option<AppError> {
        unwritten(self.lost.borrow().as_ref()?)
    }
}

/// The message for an output error; `None` if the reader closed the output.
pub fn unwritten(error: &io::Error) -> Option<AppError> {
    let told =
        || AppError::Refused(format!("the output cannot be written: {error}. Free some space, or send it elsewhere"));
    (error.kind() != io::ErrorKind::BrokenPipe).then(told)
}

//! The terminal, or what stands in for it: where pages go and lines come from, and how both look.

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
    /// Whether meanings are shown in colour as well.
    pub colour: bool,
    /// The width that `COLUMNS` sets, if it does.
    pub columns: Option<usize>,
}

/// What is known of the surroundings when the program starts. Read once, at the edge of the process.
#[derive(Debug, Clone, Default)]
pub struct Surroundings {
    /// `NO_COLOR` is set and not empty.
    pub no_color: bool,
    /// `TERM` is `dumb`.
    pub dumb: bool,
    /// The width in `COLUMNS`.
    pub columns: Option<usize>,
}

/// Choices made on the command line.
#[derive(Debug, Clone, Copy, Default, PartialEq, Eq)]
pub struct Flags {
    /// `--plain`.
    pub plain: bool,
    /// `--color`.
    pub color: Option<Color>,
    /// `--no-input`: nothing is asked.
    pub no_input: bool,
}

/// The widest that running text is set, and the width where nothing says otherwise.
const USUAL_WIDTH: usize = 80;
/// Plain output breaks no lines, unless a width is set.
const UNBROKEN: usize = 10_000;

/// The door to the person.
pub struct Terminal {
    /// What use cases work in.
    pub world: World,
    /// How things are shown.
    pub look: Look,
    /// Whether something may be asked at all.
    pub may_ask: bool,
    /// Whether lines are typed at a terminal and shown on one.
    pub on_terminal: bool,
    /// Why the output could not be written, once that was so.
    lost: RefCell<Option<io::Error>>,
    aside: Cell<bool>,
    /// The hazards at hand by id, the nearest first: those of the work that what is asked belongs to.
    pub(super) at_hand: RefCell<Vec<String>>,
}

impl Terminal {
    /// A terminal over a world. Settings come last: the command line and the surroundings decide before them.
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

    /// Whether lines are edited with cursor movement; else they are read as they come.
    pub fn edits(&self) -> bool {
        self.on_terminal && !self.look.plain
    }

    /// How many columns there are, asked anew each time: the window may have changed.
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

    /// How many lines the window holds; `None` where nothing scrolls away.
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

    /// Shows an error: script errors with their place, all others as a sentence. On the error stream.
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
        // Where errors cannot be written either, the exit code still tells.
        let _unheard = out.write_all(text.as_bytes());
    }

    /// Says something beside the output proper, on the error stream: it never mixes with JSON or CSV.
    pub fn say_aside(&self, text: &str) {
        let mut page = Page::new();
        page.say(Ink::Caution, text);
        let text = Painter { colour: self.look.colour }.paint(&page.wrapped(self.width()));
        let _unheard = io::stderr().lock().write_all(text.as_bytes());
    }

    /// Shows an empty line, for rest; not in plain mode.
    pub fn blank_line(&self) {
        if !self.look.plain {
            self.put("\n");
        }
    }

    /// From here on, whether everything but finished texts goes to the error stream: a conversation whose result is
    /// JSON, CSV or Markdown does not mix with it.
    pub fn talk_aside(&self, aside: bool) {
        self.aside.set(aside);
    }

    /// Writes what was painted before.
    pub fn put(&self, text: &str) {
        self.flush_notices();
        if self.aside.get() { self.write(&mut io::stderr().lock(), text) } else { self.write_stdout(text) }
    }

    /// Writes a finished text as it is to the output proper: JSON, CSV, Markdown.
    pub fn write_stdout(&self, text: &str) {
        self.flush_notices();
        self.write(&mut io::stdout().lock(), text);
    }

    fn write(&self, out: &mut dyn Write, text: &str) {
        if let Err(error) = out.write_all(text.as_bytes()).and_then(|()| out.flush()) {
            self.lost.borrow_mut().get_or_insert(error);
        }
    }

    /// Tells what has come up about scripts in use, on the error stream, before anything else is shown.
    pub fn flush_notices(&self) {
        for notice in self.world.notices() {
            let page = super::changes::notice(&notice);
            let text = Painter { colour: self.look.colour }.paint(&page.wrapped(self.width()));
            let _unheard = io::stderr().lock().write_all(text.as_bytes());
        }
    }

    /// Whether the output could not be written: nobody sees what is asked, so nothing more is.
    pub fn is_gone(&self) -> bool {
        self.lost.borrow().is_some()
    }

    /// What is wrong with the output. Where whoever read it has gone, nothing is: they had what they wanted.
    pub fn unwritten(&self) -> Option<AppError> {
        unwritten(self.lost.borrow().as_ref()?)
    }
}

/// What is to be said of output that met an error; nothing where its reader closed it.
pub fn unwritten(error: &io::Error) -> Option<AppError> {
    let told =
        || AppError::Refused(format!("the output cannot be written: {error}. Free some space, or send it elsewhere"));
    (error.kind() != io::ErrorKind::BrokenPipe).then(told)
}

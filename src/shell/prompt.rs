//! The shell: reads commands, one per line, and passes them to the command line's own table.

use super::ink::{Ink, Page};
use super::line::{Aids, TypedLine};
use super::terminal::Terminal;

/// Runs and completes command lines. The command line's table implements this; the shell knows no command.
pub trait Commands {
    /// Runs a line and shows its errors itself. `false` ends the shell.
    fn run(&self, terminal: &mut Terminal, line: &str) -> bool;
    /// The text at the start of the shell: what to try first, or what is waiting. May be empty.
    fn welcome(&self, terminal: &Terminal) -> Page;
    /// Completions, each with a remark.
    fn words(&self, terminal: &Terminal) -> Vec<(String, String)>;
}

/// Reads and runs commands until the user leaves or input ends.
pub fn run(terminal: &mut Terminal, commands: &dyn Commands) -> std::io::Result<()> {
    if terminal.on_terminal {
        terminal.say(Ink::Heading, "Knockdown");
        terminal.show(&commands.welcome(terminal));
        terminal.say(Ink::Plain, "? lists commands; bench RECIPE takes a unit apart; Ctrl-D leaves.");
    }
    let mut interrupted = false;
    let mut draft = String::new();
    loop {
        let history = terminal.world.home.history_file();
        let aids = Aids {
            prompt: "knockdown> ".into(),
            words: commands.words(terminal),
            draft: std::mem::take(&mut draft),
            history,
            ..Aids::default()
        };
        match terminal.read_line(aids)? {
            TypedLine::Text(text) => {
                interrupted = false;
                if terminal.is_gone() || !commands.run(terminal, text.trim()) {
                    return Ok(());
                }
            }
            TypedLine::Interrupt(_) if interrupted => return Ok(()),
            TypedLine::Interrupt(text) => {
                interrupted = true;
                draft = text;
                terminal.say(Ink::Plain, "Ctrl-C again, or Ctrl-D, leaves.");
            }
            TypedLine::End => return Ok(()),
        }
    }
}

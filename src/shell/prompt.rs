//! The shell: reads commands, one a line, and hands them to the command line's own table.

use super::ink::{Ink, Page};
use super::line::{Aids, TypedLine};
use super::terminal::Terminal;

/// Carries out a command line and completes it. The command line's table implements this; the shell knows no command.
pub trait Commands {
    /// Carries a line out, its errors already shown. `false` ends the shell.
    fn run(&self, terminal: &mut Terminal, line: &str) -> bool;
    /// What is said when the shell opens: what to try first, or what waits. May be empty.
    fn welcome(&self, terminal: &Terminal) -> Page;
    /// Words that may be typed, each with a remark.
    fn words(&self, terminal: &Terminal) -> Vec<(String, String)>;
}

/// Reads and carries out commands until the person leaves or input ends.
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

//! The shell: reads commands, one a line, and hands them to the command line's own table.

use super::face::Face;
use super::ink::{Ink, Page};
use super::line::{Aids, Line};

/// Carries out a command line and completes it. The command line's table implements this; the shell knows no command.
pub trait Commands {
    /// Carries a line out, its errors already shown. `false` ends the shell.
    fn run(&self, face: &mut Face, line: &str) -> bool;
    /// What is said when the shell opens: what to try first, or what waits. May be empty.
    fn welcome(&self, face: &Face) -> Page;
    /// Words that may be typed, each with a remark.
    fn words(&self, face: &Face) -> Vec<(String, String)>;
}

/// Reads and carries out commands until the person leaves or input ends.
pub fn run(face: &mut Face, commands: &dyn Commands) -> std::io::Result<()> {
    if face.on_terminal {
        face.say(Ink::Heading, "Knockdown");
        face.show(&commands.welcome(face));
        face.say(Ink::Plain, "? lists commands; bench RECIPE takes a unit apart; Ctrl-D leaves.");
    }
    let mut interrupted = false;
    let mut draft = String::new();
    loop {
        let history = face.world.home.history_file();
        let aids = Aids {
            prompt: "knockdown> ".into(),
            words: commands.words(face),
            draft: std::mem::take(&mut draft),
            history,
            ..Aids::default()
        };
        match face.read_line(aids)? {
            Line::Text(text) => {
                interrupted = false;
                if face.is_gone() || !commands.run(face, text.trim()) {
                    return Ok(());
                }
            }
            Line::Interrupt(_) if interrupted => return Ok(()),
            Line::Interrupt(text) => {
                interrupted = true;
                draft = text;
                face.say(Ink::Plain, "Ctrl-C again, or Ctrl-D, leaves.");
            }
            Line::End => return Ok(()),
        }
    }
}

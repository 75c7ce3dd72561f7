//! The process edge: arguments and environment in, an exit code out.

use std::process::ExitCode;

use knockdown::shell::signals;

fn main() -> ExitCode {
    signals::guard_panics();
    signals::guard_signals();
    ExitCode::from(knockdown::cli::main(std::env::args_os(), |name| std::env::var_os(name)))
}

//! The process edge: arguments and environment in, an exit code out.

mod meter;

use std::process::ExitCode;

use knockdown::script;
use knockdown::shell::signals;

/// Memory is counted, so that no script can fill it.
#[global_allocator]
static MEMORY: meter::Counted = meter::Counted;

fn main() -> ExitCode {
    signals::guard_panics();
    signals::guard_signals();
    script::watch_memory(meter::live);
    let run = || knockdown::cli::main(std::env::args_os(), |name| std::env::var_os(name));
    script::on_a_deep_stack(run).map_or_else(
        |error| {
            eprintln!(
                "error: the system gives no thread to work on: {error}; free some memory, or raise the limit on it"
            );
            ExitCode::FAILURE
        },
        ExitCode::from,
    )
}

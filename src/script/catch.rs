//! Turns every way in which parsing or running a script can fail into a script error.

use std::panic::{AssertUnwindSafe, catch_unwind};

use rhai::EvalAltResult;

use super::allowance::Stop;
use super::compiled::Script;
use super::desk::HostState;
use super::error::ScriptError;
use super::explain::explain;
use crate::recipe::Mark;

/// The message for a panic: it is a bug in the program, not a fault of the session, and the answers are safe.
pub(super) const DEFECT: (&str, &str) = (
    "the program itself failed on this script",
    "this is a defect of Knockdown; your answers are safe, please report it with the script",
);

/// Runs script code; `None` if the engine or a host function panics.
pub(super) fn catch<T>(act: impl FnOnce() -> T) -> Option<T> {
    catch_unwind(AssertUnwindSafe(act)).ok()
}

/// Runs an evaluation. An aborted evaluation has failed even if the script swallowed the abort.
pub(super) fn settle<T>(
    desk: &HostState,
    script: &Script,
    run: impl FnOnce() -> Result<T, Box<EvalAltResult>>,
) -> Result<T, Box<ScriptError>> {
    let explained = || run().map_err(|error| Box::new(explain(&script.file, &script.source, &desk.library, &error)));
    let result = catch(explained).unwrap_or_else(|| Err(Box::new(script.error(Mark::default(), DEFECT.0, DEFECT.1))));
    desk.allowance.close();
    match desk.allowance.stopped().and_then(Stop::words) {
        Some((message, hint)) => {
            let mark = result.err().map_or(Mark::default(), |error| error.mark);
            Err(Box::new(script.error(mark, message, hint)))
        }
        None => result,
    }
}

//! How a host function refuses a call: a message, a hint, and the place of the call.

use rhai::{Dynamic, EvalAltResult, NativeCallContext, Position};

use crate::naming;
use crate::recipe::Mark;

/// Result of a host function that may refuse.
pub(super) type ScriptResult<T> = Result<T, Box<EvalAltResult>>;

/// An error raised by a host function: message and hint.
#[derive(Debug, Clone)]
pub(super) struct Refusal {
    pub message: String,
    pub hint: String,
}

/// Raises a [`Refusal`] at the place of the call.
pub(super) fn refuse(
    ctx: &NativeCallContext,
    message: impl Into<String>,
    hint: impl Into<String>,
) -> Box<EvalAltResult> {
    let refusal = Refusal { message: message.into(), hint: hint.into() };
    EvalAltResult::ErrorRuntime(Dynamic::from(refusal), ctx.call_position()).into()
}

/// The place of the call as a mark.
pub(super) fn mark(ctx: &NativeCallContext) -> Mark {
    mark_of(ctx.call_position())
}

/// Converts an engine position to a mark.
pub(super) fn mark_of(position: Position) -> Mark {
    Mark { line: position.line().unwrap_or(0), column: position.position().unwrap_or(0) }
}

/// Refuses a text that is too long for a screen, or contains an invisible character.
pub(super) fn showable(ctx: &NativeCallContext, what: &str, text: &str, most: usize) -> ScriptResult<()> {
    naming::showable(what, text, most).map_err(|message| refuse(ctx, message, ""))
}

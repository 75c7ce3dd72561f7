//! What the bench has shown and not yet used.

use crate::bench::Unfit;

/// What was shown last, so that each head is shown once.
#[derive(Default)]
pub(super) struct Shown {
    pub(super) step: Option<String>,
    pub(super) guarded: bool,
    /// Guard whose hazard text is still on screen; not reprinted after a rejected answer.
    pub(super) cautioned: Option<String>,
    pub(super) said: Option<Vec<String>>,
    pub(super) unfit: Option<Unfit>,
    pub(super) interrupted: Option<String>,
    pub(super) draft: String,
    /// Weight of a container that was put on the scale for the next reading.
    pub(super) tare: Option<String>,
    /// Matches of the description typed last, to be picked by number.
    pub(super) offers: Vec<String>,
}

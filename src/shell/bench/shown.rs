//! What the bench has shown and not yet used up.

use crate::bench::Unfit;

/// What was shown last, so that a head is shown once.
#[derive(Default)]
pub(super) struct Shown {
    pub(super) step: Option<String>,
    pub(super) guarded: bool,
    /// The guard whose hazard text is still on the screen: it is not shown again after an answer that was not taken.
    pub(super) cautioned: Option<String>,
    pub(super) said: Option<Vec<String>>,
    pub(super) unfit: Option<Unfit>,
    pub(super) interrupted: Option<String>,
    pub(super) draft: String,
    /// What a container weighs that was put on the scale for the next reading.
    pub(super) tare: Option<String>,
    /// What the description typed last brought up, to be chosen from by number.
    pub(super) offers: Vec<String>,
}

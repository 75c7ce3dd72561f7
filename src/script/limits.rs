//! Length limits for script texts. Limits on what one evaluation may use are in `allowance`.

/// The longest script that is read, in bytes: parsing takes time before any operation is counted.
pub(super) const MAX_SOURCE: usize = 64 * 1024;
/// The longest text that a script may make, in bytes.
pub(super) const MAX_TEXT: usize = 16 * 1024;
/// The longest name, title or entry of a list, in characters.
pub(super) const MAX_NAME: usize = 120;
/// The longest paragraph, in characters.
pub(super) const MAX_PARAGRAPH: usize = 2000;

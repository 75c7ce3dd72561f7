//! Slip rates. All are estimates: we know of no published rates for weighing at a bench. They decide only close calls,
//! since the weights themselves usually differ by factors of thousands.

/// Per entry: a number entered in the wrong unit.
pub(super) const UNIT: f64 = 0.004;
/// Per entry: a decimal point out of place.
pub(super) const DECIMAL: f64 = 0.004;
/// Share of these that is off by one place rather than two.
pub(super) const DECIMAL_BY_ONE: f64 = 0.8;
/// Per entry: two digits swapped.
pub(super) const SWAP: f64 = 0.003;
/// How much likelier neighbours are swapped than two digits apart.
pub(super) const NEIGHBOURS: f64 = 5.0;
/// Per entry of a part: a known container weighed along.
pub(super) const TARE: f64 = 0.004;
/// Per entry of a part: the same weight added up twice.
pub(super) const TWICE: f64 = 0.003;
/// Per pair of parts: one's weight also entered for the other.
pub(super) const REPEAT: f64 = 0.001;
/// Per part skipped although the unit has it.
pub(super) const SKIPPED: f64 = 0.02;
/// Per unit: something not on the list was not weighed.
pub(super) const UNLISTED: f64 = 0.01;
/// Per entry: a mistake of unknown kind.
pub(super) const OTHER: f64 = 0.002;
/// Per part: the recipe's range does not fit this unit at all.
pub(super) const MISFIT: f64 = 0.05;
/// The same for a weight judged by its range alone. Deliberately below the true rate, since the result is only a
/// question at the prompt: a needless question costs a key, a missed slip may cost the session.
pub(super) const MISFIT_ALONE: f64 = 0.001;
/// Natural logarithm of the range over which a wholly unknown mass is log-uniform: 1 to 1,000,000.
pub(super) const LN_SPAN: f64 = 13.8;

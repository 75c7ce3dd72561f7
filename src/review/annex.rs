//! The items of Annex VII of Directive 2012/19/EU (WEEE), point 1: what must be removed from collected equipment.
//!
//! Source: consolidated text CELEX 02012L0019-20240408, Annex VII, point 1, in its order; read in a copy. The
//! descriptions are the project's own short ones. Points 2 (how some items are then treated) and 3 are not items that a
//! unit contains.

/// Number, short description, and whether removing it is so dangerous that a guard must cover it first (the project's
/// own judgement; capacitors are left to the guards for stored charge, and to what their label shows).
const ITEMS: [(&str, &str, bool); 15] = [
    ("1.1", "capacitors containing PCB", false),
    ("1.2", "parts containing mercury", true),
    ("1.3", "batteries", true),
    ("1.4", "circuit boards", false),
    ("1.5", "toner cartridges", false),
    ("1.6", "plastic with brominated flame retardants", false),
    ("1.7", "asbestos", true),
    ("1.8", "picture tubes", true),
    ("1.9", "refrigerant and foam gases", true),
    ("1.10", "gas discharge lamps", true),
    ("1.11", "liquid crystal displays", false),
    ("1.12", "external electric cables", false),
    ("1.13", "refractory ceramic fibres", true),
    ("1.14", "parts with radioactive substances", true),
    ("1.15", "large electrolytic capacitors", false),
];

/// An item's description; `None` for a number that is not in the annex.
pub fn item(number: &str) -> Option<&'static str> {
    ITEMS.iter().find(|(known, ..)| *known == number).map(|(_, what, _)| *what)
}

/// All numbers.
pub(super) fn numbers() -> impl Iterator<Item = &'static str> + Clone {
    ITEMS.iter().map(|(number, ..)| *number)
}

/// Whether a guard must cover it before it is taken out.
pub(super) fn needs_guard(number: &str) -> bool {
    ITEMS.iter().any(|(known, _, hurts)| *known == number && *hurts)
}

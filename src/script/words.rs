//! Every word of the script languages, once: hints, the reference page and tests are made from this list.

/// One word of a script language.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Word {
    /// What it is a word of: `script` for a free-standing word, else the thing before the dot.
    pub of: &'static str,
    /// The word.
    pub name: &'static str,
    /// What it takes, in a script author's terms.
    pub takes: &'static str,
    /// What it does.
    pub does: &'static str,
}

const fn word(of: &'static str, name: &'static str, takes: &'static str, does: &'static str) -> Word {
    Word { of, name, takes, does }
}

/// All words, in the order in which an author meets them.
pub const WORDS: &[Word] = &[
    word("script", "unit", "id, name", "starts a recipe: the kind of unit; the first statement of the file"),
    word("unit", "weighs", "weight range", "what such a unit weighs as it comes"),
    word("unit", "sold_whole_as", "grade", "the grade under which a yard buys it untouched"),
    word("unit", "guards", "[hazard, …]", "hazards to confirm before the first step"),
    word("unit", "holds", "[item, …]", "what such a unit holds that the law wants out, by number of WEEE Annex VII"),
    word("unit", "says", "text", "what is said before work starts; may be repeated"),
    word("unit", "figures_from", "text", "where the weights come from, or `estimate`"),
    word("unit", "author", "text", "who wrote the recipe"),
    word("unit", "licence", "text", "under which licence it may be passed on"),
    word("unit", "revision", "count", "counts up with every change"),
    word("unit", "needs_api", "count", "the script language version that it needs"),
    word("script", "step", "id, title", "declares a step; with a title alone, the id is made from it"),
    word("step", "after", "step, or [step, …]", "all of these must be done before"),
    word("step", "after_any", "[step, …]", "at least one of these must be done before"),
    word("step", "minutes", "low, usual, high", "how long the step takes, in minutes"),
    word("step", "tools", "[text, …]", "tools to have at hand"),
    word("step", "guards", "[hazard, …]", "hazards to confirm before the step starts"),
    word("step", "says", "text", "an instruction; may be repeated"),
    word("step", "costs", "name, amount, currency", "something used up each time"),
    word("step", "opens", "part", "the freed part that the step works on; without it, the unit itself"),
    word("step", "frees", "part, weight range, grade", "a part that comes out, and the grade under which it sells"),
    word("step", "figures_from", "text", "where the weight of the part just named comes from, or `estimate`"),
    word("step", "leaves", "part, grade", "the grade of what is left of the opened part"),
    word("step", "spoils", "grade", "the remainder sells for less from here on, under this grade"),
    word("step", "cleans", "grade", "the remainder sells for more from here on, under this grade"),
    word("step", "removes", "[item, …]", "items of WEEE Annex VII that are out after this step"),
    word("step", "work", "|bench| { … }", "asks further questions while the step is done"),
    word("bench", "yes", "key, text", "asks yes or no; gives true or false"),
    word("bench", "choose", "key, text, [option, …]", "asks for one of several; gives the option"),
    word("bench", "number", "key, text, or key, text, unit", "asks for a number; gives it exactly"),
    word("bench", "count", "key, text", "asks for a whole number from 0"),
    word("bench", "note", "key, text", "asks for a line of text"),
    word("bench", "weigh", "part, or key, text", "weighs a part of this step ahead of its turn, or something else"),
    word("bench", "say", "text", "tells the person something"),
    word("bench", "regrade", "part, grade", "gives a part another grade than the recipe foresaw"),
    word("bench", "lacks", "part", "marks a part as not in this unit: it is not weighed"),
    word("bench", "hand_on", "text", "ends here: what is left goes on whole to someone licensed, for this reason"),
    word("bench", "guard", "hazard", "demands a guard on the spot, for what the work found"),
    word("script", "yard", "id, name", "starts a yard; the first statement of the file"),
    word("yard", "region", "text", "country, and province or state"),
    word("yard", "currency", "code", "the ISO 4217 code of the currency that it pays in"),
    word(
        "yard",
        "weighs_in",
        "unit, or unit, division",
        "its unit of weight, and the division of its scale in that unit",
    ),
    word("yard", "pays_to", "amount", "the smallest step of a cash payment"),
    word("yard", "decimal_comma", "", "numbers at this yard are written with a decimal comma"),
    word("yard", "sample_prices", "", "marks the prices as invented; said wherever they are shown"),
    word("yard", "says", "text", "a remark about the yard"),
    word("yard", "author", "text", "who wrote the price module"),
    word("yard", "revision", "count", "counts up with every change"),
    word("yard", "needs_api", "count", "the script language version that it needs"),
    word("script", "as_of", "date", "the day of the prices that follow, year-month-day"),
    word("script", "buys", "grade, local name, amount", "a price per unit of the yard's weight"),
    word("script", "pays_each", "grade, local name, amount", "a price per piece"),
    word("script", "charges", "grade, local name, amount", "what the yard takes for accepting something"),
    word("price", "each", "", "the price is per piece"),
    word("price", "per", "unit", "the price is per this unit instead of the yard's"),
    word("price", "from", "weight, amount", "from this weight on, all of the lot at this price"),
    word("price", "at_least", "weight", "the smallest lot that is taken"),
    word("script", "visit_fee", "name, amount", "what each visit costs"),
    word(
        "script",
        "mixed",
        "|lot| …",
        "how the yard treats a lot of mixed grades: gives a grade, or lot.less(…), or lot.refuse(…)",
    ),
    word("lot", "lowest_grade", "", "the grade in it that brings least per weight"),
    word("lot", "heaviest_grade", "", "the grade that most of it is"),
    word("lot", "weight", "", "what it weighs in all"),
    word("lot", "share", "grade", "the share of its weight that is this grade, from 0 to 1"),
    word("lot", "less", "grade, percent", "buys it as this grade, less a percentage"),
    word("lot", "refuse", "text", "does not take it, and says why"),
    word("weight", "usually", "weight", "the usual value of a range: (3.0.kg..4.6.kg).usually(3.7.kg)"),
];

/// The words of one name.
pub(super) fn named(name: &str) -> impl Iterator<Item = &'static Word> {
    WORDS.iter().filter(move |word| word.name == name)
}

/// Whether a name is the language's own, so that no function of a script may go by it.
pub(super) fn is_taken(name: &str) -> bool {
    named(name).next().is_some()
        || name.strip_prefix("in_").is_some_and(|unit| super::unit_words::unit_words().any(|word| word == unit))
}

/// The names of all words.
pub(super) fn names() -> impl Iterator<Item = &'static str> + Clone {
    WORDS.iter().map(|word| word.name)
}

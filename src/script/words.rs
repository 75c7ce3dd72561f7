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
    /// How it is written; a test runs every one.
    pub example: &'static str,
}

const fn word(
    of: &'static str,
    name: &'static str,
    takes: &'static str,
    does: &'static str,
    example: &'static str,
) -> Word {
    Word { of, name, takes, does, example }
}

impl Word {
    /// In which unit it takes its numbers; empty where it takes none.
    #[must_use]
    pub fn units(&self) -> &'static str {
        match (self.of, self.name) {
            ("step", "minutes") => "minutes",
            ("step", "costs") => "the currency named, ISO 4217",
            ("yard", "weighs_in") => "the division in the unit named",
            ("yard", "pays_to") | ("script", "visit_fee") => "the yard's currency",
            ("script", "buys" | "charges") => {
                "the yard's currency, per unit of its weight unless .per or .each follows"
            }
            ("script", "pays_each") => "the yard's currency, per piece",
            ("price", "from") => "a weight with its unit; the amount as in the price before it",
            ("lot", "less") => "percent, 0 to 100",
            ("bench", "number") => "the unit named, if any",
            _ if self.takes.contains("weight") => "weights with their unit: 3.6.kg, 850.g, 12.lb",
            _ => "",
        }
    }

    /// What it gives back, as a type of the script language; the thing itself where words are chained.
    #[must_use]
    pub fn gives(&self) -> &'static str {
        match (self.of, self.name) {
            ("script", "unit") => "unit",
            ("script", "step") => "step",
            ("script", "yard") => "yard",
            ("script", "buys" | "pays_each" | "charges") => "price",
            ("script", _)
            | (
                "bench",
                "say" | "regrade" | "lacks" | "guard" | "hand_on" | "unit_is" | "sells_whole_as" | "holds_no",
            ) => "nothing",
            ("bench", "yes") => "true or false",
            ("bench", "choose" | "note" | "grade") | ("lot", "lowest_grade" | "heaviest_grade") => "text",
            ("bench", "number") | ("lot", "share") => "number",
            ("bench", "count") => "whole number",
            ("bench", "weigh") | ("lot", "weight") => "weight",
            ("lot", _) => "verdict",
            (of, _) => of,
        }
    }
}

/// What a script writes between and behind weights, with an example that gives true.
pub const WEIGHT_SIGNS: &[(&str, &str, &str)] = &[
    (
        ".kg and other units",
        "a number becomes a weight: .g .kg .t .lb .oz .ozt .dwt .gr .st .short_ton .long_ton",
        "1.kg == 1000.g",
    ),
    ("in_kg() and other units", "a weight becomes a number, in_ and the unit", "2.lb.in_oz() == 32"),
    ("..", "a range of weights, low to high; see usually", "(1.kg..2.kg).usually(1.5.kg).type_of() != \"\""),
    ("+ -", "the sum and the difference of two weights", "1.kg - 100.g + 50.g == 950.g"),
    ("*", "a weight times a number", "1.5.kg * 2 == 3.kg"),
    (
        "/",
        "a weight over a weight: a number. Of whole numbers it is exact, too: 7 / 2 is 3.5",
        "3.kg / 2.kg == 1.5 && 7 / 2 == 3.5",
    ),
    ("== != < <= > >=", "which weight is more", "1.lb < 1.kg && 16.oz == 1.lb && 2.kg >= 2.kg"),
    ("to_string()", "a weight as text, in grams", "1.5.kg.to_string() == \"1500 g\""),
];

/// All words, in the order in which an author meets them.
#[rustfmt::skip]
pub const WORDS: &[Word] = &[
    word("script", "unit", "id, name", "starts a recipe: the kind of unit; the first statement of the file",
        r#"unit("kettle", "Electric kettle").weighs(1.1.kg).sold_whole_as("appliance-light");"#),
    word("unit", "weighs", "weight range", "what such a unit weighs as it comes",
        r#".weighs((0.8.kg..1.6.kg).usually(1.1.kg))"#),
    word("unit", "sold_whole_as", "grade", "the grade under which a yard buys it untouched",
        r#".sold_whole_as("appliance-light")"#),
    word("unit", "guards", "[hazard, …]", "hazards to confirm before the first step",
        r#".guards(["mains-plugged", "settled-dust"])"#),
    word("unit", "holds", "[item, …]", "what such a unit holds that the law wants out, by number of WEEE Annex VII",
        r#".holds(["1.12"])"#),
    word("unit", "says", "text", "what is said before work starts; may be repeated",
        r#".says("Pour out what water is left in it.")"#),
    word("unit", "figures_from", "text", "where the weights come from, or `estimate`",
        r#".figures_from("estimate")"#),
    word("unit", "author", "text", "who wrote the recipe",
        r#".author("A. Writer")"#),
    word("unit", "licence", "text", "under which licence it may be passed on",
        r#".licence("CC0-1.0")"#),
    word("unit", "revision", "count", "counts up with every change",
        r#".revision(2)"#),
    word("unit", "needs_api", "count", "the script language version that it needs",
        r#".needs_api(1)"#),
    word("script", "step", "id, title, or title", "declares a step; with a title alone, the id is made from it",
        r#"step("spout", "Cut off the spout").minutes(1, 2, 3);"#),
    word("step", "after", "step, or [step, …]", "all of these must be done before",
        r#".after("base")"#),
    word("step", "after_any", "[step, …]", "at least one of these must be done before",
        r#".after_any(["base", "handle"])"#),
    word("step", "minutes", "low, usual, high", "how long the step takes, in minutes",
        r#".minutes(2, 3, 5)"#),
    word("step", "tools", "[text, …]", "tools to have at hand",
        r#".tools(["Torx T20 driver", "gloves"])"#),
    word("step", "guards", "[hazard, …]", "hazards to confirm before the step starts",
        r#".guards(["sharp-sheet"])"#),
    word("step", "says", "text", "an instruction; may be repeated",
        r#".says("Two clips at the hinge: press both at once.")"#),
    word("step", "costs", "name, amount, currency", "something used up each time",
        r#".costs("cutting disc", 0.80, "CAD")"#),
    word("step", "opens", "part", "the freed part that the step works on; without it, the unit itself",
        r#".after("base").opens("base")"#),
    word("step", "frees", "part, weight range, grade", "a part that comes out, and the grade under which it sells",
        r#".frees("heater", (60.g..120.g).usually(85.g), "stainless-with-iron")"#),
    word("step", "figures_from", "text", "where the weight of the part just named comes from, or `estimate`",
        r#".frees("heater", 85.g, "stainless-with-iron").figures_from("estimate")"#),
    word("step", "leaves", "part, grade", "the grade of what is left of the opened part",
        r#".after("base").opens("base").leaves("base", "plastic-mixed")"#),
    word("step", "spoils", "grade", "the remainder sells for less from here on, under this grade",
        r#".spoils("plastic-mixed")"#),
    word("step", "cleans", "grade", "the remainder sells for more from here on, under this grade",
        r#".cleans("stainless")"#),
    word("step", "removes", "[item, …]", "items of WEEE Annex VII that are out after this step",
        r#".removes(["1.12"])"#),
    word("step", "work", "|bench| { … }", "asks further questions while the step is done",
        r#".work(|bench| bench.say("Mind the spring in the lid."))"#),
    word("step", "made_up", "", "once begun, asks what is done next until nothing is; each answer becomes a step of its own",
        r#".after("base").made_up()"#),
    word("bench", "yes", "key, text", "asks yes or no; gives true or false",
        r#"if bench.yes("cracked", "Is the jug cracked?") { bench.say("Wear gloves.") }"#),
    word("bench", "choose", "key, text, [option, …]", "asks for one of several; gives the option",
        r#"let metal = bench.choose("metal", "Does a magnet hold to it?", ["holds", "does not hold"]);"#),
    word("bench", "number", "key, text, or key, text, unit", "asks for a number; gives it exactly",
        r#"let volts = bench.number("volts", "What does the meter show?", "V");"#),
    word("bench", "count", "key, text", "asks for a whole number from 0",
        r#"let screws = bench.count("screws", "How many screws held it?");"#),
    word("bench", "note", "key, text", "asks for a line of text",
        r#"let mark = bench.note("mark", "What is moulded inside?");"#),
    word("bench", "grade", "key, text", "asks what something is or looks like, and finds its grade; gives the grade's id",
        r#"bench.regrade("lid", bench.grade("lid-grade", "What is the lid made of?"));"#),
    word("bench", "weigh", "part, or key, text", "weighs a part of this step ahead of its turn, or something else",
        r#"if bench.weigh("lid") > 200.g { bench.say("Glass: keep it apart.") }"#),
    word("bench", "say", "text", "tells the person something",
        r#"bench.say("Mind the spring.");"#),
    word("bench", "regrade", "part, grade", "gives a part another grade than the recipe foresaw",
        r#"bench.regrade("lid", "stainless");"#),
    word("bench", "lacks", "part", "marks a part as not in this unit: it is not weighed",
        r#"bench.lacks("lid");"#),
    word("bench", "hand_on", "text", "ends here: what is left goes on whole to someone licensed, for this reason",
        r#"bench.hand_on("The seal is broken.");"#),
    word("bench", "unit_is", "text", "names the unit that is on the bench, where the recipe is for any",
        r#"bench.unit_is("Egg boiler");"#),
    word("bench", "sells_whole_as", "grade", "the grade under which a yard buys the unit on the bench untouched",
        r#"bench.sells_whole_as("appliance-light");"#),
    word("bench", "holds_no", "item", "an item of `holds` that was looked for and is not in the unit on the bench",
        r#"bench.holds_no("1.12");"#),
    word("bench", "guard", "hazard", "demands a guard on the spot, for what the work found",
        r#"bench.guard("sharp-sheet");"#),
    word("script", "yard", "id, name", "starts a yard; the first statement of the file",
        r#"yard("corner-yard", "Corner Yard").currency("CAD").weighs_in("lb", 0.2);"#),
    word("yard", "region", "text", "country, and province or state",
        r#".region("CA-ON")"#),
    word("yard", "currency", "code", "the ISO 4217 code of the currency that it pays in",
        r#".currency("CAD")"#),
    word("yard", "weighs_in", "unit, or unit, division", "its unit of weight, and the division of its scale in that unit",
        r#".weighs_in("lb", 0.2)"#),
    word("yard", "pays_to", "amount", "the smallest step of a cash payment",
        r#".pays_to(0.05)"#),
    word("yard", "decimal_comma", "", "numbers at this yard are written with a decimal comma",
        r#".decimal_comma()"#),
    word("yard", "sample_prices", "", "marks the prices as invented; said wherever they are shown",
        r#".sample_prices()"#),
    word("yard", "says", "text", "a remark about the yard",
        r#".says("Closed at noon.")"#),
    word("yard", "author", "text", "who wrote the price module",
        r#".author("A. Writer")"#),
    word("yard", "licence", "text", "under which licence it may be passed on",
        r#".licence("CC0-1.0")"#),
    word("yard", "revision", "count", "counts up with every change",
        r#".revision(2)"#),
    word("yard", "needs_api", "count", "the script language version that it needs",
        r#".needs_api(1)"#),
    word("script", "as_of", "date", "the day of the prices that follow, year-month-day",
        r#"as_of("2026-11-02");"#),
    word("script", "buys", "grade, local name, amount", "a price per unit of the yard's weight",
        r#"buys("copper-1", "No. 1 copper", 3.85);"#),
    word("script", "pays_each", "grade, local name, amount", "a price per piece",
        r#"pays_each("compressor-sealed", "Sealed unit", 4.00);"#),
    word("script", "charges", "grade, local name, amount", "what the yard takes for accepting something",
        r#"charges("crt-display", "Tube display", 5.00).each();"#),
    word("price", "each", "", "the price is per piece",
        r#".each()"#),
    word("price", "per", "unit", "the price is per this unit instead of the yard's",
        r#".per("kg")"#),
    word("price", "from", "weight, amount", "from this weight on, all of the lot at this price",
        r#".from(50.lb, 3.55)"#),
    word("price", "at_least", "weight", "the smallest lot that is taken",
        r#".at_least(5.lb)"#),
    word("script", "visit_fee", "name, amount", "what each visit costs",
        r#"visit_fee("weighing", 2.00);"#),
    word("script", "least_load", "weight", "the lightest load that is taken, all lots together",
        r#"least_load(20.kg);"#),
    word("script", "mixed", "|lot| …", "how the yard treats a lot of mixed grades: gives a grade, or lot.less(…), or lot.refuse(…)",
        r#"mixed(|lot| lot.lowest_grade());"#),
    word("lot", "lowest_grade", "", "the grade in it that brings least per weight",
        r#"lot.lowest_grade()"#),
    word("lot", "heaviest_grade", "", "the grade that most of it is",
        r#"lot.heaviest_grade()"#),
    word("lot", "weight", "", "what it weighs in all",
        r#"if lot.weight() < 10.lb { lot.refuse("too little to sort") } else { lot.lowest_grade() }"#),
    word("lot", "share", "grade", "the share of its weight that is this grade, from 0 to 1",
        r#"if lot.share("copper-2") > 0.9 { "copper-2" } else { lot.lowest_grade() }"#),
    word("lot", "less", "grade, percent", "buys it as this grade, less a percentage",
        r#"lot.less("copper-2", 15)"#),
    word("lot", "refuse", "text", "does not take it, and says why",
        r#"lot.refuse("no mixed lots")"#),
    word("weight range", "usually", "weight", "the usual value of a range; without it, the middle counts as usual",
        r#".weighs((0.8.kg..1.6.kg).usually(1.1.kg))"#),
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

#[cfg(test)]
mod tests;

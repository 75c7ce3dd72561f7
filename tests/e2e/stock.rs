//! The recipe and the yards of the tests. All figures are invented.

/// A recipe with a part that can turn out otherwise, a caution, a cost, and a part that the yard does not buy.
pub const BOX: &str = r#"unit("test-box", "Test box")
    .weighs((4.kg..8.kg).usually(6.kg))
    .figures_from("invented")
    .sold_whole_as("appliance-light")
    .says("A box that only tests open.")
    .author("Test").revision(1).needs_api(1);

step("lid", "Take off the lid")
    .minutes(1, 2, 4)
    .tools(["screwdriver"])
    .says("Four screws.")
    .frees("lid", (0.5.kg..1.5.kg).usually(1.kg), "steel-light").figures_from("invented");

step("core", "Pull the core")
    .after("lid")
    .minutes(2, 4, 8)
    .guards(["sharp-sheet"])
    .costs("disc", 0.50, "CAD")
    .frees("core", (1.kg..3.kg).usually(2.kg), "transformer-copper").figures_from("invented")
    .work(|bench| {
        if bench.choose("winding", "What colour is the winding?", ["copper", "silver"]) == "silver" {
            bench.say("Silver is aluminium.");
            bench.regrade("core", "transformer-aluminium");
        }
    });

step("wires", "Pull the wires")
    .after("lid")
    .minutes(1, 2, 3)
    .frees("wires", (0.05.kg..0.4.kg).usually(0.2.kg), "wire-harness").figures_from("invented")
    .frees("clips", (0.01.kg..0.05.kg).usually(0.02.kg), "brass").figures_from("invented");
"#;

/// Per kg, to 10 g, in cents.
pub const FIXED_YARD: &str = r#"yard("fixed-yard", "Fixed Yard").region("CA-ON").currency("CAD").weighs_in("kg", 0.01)
    .says("An invented yard.").author("Test").revision(1).needs_api(1);
as_of("2026-11-01");
buys("steel-light", "Light iron", 0.20);
buys("transformer-copper", "Copper transformers", 1.50);
buys("transformer", "Transformers", 0.60);
buys("wire", "Wire", 2.00);
buys("appliance", "Appliances", 0.10);
mixed(|lot| lot.lowest_grade());
"#;

/// Per kg, to 100 g, in euros with a decimal comma.
pub const COMMA_YARD: &str = r#"yard("comma-yard", "Komma Hof").region("DE").currency("EUR").weighs_in("kg", 0.1).decimal_comma()
    .says("An invented yard.").author("Test").revision(1).needs_api(1);
as_of("2026-11-01");
buys("steel-light", "Blech", 0.10);
buys("transformer", "Trafos", 0.90);
buys("wire", "Kabel", 1.20);
buys("appliance", "Altgeräte", 0.05);
"#;

/// A whole session with the box, as lines for the bench.
pub const WHOLE: [&str; 13] =
    ["6.00 kg", "do", "1.00 kg", "2", "do", "yes", "copper", "2.10 kg", "5", "do", "0.20 kg", "none", "3"];

//! Finding a grade by description, at a terminal.

use crate::screen::Place;

const ANY: &str = r#"unit("any-box", "Any box").weighs((1.kg..9.kg).usually(5.kg)).sold_whole_as("appliance-light");
step("next", "Go on with steps of your own").minutes(1, 2, 9).made_up();
"#;

#[test]
fn a_description_completes_to_the_grades_that_fit() {
    let place = Place::new();
    place.write("home/recipes/any-box.rhai", ANY);
    let mut screen = place.run(&["bench", "any-box"]);
    screen.writes("What does the whole unit weigh");
    screen.types("6 kg");
    screen.writes("Go on with steps of your own?");
    screen.types("do");
    screen.writes("What will you do first?");
    screen.types("Cut the coil off");
    screen.writes("What can hurt in this step?");
    screen.is_ready();
    // One hazard has all these words: Tab puts its id in their place.
    screen.press("jump belt tensioners\t");
    screen.edits("> springs");
    screen.press("\u{15}none");
    screen.enter("\r");
    screen.writes("What comes out? Name it before you loosen it.");
    screen.types("coil");
    screen.writes("`coil`: what is it, or what does it look like?");
    screen.is_ready();
    screen.press("thick bare copper\t");
    screen.edits("> copper-bright");
    screen.press("\u{15}copper winding");
    screen.enter("\r");
    screen.writes("1 copper-winding");
    screen.types("1");
    screen.writes("Weigh: coil");
}

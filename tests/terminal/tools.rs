//! Bench tools and the grade finder at a terminal: one question at a time, and an answer that cannot be is asked again.

use crate::screen::Place;

#[test]
fn an_answer_that_cannot_be_is_asked_again() {
    let place = Place::new();
    let mut screen = place.run(&["tares"]);
    screen.writes("What does it weigh, container and all?");
    screen.types("400 g");
    screen.writes("Which container?");
    screen.types("");
    screen.writes("What does it weigh empty?");
    screen.types("heavy");
    screen.writes("Not taken:");
    screen.types("450 g");
    screen.writes("How many containers");
    screen.types("");
    screen.writes("Which grade is in it");
    screen.types("");
    screen.writes("Not taken: the containers alone weigh as much");
    screen.writes("What does it weigh, container and all?");
    screen.types("4 kg");
    screen.writes("Which container?");
    screen.types("");
    screen.types("450 g");
    screen.types("");
    screen.types("");
    screen.writes("Net: 3.55 kg");
    assert_eq!(screen.ends(), 0);
}

#[test]
fn the_finder_asks_the_test_that_tells_most_and_takes_back() {
    let place = Place::new();
    let mut screen = place.run(&["find-grade"]);
    screen.writes("What form has it?");
    screen.types("casting");
    screen.writes("So far: ");
    screen.types("back");
    screen.writes("What form has it?");
    screen.types("cannot tell");
    screen.types("done");
    screen.writes("It may be");
    assert_eq!(screen.ends(), 0);
}

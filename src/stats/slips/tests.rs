use super::*;
use proptest::prelude::*;

fn u(value: f64, sd: f64) -> Uncertain {
    Uncertain::new(value, sd).unwrap()
}

fn kg(mass: f64) -> TypedWeight {
    TypedWeight::new(u(mass, 0.3)).typed(Unit::Kilogram, 3)
}

fn part(weighing: WeighingState, mean: f64) -> WeighedPart {
    WeighedPart { weighing, expected: Some(u(mean, mean * 0.1)) }
}

/// A unit of 13.012 kg: transformer 3.7 kg, winding 0.702 kg, remainder 8.61 kg.
fn oven(transformer: f64, winding: f64, remainder: f64) -> Weighings {
    Weighings {
        intake: kg(13_012.0),
        parts: vec![
            part(WeighingState::Entered(kg(transformer)), 3800.0),
            part(WeighingState::Entered(kg(winding)), 680.0),
            part(WeighingState::Entered(kg(remainder)), 8500.0),
        ],
        tares: vec![145.0],
    }
}

fn first(weighings: &Weighings) -> Candidate {
    *diagnose(weighings).likeliest().expect("an alarm")
}

#[test]
fn a_sound_weighing_raises_no_alarm() {
    let found = diagnose(&oven(3700.0, 702.0, 8610.0));
    assert!(!found.is_alarm() && found.likeliest().is_none(), "{found:?}");
    assert!(found.sound > 0.9);
}

#[test]
fn pounds_entered_as_kilograms() {
    let found = first(&oven(3700.0, 702.0 / 0.453_592_37, 8610.0));
    assert_eq!(
        found.to_string(),
        "part 2: 1548 g is most likely wrong: the number was in pounds but entered as kilograms; 702 g would fit"
    );
    assert!(found.chi2_drop > found.penalty);
}

#[test]
fn a_point_out_of_place_and_swapped_digits() {
    let found = first(&oven(370.0, 702.0, 8610.0));
    assert_eq!(found.slip, Slip::DecimalPlace { places: -1 });
    assert_eq!(found.slip.to_string(), "the decimal point is one place too far left");
    let found = first(&oven(7300.0, 702.0, 8610.0));
    assert_eq!((found.place, found.slip), (Place::Part(0), Slip::DigitsSwapped));
    assert_eq!(found.corrected, 3700.0);
}

#[test]
fn the_container_weighed_along_and_a_weight_counted_twice() {
    let found = first(&oven(3700.0, 702.0 + 145.0, 8610.0));
    assert_eq!(found.slip, Slip::TareLeftOn { tare: 145.0 });
    assert_eq!(found.slip.to_string(), "a container of 145 g was weighed along");
    let found = first(&oven(3700.0, 1404.0, 8610.0));
    assert_eq!((found.place, found.slip), (Place::Part(1), Slip::EnteredTwice));
}

#[test]
fn one_part_entered_for_another() {
    let found = first(&oven(3700.0, 3700.0, 8610.0));
    assert_eq!((found.place, found.slip), (Place::Part(1), Slip::RepeatOf { part: 0 }));
    assert!((found.corrected - 702.0).abs() < 2.0);
    assert_eq!(found.slip.to_string(), "it repeats the weight of part 1");
}

#[test]
fn a_part_passed_over() {
    let mut weighings = oven(3700.0, 702.0, 8610.0);
    weighings.parts[1].weighing = WeighingState::Skipped;
    let found = first(&weighings);
    assert_eq!(found.to_string(), "part 2: most likely a part was left out; 702 g would fit");
    weighings.parts.remove(1);
    let found = first(&weighings);
    assert_eq!(found.to_string(), "most likely a part was left out: about 702 g is missing");
}

#[test]
fn a_mistake_of_no_known_kind_still_names_the_entry() {
    let found = first(&oven(5321.0, 702.0, 8610.0));
    assert_eq!((found.place, found.slip), (Place::Part(0), Slip::Unexplained));
    assert!((found.corrected - 3700.0).abs() < 5.0, "{found}");
}

#[test]
fn the_intake_itself_can_be_wrong() {
    let mut weighings = oven(3700.0, 702.0, 8610.0);
    weighings.intake = kg(31_012.0);
    let found = first(&weighings);
    assert_eq!((found.place, found.slip), (Place::Intake, Slip::DigitsSwapped));
}

#[test]
fn a_weight_is_judged_by_its_range_alone() {
    let expected = u(3800.0, 300.0);
    assert!(!diagnose_entry(&kg(4200.0), &expected, &[]).is_alarm());
    let found = diagnose_entry(&kg(38_500.0), &expected, &[]);
    let first = found.likeliest().unwrap();
    assert_eq!(first.slip, Slip::DecimalPlace { places: 1 });
    assert_eq!(first.corrected, 3850.0);
    // Out of range, but no slip explains it: the range is in doubt, not the entry.
    assert!(!diagnose_entry(&kg(5_200.0), &expected, &[]).is_alarm());
}

#[test]
fn odd_tares_are_passed_over() {
    let mut weighings = oven(3700.0, 702.0, 8610.0);
    weighings.tares = vec![f64::NAN, -5.0, 0.0, 1e9, f64::INFINITY];
    assert!(!diagnose(&weighings).is_alarm());
}

fn weighing() -> impl Strategy<Value = WeighingState> {
    let mass = prop_oneof![-10.0..1e5_f64, Just(0.0), Just(1e200), Just(-1e200), Just(1e-200)];
    prop_oneof![
        4 => (mass, 0.1..50.0_f64, 0_u32..12).prop_map(|(m, sd, d)| {
            WeighingState::Entered(TypedWeight::new(u(m, sd)).typed(Unit::Pound, d))
        }),
        1 => Just(WeighingState::Skipped),
    ]
}

proptest! {
    #[test]
    fn whatever_is_entered_the_outcome_is_a_probability(
        intake in -1e5..1e5_f64,
        list in prop::collection::vec((weighing(), prop::option::of((1.0..1e4_f64, 0.1..1e3_f64))), 0..6),
    ) {
        let part = |(weighing, expected): (WeighingState, Option<(f64, f64)>)| WeighedPart {
            weighing,
            expected: expected.map(|(mean, sd)| u(mean, sd)),
        };
        let found = diagnose(&Weighings {
            intake: TypedWeight::new(u(intake, 5.0)),
            parts: list.into_iter().map(part).collect(),
            tares: vec![50.0],
        });
        let sum = found.sound + found.candidates.iter().map(|c| c.probability).sum::<f64>();
        prop_assert!((0.0..=1.0 + 1e-9).contains(&sum), "{found:?}");
        for candidate in &found.candidates {
            prop_assert!(candidate.probability >= 1e-3 && candidate.corrected.is_finite());
            prop_assert!(!candidate.to_string().is_empty());
        }
    }
}

use super::*;
use crate::stats::three_point::ThreePoint;
use proptest::prelude::*;

fn prior() -> NormalInverseGamma {
    let range = ThreePoint::new(90.0, 100.0, 110.0).unwrap();
    NormalInverseGamma::from_range(&range, 4.0).unwrap()
}

#[test]
fn the_size_of_the_sample_picks_the_test() {
    let pick = |n: usize, with: Option<&NormalInverseGamma>| {
        let values: Vec<f64> = (0..n).map(|k| 100.0 + (k % 5) as f64).collect();
        outliers(&values, with).unwrap().method
    };
    let p = prior();
    assert_eq!(pick(0, Some(&p)), Method::NotTested);
    assert_eq!(pick(3, None), Method::NotTested);
    assert_eq!(pick(6, Some(&p)), Method::PriorPredictive);
    assert_eq!(pick(7, Some(&p)), Method::ModifiedZ);
    assert_eq!(pick(14, None), Method::ModifiedZ);
    assert_eq!(pick(15, None), Method::GeneralisedEsd);
}

#[test]
fn a_small_sample_is_judged_by_the_recipe() {
    let found = outliers(&[101.0, 220.0, 97.0], Some(&prior())).unwrap();
    assert_eq!(found.flagged.len(), 1);
    assert_eq!((found.flagged[0].index, found.flagged[0].value), (1, 220.0));
    assert!(found.flagged[0].statistic > found.flagged[0].critical);
}

#[test]
fn modified_z_by_hand() {
    // Median 5, deviations 4 3 2 1 0 1 2 3 95: MAD 2, so the last scores 0.6745·95/2.
    let scores = modified_z(&[1.0, 2.0, 3.0, 4.0, 5.0, 6.0, 7.0, 8.0, 100.0]).unwrap();
    assert!((scores[8].statistic - 0.6745 * 95.0 / 2.0).abs() < 1e-12);
    assert_eq!(scores[4].statistic, 0.0);
}

#[test]
fn when_most_values_are_equal_the_mean_deviation_takes_over() {
    let found = outliers(&[12.0, 12.0, 12.0, 12.0, 12.0, 12.0, 30.0], None).unwrap();
    assert_eq!(found.flagged.len(), 1);
    assert_eq!(found.flagged[0].index, 6);
    assert!(found.flagged[0].statistic.is_finite());
}

#[test]
fn equal_values_flag_nothing() {
    for n in [3, 8, 20] {
        let found = outliers(&vec![100.0; n], Some(&prior())).unwrap();
        assert!(found.flagged.is_empty());
    }
    assert!(generalised_esd(&[7.0; 20], 3, 0.05).unwrap().steps.is_empty());
    assert_eq!(generalised_esd(&[7.0; 5], 1, 0.05).unwrap().outliers, 0);
}

#[test]
fn impossible_requests_are_refused() {
    assert!(generalised_esd(&[1.0, 2.0, 3.0], 2, 0.05).is_err());
    assert!(generalised_esd(&[1.0, 2.0, 3.0, 4.0], 0, 0.05).is_err());
    assert!(generalised_esd(&[1.0; 20], usize::MAX, 0.05).is_err());
    assert!(generalised_esd(&[1.0, 2.0], 1, 0.05).is_err());
    assert!(generalised_esd(&[1.0, 2.0, 3.0], 1, 1.0).is_err());
    assert!(outliers(&[1.0, f64::INFINITY], None).is_err());
    assert!(modified_z(&[]).is_err());
}

#[test]
fn the_most_extreme_value_is_looked_for_on_both_sides() {
    let first = |values: &[f64]| generalised_esd(values, 1, 0.05).unwrap().steps[0].index;
    assert_eq!(first(&[1.0, 10.0, 11.0, 12.0, 13.0, 50.0]), 5);
    assert_eq!(first(&[-50.0, 10.0, 11.0, 12.0, 13.0, 20.0]), 0);
}

proptest! {
    #[test]
    fn a_wild_value_is_flagged_whatever_the_test(
        n in 7_usize..40, at in 0_usize..7, wobble in prop::collection::vec(-1.0..1.0_f64, 40),
    ) {
        let mut values: Vec<f64> = wobble[..n].iter().map(|w| 100.0 + w).collect();
        values[at] = 1000.0;
        let found = outliers(&values, None).unwrap();
        prop_assert!(found.flagged.iter().any(|f| f.index == at));
    }
}

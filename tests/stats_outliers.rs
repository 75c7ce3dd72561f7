//! Outlier tests against the worked examples of the NIST/SEMATECH e-Handbook of Statistical Methods.

#![allow(clippy::unwrap_used, clippy::new_without_default, reason = "a test may fail by panicking")]

use knockdown::stats::outliers::{Method, generalised_esd, outliers};

/// Data of Rosner (Technometrics 25 (1983), 165–172) as in handbook 1.3.5.17.3,
/// https://www.itl.nist.gov/div898/handbook/eda/section3/eda35h3.htm (read in a public copy of that page).
const ROSNER: [f64; 54] = [
    -0.25, 0.68, 0.94, 1.15, 1.20, 1.26, 1.26, 1.34, 1.38, 1.43, 1.49, 1.49, 1.55, 1.56, 1.58, 1.65, 1.69, 1.70, 1.76,
    1.77, 1.81, 1.91, 1.94, 1.96, 1.99, 2.06, 2.09, 2.10, 2.14, 2.15, 2.23, 2.24, 2.26, 2.35, 2.37, 2.40, 2.47, 2.54,
    2.62, 2.64, 2.90, 2.92, 2.92, 2.93, 3.21, 3.26, 3.30, 3.59, 3.68, 4.30, 4.64, 5.34, 5.42, 6.01,
];

/// The table on the same page: test statistic and critical value for 1 to 10 outliers at 5 %. It cuts numbers off after the third
/// decimal rather than round them (3.1189 is printed as 3.118).
const ROSNER_RUN: [(f64, f64); 10] = [
    (3.118, 3.158),
    (2.942, 3.151),
    (3.179, 3.143),
    (2.810, 3.136),
    (2.815, 3.128),
    (2.848, 3.120),
    (2.279, 3.111),
    (2.310, 3.103),
    (2.101, 3.094),
    (2.067, 3.085),
];

/// Mass spectrometer measurements of a uranium isotope (Tietjen & Moore, Technometrics 14 (1972)) as in handbook 1.3.5.17.1,
/// https://www.itl.nist.gov/div898/handbook/eda/section3/eda35h1.htm (read in a public copy of that page).
const URANIUM: [f64; 8] = [199.31, 199.53, 200.19, 200.82, 201.92, 201.95, 202.18, 245.57];

#[test]
fn rosners_run_comes_out_as_printed() {
    let run = generalised_esd(&ROSNER, 10, 0.05).expect("a run");
    assert_eq!(run.steps.len(), 10);
    let cut = |x: f64| (x * 1000.0).trunc() / 1000.0;
    for (step, printed) in run.steps.iter().zip(ROSNER_RUN) {
        assert_eq!((cut(step.statistic), cut(step.critical)), printed);
    }
    assert_eq!(run.outliers, 3);
    let flagged: Vec<f64> = run.flagged().iter().map(|t| t.value).collect();
    assert_eq!(flagged, [6.01, 5.42, 5.34]);
}

#[test]
fn the_same_three_are_flagged_without_asking_for_a_test() {
    let found = outliers(&ROSNER, None).expect("an outcome");
    assert_eq!(found.method, Method::GeneralisedEsd);
    let places: Vec<usize> = found.flagged.iter().map(|t| t.index).collect();
    assert_eq!(places, [53, 52, 51]);
}

#[test]
fn one_grubbs_test_after_another_would_have_missed_them() {
    // The handbook says so: the first step is not significant, because the outliers mask one another.
    assert_eq!(generalised_esd(&ROSNER, 1, 0.05).expect("a run").outliers, 0);
}

#[test]
fn the_grubbs_example_comes_out_as_printed() {
    // Grubbs' test is the first step of a run; what is 5 % on one side is 10 % on both.
    let run = generalised_esd(&URANIUM, 1, 0.10).expect("a run");
    let test = run.steps[0];
    assert!((test.statistic - 2.4687).abs() < 1e-4, "{test:?}");
    assert!((test.critical - 2.032).abs() <= 0.000_51, "{test:?}");
    assert_eq!(run.outliers, 1);
    assert_eq!((test.index, test.value), (7, 245.57));
    // Eight values are judged by modified z scores, which name the same one.
    let found = outliers(&URANIUM, None).expect("an outcome");
    assert_eq!(found.method, Method::ModifiedZ);
    assert_eq!(found.flagged.len(), 1);
    assert_eq!(found.flagged[0].index, 7);
}

/// One- and two-sided 5 % critical values of Grubbs' test (read in public test suites that quote the printed tables).
#[test]
fn critical_values_are_those_of_the_printed_tables() {
    let two_sided = [1.155, 1.481, 1.715, 1.887, 2.020, 2.126, 2.215, 2.290];
    let one_sided = [1.1531, 1.4625, 1.6714, 1.8221, 1.9381, 2.0317, 2.1096, 2.1761];
    for (k, (two, one)) in two_sided.into_iter().zip(one_sided).enumerate() {
        let values: Vec<f64> = (0..k + 3).map(|v| v as f64).collect();
        let critical = |both_sides| generalised_esd(&values, 1, both_sides).expect("a run").steps[0].critical;
        assert!((critical(0.05) - two).abs() <= 0.001, "n = {}", k + 3);
        assert!((critical(0.10) - one).abs() <= 0.000_2, "n = {}", k + 3);
    }
}

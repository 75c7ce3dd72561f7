//! Least-squares adjustment of measurements to any linear balances: what the closed form of a unit is held against.

use super::super::describe::compensated_sum;
use super::super::uncertain::Uncertain;

/// Measurements adjusted so that every balance holds.
#[derive(Debug, Clone, PartialEq)]
pub struct LinearReconciliation {
    /// The adjusted values x.
    pub values: Vec<f64>,
    /// What was subtracted from each measurement, a = y − x.
    pub adjustments: Vec<f64>,
    /// How far the measurements were from closing: r′S⁻¹r. If only the scale's errors are at work, it is χ² with `dof`
    /// degrees of freedom (the *global test*).
    pub chi2: f64,
    /// Degrees of freedom: the number of balances.
    pub dof: usize,
    /// The measurement test of each value, |aⱼ| over its sd; 0 if no balance involves it. Its square is the drop of χ²
    /// if the measurement were deleted.
    pub tests: Vec<f64>,
}

impl LinearReconciliation {
    /// Index of the measurement whose deletion would lower χ² the most; `None` without measurements.
    pub fn suspect(&self) -> Option<usize> {
        (0..self.tests.len()).max_by(|a, b| self.tests[*a].total_cmp(&self.tests[*b]))
    }
}

/// Adjusts `measured` y with variances V to the balances Ax = 0, given as rows of A, by weighted least squares:
/// r = Ay, S = AVA′, x = y − VA′S⁻¹r.
///
/// `None` if a row of `balances` does not match `measured` in length, has a non-finite coefficient, or is redundant.
pub fn reconcile(balances: &[Vec<f64>], measured: &[Uncertain]) -> Option<LinearReconciliation> {
    if balances.iter().any(|row| row.len() != measured.len() || row.iter().any(|a| !a.is_finite())) {
        return None;
    }
    let residuals: Vec<f64> =
        balances.iter().map(|row| compensated_sum(row.iter().zip(measured).map(|(a, y)| a * y.value()))).collect();
    let factor = Cholesky::of(&covariance(balances, measured))?;
    let multipliers = factor.solve(&residuals);
    let chi2 = compensated_sum(residuals.iter().zip(&multipliers).map(|(r, m)| r * m));
    let column = |j: usize| -> Vec<f64> { balances.iter().map(|row| row[j]).collect() };
    let mut out = LinearReconciliation {
        values: Vec::with_capacity(measured.len()),
        adjustments: Vec::with_capacity(measured.len()),
        chi2: chi2.max(0.0),
        dof: balances.len(),
        tests: Vec::with_capacity(measured.len()),
    };
    for (j, y) in measured.iter().enumerate() {
        let column = column(j);
        let pull = compensated_sum(column.iter().zip(&multipliers).map(|(a, m)| a * m));
        let reach = factor.quadratic(&column).sqrt();
        let adjustment = y.variance() * pull;
        out.values.push(y.value() - adjustment);
        out.adjustments.push(adjustment);
        // |a|/sd(a) = |v·A′S⁻¹r| / (v·√(A′S⁻¹A)): the variance cancels.
        out.tests.push(if reach > 0.0 { pull.abs() / reach } else { 0.0 });
    }
    Some(out)
}

/// S = AVA′.
fn covariance(balances: &[Vec<f64>], measured: &[Uncertain]) -> Vec<Vec<f64>> {
    let entry =
        |a: &Vec<f64>, b: &Vec<f64>| compensated_sum((0..measured.len()).map(|j| a[j] * measured[j].variance() * b[j]));
    balances.iter().map(|a| balances.iter().map(|b| entry(a, b)).collect()).collect()
}

/// Lower triangle L of a symmetric positive definite matrix LL′.
struct Cholesky(Vec<Vec<f64>>);

impl Cholesky {
    fn of(matrix: &[Vec<f64>]) -> Option<Self> {
        let mut lower: Vec<Vec<f64>> = Vec::with_capacity(matrix.len());
        for (i, row) in matrix.iter().enumerate() {
            let mut line = Vec::with_capacity(i + 1);
            for j in 0..i {
                let above = &lower[j];
                let rest = row[j] - dot(&line, &above[..j]);
                line.push(rest / above[j]);
            }
            let rest = row[i] - dot(&line, &line);
            // A balance implied by earlier ones leaves only rounding on its diagonal.
            if rest <= 1e-12 * row[i] || !rest.is_finite() {
                return None;
            }
            line.push(rest.sqrt());
            lower.push(line);
        }
        Some(Self(lower))
    }

    /// L⁻¹b.
    fn forward(&self, b: &[f64]) -> Vec<f64> {
        let mut out: Vec<f64> = Vec::with_capacity(b.len());
        for (i, line) in self.0.iter().enumerate() {
            out.push((b[i] - dot(&line[..i], &out)) / line[i]);
        }
        out
    }

    /// S⁻¹b.
    fn solve(&self, b: &[f64]) -> Vec<f64> {
        let mut x = self.forward(b);
        for i in (0..x.len()).rev() {
            let below: f64 = (i + 1..x.len()).map(|k| self.0[k][i] * x[k]).sum();
            x[i] = (x[i] - below) / self.0[i][i];
        }
        x
    }

    /// b′S⁻¹b.
    fn quadratic(&self, b: &[f64]) -> f64 {
        let half = self.forward(b);
        dot(&half, &half)
    }
}

fn dot(a: &[f64], b: &[f64]) -> f64 {
    compensated_sum(a.iter().zip(b).map(|(x, y)| x * y))
}

#[cfg(test)]
mod tests {
    use super::*;

    fn unit(value: f64) -> Uncertain {
        Uncertain::new(value, 1.0).unwrap()
    }

    #[test]
    fn one_balance_shares_the_gap_by_variance() {
        let measured = [unit(10.0), Uncertain::new(4.0, 2.0).unwrap(), unit(3.0)];
        let r = reconcile(&[vec![1.0, -1.0, -1.0]], &measured).unwrap();
        // Gap 3, variances 1, 4, 1.
        let off = |k: usize, by: f64| (r.adjustments[k] - by).abs() < 1e-12;
        assert!(off(0, 0.5) && off(1, -2.0) && off(2, -0.5), "{r:?}");
        assert!((r.chi2 - 9.0 / 6.0).abs() < 1e-12);
        assert!((r.values[0] - r.values[1] - r.values[2]).abs() < 1e-12);
    }

    #[test]
    fn a_measurement_outside_every_balance_stays() {
        let r = reconcile(&[vec![1.0, -1.0, 0.0]], &[unit(2.0), unit(1.0), unit(9.0)]).unwrap();
        assert_eq!((r.values[2], r.tests[2]), (9.0, 0.0));
    }

    #[test]
    fn repeated_and_misfit_balances_are_refused() {
        let twice = [vec![1.0, -1.0], vec![2.0, -2.0]];
        let y = [unit(1.0), unit(2.0)];
        assert!(reconcile(&twice[..1], &y).is_some());
        assert!(reconcile(&twice, &y).is_none());
        assert!(reconcile(&[vec![1.0]], &y).is_none());
        assert!(reconcile(&[vec![0.0, 0.0]], &y).is_none());
        assert!(reconcile(&[vec![f64::NAN, 0.0]], &y).is_none());
    }

    #[test]
    fn the_square_of_a_test_is_the_drop_on_deletion() {
        let balances = [vec![1.0, -1.0, -1.0, 0.0], vec![0.0, 1.0, 0.0, -1.0]];
        let y = [unit(10.0), unit(7.5), unit(3.2), unit(6.5)];
        let full = reconcile(&balances, &y).unwrap();
        for k in 0..4 {
            let mut without = y;
            without[k] = Uncertain::new(y[k].value(), 1e6).unwrap();
            let drop = full.chi2 - reconcile(&balances, &without).unwrap().chi2;
            assert!((drop - full.tests[k].powi(2)).abs() < 1e-6);
        }
        assert_eq!(full.suspect(), Some(1));
    }

    /// S. Narasimhan & C. Jordache, *Data Reconciliation and Gross Error Detection* (Gulf, 2000): heat exchanger with
    /// bypass, six flows with variance 1, balances at splitter, exchanger, bypass valve and mixer, and a bias of +4 in
    /// the measurement of stream 2; its global test is 16.674 against χ²(0.95; 4) = 9.488, and stream 2 is the one
    /// named. The flow values and the network are from memory; that they give the published statistic to its last
    /// digit confirms them.
    #[test]
    fn the_biased_stream_of_the_textbook_network_is_named() {
        let flows = [101.91, 68.45, 34.65, 64.20, 36.44, 98.88];
        let measured = flows.map(|f| Uncertain::new(f, 1.0).expect("a flow"));
        let network = [
            vec![1.0, -1.0, -1.0, 0.0, 0.0, 0.0],
            vec![0.0, 1.0, 0.0, -1.0, 0.0, 0.0],
            vec![0.0, 0.0, 1.0, 0.0, -1.0, 0.0],
            vec![0.0, 0.0, 0.0, 1.0, 1.0, -1.0],
        ];
        let found = reconcile(&network, &measured).expect("independent balances");
        assert_eq!(format!("{:.3}", found.chi2), "16.674");
        assert_eq!(found.dof, 4);
        assert_eq!(found.suspect(), Some(1), "stream 2");
        for row in &network {
            let left: f64 = row.iter().zip(&found.values).map(|(a, x)| a * x).sum();
            assert!(left.abs() < 1e-12);
        }
        let mut without = measured;
        without[1] = Uncertain::new(64.45, 1.0).expect("a flow");
        let clean = reconcile(&network, &without).expect("independent balances");
        let limit = crate::stats::distribution::chi_square_quantile(0.95, 4.0).expect("a quantile");
        assert!(found.chi2 > limit && clean.chi2 < limit);
    }
}

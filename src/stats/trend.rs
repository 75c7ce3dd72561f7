//! How the minutes for a step decrease with practice.

use super::describe::compensated_sum;
use super::distribution::t_reach;
use super::error::{StatsError, at_least, in_range};
use super::uncertain::Interval;

/// A power law of practice: minutes = first · kᵇ for the k-th time, fitted as a straight line through the logarithms.
///
/// That times fall by a constant share with each doubling of practice is the classic form of a learning curve (Wright,
/// Journal of the Aeronautical Sciences 3 (1936), 122–128; from memory).
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct PracticeTrend {
    n: usize,
    /// The exponent b: negative if practice makes faster.
    slope: f64,
    slope_sd: f64,
}

/// Fits the trend to the minutes of the first, second, third … time.
///
/// # Errors
/// If there are fewer than 3 times, or one is not finite and above zero.
pub fn practice_trend(minutes: &[f64]) -> Result<PracticeTrend, StatsError> {
    at_least("a trend with practice", 3, minutes.len())?;
    for m in minutes {
        in_range("the minutes of a step", *m, "above zero", |m| m > 0.0)?;
    }
    let n = minutes.len() as f64;
    let x: Vec<f64> = (1..=minutes.len()).map(|k| (k as f64).ln()).collect();
    let y: Vec<f64> = minutes.iter().map(|m| m.ln()).collect();
    let mean = |v: &[f64]| compensated_sum(v.iter().copied()) / n;
    let (x_mean, y_mean) = (mean(&x), mean(&y));
    let sxx = compensated_sum(x.iter().map(|a| (a - x_mean).powi(2)));
    let sxy = compensated_sum(x.iter().zip(&y).map(|(a, b)| (a - x_mean) * (b - y_mean)));
    let slope = sxy / sxx;
    let intercept = y_mean - slope * x_mean;
    let squares = compensated_sum(x.iter().zip(&y).map(|(a, b)| (b - intercept - slope * a).powi(2)));
    Ok(PracticeTrend { n: minutes.len(), slope, slope_sd: (squares / (n - 2.0) / sxx).sqrt() })
}

impl PracticeTrend {
    /// The t interval for the exponent, with n − 2 degrees of freedom.
    ///
    /// # Errors
    /// If `confidence` is not strictly between 0 and 1.
    pub fn slope_interval(&self, confidence: f64) -> Result<Interval, StatsError> {
        let t = t_reach(confidence, self.n as f64 - 2.0)?;
        Ok(Interval::around(self.slope, t * self.slope_sd))
    }

    /// The factor on the minutes with each doubling of practice, 2ᵇ.
    #[must_use]
    pub fn per_doubling(&self) -> f64 {
        self.slope.exp2()
    }

    /// Whether practice has a significant effect: the interval for the exponent excludes zero.
    ///
    /// # Errors
    /// If `confidence` is not strictly between 0 and 1.
    pub fn is_distinct(&self, confidence: f64) -> Result<bool, StatsError> {
        Ok(!self.slope_interval(confidence)?.contains(0.0))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_perfect_power_law_is_found_again() {
        let minutes: Vec<f64> = (1..=8).map(|k| 20.0 * f64::from(k).powf(-0.3)).collect();
        let trend = practice_trend(&minutes).unwrap();
        assert!((trend.slope + 0.3).abs() < 1e-12);
        assert!((trend.per_doubling() - 2.0_f64.powf(-0.3)).abs() < 1e-12);
        assert!(trend.is_distinct(0.95).unwrap());
    }

    #[test]
    fn a_line_through_three_points_by_hand() {
        // Logarithms base 2 of k = 1, 2, 4 would be 0, 1, 2; here k = 1, 2, 3, checked against the normal equations.
        let y = [2.0_f64, 1.0, 3.0];
        let trend = practice_trend(&y.map(f64::exp)).unwrap();
        let x = [0.0, 2.0_f64.ln(), 3.0_f64.ln()];
        let (sx, sy): (f64, f64) = (x.iter().sum(), y.iter().sum());
        let sxx: f64 = x.iter().map(|a| a * a).sum();
        let sxy: f64 = x.iter().zip(&y).map(|(a, b)| a * b).sum();
        let slope = (3.0 * sxy - sx * sy) / (3.0 * sxx - sx * sx);
        assert!((trend.slope - slope).abs() < 1e-12);
    }

    #[test]
    fn scattered_minutes_show_no_trend() {
        let trend = practice_trend(&[10.0, 14.0, 9.0, 13.0, 11.0, 12.0]).unwrap();
        assert!(!trend.is_distinct(0.95).unwrap());
    }

    #[test]
    fn too_few_or_impossible_minutes_are_refused() {
        assert!(practice_trend(&[5.0, 4.0]).is_err());
        assert!(practice_trend(&[5.0, 0.0, 4.0]).is_err());
        assert!(practice_trend(&[5.0, f64::NAN, 4.0]).is_err());
    }
}

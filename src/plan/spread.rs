//! The uncertainty of a plan's value, when masses and minutes are known only as ranges.
//!
//! Each uncertain quantity is PERT(low, usual, high): the beta distribution on that range with its mode at the usual
//! value and α + β = 6 (Malcolm et al. 1959; Vose 2008). Quantities are assumed **independent**: if heavy units have
//! heavy parts throughout, the true spread is wider. Quantiles come from a convolution on a grid, so the same input
//! always gives the same answer. Statistics are floats and must never flow back into money.

/// Number of grid cells for the sum.
const CELLS: usize = 2048;

/// A quantity known as low, usual and high.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Pert {
    low: f64,
    usual: f64,
    high: f64,
}

/// Three numbers that do not form a range.
#[derive(Debug, Clone, Copy, PartialEq, thiserror::Error)]
#[error("low {low}, usual {usual}, high {high} is not a range; they must be finite and in this order")]
pub struct NotARange {
    low: f64,
    usual: f64,
    high: f64,
}

impl Pert {
    /// A range with its mode.
    ///
    /// # Errors
    /// If the numbers are not finite and in order.
    pub fn new(low: f64, usual: f64, high: f64) -> Result<Self, NotARange> {
        let ordered = low <= usual && usual <= high && (high - low).is_finite();
        if ordered { Ok(Self { low, usual, high }) } else { Err(NotARange { low, usual, high }) }
    }

    /// Mean: (low + 4 × usual + high) ÷ 6.
    #[must_use]
    pub fn mean(&self) -> f64 {
        (self.low + 4.0 * self.usual + self.high) / 6.0
    }

    /// Variance: (mean − low) × (high − mean) ÷ 7, which is that of the beta distribution with α + β = 6.
    #[must_use]
    pub fn variance(&self) -> f64 {
        (self.mean() - self.low) * (self.high - self.mean()) / 7.0
    }

    /// The range of `weight` times the quantity.
    fn times(&self, weight: f64) -> Self {
        let (a, b) = (self.low * weight, self.high * weight);
        Self { low: a.min(b), usual: self.usual * weight, high: a.max(b) }
    }

    fn width(&self) -> f64 {
        self.high - self.low
    }

    /// Probabilities at 0, `cell`, 2 `cell` … above the low end, split between neighbours so that the mean is kept.
    fn on_grid(&self, cell: f64) -> Vec<f64> {
        let width = self.width();
        let (alpha, beta) = (4.0 * (self.usual - self.low) / width, 4.0 * (self.high - self.usual) / width);
        let slices = 512 + 4 * (width / cell) as usize;
        let mut grid = vec![0.0; (width / cell).ceil() as usize + 2];
        let mut total = 0.0;
        for slice in 0..slices {
            let share = (slice as f64 + 0.5) / slices as f64;
            let density = share.powf(alpha) * (1.0 - share).powf(beta);
            let place = share * width / cell;
            let (node, over) = (place as usize, place.fract());
            grid[node] += density * (1.0 - over);
            grid[node + 1] += density * over;
            total += density;
        }
        grid.iter_mut().for_each(|p| *p /= total);
        grid
    }
}

/// Mean, variance and quantiles of a sum.
#[derive(Debug, Clone, Copy, PartialEq)]
#[non_exhaustive]
pub struct Spread {
    /// Mean, in closed form.
    pub mean: f64,
    /// Variance, in closed form.
    pub variance: f64,
    /// It is less than this one time in ten.
    pub p10: f64,
    /// The median.
    pub p50: f64,
    /// It is more than this one time in ten.
    pub p90: f64,
    /// Probability of being above zero.
    pub above_zero: f64,
}

/// The spread of `constant` + Σ weight × quantity, the quantities being independent.
///
/// For the value of a plan, the weight of a part's mass is its price minus the price of what it was in, and that of a
/// step's minutes is minus the value of a minute. Quantiles are exact to about 1/2000 of the whole range.
#[must_use]
pub fn weighted_sum(constant: f64, terms: &[(Pert, f64)]) -> Spread {
    let scaled: Vec<Pert> = terms.iter().map(|(pert, weight)| pert.times(*weight)).collect();
    let mean = constant + scaled.iter().map(Pert::mean).sum::<f64>();
    let variance = scaled.iter().map(Pert::variance).sum();
    let sum = Distribution::of(constant, terms);
    let (p10, p50, p90) = (sum.quantile(0.1), sum.quantile(0.5), sum.quantile(0.9));
    Spread { mean, variance, p10, p50, p90, above_zero: 1.0 - sum.below(0.0) }
}

fn convolve(a: &[f64], b: &[f64]) -> Vec<f64> {
    let mut sum = vec![0.0; a.len() + b.len() - 1];
    for (n, &p) in a.iter().enumerate() {
        for (s, &q) in sum[n..].iter_mut().zip(b) {
            *s += p * q;
        }
    }
    sum
}

/// The distribution of a weighted sum on a grid; the probability of a node is spread evenly over the cell around it. A
/// sum without spread is a single certain value.
#[derive(Debug, Clone)]
pub struct Distribution {
    low: f64,
    cell: f64,
    /// The probability of each node.
    grid: Vec<f64>,
    /// The cumulative probability before each node, and the total.
    before: Vec<f64>,
}

impl Distribution {
    /// The distribution of `constant` + Σ weight × quantity, the quantities being independent.
    #[must_use]
    pub fn of(constant: f64, terms: &[(Pert, f64)]) -> Distribution {
        let scaled: Vec<Pert> = terms.iter().map(|(pert, weight)| pert.times(*weight)).collect();
        let low = constant + scaled.iter().map(|p| p.low).sum::<f64>();
        let cell = scaled.iter().map(Pert::width).sum::<f64>() / CELLS as f64;
        let wide = scaled.iter().filter(|p| p.width() > 0.0);
        let grid =
            if cell > 0.0 { wide.map(|p| p.on_grid(cell)).fold(vec![1.0], |a, b| convolve(&a, &b)) } else { vec![1.0] };
        let mut before = vec![0.0];
        for p in &grid {
            before.push(before[before.len() - 1] + p);
        }
        Distribution { low, cell, grid, before }
    }

    /// The `share` quantile.
    #[must_use]
    pub fn quantile(&self, share: f64) -> f64 {
        if self.cell <= 0.0 {
            return self.low;
        }
        let node = self.before[1..].partition_point(|&p| p < share);
        match self.grid.get(node) {
            Some(p) => self.low + self.cell * (node as f64 - 0.5 + (share - self.before[node]) / p),
            None => self.low + self.cell * self.grid.len() as f64,
        }
    }

    /// The probability of less than `limit`.
    #[must_use]
    pub fn below(&self, limit: f64) -> f64 {
        if self.cell <= 0.0 {
            return if self.low < limit { 1.0 } else { 0.0 };
        }
        let place = (limit - self.low) / self.cell + 0.5;
        if place <= 0.0 {
            return 0.0;
        }
        let node = place as usize;
        match self.grid.get(node) {
            Some(p) => (self.before[node] + p * (place - node as f64)).clamp(0.0, 1.0),
            None => 1.0,
        }
    }

    /// The `share` quantile of this sum divided by another, independent and above zero.
    #[must_use]
    pub fn quotient_quantile(&self, divisor: &Distribution, share: f64) -> f64 {
        let nodes: Vec<(f64, f64)> =
            divisor.grid.iter().enumerate().map(|(node, p)| (divisor.low + divisor.cell * node as f64, *p)).collect();
        let below = |ratio: f64| nodes.iter().map(|(value, p)| p * self.below(ratio * value)).sum::<f64>();
        let (mut low, mut high) = (-1.0, 1.0);
        while below(low) > share && low > -1e12 {
            low *= 4.0;
        }
        while below(high) < share && high < 1e12 {
            high *= 4.0;
        }
        for _ in 0..50 {
            let middle = f64::midpoint(low, high);
            if below(middle) < share { low = middle } else { high = middle }
        }
        f64::midpoint(low, high)
    }
}

#[cfg(test)]
mod tests {
    use super::{Distribution, Pert, weighted_sum};

    fn pert(low: f64, usual: f64, high: f64) -> Pert {
        Pert::new(low, usual, high).unwrap()
    }

    fn near(found: f64, expected: f64, tolerance: f64) {
        assert!((found - expected).abs() <= tolerance, "{found} is not {expected}");
    }

    /// Where an increasing function reaches a level.
    fn solve(level: f64, cdf: impl Fn(f64) -> f64) -> f64 {
        let (mut low, mut high) = (0.0, 1.0);
        for _ in 0..60 {
            let middle = (low + high) / 2.0;
            if cdf(middle) < level { low = middle } else { high = middle }
        }
        low
    }

    #[test]
    fn quantiles_of_one_quantity_follow_its_beta_distribution() {
        // Mode in the middle: Beta(3, 3), whose distribution function is 10x³ − 15x⁴ + 6x⁵.
        let spread = weighted_sum(0.0, &[(pert(0.0, 0.5, 1.0), 1.0)]);
        let cdf = |x: f64| x.powi(3) * (10.0 - 15.0 * x + 6.0 * x * x);
        near(spread.p10, solve(0.1, cdf), 5e-4);
        near(spread.p50, 0.5, 5e-4);
        near(spread.p90, solve(0.9, cdf), 5e-4);
        near(spread.variance, 1.0 / 28.0, 1e-12);
        // Mode at the low end: Beta(1, 5), whose distribution function is 1 − (1 − x)⁵.
        let spread = weighted_sum(-0.2, &[(pert(0.0, 0.0, 1.0), 1.0)]);
        near(spread.p10, 1.0 - 0.9_f64.powf(0.2) - 0.2, 5e-4);
        near(spread.above_zero, 0.8_f64.powi(5), 1e-3);
        near(spread.variance, 5.0 / 252.0, 1e-12);
    }

    #[test]
    fn many_quantities_come_close_to_a_normal_distribution() {
        let terms: Vec<(Pert, f64)> =
            (0..40).map(|n| (pert(1.0, 2.0, 3.0), if n % 2 == 0 { 1.0 } else { -1.0 })).collect();
        let spread = weighted_sum(0.0, &terms);
        let sd = spread.variance.sqrt();
        near(spread.mean, 0.0, 1e-9);
        near(spread.above_zero, 0.5, 1e-3);
        near(spread.p90, 1.2816 * sd, 0.02 * sd);
        near(spread.p10, -1.2816 * sd, 0.02 * sd);
    }

    #[test]
    fn a_negative_weight_mirrors() {
        let range = pert(2.0, 3.0, 9.0);
        let (up, down) = (weighted_sum(1.0, &[(range, 2.0)]), weighted_sum(-1.0, &[(range, -2.0)]));
        near(up.p10, -down.p90, 0.02);
        near(up.mean, -down.mean, 1e-12);
        near(up.variance, down.variance, 1e-12);
    }

    #[test]
    fn certain_quantities_have_no_spread() {
        let spread = weighted_sum(1.0, &[(pert(2.0, 2.0, 2.0), 3.0)]);
        assert_eq!((spread.mean, spread.variance, spread.p10, spread.p90), (7.0, 0.0, 7.0, 7.0));
        assert_eq!(spread.above_zero, 1.0);
        let spread = weighted_sum(0.0, &[(pert(2.0, 2.0, 2.0), 3.0), (pert(0.0, 1.0, 2.0), 1.0)]);
        near(spread.p50, 7.0, 1e-3);
    }

    #[test]
    fn a_quotient_of_certain_values_is_certain_and_scales() {
        let certain = |value: f64| Distribution::of(value, &[]);
        near(certain(6.0).quotient_quantile(&certain(3.0), 0.5), 2.0, 1e-9);
        let time = Distribution::of(0.0, &[(pert(1.0, 2.0, 3.0), 1.0)]);
        // 6 ÷ T is below r exactly when T is above 6 ÷ r.
        let found = certain(6.0).quotient_quantile(&time, 0.1);
        near(found, 6.0 / time.quantile(0.9), 5e-3);
    }

    #[test]
    fn nonsense_is_refused() {
        for (low, usual, high) in [(2.0, 1.0, 3.0), (0.0, 4.0, 3.0), (f64::NAN, 1.0, 2.0), (0.0, 1.0, f64::INFINITY)] {
            let message = Pert::new(low, usual, high).unwrap_err().to_string();
            assert!(message.contains(&usual.to_string()), "{message}");
        }
    }
}

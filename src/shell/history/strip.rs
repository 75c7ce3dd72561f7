//! A row of characters that shows the distribution of values: readable in any terminal, and as words in plain mode.

/// Number of bands in a strip.
pub(super) const BANDS: usize = 24;

/// Values counted in equally wide bands between two ends.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Strip {
    pub low: f64,
    pub high: f64,
    pub counts: [usize; BANDS],
}

impl Strip {
    /// Counts the values from the minimum to the maximum, including the ends of the range.
    pub fn new(values: &[f64], range: (f64, f64)) -> Option<Strip> {
        let all = values.iter().copied().chain([range.0, range.1]);
        let (low, high) = all.fold((f64::INFINITY, f64::NEG_INFINITY), |(low, high), v| (low.min(v), high.max(v)));
        if !(low.is_finite() && high.is_finite()) || values.is_empty() {
            return None;
        }
        let mut strip = Strip { low, high, counts: [0; BANDS] };
        for value in values {
            strip.counts[strip.band(*value)] += 1;
        }
        Some(strip)
    }

    /// The band of a value; the middle one if the width is zero.
    pub fn band(&self, value: f64) -> usize {
        if self.high <= self.low {
            return BANDS / 2;
        }
        let share = (value - self.low) / (self.high - self.low);
        // Between 0 and 1 by construction; the upper end falls into the last band.
        ((share * BANDS as f64) as usize).min(BANDS - 1)
    }

    /// Draws the strip: digits count sessions, `+` is more than nine, `-` lies within `range`, `.` outside it.
    pub fn draw(&self, range: (f64, f64)) -> String {
        let (first, last) = (self.band(range.0), self.band(range.1));
        let mark = |(band, count): (usize, &usize)| match count {
            0 if (first..=last).contains(&band) => '-',
            0 => '.',
            1..=9 => char::from(b'0' + *count as u8),
            _ => '+',
        };
        self.counts.iter().enumerate().map(mark).collect()
    }
}

/// How many values are below, within and above a range.
pub(super) fn against(values: &[f64], (low, high): (f64, f64)) -> (usize, usize, usize) {
    let below = values.iter().filter(|v| **v < low).count();
    let above = values.iter().filter(|v| **v > high).count();
    (below, values.len() - below - above, above)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_strip_shows_range_and_values() {
        let values = [3.0, 3.0, 4.0, 6.0];
        let strip = Strip::new(&values, (2.0, 5.0)).unwrap();
        assert_eq!(strip.draw((2.0, 5.0)), "------2-----1------....1");
        assert_eq!(against(&values, (2.0, 5.0)), (0, 3, 1));
    }

    #[test]
    fn equal_values_without_a_range_stand_in_the_middle() {
        let strip = Strip::new(&[3.0; 12], (3.0, 3.0)).unwrap();
        assert_eq!(strip.draw((3.0, 3.0)), "............+...........");
        assert_eq!(Strip::new(&[], (1.0, 2.0)), None);
    }
}

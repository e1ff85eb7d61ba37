//! Steps of a legend: bounds at round numbers.

/// Bounds of equal steps, rising.
#[derive(Debug, Clone, PartialEq)]
pub struct Steps {
    bounds: Vec<f64>,
    decimals: usize,
}

impl Steps {
    /// Steps of 1, 2, 2.5 or 5 times a power of ten that cover a range, at most `most` + 1 of them.
    pub fn nice([low, high]: [f64; 2], most: usize) -> Self {
        let span = (high - low).max(1e-9 * low.abs().max(high.abs())).max(1e-12);
        let raw = span / most.max(1) as f64;
        let power = 10f64.powf(raw.log10().floor());
        let times = [1.0, 2.0, 2.5, 5.0, 10.0].into_iter().find(|t| t * power >= raw * (1.0 - 1e-9)).unwrap_or(10.0);
        let step = times * power;
        let (first, last) = ((low / step + 1e-9).floor(), (high / step - 1e-9).ceil());
        let count = ((last - first) as usize).clamp(1, 1000);
        let digits = if times == 2.5 { 1.0 } else { 0.0 };
        let decimals = (digits - power.log10().round()).clamp(0.0, 9.0) as usize;
        Self { bounds: (0..=count).map(|k| step * (first + k as f64)).collect(), decimals }
    }

    /// Equal steps either side of 0 that cover a range: for a two-way map.
    pub fn either_side([low, high]: [f64; 2], most: usize) -> Self {
        let reach = low.abs().max(high.abs());
        Self::nice([-reach, reach], most)
    }

    /// Bounds, one more than steps.
    pub fn bounds(&self) -> &[f64] {
        &self.bounds
    }

    pub(super) fn count(&self) -> usize {
        self.bounds.len() - 1
    }

    /// The step a value falls in; values beyond fall in the outermost.
    pub(super) fn step(&self, value: f64) -> usize {
        self.bounds[1..self.bounds.len() - 1].partition_point(|b| *b <= value)
    }

    /// Share of the colour map for a step.
    pub(super) fn share(&self, step: usize) -> f64 {
        match self.count() {
            1 => 0.5,
            n => step as f64 / (n - 1) as f64,
        }
    }

    pub(super) fn text(&self, value: f64) -> String {
        let text = format!("{value:.*}", self.decimals);
        if text.trim_start_matches('-').chars().all(|c| c == '0' || c == '.') {
            text.trim_start_matches('-').to_owned()
        } else {
            text
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn bounds_are_round_and_cover_the_range() {
        let s = Steps::nice([0.37, 2.41], 8);
        assert_eq!(s.bounds().first().map(|b| s.text(*b)), Some("0.0".to_owned()));
        assert!(s.bounds()[s.count()] >= 2.41 && s.count() <= 10);
        assert_eq!((s.step(0.0), s.step(99.0)), (0, s.count() - 1));
        let flat = Steps::nice([1.0, 1.0], 8);
        assert!(flat.count() >= 1 && flat.bounds().iter().all(|b| b.is_finite()));
        let two = Steps::either_side([-0.1, 0.4], 8);
        assert!((two.bounds()[0] + two.bounds()[two.count()]).abs() < 1e-12);
    }
}

//! A figure as a source gives it: a value, a range, or a value within a range.

use serde::{Deserialize, Serialize};

/// A value with what is known of its spread, in the unit of its column.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct Range {
    /// Best value, where one is given.
    pub best: Option<f64>,
    /// Lower end; the value itself when there is no range.
    pub low: f64,
    /// Upper end; the value itself when there is no range.
    pub high: f64,
}

impl Range {
    /// A value without spread.
    pub fn exactly(value: f64) -> Self {
        Self { best: Some(value), low: value, high: value }
    }

    /// From the columns `value`, `low`, `high`; `None` when all are empty.
    pub fn of(value: Option<f64>, low: Option<f64>, high: Option<f64>) -> Option<Self> {
        match (value, low, high) {
            (None, None, None) => None,
            (best, low, high) => {
                let any = best.or(low).or(high)?;
                let low = low.unwrap_or(best.unwrap_or(any));
                let high = high.unwrap_or(best.unwrap_or(any));
                Some(Self { best, low, high })
            }
        }
    }

    /// Best value, or the middle of the range.
    pub fn middle(self) -> f64 {
        self.best.unwrap_or(0.5 * (self.low + self.high))
    }

    /// Upper less lower end.
    pub fn width(self) -> f64 {
        self.high - self.low
    }

    /// From a cell: `1.5` or `1.0-1.2` (a minus that stands first is a sign).
    pub fn parse(cell: &str) -> Option<Self> {
        let cell = cell.trim().replace(['\u{2013}', '\u{2212}'], "-");
        if let Some(value) = number(&cell) {
            return Some(Self::exactly(value));
        }
        let split =
            cell.char_indices().skip(1).filter(|(i, c)| *c == '-' && !cell[..*i].ends_with(['e', 'E'])).map(|(i, _)| i);
        for i in split {
            if let (Some(low), Some(high)) = (number(&cell[..i]), number(&cell[i + 1..])) {
                return Some(Self { best: None, low, high });
            }
        }
        None
    }
}

/// A finite decimal number.
pub(crate) fn number(cell: &str) -> Option<f64> {
    let cell = cell.trim();
    // `inf`, `nan` and their kin parse as floats, but are no figures of a table.
    if cell.is_empty() || cell.contains(|c: char| c.is_ascii_alphabetic() && c != 'e' && c != 'E') {
        return None;
    }
    cell.parse::<f64>().ok().filter(|v| v.is_finite())
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    #[test]
    fn values_and_ranges_are_read() {
        assert_eq!(Range::parse("1.5"), Some(Range::exactly(1.5)));
        assert_eq!(Range::parse("1.0-1.2"), Some(Range { best: None, low: 1.0, high: 1.2 }));
        assert_eq!(Range::parse("-3"), Some(Range::exactly(-3.0)));
        assert_eq!(Range::parse("1e-3"), Some(Range::exactly(1e-3)));
        assert_eq!(Range::parse("nan"), None);
        assert_eq!(Range::parse("about 2"), None);
        assert_eq!(Range::of(None, Some(1.0), Some(2.0)).map(Range::middle), Some(1.5));
        assert_eq!(Range::of(None, None, None), None);
    }

    proptest! {
        #[test]
        fn any_text_is_read_or_refused_without_panic(text in "\\PC{0,40}") {
            if let Some(range) = Range::parse(&text) {
                prop_assert!(range.low.is_finite() && range.high.is_finite());
            }
        }
    }
}

//! What a stress or lifetime calculation refuses, in words for whoever gave the number.

use thiserror::Error;

/// Why no number was given.
#[derive(Debug, Clone, PartialEq, Error)]
pub enum StrengthError {
    /// A quantity outside what its formula allows.
    #[error("{quantity} is {found}, expected {expected}: correct it or leave the part out")]
    OutOfRange {
        /// The quantity, in words.
        quantity: &'static str,
        /// What was given.
        found: f64,
        /// What is allowed.
        expected: &'static str,
    },
    /// A time without an observed risk at 5 years to anchor on.
    #[error("no risk at 5 years among the {count} observed times: give the pooled risk at 5 years")]
    NoFiveYears {
        /// Number of times given.
        count: usize,
    },
    /// Lists that must have the same length do not.
    #[error("{what}: {found} given, {expected} expected")]
    Length {
        /// Which list.
        what: &'static str,
        /// Its length.
        found: usize,
        /// The length needed.
        expected: usize,
    },
}

/// `value` when it is finite and above zero.
pub(crate) fn positive(quantity: &'static str, value: f64) -> Result<f64, StrengthError> {
    within(quantity, value, value > 0.0, "a finite number above 0")
}

/// `value` when it is finite and `holds`.
pub(crate) fn within(
    quantity: &'static str,
    value: f64,
    holds: bool,
    expected: &'static str,
) -> Result<f64, StrengthError> {
    if value.is_finite() && holds {
        Ok(value)
    } else {
        Err(StrengthError::OutOfRange { quantity, found: value, expected })
    }
}

/// Poisson ratio in 0..0.5.
pub(crate) fn poisson(value: f64) -> Result<f64, StrengthError> {
    within("Poisson ratio", value, (0.0..0.5).contains(&value), "0 to below 0.5")
}

//! Spectral quantities on the working grid of this crate: 41 bands from 380 to 780 nm by 10 nm.
//!
//! Other grids are brought onto it by a shape-preserving cubic (Fritsch, Carlson 1980, SIAM J Numer Anal 17:238-246, doi
//! 10.1137/0717021), which keeps a reflectance within the values it was read between. Beyond the ends the end value is held
//! (CIE 15:2018, 7.2.3, allows it where nothing better is known); a spectrum that does not reach 400-700 nm is refused.

use crate::shape_preserving::Curve;
use serde::{Deserialize, Serialize};
use thiserror::Error;

/// Number of bands of the working grid.
pub const BANDS: usize = 41;

/// Wavelength of band `i`, nm.
pub fn wavelength(i: usize) -> f64 {
    380.0 + 10.0 * i as f64
}

/// Why a spectrum is refused.
#[derive(Debug, Clone, PartialEq, Error)]
pub enum SpectrumError {
    /// Wavelengths and values differ in number, or there are fewer than two.
    #[error("{wavelengths} wavelengths and {values} values; expected as many of each, at least two")]
    Length {
        /// Wavelengths given.
        wavelengths: usize,
        /// Values given.
        values: usize,
    },
    /// Wavelengths do not rise.
    #[error(
        "wavelength {at} nm in row {row} does not rise above the one before; sort the rows and give each wavelength once"
    )]
    Order {
        /// Row from 1.
        row: usize,
        /// Wavelength there, nm.
        at: f64,
    },
    /// The visible is not covered.
    #[error("the spectrum spans {from} to {to} nm; expected at least 400 to 700 nm")]
    Coverage {
        /// First wavelength, nm.
        from: f64,
        /// Last wavelength, nm.
        to: f64,
    },
    /// Rows too far apart.
    #[error("no row between {from} and {to} nm; expected steps of at most 20 nm")]
    Gap {
        /// Wavelength before the gap, nm.
        from: f64,
        /// Wavelength after the gap, nm.
        to: f64,
    },
    /// A value is no number, or outside what the quantity can be.
    #[error("value {value} in row {row} is not possible; expected {expected}")]
    Value {
        /// Row from 1.
        row: usize,
        /// The value.
        value: f64,
        /// What was expected.
        expected: &'static str,
    },
}

/// One value per band of the working grid.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
#[serde(try_from = "Vec<f64>", into = "Vec<f64>")]
pub struct Spectrum(pub [f64; BANDS]);

impl TryFrom<Vec<f64>> for Spectrum {
    type Error = SpectrumError;
    fn try_from(values: Vec<f64>) -> Result<Self, Self::Error> {
        let n = values.len();
        values.try_into().map(Self).map_err(|_| SpectrumError::Length { wavelengths: BANDS, values: n })
    }
}

impl From<Spectrum> for Vec<f64> {
    fn from(s: Spectrum) -> Self {
        s.0.to_vec()
    }
}

impl Spectrum {
    /// The same value in every band.
    pub fn flat(value: f64) -> Self {
        Self([value; BANDS])
    }

    /// From a function of the wavelength in nm.
    pub fn from_fn(mut f: impl FnMut(f64) -> f64) -> Self {
        Self(std::array::from_fn(|i| f(wavelength(i))))
    }

    /// Any non-negative quantity given at rising wavelengths (nm).
    pub fn from_grid(wavelengths: &[f64], values: &[f64]) -> Result<Self, SpectrumError> {
        check_grid(wavelengths, values)?;
        check_values(values, f64::MAX, "a number not below 0")?;
        Ok(resampled(wavelengths, values))
    }

    /// A reflectance factor (0..1) given at rising wavelengths (nm).
    pub fn reflectance(wavelengths: &[f64], values: &[f64]) -> Result<Self, SpectrumError> {
        check_grid(wavelengths, values)?;
        check_values(values, 1.0, "a reflectance between 0 and 1 (divide per cent by 100)")?;
        Ok(resampled(wavelengths, values))
    }

    /// The same function of every band.
    pub fn map(&self, f: impl Fn(f64) -> f64) -> Self {
        Self(self.0.map(f))
    }

    /// A function of two spectra, band by band.
    pub fn zip(&self, other: &Self, f: impl Fn(f64, f64) -> f64) -> Self {
        Self(std::array::from_fn(|i| f(self.0[i], other.0[i])))
    }

    /// Value at a wavelength (nm), linear between bands, held beyond the ends.
    pub fn at(&self, nm: f64) -> f64 {
        let x = ((nm - 380.0) / 10.0).clamp(0.0, (BANDS - 1) as f64);
        let i = (x as usize).min(BANDS - 2);
        self.0[i] + (x - i as f64) * (self.0[i + 1] - self.0[i])
    }
}

fn check_grid(wavelengths: &[f64], values: &[f64]) -> Result<(), SpectrumError> {
    let n = wavelengths.len();
    if n != values.len() || n < 2 {
        return Err(SpectrumError::Length { wavelengths: n, values: values.len() });
    }
    for i in 0..n {
        let here = wavelengths[i];
        if !here.is_finite() || (i > 0 && here <= wavelengths[i - 1]) {
            return Err(SpectrumError::Order { row: i + 1, at: here });
        }
        if i > 0 && here > 400.0 && wavelengths[i - 1] < 700.0 && here - wavelengths[i - 1] > 20.0 + 1e-9 {
            return Err(SpectrumError::Gap { from: wavelengths[i - 1], to: here });
        }
    }
    if wavelengths[0] > 400.0 || wavelengths[n - 1] < 700.0 {
        return Err(SpectrumError::Coverage { from: wavelengths[0], to: wavelengths[n - 1] });
    }
    Ok(())
}

fn check_values(values: &[f64], high: f64, expected: &'static str) -> Result<(), SpectrumError> {
    match values.iter().position(|v| !(0.0..=high).contains(v)) {
        Some(i) => Err(SpectrumError::Value { row: i + 1, value: values[i], expected }),
        None => Ok(()),
    }
}

fn resampled(xs: &[f64], ys: &[f64]) -> Spectrum {
    let curve = Curve::through(xs, ys);
    Spectrum::from_fn(|nm| curve.at(nm))
}

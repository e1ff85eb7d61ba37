//! Tristimulus values of a reflecting body: illuminant, observer and the weights that join them.
//!
//! X = sum_i Wx(i) R(i), with W scaled so that Y of the perfect diffuser is 100; the white point is the sum of the same
//! weights, so that a perfect diffuser always reads L* 100, a* b* 0 (CIE 15:2018, 7.1, 8.2).
//!
//! Two weightings: [`Weighting::Interpolated`] (default) sums at 5 nm over a reflectance interpolated between the 10 nm bands by
//! third-degree Lagrange polynomials, second-degree in the end intervals: the scheme of ASTM E2022 carried out on 5 nm tables
//! (the standard uses 1 nm; colours differ by less than 0.005 CIEDE2000 under A, D50, D65 and 0.05 under lamps); lamps with lines need it. [`Weighting::PlainSum`]
//! takes every second value of the 5 nm tables, as many programs do; it is wrong for fluorescent lamps (Z of the second
//! normal lamp 17 % low) and kept for comparison with them.
//!
//! Tables: CIE 1931 and 1964 observers and the 47 illuminants of CIE 15:2018 (fluorescent lamps old and new, high-pressure lamps, LEDs), from
//! `data/cie` (colour-science 0.4.7, BSD-3-Clause). Limits: 380-780 nm;
//! no fluorescence of the body.

use crate::spectrum::{BANDS, Spectrum};
use crate::{Lab, Xyz};
use thiserror::Error;

const ILLUMINANTS: &str = include_str!("../../../data/cie/illuminants_5nm.csv");
const TWO_DEGREES: &str = include_str!("../../../data/cie/cmf_cie1931_2deg_5nm.csv");
const TEN_DEGREES: &str = include_str!("../../../data/cie/cmf_cie1964_10deg_5nm.csv");
const FINE: usize = 2 * BANDS - 1;

/// A CIE standard observer.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Observer {
    /// CIE 1931, fields of 1 to 4 degrees.
    TwoDegrees,
    /// CIE 1964, fields above 4 degrees.
    TenDegrees,
}

/// How a sum over 10 nm bands stands for the integral.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Weighting {
    /// Reflectance interpolated to 5 nm before summing.
    Interpolated,
    /// Every second value of the tables.
    PlainSum,
}

/// Why an illuminant is refused.
#[derive(Debug, Clone, PartialEq, Error)]
pub enum IlluminantError {
    /// Not in the table.
    #[error("no illuminant `{name}`; expected one of {known}")]
    Unknown {
        /// Name asked for.
        name: String,
        /// Names in the table.
        known: String,
    },
    /// A table cannot be read.
    #[error("line {line}: `{text}` is not a number; expected a table of wavelengths by 5 nm from 380 to 780 nm")]
    Table {
        /// Line from 1.
        line: usize,
        /// Text found.
        text: String,
    },
    /// Nothing shines.
    #[error("the power of the illuminant must be finite, not negative, and not nought throughout")]
    Power,
}

/// Relative spectral power at 380-780 nm by 5 nm.
#[derive(Debug, Clone, PartialEq)]
pub struct Illuminant {
    name: String,
    power: Vec<f64>,
}

impl Illuminant {
    /// A CIE illuminant by its name: `D65`, `D50`, `A`, `E`, `FL2`, `FL11`, `LED-B3` and so on.
    pub fn named(name: &str) -> Result<Self, IlluminantError> {
        Self::from_table(ILLUMINANTS, name)
    }

    /// Names of all lights in the table.
    pub fn names() -> impl Iterator<Item = &'static str> {
        ILLUMINANTS.lines().next().unwrap_or_default().split(',').skip(1).map(str::trim)
    }

    /// A column of a table: first line names, first column wavelengths 380-780 nm by 5 nm.
    pub fn from_table(text: &str, name: &str) -> Result<Self, IlluminantError> {
        let header = text.lines().next().unwrap_or_default();
        let column =
            header.split(',').position(|c| c.trim() == name && c.trim() != "wavelength_nm").ok_or_else(|| {
                IlluminantError::Unknown {
                    name: name.into(),
                    known: header.split(',').skip(1).collect::<Vec<_>>().join(" "),
                }
            })?;
        Self::from_power(name, columns(text, [column])?.iter().map(|row| row[0]).collect())
    }

    /// Own lamp: power at 380-780 nm by 5 nm (81 values), any scale.
    pub fn from_power(name: &str, power: Vec<f64>) -> Result<Self, IlluminantError> {
        let possible = power.len() == FINE && power.iter().all(|p| p.is_finite() && *p >= 0.0);
        if !possible || power.iter().sum::<f64>() <= 0.0 {
            return Err(IlluminantError::Power);
        }
        Ok(Self { name: name.into(), power })
    }

    /// Its name.
    pub fn name(&self) -> &str {
        &self.name
    }
}

/// Rows of the chosen columns at 380..780 nm by 5 nm.
fn columns<const C: usize>(text: &str, wanted: [usize; C]) -> Result<Vec<[f64; C]>, IlluminantError> {
    let mut rows = Vec::with_capacity(FINE);
    for (i, line) in text.lines().enumerate().skip(1).filter(|(_, l)| !l.trim().is_empty()) {
        let cells: Vec<&str> = line.split(',').collect();
        let number = |c: usize| -> Result<f64, IlluminantError> {
            let cell = cells.get(c).copied().unwrap_or_default();
            cell.trim().parse().map_err(|_| IlluminantError::Table { line: i + 1, text: cell.into() })
        };
        if number(0)? != 380.0 + 5.0 * rows.len() as f64 {
            return Err(IlluminantError::Table { line: i + 1, text: cells[0].into() });
        }
        let mut row = [0.0; C];
        for (slot, c) in row.iter_mut().zip(wanted) {
            *slot = number(c)?;
        }
        rows.push(row);
    }
    if rows.len() == FINE {
        Ok(rows)
    } else {
        Err(IlluminantError::Table { line: rows.len() + 1, text: "end of table".into() })
    }
}

/// A light and an observer, ready to turn reflectance into colour.
#[derive(Debug, Clone, PartialEq)]
pub struct Viewing {
    weights: [[f64; BANDS]; 3],
    white: Xyz,
}

impl Viewing {
    /// The weights of an illuminant and an observer.
    pub fn new(illuminant: &Illuminant, observer: Observer, weighting: Weighting) -> Result<Self, IlluminantError> {
        let table = match observer {
            Observer::TwoDegrees => TWO_DEGREES,
            Observer::TenDegrees => TEN_DEGREES,
        };
        let matching = columns(table, [1, 2, 3])?;
        let mut weights = [[0.0; BANDS]; 3];
        for (axis, w) in weights.iter_mut().enumerate() {
            for (i, row) in matching.iter().enumerate() {
                for (band, share) in shares(i, weighting) {
                    w[band] += share * illuminant.power[i] * row[axis];
                }
            }
        }
        let scale = 100.0 / weights[1].iter().sum::<f64>();
        weights.iter_mut().flatten().for_each(|w| *w *= scale);
        let white = Xyz(weights.map(|w| w.iter().sum()));
        Ok(Self { weights, white })
    }

    /// Daylight D65 and the 2 degree observer.
    pub fn daylight() -> Result<Self, IlluminantError> {
        Self::new(&Illuminant::named("D65")?, Observer::TwoDegrees, Weighting::Interpolated)
    }

    /// Weights of one axis (0 X, 1 Y, 2 Z), summing to the white point.
    pub fn weights(&self, axis: usize) -> &[f64; BANDS] {
        &self.weights[axis]
    }

    /// White point: the perfect diffuser, Y = 100.
    pub fn white(&self) -> Xyz {
        self.white
    }

    /// Tristimulus values of a reflectance.
    pub fn xyz(&self, reflectance: &Spectrum) -> Xyz {
        Xyz(std::array::from_fn(|axis| dot(&self.weights[axis], &reflectance.0)))
    }

    /// Luminous reflectance Y, 0..100.
    pub fn luminance(&self, reflectance: &Spectrum) -> f64 {
        dot(&self.weights[1], &reflectance.0)
    }

    /// CIELAB of a reflectance.
    pub fn lab(&self, reflectance: &Spectrum) -> Lab {
        Lab::from_xyz(self.xyz(reflectance), self.white)
    }
}

/// Sum of products in a fixed order of eight lanes, so that the compiler may use vector units and the bytes stay the same.
fn dot(w: &[f64; BANDS], r: &[f64; BANDS]) -> f64 {
    let mut lanes = [0.0; 8];
    for (w, r) in w.chunks_exact(8).zip(r.chunks_exact(8)) {
        for i in 0..8 {
            lanes[i] += w[i] * r[i];
        }
    }
    let [a, b, c, d, e, f, g, h] = lanes;
    ((a + b) + (c + d)) + ((e + f) + (g + h)) + w[BANDS - 1] * r[BANDS - 1]
}

/// Bands that make up the reflectance at fine step `i`, with their shares.
fn shares(i: usize, weighting: Weighting) -> Vec<(usize, f64)> {
    let band = i / 2;
    if i.is_multiple_of(2) {
        return vec![(band, 1.0)];
    }
    if weighting == Weighting::PlainSum {
        return Vec::new();
    }
    if band == 0 {
        vec![(0, 0.375), (1, 0.75), (2, -0.125)]
    } else if band == BANDS - 2 {
        vec![(BANDS - 3, -0.125), (BANDS - 2, 0.75), (BANDS - 1, 0.375)]
    } else {
        vec![(band - 1, -0.0625), (band, 0.5625), (band + 1, 0.5625), (band + 2, -0.0625)]
    }
}

//! Risks over the years: from draws to what is printed.

use crate::report::{Curve, CurvePoint};
use answer::{Draws, six_figures};

/// Years at which a curve is given.
pub const YEARS: [f64; 9] = [0.0, 1.0, 2.0, 3.0, 5.0, 7.0, 10.0, 12.0, 15.0];

/// A risk at each of [`YEARS`], per draw.
#[derive(Debug, Clone, PartialEq)]
pub struct RiskOverYears(pub Vec<Draws>);

impl RiskOverYears {
    /// Risk by one of [`YEARS`] (a year between takes the next, a later one the last).
    pub fn by(&self, year: f64) -> &Draws {
        let i = YEARS.iter().position(|&y| y >= year).unwrap_or(YEARS.len() - 1);
        &self.0[i.min(self.0.len() - 1)]
    }

    /// Expected years lost within the horizon of [`YEARS`]: the area under the risk (trapezoids).
    pub fn years_lost(&self) -> Draws {
        let n = self.0[0].len();
        Draws::from_fn(n, |k| {
            let strip =
                |(pair, years): (&[Draws], &[f64])| 0.5 * (years[1] - years[0]) * (pair[0].get(k) + pair[1].get(k));
            self.0.windows(2).zip(YEARS.windows(2)).map(strip).sum()
        })
    }

    /// As printed and stored.
    pub fn printed(&self, observed_until: f64, arms: usize, restoration_years: f64) -> Curve {
        let points = YEARS
            .iter()
            .zip(&self.0)
            .map(|(&year, risk)| {
                let [low, lower, median, upper, high] = risk.quantiles([0.05, 0.25, 0.5, 0.75, 0.95]).map(six_figures);
                CurvePoint { year, low, lower, median, upper, high }
            })
            .collect();
        Curve {
            points,
            observed_until: six_figures(observed_until),
            arms,
            restoration_years: six_figures(restoration_years),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_certain_loss_at_placing_costs_all_fifteen_years() {
        let risk = |f: fn(f64) -> f64| RiskOverYears(YEARS.iter().map(|&t| Draws::constant(4, f(t))).collect());
        assert_eq!(risk(|_| 1.0).years_lost().mean(), 15.0);
        assert!((risk(|t| t / 15.0).years_lost().mean() - 7.5).abs() < 1e-12);
    }
}

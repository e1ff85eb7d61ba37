//! Are hazards proportional? Score test of a drift of each coefficient with time.
//!
//! For `b(t) = b + c g(t)` the score of c at the fit is `U = sum_k g_k (x - m)` with information blocks `sum g V, sum g^2 V`; each covariate alone and all together are tested
//! after allowing for b. Grambsch, Therneau 1994, Biometrika 81:515-526, doi 10.1093/biomet/81.3.515, with the exact information rather than its average. Limits: the
//! test sees drifts along g only; model-based covariance also where clusters are given.

use super::design::Design;
use super::fit::{CoxFit, CoxTest, dot, solve};
use super::likelihood::Likelihood;
use super::{Cox, CoxError};
use crate::curve::kaplan_meier_of;
use crate::risk_table::RiskTable;
use serde::Serialize;

/// Scale of time along which a drift is looked for.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum TimeScale {
    /// 1 - Kaplan-Meier just before: events weigh evenly.
    #[default]
    KaplanMeier,
    /// Time itself.
    Identity,
}

/// Tests by covariate and together.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Proportionality {
    /// A test a covariate.
    pub each: Vec<CoxTest>,
    /// All together.
    pub all: CoxTest,
}

impl CoxFit {
    /// Tests the fit of `model` (the one it came from).
    ///
    /// # Errors
    /// [`CoxError`] as for fitting.
    pub fn proportionality(&self, model: &Cox<'_>, scale: TimeScale) -> Result<Proportionality, CoxError> {
        let design = Design::new(model)?;
        let p = design.p;
        let beta: Vec<f64> = self.coefficients.iter().zip(&design.sd).map(|(b, s)| b * s).collect();
        let here = Likelihood::at(&design, model.ties, &beta);
        let g: Vec<f64> = match scale {
            TimeScale::Identity => design.time.clone(),
            TimeScale::KaplanMeier => {
                let curve = kaplan_meier_of(&RiskTable::count(&model.seen).any());
                let before = |t: f64| curve.steps.partition_point(|s| s.time < t).checked_sub(1);
                design.time.iter().map(|&t| before(t).map_or(0.0, |i| 1.0 - curve.steps[i].survival)).collect()
            }
        };
        let centre = g.iter().sum::<f64>() / g.len() as f64;
        let g: Vec<f64> = g.iter().map(|v| v - centre).collect();
        let (_, own) = here.moments(|_| 1.0, false);
        let (score, cross) = here.moments(|k| g[k], false);
        let (_, square) = here.moments(|k| g[k] * g[k], false);
        // Information on the drifts after allowing for the coefficients: G2 - G1 I^-1 G1.
        let none = |j: usize| CoxError::NoInformation { covariate: self.names[j].clone() };
        let mut left = square;
        for j in 0..p {
            let column: Vec<f64> = (0..p).map(|i| cross[i * p + j]).collect();
            let solved = solve(&own, p, &column).map_err(none)?;
            for i in 0..p {
                left[i * p + j] -= dot(&cross[i * p..(i + 1) * p], &solved);
            }
        }
        let each = (0..p).map(|j| CoxTest::new(score[j] * score[j] / left[j * p + j], 1)).collect();
        let all = solve(&left, p, &score).map_err(none)?;
        Ok(Proportionality { each, all: CoxTest::new(dot(&score, &all), p) })
    }
}

//! What each study does to the pool: leave-one-out, influence measures, cumulative pooling, and small-study tests.
//!
//! Influence: Viechtbauer, Cheung 2010, Res Synth Methods 1:112-125, doi 10.1002/jrsm.11. Small-study test: regression on the standard error,
//! Egger, Davey Smith, Schneider, Minder 1997, BMJ 315:629-634, doi 10.1136/bmj.315.7109.629, as a mixed-effects meta-regression (Sterne, Egger 2005)
//! and in its classical, multiplicative form.

use super::PoolError;
use super::effect::Effect;
use super::regression::{Between, Errors, Regression, pool, regress};
use numerics::student_t;

/// The pool without each study in turn, in the order of the studies; needs three.
pub fn leave_one_out(effects: &[Effect], between: Between, errors: Errors) -> Result<Vec<Regression>, PoolError> {
    if effects.len() < 3 {
        return Err(PoolError::TooFew { k: effects.len(), needed: 3 });
    }
    (0..effects.len())
        .map(|i| {
            let rest: Vec<Effect> = effects.iter().enumerate().filter(|(j, _)| *j != i).map(|(_, e)| *e).collect();
            pool(&rest, between, errors)
        })
        .collect()
}

/// What a study does to the pool.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Influence {
    /// Externally standardised residual.
    pub rstudent: f64,
    /// Change of the fitted value in standard errors.
    pub dffits: f64,
    /// Cook's distance.
    pub cook: f64,
    /// Share of the weight.
    pub weight: f64,
}

/// Influence of each study on the pooled mean.
pub fn influence(effects: &[Effect], between: Between) -> Result<Vec<Influence>, PoolError> {
    let full = pool(effects, between, Errors::Wald)?;
    let without = leave_one_out(effects, between, Errors::Wald)?;
    let total: f64 = effects.iter().map(|e| 1.0 / (e.v + full.tau2)).sum();
    let rows = effects.iter().zip(&without).map(|(e, rest)| {
        let weight = 1.0 / (e.v + full.tau2) / total;
        let shift = full.b[0] - rest.b[0];
        let spread = e.v + rest.tau2;
        Influence {
            rstudent: (e.y - rest.b[0]) / (spread + rest.covariance[0]).sqrt(),
            dffits: shift / (weight * spread).sqrt(),
            cook: shift * shift / full.covariance[0],
            weight,
        }
    });
    Ok(rows.collect())
}

/// The pool after each study, taken in the order of `when` (ties in the order given): the index of the study added and the fit.
pub fn cumulative(
    effects: &[Effect],
    when: &[f64],
    between: Between,
    errors: Errors,
) -> Result<Vec<(usize, Regression)>, PoolError> {
    if when.len() != effects.len() {
        return Err(PoolError::Lengths { effects: effects.len(), others: when.len() });
    }
    let mut order: Vec<usize> = (0..effects.len()).collect();
    order.sort_by(|&a, &b| when[a].total_cmp(&when[b]));
    let mut seen = Vec::new();
    let mut fits = Vec::new();
    for i in order {
        seen.push(effects[i]);
        // One study alone has no t interval.
        let errors = if seen.len() == 1 { Errors::Wald } else { errors };
        fits.push((i, pool(&seen, between, errors)?));
    }
    Ok(fits)
}

/// Whether small studies differ from large ones.
#[derive(Debug, Clone, PartialEq)]
pub struct SmallStudies {
    /// Effect expected of a study without error.
    pub limit: f64,
    /// Slope on the standard error.
    pub slope: f64,
    /// Standard error of the slope.
    pub slope_se: f64,
    /// Test statistic of the slope (z, or t in the classical form).
    pub statistic: f64,
    /// Two-sided p value.
    pub p: f64,
}

/// Mixed-effects regression on the standard error; needs three studies.
pub fn small_studies(effects: &[Effect], between: Between) -> Result<SmallStudies, PoolError> {
    if effects.len() < 3 {
        return Err(PoolError::TooFew { k: effects.len(), needed: 3 });
    }
    let design: Vec<f64> = effects.iter().flat_map(|e| [1.0, e.v.sqrt()]).collect();
    let fit = regress(effects, &design, 2, between, Errors::Wald)?;
    let (statistic, p) = fit.test(1);
    Ok(SmallStudies { limit: fit.b[0], slope: fit.b[1], slope_se: fit.se(1), statistic, p })
}

/// The classical form: weighted least squares with a free multiplier of the variance, t with k - 2 degrees of freedom.
pub fn small_studies_classical(effects: &[Effect]) -> Result<SmallStudies, PoolError> {
    if effects.len() < 3 {
        return Err(PoolError::TooFew { k: effects.len(), needed: 3 });
    }
    let design: Vec<f64> = effects.iter().flat_map(|e| [1.0, e.v.sqrt()]).collect();
    let fit = regress(effects, &design, 2, Between::Common, Errors::Wald)?;
    let df = effects.len() as f64 - 2.0;
    let slope_se = fit.se(1) * (fit.heterogeneity.q / df).sqrt();
    let statistic = fit.b[1] / slope_se;
    Ok(SmallStudies {
        limit: fit.b[0],
        slope: fit.b[1],
        slope_se,
        statistic,
        p: 2.0 * student_t::sf(statistic.abs(), df),
    })
}

//! How one arm enters the likelihood of the loss process: once, by the best of what it reports.
//!
//! (a) several dated survivals: conditional binomials per interval; (b) survival with a read standard error: n_eff = S (1 - S)/SE^2;
//! (c) survival with a number: n_eff = psi n / DEFF, psi ~ Beta(4, 2.5) for the share still informative at that time, DEFF = 1 + (m - 1) rho,
//! rho ~ Beta(2, 10) for m units a subject; (d) losses over exposure: Poisson, the exposure multiplied by omega ~ LogNormal(ln 0.95, 0.12) when it
//! was computed as number x mean follow-up. A standard error of 0, equal to the binomial one or below it counts as missing.
//!
//! For (a)-(c) the contribution is n_eff [(1 - s) ln(1 - S) + s ln S] with s observed, so that 100 % needs no correction. psi and rho
//! are integrated out over equally likely values (the data say nothing about them that the formula would not distort): the contribution
//! is ln mean_j exp(-n_j KL(s || S)).

use crate::arm::{Arm, DatedSurvival};
use numerics::beta;

/// Number of equally likely values that stand for psi/DEFF.
pub(crate) const NODES: usize = 4;

/// One factor of the likelihood.
#[derive(Debug, Clone, PartialEq)]
pub(crate) enum Term {
    /// `count` events over `years` unit-years, each unit followed for about `follow_up` years.
    Poisson { count: f64, years: f64, follow_up: f64 },
    /// Share `kept` of those alive at `from` still alive at `to`, resting on one of `sizes` units.
    Interval { from: f64, to: f64, kept: f64, sizes: [f64; NODES] },
}

/// Log-mean and variance of omega.
pub(crate) const COMPUTED_EXPOSURE: (f64, f64) = (-0.05129329438755058, 0.0144);

/// What an arm says about losses.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct LossTerms {
    pub terms: Vec<Term>,
    /// Addition to the log rate.
    pub offset: f64,
    /// Variance added to that of the study effect.
    pub variance: f64,
}

/// The loss terms of an arm, or why it has none.
pub(crate) fn loss_terms(arm: &Arm) -> Result<LossTerms, String> {
    arm.pooled.clone()?;
    let dated = intervals(arm);
    if !dated.is_empty() {
        return Ok(LossTerms { terms: dated, offset: 0.0, variance: 0.0 });
    }
    let Some(losses) = arm.losses else {
        return Err(if arm.survival.is_empty() {
            "neither losses nor a dated survival".into()
        } else {
            "a survival without number, standard error or number at risk".into()
        });
    };
    let (term, offset, variance) = poisson(arm, f64::from(losses)).ok_or("losses without exposure or number")?;
    Ok(LossTerms { terms: vec![term], offset, variance })
}

/// Events as a Poisson term, with offset and variance of the exposure.
pub(crate) fn poisson(arm: &Arm, count: f64) -> Option<(Term, f64, f64)> {
    let follow_up = if arm.follow_up_years > 0.0 { arm.follow_up_years } else { arm.longest() };
    let (years, computed) = match (arm.exposure, arm.n) {
        (Some(e), _) => (e.years, e.computed),
        (None, Some(n)) if n > 0 => (f64::from(n) * follow_up, true),
        _ => return None,
    };
    if follow_up <= 0.0 || years <= 0.0 {
        return None;
    }
    let (offset, variance) = if computed { COMPUTED_EXPOSURE } else { (0.0, 0.0) };
    Some((Term::Poisson { count, years, follow_up }, offset, variance))
}

fn intervals(arm: &Arm) -> Vec<Term> {
    let mut dated: Vec<&DatedSurvival> = arm.survival.iter().collect();
    dated.sort_by(|a, b| a.years.total_cmp(&b.years));
    let factors = informative_share(arm.units_per_subject.unwrap_or(1.0));
    let mut terms = Vec::new();
    let (mut from, mut survival, mut variance) = (0.0, 1.0, Some(0.0));
    for point in dated {
        let kept = if survival > 0.0 { (point.survival / survival).min(1.0) } else { 1.0 };
        // Greenwood: the variance of ln S grows by (1 - q)/(q n) over an interval.
        let here = read_error(arm, point).map(|se| (se / point.survival).powi(2));
        let read = match (here, variance) {
            (Some(now), Some(before)) if now > before && kept < 1.0 => Some((1.0 - kept) / (kept * (now - before))),
            _ => None,
        };
        let sizes = match (read, point.at_risk, arm.n) {
            (Some(size), _, _) => Some([size; NODES]),
            // The number at risk at the end of the interval is a lower bound of that over it; no share psi is needed.
            (None, Some(at_risk), _) if at_risk > 0 => {
                let design = factors.1;
                Some(design.map(|d| f64::from(at_risk) * d))
            }
            (None, _, Some(n)) if n > 0 => Some(factors.0.map(|f| f64::from(n) * survival * f)),
            _ => None,
        };
        if let Some(sizes) = sizes {
            terms.push(Term::Interval { from, to: point.years, kept, sizes });
            (from, survival, variance) = (point.years, point.survival, here);
        }
    }
    terms
}

/// A standard error worth using: read, above 0, above the binomial one of the full number by more than rounding.
fn read_error(arm: &Arm, point: &DatedSurvival) -> Option<f64> {
    let se = point.se.filter(|&e| e > 0.0)?;
    let s = point.survival;
    if s <= 0.0 || s >= 1.0 {
        return None;
    }
    // Printed to two digits, an error within 3 % of the binomial one is the binomial one.
    match arm.n {
        Some(n) if n > 0 && se <= 1.03 * (s * (1.0 - s) / f64::from(n)).sqrt() => None,
        _ => Some(se),
    }
}

/// Equally likely values of psi/DEFF, and of 1/DEFF, for `m` units a subject.
fn informative_share(m: f64) -> ([f64; NODES], [f64; NODES]) {
    const GRID: usize = 12;
    let middle = |i: usize| (i as f64 + 0.5) / GRID as f64;
    let design: Vec<f64> = (0..GRID).map(|i| 1.0 / (1.0 + (m - 1.0) * beta::quantile(2.0, 10.0, middle(i)))).collect();
    let share: Vec<f64> = (0..GRID).map(|i| beta::quantile(4.0, 2.5, middle(i))).collect();
    let product: Vec<f64> = share.iter().flat_map(|p| design.iter().map(move |d| p * d)).collect();
    (condensed(product), condensed(design))
}

/// The means of `NODES` equal groups of the sorted values.
fn condensed(mut values: Vec<f64>) -> [f64; NODES] {
    values.sort_by(f64::total_cmp);
    let size = values.len() / NODES;
    std::array::from_fn(|i| values[i * size..(i + 1) * size].iter().sum::<f64>() / size as f64)
}

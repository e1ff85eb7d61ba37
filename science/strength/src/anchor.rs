//! Observed failure rates give the level, mechanics the change.
//!
//! W = ln F + ln s - ln R (peak force, equivalent stress per newton, strength). Cumulative hazard H(t | W) = T(t) exp(a (W + delta)),
//! a = m n/(n-2), T(5) = 1, m the Weibull modulus of inert strength ([`crate::Strength::inert_modulus`]).
//! A share phi of the observed risk p(t) does not follow the section. q_ref(t) = 1 - (1 - p)/(1 - phi p). One number delta solves
//! E_ref[1 - exp(-exp(a (W + delta)))] = q_ref(5); T(t) is solved likewise at each observed t, so the reference case returns p(t).
//! A case: risk(t) = 1 - (1 - phi p(t)) (1 - q(t)), q(t) = E_case[1 - exp(-T(t) exp(a (W + delta)))].
//! W is normal in the reference population and in the case; expectations by 32-node Gauss-Hermite.
//! delta ~ N(0, 0.35^2) beforehand: outside 1.96 sd, mechanics and observation disagree by the factor exp(delta) of strength.
//! Fewer than 3 arms: delta is a draw of that prior, T(t) = (t/5)^(m/(n-2)) (crack growth), phi = 0, and the answer says `mechanics only`.
//!
//! The model is this project's own; its hazard is Weibull 1951 with the crack growth of Evans 1974 (memory). Limits: one hazard shape for all
//! stress-driven losses of a cause; 32 nodes leave an error in q that grows with a sd(W): see `tests/anchor.rs` and docs/methods/strength.md.

use crate::error::{StrengthError, positive, within};
use answer::Draws;
use numerics::{gauss, root};

/// Spread of delta before anything is observed.
pub const PRIOR_SD: f64 = 0.35;
/// Observed arms below which a level is not taken from observation.
pub const LEAST_ARMS: usize = 3;
/// The time whose T is 1, years.
pub const ANCHOR_YEARS: f64 = 5.0;

/// A normal distribution of W (dimensionless logarithm).
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Normal {
    /// Mean.
    pub mean: f64,
    /// Standard deviation, 0 or more.
    pub sd: f64,
}

/// What was observed, and in whom.
#[derive(Debug, Clone, PartialEq)]
pub struct Reference {
    /// Pooled risk of the cause by time: (years, probability in 0..1, both ends excluded), 5 years among them.
    pub p: Vec<(f64, f64)>,
    /// W in the population observed.
    pub w: Normal,
}

/// Where the level comes from.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Footing {
    /// Observed risks.
    Observed,
    /// Mechanics only: fewer than [`LEAST_ARMS`] arms.
    MechanicsOnly,
}

/// The mean risk E[1 - exp(-exp(u + s Z))], Z standard normal.
pub trait MeanRisk {
    /// The mean risk, and its derivative with respect to u.
    fn risk(&self, u: f64, s: f64) -> (f64, f64);
}

impl<R: MeanRisk + ?Sized> MeanRisk for &R {
    fn risk(&self, u: f64, s: f64) -> (f64, f64) {
        (**self).risk(u, s)
    }
}

/// Nodes and weights of a standard normal expectation.
#[derive(Debug, Clone)]
pub struct Quadrature(Vec<(f64, f64)>);

impl Default for Quadrature {
    /// 32 nodes of Gauss-Hermite.
    fn default() -> Self {
        Self::with_nodes(32)
    }
}

impl Quadrature {
    /// Any number of nodes.
    pub fn with_nodes(n: usize) -> Self {
        let rule = gauss::hermite(n);
        let root_pi = std::f64::consts::PI.sqrt();
        let scaled = rule.nodes.iter().zip(&rule.weights).map(|(x, w)| (x * std::f64::consts::SQRT_2, w / root_pi));
        Self(scaled.collect())
    }

    fn node((risk, slope): (f64, f64), w: f64, h: f64) -> (f64, f64) {
        let e = (-h).exp_m1();
        // At infinite h the product h exp(-h) is 0.
        (risk - w * e, slope + if h.is_finite() { w * h * (1.0 + e) } else { 0.0 })
    }
}

impl MeanRisk for Quadrature {
    fn risk(&self, u: f64, s: f64) -> (f64, f64) {
        self.0.iter().fold((0.0, 0.0), |sum, &(z, w)| Self::node(sum, w, (u + s * z).exp()))
    }
}

/// u with `risk(u, s)` = q, q within 0..1.
fn solve(mean: &impl MeanRisk, q: f64, s: f64) -> Result<f64, StrengthError> {
    let fail =
        |_| StrengthError::OutOfRange { quantity: "observed risk", found: q, expected: "a risk a hazard can meet" };
    // Newton on the logarithm of the hazard at the mean; falls back to a bracketed search.
    let target = (-(-q).ln_1p()).ln();
    let mut u = target - 0.5 * s * s * (1.0 - q);
    for _ in 0..40 {
        let (r, d) = mean.risk(u, s);
        if !(r > 0.0 && r < 1.0 && d > 0.0) {
            break;
        }
        let hazard = -(-r).ln_1p();
        let step = (target - hazard.ln()) * hazard * (1.0 - r) / d;
        if !step.is_finite() || step.abs() > 20.0 + 5.0 * s {
            break;
        }
        u += step;
        if step.abs() < 1e-13 * (1.0 + u.abs()) {
            return Ok(u);
        }
    }
    let wide = 60.0 + 12.0 * s;
    root::brent(|u| mean.risk(u, s).0 / q - 1.0, target - wide - s * s, target + wide + s * s, 1e-15).map_err(fail)
}

/// The level solved for one draw: one delta for all options of a material family.
#[derive(Debug, Clone, PartialEq)]
pub struct Anchor {
    delta: f64,
    a: f64,
    /// (years, phi p, ln T).
    times: Vec<(f64, f64, f64)>,
    footing: Footing,
}

/// Risks of one case in one draw.
#[derive(Debug, Clone, PartialEq)]
pub struct CaseRisk {
    /// Risk at each time, in the order of the reference.
    pub risk: Vec<f64>,
    /// d ln risk / d ln stress at each time.
    pub sensitivity: Vec<f64>,
}

impl Anchor {
    /// Solves delta and T for a draw: `phi` in 0..1, inert modulus `m`, exponent `n` > 2.
    pub fn solve(mean: &impl MeanRisk, reference: &Reference, phi: f64, m: f64, n: f64) -> Result<Self, StrengthError> {
        within("share not driven by stress", phi, (0.0..1.0).contains(&phi), "0 to below 1")?;
        let a = exponent(m, n)?;
        let w = checked(&reference.w)?;
        let five = reference.p.iter().find(|(years, _)| (years - ANCHOR_YEARS).abs() < 1e-9);
        let &(_, p5) = five.ok_or(StrengthError::NoFiveYears { count: reference.p.len() })?;
        let level = |p: f64| solve(mean, driven(p, phi)?, a * w.sd);
        let u5 = level(p5)?;
        let mut times = Vec::with_capacity(reference.p.len());
        for &(years, p) in &reference.p {
            positive("years of an observed risk", years)?;
            times.push((years, phi * p, level(p)? - u5));
        }
        Ok(Self { delta: u5 / a - w.mean, a, times, footing: Footing::Observed })
    }

    /// Without observation: `delta` a draw from N(0, [`PRIOR_SD`]^2), risks at `years`.
    pub fn mechanics_only(delta: f64, m: f64, n: f64, years: &[f64]) -> Result<Self, StrengthError> {
        within("delta", delta, true, "a finite number")?;
        let a = exponent(m, n)?;
        let mut times = Vec::with_capacity(years.len());
        for &t in years {
            times.push((t, 0.0, m / (n - 2.0) * (positive("years", t)? / ANCHOR_YEARS).ln()));
        }
        Ok(Self { delta, a, times, footing: Footing::MechanicsOnly })
    }

    /// The level: ln of the factor of stress that brings mechanics to what was observed.
    pub fn delta(&self) -> f64 {
        self.delta
    }

    /// Exponent of stress in the hazard.
    pub fn exponent(&self) -> f64 {
        self.a
    }

    /// Years at which risks are given, with T(t).
    pub fn times(&self) -> impl Iterator<Item = (f64, f64)> + '_ {
        self.times.iter().map(|t| (t.0, t.2.exp()))
    }

    /// Where the level comes from.
    pub fn footing(&self) -> Footing {
        self.footing
    }

    /// Whether mechanics and observation disagree: delta beyond 1.96 prior standard deviations.
    pub fn disagrees(&self) -> bool {
        self.footing == Footing::Observed && self.delta.abs() > 1.96 * PRIOR_SD
    }

    /// Risks of a case whose W is `w`.
    pub fn case(&self, mean: &impl MeanRisk, w: &Normal) -> Result<CaseRisk, StrengthError> {
        let w = checked(w)?;
        let s = self.a * w.sd;
        let (mut risk, mut sensitivity) = (Vec::with_capacity(self.times.len()), Vec::with_capacity(self.times.len()));
        for &(_, other, ln_t) in &self.times {
            let (q, slope) = mean.risk(self.a * (w.mean + self.delta) + ln_t, s);
            let total = (other + q * (1.0 - other)).clamp(0.0, 1.0);
            risk.push(total);
            sensitivity.push(if total > 0.0 { (1.0 - other) * self.a * slope / total } else { 0.0 });
        }
        Ok(CaseRisk { risk, sensitivity })
    }
}

/// The stress-driven part of an observed risk: 1 - (1-p)/(1 - phi p).
fn driven(p: f64, phi: f64) -> Result<f64, StrengthError> {
    within("observed risk", p, p > 0.0 && p < 1.0, "above 0 and below 1")?;
    Ok(p * (1.0 - phi) / (1.0 - phi * p))
}

fn exponent(m: f64, n: f64) -> Result<f64, StrengthError> {
    positive("Weibull modulus", m)?;
    within("crack growth exponent", n, n > 2.0, "above 2")?;
    Ok(m * n / (n - 2.0))
}

fn checked(w: &Normal) -> Result<Normal, StrengthError> {
    within("mean of W", w.mean, true, "a finite number")?;
    within("sd of W", w.sd, w.sd >= 0.0, "0 or more")?;
    Ok(*w)
}

/// A material family over all draws: solved once, applied to many cases.
#[derive(Debug, Clone)]
pub struct Family<R> {
    mean: R,
    anchors: Vec<Anchor>,
}

/// The answer for one case over all draws.
#[derive(Debug, Clone, PartialEq)]
pub struct Anchored {
    /// (years, risk) at each time of the reference.
    pub risk: Vec<(f64, Draws)>,
    /// d ln risk / d ln stress at 5 years (or the first time when there is none).
    pub sensitivity: Draws,
    /// The level.
    pub delta: Draws,
    /// The mean of delta lies outside its prior 95 %: mechanics and observation disagree.
    pub disagrees: bool,
    /// Where the level comes from.
    pub footing: Footing,
}

impl<R: MeanRisk> Family<R> {
    /// One anchor a draw, k = 0..`draws`; `mean` is a [`Quadrature`] or, faster, a [`crate::RiskTable`].
    pub fn new(
        mean: R,
        draws: usize,
        anchor: impl Fn(&R, usize) -> Result<Anchor, StrengthError>,
    ) -> Result<Self, StrengthError> {
        let mut anchors: Vec<Anchor> = Vec::with_capacity(draws);
        for k in 0..draws {
            let next = anchor(&mean, k)?;
            if let Some(first) = anchors.first()
                && first.times.len() != next.times.len()
            {
                let (found, expected) = (next.times.len(), first.times.len());
                return Err(StrengthError::Length { what: "times of a draw", found, expected });
            }
            anchors.push(next);
        }
        if anchors.is_empty() {
            return Err(StrengthError::Length { what: "draws", found: 0, expected: 1 });
        }
        Ok(Self { mean, anchors })
    }

    /// The anchors, draw by draw.
    pub fn anchors(&self) -> &[Anchor] {
        &self.anchors
    }

    /// A case with its W in draw k.
    pub fn case(&self, w: impl Fn(usize) -> Normal) -> Result<Anchored, StrengthError> {
        let first = &self.anchors[0];
        let five = first.times.iter().position(|t| (t.0 - ANCHOR_YEARS).abs() < 1e-9).unwrap_or(0);
        let cases = self.anchors.iter().enumerate().map(|(k, anchor)| anchor.case(&self.mean, &w(k)));
        let cases = cases.collect::<Result<Vec<_>, _>>()?;
        let n = cases.len();
        let delta = Draws::from_fn(n, |k| self.anchors[k].delta);
        Ok(Anchored {
            risk: first.times.iter().enumerate().map(|(i, t)| (t.0, Draws::from_fn(n, |k| cases[k].risk[i]))).collect(),
            sensitivity: Draws::from_fn(n, |k| cases[k].sensitivity.get(five).copied().unwrap_or(0.0)),
            disagrees: first.footing == Footing::Observed && delta.mean().abs() > 1.96 * PRIOR_SD,
            delta,
            footing: first.footing,
        })
    }
}

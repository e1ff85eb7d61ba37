//! Exact-likelihood pooling of counts: Poisson-normal and binomial-normal models by adaptive Gauss-Hermite quadrature.
//!
//! x_i ~ Poisson(t_i exp(eta_i)) or Binomial(n_i, 1/(1 + exp(-eta_i))), eta_i = z_i' b + tau u_i, u_i ~ N(0, 1). The integral over u_i is centred and scaled
//! at its mode (Pinheiro, Bates 1995, J Comput Graph Stat 4:12-35, doi 10.1080/10618600.1995.10474663). b and tau solve the score equations by Newton; score
//! and observed information are expectations over u_i (Fisher's identity; Louis 1982, J R Stat Soc B 44:226-233). Studies without
//! events enter as they are. At 25 nodes tau is right to about 1e-9 of the exact integral.

use super::PoolError;
use super::effect::check_counts;
use numerics::dense::Matrix;
use numerics::{gamma, gauss, normal};

/// Which counts are pooled.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Family {
    /// Events over exposure; coefficients are log rates.
    Poisson,
    /// Events of n; coefficients are logits.
    Binomial,
}

/// A fitted model.
#[derive(Debug, Clone, PartialEq)]
pub struct Glmm {
    /// Coefficients in the order of the columns.
    pub b: Vec<f64>,
    /// Standard deviation between studies.
    pub tau: f64,
    /// Covariance of (b, tau), row-major; of b alone, with zeros for tau, at the boundary.
    pub covariance: Vec<f64>,
    /// Log-likelihood with all constants.
    pub log_likelihood: f64,
    /// Twice the gain in log-likelihood over tau = 0.
    pub likelihood_ratio: f64,
    /// True when tau is 0: no scatter beyond chance was found.
    pub boundary: bool,
    /// Studies.
    pub k: usize,
}

impl Glmm {
    /// Standard error of a coefficient.
    pub fn se(&self, j: usize) -> f64 {
        self.covariance[j * (self.b.len() + 1) + j].sqrt()
    }

    /// Wald interval of a coefficient at `level`.
    pub fn interval(&self, j: usize, level: f64) -> (f64, f64) {
        let half = normal::quantile(0.5 + 0.5 * level) * self.se(j);
        (self.b[j] - half, self.b[j] + half)
    }

    /// Interval for a new study at a row of the design (normal quantile).
    pub fn prediction_interval(&self, row: &[f64], level: f64) -> (f64, f64) {
        let n = self.b.len() + 1;
        let mean: f64 = row.iter().zip(&self.b).map(|(x, b)| x * b).sum();
        let variance: f64 =
            (0..n - 1).map(|i| (0..n - 1).map(|j| row[i] * row[j] * self.covariance[i * n + j]).sum::<f64>()).sum();
        let half = normal::quantile(0.5 + 0.5 * level) * (variance + self.tau * self.tau).sqrt();
        (mean - half, mean + half)
    }
}

/// Fits `events` of `sizes` (exposure, or number) on a design of `p` columns, row-major, with `nodes` quadrature nodes (25 is good).
pub fn glmm(
    family: Family,
    events: &[f64],
    sizes: &[f64],
    design: &[f64],
    p: usize,
    nodes: usize,
) -> Result<Glmm, PoolError> {
    check_counts(events, sizes, if family == Family::Binomial { 1.0 } else { f64::INFINITY })?;
    let k = events.len();
    if p == 0 || k < p + 1 {
        return Err(PoolError::TooFew { k, needed: p + 1 });
    }
    if design.len() != k * p {
        return Err(PoolError::Lengths { effects: k, others: design.len() / p });
    }
    let total: f64 = events.iter().sum();
    if total == 0.0 || (family == Family::Binomial && total == sizes.iter().sum::<f64>()) {
        return Err(PoolError::NoInformation);
    }
    let constants = events.iter().zip(sizes).map(|(x, n)| constant(family, *x, *n)).collect();
    let model = Counts { family, events, sizes, design, p, rule: gauss::hermite(nodes.max(1)), constants };
    let mut start = vec![0.0; p + 1];
    let crude = total / sizes.iter().sum::<f64>();
    // The crude value suits the column of ones, if there is one.
    if let Some(j) = (0..p).find(|&j| (0..k).all(|i| design[i * p + j] == 1.0)) {
        start[j] = if family == Family::Poisson { crude.ln() } else { (crude / (1.0 - crude)).ln() };
    }
    let plain = model.climb(start, true)?;
    let mut from = plain.clone();
    from[p] = 0.5;
    let full = model.climb(from, false)?;
    let (base, fitted) = (model.at(&plain, true), model.at(&full, false));
    let tau = full[p].abs();
    let boundary = tau < 1e-5 || fitted.value <= base.value + 1e-10;
    let (point, fit) = if boundary { (&plain, &base) } else { (&full, &fitted) };
    let free = if boundary { p } else { p + 1 };
    let inverse = fit.information(free).cholesky().map_err(|_| PoolError::Design)?.inverse();
    let n = p + 1;
    let covariance = (0..n * n).map(|i| if i / n < free && i % n < free { inverse.get(i / n, i % n) } else { 0.0 });
    Ok(Glmm {
        b: point[..p].to_vec(),
        tau: if boundary { 0.0 } else { tau },
        covariance: covariance.collect(),
        log_likelihood: fit.value,
        likelihood_ratio: (2.0 * (fit.value - base.value)).max(0.0),
        boundary,
        k,
    })
}

struct Counts<'a> {
    family: Family,
    events: &'a [f64],
    sizes: &'a [f64],
    design: &'a [f64],
    p: usize,
    rule: gauss::Rule,
    /// What of ln probability does not depend on eta.
    constants: Vec<f64>,
}

/// ln(t^x/x!) or ln of the number of ways to choose x of n.
fn constant(family: Family, x: f64, n: f64) -> f64 {
    match family {
        Family::Poisson => x * n.ln() - gamma::ln_gamma(x + 1.0),
        Family::Binomial => gamma::ln_gamma(n + 1.0) - gamma::ln_gamma(x + 1.0) - gamma::ln_gamma(n - x + 1.0),
    }
}

/// Log-likelihood, score and observed information at (b, tau).
struct State {
    value: f64,
    score: Vec<f64>,
    hessian: Vec<f64>,
}

impl State {
    fn information(&self, free: usize) -> Matrix {
        let n = self.score.len();
        Matrix::from_fn(free, |i, j| -self.hessian[i * n + j])
    }
}

impl Counts<'_> {
    /// ln probability, its slope and curvature by eta.
    fn log_probability(&self, i: usize, eta: f64) -> (f64, f64, f64) {
        let (x, n) = (self.events[i], self.sizes[i]);
        match self.family {
            Family::Poisson => {
                let m = n * eta.exp();
                (x * eta - m + self.constants[i], x - m, -m)
            }
            Family::Binomial => {
                // ln(1 + e^eta) without overflow, and the probability from the same exponential.
                let e = (-eta.abs()).exp();
                let q = if eta > 0.0 { 1.0 / (1.0 + e) } else { e / (1.0 + e) };
                (x * eta - n * (eta.max(0.0) + e.ln_1p()) + self.constants[i], x - n * q, -n * q * (1.0 - q))
            }
        }
    }

    fn fixed_part(&self, i: usize, theta: &[f64]) -> f64 {
        self.design[i * self.p..(i + 1) * self.p].iter().zip(theta).map(|(x, b)| x * b).sum()
    }

    /// Mode and width of u given study i.
    fn mode(&self, i: usize, fixed: f64, tau: f64) -> (f64, f64) {
        // The study's own rate, drawn towards the mean by its precision, is near the mode.
        let (x, n) = (self.events[i] + 0.5, self.sizes[i]);
        let (own, precision) = match self.family {
            Family::Poisson => ((x / n).ln(), x),
            Family::Binomial => ((x / (n + 1.0 - x)).ln(), x * (n + 1.0 - x) / (n + 1.0)),
        };
        let mut u = tau * (own - fixed) / (tau * tau + 1.0 / precision);
        let objective = |u: f64| self.log_probability(i, fixed + tau * u).0 - 0.5 * u * u;
        let mut value = objective(u);
        for _ in 0..100 {
            let (_, slope, curve) = self.log_probability(i, fixed + tau * u);
            let step = (tau * slope - u) / (1.0 - tau * tau * curve);
            let mut scale = 1.0;
            // A step so long that the rate overflows gives no number: it is halved like any other that does not climb.
            let climbs = |there: f64| there >= value - 1e-12 * (1.0 + value.abs());
            while scale > 1e-12 && !climbs(objective(u + scale * step)) {
                scale *= 0.5;
            }
            u += scale * step;
            value = objective(u);
            if step.abs() < 1e-12 * (1.0 + u.abs()) {
                break;
            }
        }
        let (_, _, curve) = self.log_probability(i, fixed + tau * u);
        (u, (1.0 - tau * tau * curve).sqrt().recip())
    }

    fn at(&self, theta: &[f64], no_scatter: bool) -> State {
        let n = self.p + 1;
        let tau = if no_scatter { 0.0 } else { theta[self.p] };
        let mut state = State { value: 0.0, score: vec![0.0; n], hessian: vec![0.0; n * n] };
        for i in 0..self.events.len() {
            let fixed = self.fixed_part(i, theta);
            let row = &self.design[i * self.p..(i + 1) * self.p];
            if tau == 0.0 {
                let (value, slope, curve) = self.log_probability(i, fixed);
                state.value += value;
                for a in 0..self.p {
                    state.score[a] += slope * row[a];
                    for b in 0..self.p {
                        state.hessian[a * n + b] += curve * row[a] * row[b];
                    }
                }
                continue;
            }
            self.add_study(i, fixed, tau, row, &mut state);
        }
        state
    }

    /// Adds one study: moments over u of its score and curvature.
    fn add_study(&self, i: usize, fixed: f64, tau: f64, row: &[f64], state: &mut State) {
        let n = self.p + 1;
        let (mode, width) = self.mode(i, fixed, tau);
        let points: Vec<(f64, f64, f64, f64)> = self
            .rule
            .nodes
            .iter()
            .zip(&self.rule.weights)
            .filter(|(_, w)| **w > 0.0)
            .map(|(x, w)| {
                let u = mode + std::f64::consts::SQRT_2 * width * x;
                let (value, slope, curve) = self.log_probability(i, fixed + tau * u);
                (w.ln() + x * x + value - 0.5 * u * u, u, slope, curve)
            })
            .collect();
        let logs: Vec<f64> = points.iter().map(|q| q.0).collect();
        let total = numerics::sum::log_sum_exp(&logs);
        state.value += total + (std::f64::consts::SQRT_2 * width).ln() - normal::LN_SQRT_2PI;
        // Moments: s = slope, s u; c = curve, c u, c u^2; products of s (1, u).
        let mut m = [0.0; 8];
        for (log, u, s, c) in &points {
            let w = (log - total).exp();
            for (sum, value) in m.iter_mut().zip([*s, s * u, *c, c * u, c * u * u, s * s, s * s * u, s * s * u * u]) {
                *sum += w * value;
            }
        }
        let z = |a: usize| if a < self.p { row[a] } else { 1.0 };
        for a in 0..n {
            let order_a = usize::from(a == self.p);
            state.score[a] += z(a) * m[order_a];
            for b in 0..n {
                let order = order_a + usize::from(b == self.p);
                let own = m[order_a] * m[usize::from(b == self.p)];
                state.hessian[a * n + b] += z(a) * z(b) * (m[2 + order] + m[5 + order] - own);
            }
        }
    }

    /// Newton from a start, with halved steps; a direction that is not uphill is replaced by the scaled score.
    fn climb(&self, start: Vec<f64>, no_scatter: bool) -> Result<Vec<f64>, PoolError> {
        let free = if no_scatter { self.p } else { self.p + 1 };
        let mut theta = start;
        let mut state = self.at(&theta, no_scatter);
        for _ in 0..300 {
            let score = &state.score[..free];
            let step = match state.information(free).cholesky() {
                Ok(c) => c.solve(score),
                Err(_) => {
                    let scale: f64 = (0..free).map(|i| state.hessian[i * (self.p + 1) + i].abs()).fold(1e-6, f64::max);
                    score.iter().map(|s| s / scale).collect()
                }
            };
            let size = step.iter().zip(&theta).map(|(s, t)| s.abs() / (1.0 + t.abs())).fold(0.0, f64::max);
            if size < 1e-12 {
                return Ok(theta);
            }
            let mut scale = (2.0 / size).min(1.0);
            let mut moved = false;
            for _ in 0..40 {
                let mut next = theta.clone();
                next.iter_mut().zip(&step).for_each(|(t, s)| *t += scale * s);
                let there = self.at(&next, no_scatter);
                if there.value >= state.value - 1e-11 * state.value.abs() {
                    (theta, state, moved) = (next, there, true);
                    break;
                }
                scale *= 0.5;
            }
            if !moved || (!no_scatter && theta[self.p].abs() < 1e-7) {
                return Ok(theta);
            }
        }
        Err(PoolError::NotConverged)
    }
}

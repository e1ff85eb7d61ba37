//! Own results: a practice's arms reweight the posterior, and tell where this clinic stands among clinics.
//!
//! Weight of draw k = likelihood of the own arms under it, the clinic's departure integrated out (Gauss-Hermite, 21 nodes; all own arms share one
//! departure). The largest weights are replaced by the quantiles of a generalised Pareto fit and the draws resampled by them, systematically. Vehtari, Simpson,
//! Gelman, Yao, Gabry 2024, J Mach Learn Res 25:1-58 (Pareto-smoothed importance sampling); fit of the tail: Zhang, Stephens 2009, Technometrics
//! 51:316-325, doi 10.1198/tech.2009.08017. Above k = 0.7 the weights do not carry: refit with the own arms among the rest.
//!
//! Complications and the split among causes are not reweighted (a refit takes them in).

use super::fit::{FitError, nested_and_crossed};
use super::model::Model;
use super::posterior::Posterior;
use super::process::Factor;
use super::terms;
use crate::arm::{Arm, check};
use answer::{Draws, World};
use numerics::gauss;

/// A posterior that has seen own results.
#[derive(Debug, Clone, PartialEq)]
pub struct Reweighted {
    /// The draws resampled by the own results' likelihood, with this clinic's departure.
    pub posterior: Posterior,
    /// Departure of the own clinic on the log rate (0 = average clinic), draw by draw; give it to the prediction for the next own case.
    pub clinic: Draws,
    /// Shape of the tail of the weights; above 0.7 refit.
    pub pareto_k: f64,
    /// Number of draws the weights are worth.
    pub effective_draws: f64,
    /// Own arms that say nothing about losses, with the reason.
    pub unused: Vec<(String, String)>,
}

impl Reweighted {
    /// True when the own results differ so much from the rest that the model must be fitted again with them.
    pub fn needs_refit(&self) -> bool {
        self.pareto_k.is_nan() || self.pareto_k > 0.7
    }
}

const NODES: usize = 21;

impl Posterior {
    /// Takes in a clinic's own arms. They must not be among the arms fitted.
    pub fn reweight(&self, world: &World, own: &[Arm]) -> Result<Reweighted, FitError> {
        let mut issues = check(own);
        issues.extend(own.iter().filter(|a| self.arms.iter().any(|b| a.id == b.id)).map(twice));
        if !issues.is_empty() {
            return Err(FitError::Arms(issues));
        }
        let draws = self.draws();
        let tau = self.loss.get("tau").unwrap_or_else(|| vec![self.model.spread; draws]);
        let (mut arms, mut unused) = (Vec::new(), Vec::new());
        for arm in own {
            match terms::loss_terms(arm) {
                Ok(found) => arms.push(OwnArm::new(self, world, arm, &found)),
                Err(reason) => unused.push((arm.id.clone(), reason)),
            }
        }
        let rule = gauss::hermite(NODES);
        let mut log_weights = Vec::with_capacity(draws);
        let mut clinics = Vec::with_capacity(draws);
        for (k, tau) in tau.iter().enumerate() {
            let at = |x: f64| {
                let departure = std::f64::consts::SQRT_2 * tau * x;
                arms.iter().map(|a| a.log_likelihood(k, departure)).sum::<f64>()
            };
            let logs: Vec<f64> = rule.nodes.iter().zip(&rule.weights).map(|(x, w)| w.ln() + at(*x)).collect();
            log_weights.push(numerics::sum::log_sum_exp(&logs));
            clinics.push(
                std::f64::consts::SQRT_2 * tau * pick(&rule.nodes, &logs, world.uniform_at("evidence/own/clinic", k)),
            );
        }
        let (weights, pareto_k) = smoothed(&log_weights);
        let effective = 1.0 / weights.iter().map(|w| w * w).sum::<f64>();
        let chosen = systematic(&weights, world.uniform_at("evidence/own/start", 0));
        Ok(Reweighted {
            posterior: self.resampled(&chosen),
            clinic: Draws::from_fn(chosen.len(), |k| clinics[chosen[k]]),
            pareto_k,
            effective_draws: effective,
            unused,
        })
    }

    /// Fewer draws, evenly spaced over all chains, for an answer in fewer draws of the world: `draws` is rounded down to a multiple of the
    /// number of chains. The digest stays that of the fit.
    pub fn thinned(&self, draws: usize) -> Self {
        let all = self.draws();
        let kept = (draws.min(all) / Model::CHAINS).max(1);
        let wanted = kept * Model::CHAINS;
        let chosen: Vec<usize> = (0..wanted).map(|i| i * all / wanted).collect();
        let mut thinned = self.resampled(&chosen);
        thinned.model.kept = kept;
        thinned
    }

    fn resampled(&self, chosen: &[usize]) -> Self {
        Self {
            shares: self.shares.resampled(chosen),
            loss: self.loss.resampled(chosen),
            complications: self.complications.iter().map(|t| t.resampled(chosen)).collect(),
            ..self.clone()
        }
    }
}

fn twice(arm: &Arm) -> answer::Issue {
    let place = answer::Place { field: format!("arm `{}`, id", arm.id), ..answer::Place::default() };
    answer::Issue::error(
        place,
        "this arm is among those the posterior was fitted to",
        "own arms that were not counted before",
        "leave it out here, or fit again without it",
    )
}

/// An own arm with its rate in each draw.
struct OwnArm {
    rates: Vec<f64>,
    kappas: Vec<f64>,
    factors: Vec<Factor>,
}

impl OwnArm {
    fn new(posterior: &Posterior, world: &World, arm: &Arm, found: &terms::LossTerms) -> Self {
        let draws = posterior.draws();
        let parts: Vec<(f64, Draws)> = arm
            .parts()
            .into_iter()
            .map(|(cell, w)| {
                let setting =
                    super::predict::Setting { moderators: arm.moderators.clone(), ..super::predict::Setting::of(cell) };
                let effects = nested_and_crossed(&setting.cell);
                (w, posterior.log_rate(world, &posterior.loss, "loss", &effects, &setting))
            })
            .collect();
        let rates = (0..draws)
            .map(|k| found.offset + parts.iter().map(|(w, r)| w * r.get(k).exp()).sum::<f64>().ln())
            .collect();
        let shape = posterior.log_shape(world, &posterior.loss, "loss", &arm.parts()[0].0);
        Self {
            rates,
            kappas: (0..draws).map(|k| shape.get(k).exp()).collect(),
            factors: found.terms.iter().map(Factor::of).collect(),
        }
    }

    fn log_likelihood(&self, k: usize, departure: f64) -> f64 {
        self.factors.iter().map(|f| f.value(self.rates[k] + departure, self.kappas[k]).0).sum()
    }
}

/// The node whose share of the weight holds `u`.
fn pick(nodes: &[f64], logs: &[f64], u: f64) -> f64 {
    let total = numerics::sum::log_sum_exp(logs);
    let mut sum = 0.0;
    for (i, (x, l)) in nodes.iter().zip(logs).enumerate() {
        let share = (l - total).exp();
        if sum + share >= u || i + 1 == nodes.len() {
            // Between nodes the place is spread evenly over half the neighbouring gaps.
            let low = if i == 0 { *x } else { 0.5 * (nodes[i - 1] + x) };
            let high = if i + 1 == nodes.len() { *x } else { 0.5 * (nodes[i + 1] + x) };
            return low + (high - low) * ((u - sum) / share.max(1e-300)).clamp(0.0, 1.0);
        }
        sum += share;
    }
    0.0
}

/// Normalised weights with a smoothed tail, and the shape of the tail.
fn smoothed(log_weights: &[f64]) -> (Vec<f64>, f64) {
    let n = log_weights.len();
    let top = log_weights.iter().copied().fold(f64::NEG_INFINITY, f64::max);
    let mut weights: Vec<f64> = log_weights.iter().map(|l| (l - top).exp()).collect();
    let tail = ((3.0 * (n as f64).sqrt()).min(0.2 * n as f64)).ceil() as usize;
    let mut order: Vec<usize> = (0..n).collect();
    order.sort_by(|&a, &b| weights[a].total_cmp(&weights[b]).then(a.cmp(&b)));
    let mut shape = f64::NEG_INFINITY;
    if tail >= 5 && n > tail {
        let cutoff = weights[order[n - tail - 1]];
        let excess: Vec<f64> = order[n - tail..].iter().map(|&i| weights[i] - cutoff).collect();
        // Equal weights have no tail to smooth.
        if excess[tail - 1] > 1e-12 {
            let (k, sigma) = generalised_pareto(&excess);
            shape = k;
            for (j, &i) in order[n - tail..].iter().enumerate() {
                let p = (j as f64 + 0.5) / tail as f64;
                let quantile =
                    if k.abs() < 1e-10 { -sigma * (-p).ln_1p() } else { sigma / k * ((-k * (-p).ln_1p()).exp_m1()) };
                weights[i] = (cutoff + quantile).min(1.0);
            }
        }
    }
    let total = numerics::sum::compensated(weights.iter().copied());
    weights.iter_mut().for_each(|w| *w /= total);
    (weights, shape)
}

/// Shape and scale of a generalised Pareto distribution from ascending excesses (Zhang, Stephens 2009; the shape is drawn towards
/// 1/2 by ten pseudo-observations, as in the smoothing paper).
fn generalised_pareto(x: &[f64]) -> (f64, f64) {
    let n = x.len();
    let m = 30 + (n as f64).sqrt() as usize;
    let quarter = x[((n as f64 / 4.0 + 0.5).floor() as usize).max(1) - 1].max(1e-300);
    let largest = x[n - 1];
    let thetas: Vec<f64> =
        (1..=m).map(|i| 1.0 / largest + (1.0 - (m as f64 / (i as f64 - 0.5)).sqrt()) / (3.0 * quarter)).collect();
    let mean_log = |theta: f64| x.iter().map(|v| (-theta * v).ln_1p()).sum::<f64>() / n as f64;
    let profile: Vec<f64> = thetas
        .iter()
        .map(|&theta| {
            let k = mean_log(theta);
            n as f64 * ((-theta / k).ln() - k - 1.0)
        })
        .collect();
    let total = numerics::sum::log_sum_exp(&profile);
    let theta: f64 = thetas.iter().zip(&profile).map(|(t, l)| t * (l - total).exp()).sum();
    let k = mean_log(theta);
    let sigma = -k / theta;
    ((k * n as f64 + 10.0 * 0.5) / (n as f64 + 10.0), sigma)
}

/// As many indices as weights, each drawn in proportion to its weight, evenly.
fn systematic(weights: &[f64], u: f64) -> Vec<usize> {
    let n = weights.len();
    let mut chosen = Vec::with_capacity(n);
    let (mut i, mut sum) = (0, weights[0]);
    for j in 0..n {
        let at = (j as f64 + u) / n as f64;
        while sum < at && i + 1 < n {
            i += 1;
            sum += weights[i];
        }
        chosen.push(i);
    }
    chosen
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_pareto_shape_of_a_known_tail_comes_back() {
        for k in [0.2_f64, 0.6, 1.0] {
            let x: Vec<f64> = (0..400).map(|i| ((1.0 - (f64::from(i) + 0.5) / 400.0).powf(-k) - 1.0) / k).collect();
            let (found, sigma) = generalised_pareto(&x);
            // Shrunk by ten pseudo-observations among 400; the sampling error at 400 is (1 + k)/20.
            assert!((found - k).abs() < 0.06 && (sigma - 1.0).abs() < 0.1, "{k}: {found}, {sigma}");
        }
    }

    #[test]
    fn resampling_follows_the_weights() {
        let chosen = systematic(&[0.5, 0.0, 0.25, 0.25], 0.3);
        assert_eq!(chosen, [0, 0, 2, 3]);
    }
}

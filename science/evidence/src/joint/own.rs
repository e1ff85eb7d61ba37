//! Own results: a practice's arms reweight the posterior, and tell where this clinic stands among clinics.
//!
//! Weight of draw k = likelihood of the own arms under it, the clinic's departure integrated out: u of the clinic plus z of the
//! laboratory, half of the variance between clinics each, or one departure where there is one laboratory (adaptive Gauss-Hermite at the mode). The largest weights are replaced by the quantiles of a generalised Pareto fit and the draws resampled by them, systematically. Vehtari, Simpson,
//! Gelman, Yao, Gabry 2024, J Mach Learn Res 25:1-58 (Pareto-smoothed importance sampling); fit of the tail: Zhang, Stephens 2009, Technometrics
//! 51:316-325, doi 10.1198/tech.2009.08017. Above k = 0.7 the weights do not carry: refit with the own arms among the rest.
//!
//! Complications and the split among causes are not reweighted (a refit takes them in).

use super::fit::{FitError, nested_and_crossed};
use super::model::Model;
use super::pareto::{smoothed, systematic};
use super::posterior::Posterior;
use super::process::Factor;
use super::terms;
use crate::arm::{Arm, check};
use answer::{Draws, World};
use numerics::gauss;
use rayon::prelude::*;

/// Nodes over the clinic's common part where it has several laboratories (its posterior is never narrow), and over a departure at its mode.
const OUTER: usize = 11;
const INNER: usize = 7;

/// A posterior that has seen own results.
#[derive(Debug, Clone, PartialEq)]
pub struct Reweighted {
    /// The draws resampled by the own results' likelihood; its predictions are for a clinic never seen unless
    /// [`Posterior::at_clinic`] says otherwise.
    pub posterior: Posterior,
    /// Departure of the own clinic on the log rate (0 = the median clinic), draw by draw, for work of the laboratory that made all of it, or
    /// of a laboratory not seen yet where several did.
    pub clinic: Draws,
    /// The same by laboratory.
    pub laboratories: Vec<(String, Draws)>,
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

/// Own arms whose work one laboratory made.
#[derive(Debug, Clone, PartialEq)]
pub struct OwnGroup {
    /// The laboratory; empty where it is not told.
    pub laboratory: String,
    /// The arms.
    pub arms: Vec<Arm>,
}

impl Posterior {
    /// Takes in a clinic's own arms, all of one laboratory. They must not be among the arms fitted.
    ///
    /// # Errors
    /// [`FitError::Arms`] where an arm cannot be right or was counted before.
    pub fn reweight(&self, world: &World, own: &[Arm]) -> Result<Reweighted, FitError> {
        self.reweight_with(world, &[OwnGroup { laboratory: String::new(), arms: own.to_vec() }], &[])
    }

    /// Takes in a clinic's own arms by laboratory, and arms of other studies not fitted yet. The clinic's departure is
    /// u + z of the laboratory, each with half the variance between clinics, as arms of one study have it in the fit.
    ///
    /// # Errors
    /// [`FitError::Arms`] where an arm cannot be right or was counted before.
    pub fn reweight_with(&self, world: &World, own: &[OwnGroup], others: &[Arm]) -> Result<Reweighted, FitError> {
        let all: Vec<Arm> = own.iter().flat_map(|g| &g.arms).chain(others).cloned().collect();
        let mut issues = check(&all);
        issues.extend(all.iter().filter_map(|a| self.counted_before(a)));
        if !issues.is_empty() {
            return Err(FitError::Arms(issues));
        }
        let mut unused = Vec::new();
        let clinic = Clinic::new(self, world, own, &mut unused);
        // Another study is a clinic of its own.
        let mut studies: Vec<(&str, Vec<Arm>)> = Vec::new();
        for arm in others {
            match studies.iter_mut().find(|s| s.0 == arm.study()) {
                Some(s) => s.1.push(arm.clone()),
                None => studies.push((arm.study(), vec![arm.clone()])),
            }
        }
        let studies: Vec<Clinic> = studies
            .into_iter()
            .map(|(_, arms)| {
                let groups: Vec<OwnGroup> =
                    arms.into_iter().map(|a| OwnGroup { laboratory: a.id.clone(), arms: vec![a] }).collect();
                Clinic::new(self, world, &groups, &mut unused)
            })
            .collect();
        let places: Vec<(f64, Place)> = (0..self.draws())
            .into_par_iter()
            .map(|k| {
                let (log, place) = clinic.at(world, k);
                (log + studies.iter().map(|s| s.at(world, k).0).sum::<f64>(), place)
            })
            .collect();
        let (weights, pareto_k) = smoothed(&places.iter().map(|p| p.0).collect::<Vec<f64>>());
        let effective = 1.0 / weights.iter().map(|w| w * w).sum::<f64>();
        let chosen = systematic(&weights, world.uniform_at("evidence/own/start", 0));
        let place = |pick: &dyn Fn(&Place) -> f64| Draws::from_fn(chosen.len(), |k| pick(&places[chosen[k]].1));
        Ok(Reweighted {
            posterior: self.resampled(&chosen),
            clinic: place(&|p| p.next),
            laboratories: own
                .iter()
                .enumerate()
                .map(|(l, g)| (g.laboratory.clone(), place(&|p| p.laboratories[l])))
                .collect(),
            pareto_k,
            effective_draws: effective,
            unused,
        })
    }

    /// Where a clinic stands whose own arms are among those fitted: its departure and that of each laboratory, draw by draw, without
    /// weighing the draws a second time.
    pub fn locate(&self, world: &World, own: &[OwnGroup]) -> (Draws, Vec<(String, Draws)>) {
        let clinic = Clinic::new(self, world, own, &mut Vec::new());
        let places: Vec<Place> = (0..self.draws()).into_par_iter().map(|k| clinic.at(world, k).1).collect();
        let next = Draws::from_fn(places.len(), |k| places[k].next);
        let laboratory = |(l, g): (usize, &OwnGroup)| {
            (g.laboratory.clone(), Draws::from_fn(places.len(), |k| places[k].laboratories[l]))
        };
        (next, own.iter().enumerate().map(laboratory).collect())
    }

    /// The same posterior with its predictions for a clinic of known departure (from [`Posterior::reweight`] or [`Posterior::locate`]).
    pub fn at_clinic(mut self, clinic: &Draws) -> Self {
        self.clinic = Some(clinic.iter().collect());
        self
    }

    /// An issue for an arm whose id or cohort was counted in the fit.
    fn counted_before(&self, arm: &Arm) -> Option<answer::Issue> {
        let same = self.arms.iter().find(|b| b.id == arm.id || (!arm.cohort.is_empty() && b.cohort == arm.cohort))?;
        let field = if same.id == arm.id { "id" } else { "cohort" };
        let place = answer::Place { field: format!("arm `{}`, {field}", arm.id), ..answer::Place::default() };
        Some(answer::Issue::error(
            place,
            format!("the posterior was fitted to arm `{}` of the same {field}", same.id),
            "own arms that were not counted before",
            "leave it out here, or fit again without it",
        ))
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
            clinic: self.clinic.as_ref().map(|c| chosen.iter().filter_map(|&k| c.get(k).copied()).collect()),
            ..self.clone()
        }
    }
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
}

/// A laboratory's arms in one draw. Poisson counts add up to one count and one expectation, which a departure multiplies.
struct Gathered<'a> {
    count: f64,
    expected: f64,
    /// Sum of count times ln expectation.
    constant: f64,
    /// What is no count: factor, log rate, shape.
    others: Vec<(&'a Factor, f64, f64)>,
}

impl<'a> Gathered<'a> {
    fn of(arms: &'a [OwnArm], k: usize) -> Self {
        let mut all = Self { count: 0.0, expected: 0.0, constant: 0.0, others: Vec::new() };
        for arm in arms {
            for factor in &arm.factors {
                match factor {
                    Factor::Poisson { count, units, at } => {
                        let ln = (units * Model::REFERENCE_YEARS).ln() + arm.rates[k] + arm.kappas[k] * at;
                        all.count += count;
                        all.expected += ln.exp();
                        all.constant += count * ln;
                    }
                    other => all.others.push((other, arm.rates[k], arm.kappas[k])),
                }
            }
        }
        all
    }

    /// ln likelihood at a departure and its slope.
    fn value(&self, departure: f64) -> (f64, f64) {
        let expected = self.expected * departure.exp();
        let mut sum = (self.constant + self.count * departure - expected, self.count - expected);
        for (factor, rate, kappa) in &self.others {
            let (value, slope, _) = factor.value(rate + departure, *kappa);
            sum = (sum.0 + value, sum.1 + slope);
        }
        sum
    }
}

/// Departures in one draw.
struct Place {
    /// Of the next case: the only laboratory's, or a new laboratory's.
    next: f64,
    laboratories: Vec<f64>,
}

/// One value of the clinic's common part: ln weight with the likelihood, and mode and width of each laboratory's own part there.
struct Node {
    common: f64,
    log: f64,
    spots: Vec<(f64, f64)>,
}

/// A clinic's arms by laboratory, ready to be weighed in each draw.
struct Clinic {
    laboratories: Vec<Vec<OwnArm>>,
    names: Vec<String>,
    tau: Vec<f64>,
    outer: gauss::Rule,
    inner: gauss::Rule,
}

impl Clinic {
    fn new(posterior: &Posterior, world: &World, own: &[OwnGroup], unused: &mut Vec<(String, String)>) -> Self {
        let draws = posterior.draws();
        let mut laboratories = Vec::with_capacity(own.len());
        for group in own {
            let mut arms = Vec::new();
            for arm in &group.arms {
                match terms::loss_terms(arm) {
                    Ok(found) => arms.push(OwnArm::new(posterior, world, arm, &found)),
                    Err(reason) => unused.push((arm.id.clone(), reason)),
                }
            }
            laboratories.push(arms);
        }
        // A clinic of one laboratory has one departure; of several, a common part and one each.
        let shared = if laboratories.len() > 1 { OUTER } else { 1 };
        Self {
            laboratories,
            names: own.iter().map(|g| g.laboratory.clone()).collect(),
            tau: posterior.loss.get("tau").unwrap_or_else(|| vec![posterior.model.spread; draws]),
            outer: gauss::hermite(shared),
            inner: gauss::hermite(INNER),
        }
    }

    /// ln likelihood of all arms in draw `k`, departures integrated out, and departures drawn given the arms.
    fn at(&self, world: &World, k: usize) -> (f64, Place) {
        let tau = self.tau[k % self.tau.len()];
        let several = self.laboratories.len() > 1;
        let part = if several { tau * std::f64::consts::FRAC_1_SQRT_2 } else { tau };
        let mut modes = vec![0.0; self.laboratories.len()];
        let gathered: Vec<Gathered<'_>> = self.laboratories.iter().map(|arms| Gathered::of(arms, k)).collect();
        let mut nodes: Vec<Node> = Vec::with_capacity(self.outer.nodes.len());
        for (x, w) in self.outer.nodes.iter().zip(&self.outer.weights) {
            let common = std::f64::consts::SQRT_2 * part * x;
            let mut log = w.ln();
            let mut spots = Vec::with_capacity(modes.len());
            for (arms, mode) in gathered.iter().zip(&mut modes) {
                let (value, at, width) = integrated(arms, common, part, *mode, &self.inner);
                *mode = at;
                log += value;
                spots.push((at, width));
            }
            nodes.push(Node { common, log, spots });
        }
        let logs: Vec<f64> = nodes.iter().map(|n| n.log).collect();
        let common_at: Vec<f64> = nodes.iter().map(|n| n.common).collect();
        let total = numerics::sum::log_sum_exp(&logs)
            - numerics::sum::log_sum_exp(&self.outer.weights.iter().map(|w| w.ln()).collect::<Vec<f64>>());
        let u = pick(&common_at, &logs, world.uniform_at("evidence/own/clinic", k));
        let nearest = (0..nodes.len()).min_by(|&a, &b| (common_at[a] - u).abs().total_cmp(&(common_at[b] - u).abs()));
        let normal = |field: &str| numerics::normal::quantile(world.uniform_at(field, k).clamp(1e-12, 1.0 - 1e-12));
        let spots = nearest.map(|n| nodes[n].spots.as_slice()).unwrap_or_default();
        let laboratories: Vec<f64> = spots
            .iter()
            .zip(&self.names)
            .map(|((at, width), name)| u + at + width * normal(&format!("evidence/own/laboratory/{name}")))
            .collect();
        let next = match laboratories[..] {
            [only] => only,
            _ => u + part * normal("evidence/own/laboratory"),
        };
        (total, Place { next, laboratories })
    }
}

/// ln of the likelihood of a laboratory's arms with its own departure z ~ N(0, sd^2) integrated out (adaptive Gauss-Hermite at the mode), with
/// mode and width of z.
fn integrated(arms: &Gathered<'_>, common: f64, sd: f64, start: f64, rule: &gauss::Rule) -> (f64, f64, f64) {
    if (arms.expected <= 0.0 && arms.others.is_empty()) || sd <= 0.0 {
        return (0.0, 0.0, sd.max(0.0));
    }
    let value = |z: f64| {
        let likelihood = arms.value(common + z);
        (likelihood.0 - 0.5 * (z / sd).powi(2), likelihood.1 - z / (sd * sd))
    };
    // Newton on the slope, its curvature by a small difference; the density is log-concave, so that a bracket always shrinks.
    let (mut low, mut high) = (-12.0 * sd, 12.0 * sd);
    let mut z = start.clamp(low, high);
    let mut curvature = 1.0 / (sd * sd);
    for _ in 0..30 {
        let slope = value(z).1;
        let step = 1e-4 * sd;
        let found = (slope - value(z + step).1) / step;
        curvature = if found.is_finite() { found.max(1.0 / (sd * sd)) } else { curvature };
        if slope > 0.0 {
            low = z
        } else {
            high = z
        }
        let next = z + slope / curvature;
        let next = if next > low && next < high { next } else { 0.5 * (low + high) };
        let moved = (next - z).abs();
        z = next;
        if moved < 1e-3 / curvature.sqrt() {
            break;
        }
    }
    let width = 1.0 / curvature.sqrt();
    let logs: Vec<f64> = rule
        .nodes
        .iter()
        .zip(&rule.weights)
        .map(|(x, w)| w.ln() + x * x + value(z + std::f64::consts::SQRT_2 * width * x).0)
        .collect();
    // The prior's constant: ln(sqrt(2) width/(sd sqrt(2 pi))).
    let constant = (std::f64::consts::SQRT_2 * width / sd).ln() - numerics::normal::LN_SQRT_2PI;
    (numerics::sum::log_sum_exp(&logs) + constant, z, width)
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

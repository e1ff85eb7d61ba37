//! How losses split among causes: a multinomial logit over cells with a Dirichlet-multinomial for the scatter between studies.
//!
//! Share of cause c in a cell: pi_c = exp(theta_c)/sum exp(theta), theta_c = ln prior_c + d_c + effects of the cell's labels at the levels at which the cause
//! differs, and of the moderators by which its share differs (an arm that names none stands at 0). Counts of an arm: Dirichlet-multinomial with concentration phi pi (ln phi ~ N(ln 10, 0.7^2)). An arm that reports some causes and its
//! total gives (its causes, all others); one without a total gives the split among the causes it reports.

use super::model::Model;
use super::process::{half_normal_log, standard_normal};
use crate::arm::{Arm, Cell, Fate};
use crate::sampler::Target;
use std::collections::BTreeMap;

/// One arm's split: for each category the causes it lumps, and its count.
struct Split {
    categories: Vec<(Vec<usize>, u32)>,
    total: u32,
    /// Effects (cause, effect number, weight).
    effects: Vec<(usize, usize, f64)>,
}

/// The density of the shares.
pub(crate) struct Shares {
    causes: Vec<(String, f64)>,
    spread: f64,
    splits: Vec<Split>,
    /// Name and scale of each effect.
    effects: Vec<(String, usize)>,
    scales: Vec<String>,
}

const PHI: usize = 0;
const PHI_PRIOR: (f64, f64) = (std::f64::consts::LN_10, 0.7);

/// Name of the effect of a moderator's level on a cause.
pub(crate) fn moderator_effect_name(cause: &str, key: &str, level: &str) -> String {
    format!("share {cause} {key}={level}")
}

/// Scale of the effects of moderators on shares.
pub(crate) const MODERATOR_SCALE: &str = "sd moderator";

/// Name of the effect of a label on a cause.
pub(crate) fn effect_name(cause: &str, level: usize, label: &str) -> String {
    format!("share {cause} {level}={label}")
}

impl Shares {
    /// From arms; those that say nothing about a split are passed over.
    pub(crate) fn new(arms: &[&Arm], model: &Model) -> Self {
        let total: f64 = model.causes.iter().map(|c| c.prior_share).sum();
        let mut shares = Self {
            causes: model.causes.iter().map(|c| (c.name.clone(), (c.prior_share / total).max(1e-6).ln())).collect(),
            spread: model.spread,
            splits: Vec::new(),
            effects: Vec::new(),
            scales: Vec::new(),
        };
        let mut names = BTreeMap::new();
        for arm in arms {
            if let Some(categories) = split(arm, model) {
                let total = categories.iter().map(|c| c.1).sum();
                let mut effects = shares.effects_of(&arm.parts(), model, &mut names);
                effects.extend(shares.moderator_effects(arm, model, &mut names));
                shares.splits.push(Split { categories, total, effects });
            }
        }
        shares
    }

    fn effects_of(
        &mut self,
        parts: &[(Cell, f64)],
        model: &Model,
        names: &mut BTreeMap<String, usize>,
    ) -> Vec<(usize, usize, f64)> {
        let mut effects: Vec<(usize, usize, f64)> = Vec::new();
        for (cell, weight) in parts {
            for (c, cause) in model.causes.iter().enumerate() {
                for &level in &cause.levels {
                    let Some(label) = cell.labels.get(level) else { continue };
                    let name = effect_name(&cause.name, level, label);
                    let number = self.effect(name, format!("sd level {level}"), names);
                    match effects.iter_mut().find(|e| e.0 == c && e.1 == number) {
                        Some(e) => e.2 += weight,
                        None => effects.push((c, number, *weight)),
                    }
                }
            }
        }
        effects
    }

    /// Effects of the moderators an arm names, on the causes whose share differs by them.
    fn moderator_effects(
        &mut self,
        arm: &Arm,
        model: &Model,
        names: &mut BTreeMap<String, usize>,
    ) -> Vec<(usize, usize, f64)> {
        let mut effects = Vec::new();
        for (c, cause) in model.causes.iter().enumerate() {
            for key in &cause.moderators {
                if let Some(level) = arm.moderators.get(key) {
                    let name = moderator_effect_name(&cause.name, key, level);
                    effects.push((c, self.effect(name, MODERATOR_SCALE.to_owned(), names), 1.0));
                }
            }
        }
        effects
    }

    fn effect(&mut self, name: String, scale: String, names: &mut BTreeMap<String, usize>) -> usize {
        if let Some(&number) = names.get(&name) {
            return number;
        }
        let scale = self.scales.iter().position(|s| *s == scale).unwrap_or_else(|| {
            self.scales.push(scale);
            self.scales.len() - 1
        });
        self.effects.push((name.clone(), scale));
        names.insert(name, self.effects.len() - 1);
        self.effects.len() - 1
    }

    fn base(&self) -> usize {
        1 + self.scales.len()
    }

    /// Names of the quantities of [`Self::natural`].
    pub(crate) fn names(&self) -> Vec<String> {
        let mut names = vec!["ln_phi".to_owned()];
        names.extend(self.scales.iter().cloned());
        names.extend(self.causes.iter().map(|c| format!("share {}", c.0)));
        names.extend(self.effects.iter().map(|e| e.0.clone()));
        names
    }

    /// What is kept of a draw: ln phi, standard deviations, theta before cell effects, effects.
    pub(crate) fn natural(&self, q: &[f64]) -> Vec<f64> {
        let base = self.base();
        let first = base + self.causes.len();
        let mut kept = vec![PHI_PRIOR.0 + PHI_PRIOR.1 * q[PHI]];
        kept.extend((1..base).map(|i| self.spread * q[i].exp()));
        kept.extend(self.causes.iter().enumerate().map(|(c, cause)| cause.1 + q[base + c]));
        kept.extend(self.effects.iter().enumerate().map(|(e, (_, s))| self.spread * q[1 + s].exp() * q[first + e]));
        kept
    }
}

/// Counts of losses by cause with the rest of the losses, where an arm tells them.
fn split(arm: &Arm, model: &Model) -> Option<Vec<(Vec<usize>, u32)>> {
    let mut counts: BTreeMap<usize, u32> = BTreeMap::new();
    for count in arm.counts.iter().filter(|c| c.fate == Fate::Lost) {
        if let Some(c) = model.causes.iter().position(|k| k.name == count.cause) {
            *counts.entry(c).or_default() += count.count;
        }
    }
    if counts.is_empty() {
        return None;
    }
    let named: u32 = counts.values().sum();
    let mut categories: Vec<(Vec<usize>, u32)> = counts.iter().map(|(c, n)| (vec![*c], *n)).collect();
    let total = arm.losses.or_else(|| losses_from_survival(arm));
    let others: Vec<usize> = (0..model.causes.len()).filter(|c| !counts.contains_key(c)).collect();
    if let Some(total) = total
        && !others.is_empty()
        && total >= named
    {
        categories.push((others, total - named));
    }
    (categories.len() > 1 && categories.iter().any(|c| c.1 > 0)).then_some(categories)
}

/// Losses implied by the last survival and the number, rounded.
fn losses_from_survival(arm: &Arm) -> Option<u32> {
    let last = arm.survival.iter().max_by(|a, b| a.years.total_cmp(&b.years))?;
    Some((f64::from(arm.n?) * (1.0 - last.survival)).round() as u32)
}

impl Target for Shares {
    fn dimension(&self) -> usize {
        self.base() + self.causes.len() + self.effects.len()
    }

    fn log_density(&self, q: &[f64], gradient: &mut [f64]) -> f64 {
        let base = self.base();
        let first = base + self.causes.len();
        let mut total = standard_normal(q, gradient);
        for i in 1..base {
            total += half_normal_log(q[i], &mut gradient[i]) + 0.5 * q[i] * q[i];
        }
        let phi = (PHI_PRIOR.0 + PHI_PRIOR.1 * q[PHI]).exp();
        for split in &self.splits {
            let mut theta: Vec<f64> = self.causes.iter().enumerate().map(|(c, k)| k.1 + q[base + c]).collect();
            for &(c, e, w) in &split.effects {
                theta[c] += w * self.spread * q[1 + self.effects[e].1].exp() * q[first + e];
            }
            // Only the causes that can be told apart in this arm count.
            let present: Vec<usize> = split.categories.iter().flat_map(|c| c.0.iter().copied()).collect();
            let log_total = numerics::sum::log_sum_exp(&present.iter().map(|&c| theta[c]).collect::<Vec<f64>>());
            let pi = |c: usize| (theta[c] - log_total).exp();
            let mut by_theta = vec![0.0; theta.len()];
            let (rising, by_total) = rising_log(phi, split.total);
            total -= rising;
            let mut by_phi = -by_total;
            let mut weighted = 0.0;
            for (causes, count) in &split.categories {
                let share: f64 = causes.iter().map(|&c| pi(c)).sum();
                let (value, slope) = rising_log(phi * share, *count);
                total += value;
                by_phi += slope * share;
                weighted += slope * phi * share;
                for &c in causes {
                    by_theta[c] += slope * phi * pi(c);
                }
            }
            for &c in &present {
                by_theta[c] -= weighted * pi(c);
            }
            gradient[PHI] += by_phi * phi * PHI_PRIOR.1;
            for (c, g) in by_theta.iter().enumerate() {
                gradient[base + c] += g;
            }
            for &(c, e, w) in &split.effects {
                let scale = self.effects[e].1;
                let sd = self.spread * q[1 + scale].exp();
                gradient[first + e] += w * sd * by_theta[c];
                gradient[1 + scale] += w * sd * q[first + e] * by_theta[c];
            }
        }
        total
    }
}

/// ln of a (a + 1) ... (a + n - 1) and its derivative by a.
fn rising_log(a: f64, n: u32) -> (f64, f64) {
    let (mut value, mut slope, mut product) = (0.0, 0.0, 1.0);
    for j in 0..n {
        let x = a + f64::from(j);
        product *= x;
        slope += 1.0 / x;
        // Logarithms are taken of products of eight, which cannot overflow.
        if j % 8 == 7 {
            value += product.ln();
            product = 1.0;
        }
    }
    (value + product.ln(), slope)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::joint::model::Cause;

    #[test]
    fn the_gradient_is_that_of_the_density() {
        let cause = |name: &str, levels: &[usize]| Cause {
            name: name.into(),
            prior_share: 1.0,
            prior_rate: 0.01,
            levels: levels.to_vec(),
            moderators: Vec::new(),
            alone: Default::default(),
        };
        let model = Model::new(vec![cause("a", &[0, 1]), cause("b", &[0]), cause("c", &[])]);
        let effects = |w: f64| vec![(0, 0, w), (0, 1, 1.0), (1, 2, w)];
        let shares = Shares {
            causes: model.causes.iter().map(|c| (c.name.clone(), -1.0)).collect(),
            spread: 0.5,
            splits: vec![
                Split { categories: vec![(vec![0], 3), (vec![1, 2], 12)], total: 15, effects: effects(0.4) },
                Split { categories: vec![(vec![0], 2), (vec![1], 0)], total: 2, effects: effects(1.0) },
            ],
            effects: vec![("x".into(), 0), ("y".into(), 1), ("z".into(), 0)],
            scales: vec!["sd level 0".into(), "sd level 1".into()],
        };
        let n = shares.dimension();
        let q: Vec<f64> = (0..n).map(|i| 0.4 * ((i as f64 * 1.3).cos())).collect();
        let mut gradient = vec![0.0; n];
        shares.log_density(&q, &mut gradient);
        let mut scratch = vec![0.0; n];
        for i in 0..n {
            let mut at = |step: f64| {
                let mut q = q.clone();
                q[i] += step;
                shares.log_density(&q, &mut scratch)
            };
            let numeric = (at(1e-5) - at(-1e-5)) / 2e-5;
            assert!((numeric - gradient[i]).abs() < 1e-7, "coordinate {i}: {numeric} against {}", gradient[i]);
        }
    }
}

//! A rate process over arms: hierarchical log rates with a Weibull time shape, as a log density with its gradient.
//!
//! Arm i has the log of its mean yearly rate over the first five years
//!   eta_i = mu + ln sum_j w_ij exp(sum of the effects of cell j) + moderators + offset_i + e_i,
//! cumulative hazard H(t) = 5 exp(eta) (t/5)^kappa, and study effect e_i = sqrt(tau^2/2) u_study + sqrt(tau^2/2 + v_i) z_i when its study has
//! several arms, sqrt(tau^2 + v_i) z_i otherwise; v_i is the variance of what is not known about its exposure.
//! Effects: one for every prefix of a cell's labels (nested) and one for every label at its level (crossed), each level with its own
//! standard deviation, half-normal a priori; ln kappa = common + departure of the coarsest label. Coordinates are standardised (non-centred).

use super::model::Model;
use super::terms::{NODES, Term};
use crate::sampler::Target;
use std::collections::BTreeMap;

/// Effects a cell draws on: name and the level (scale) it belongs to.
pub(crate) type EffectsOf<'a> = &'a dyn Fn(&crate::arm::Cell) -> Vec<(String, String)>;

/// What one arm gives to a process.
pub(crate) struct Entry {
    pub study: String,
    pub parts: Vec<(crate::arm::Cell, f64)>,
    pub moderators: BTreeMap<String, String>,
    pub terms: Vec<Term>,
    pub offset: f64,
    pub variance: f64,
}

struct Arm {
    /// Weight and cell.
    parts: Vec<(f64, usize)>,
    /// Moderator coordinate and its centred value.
    moderators: Vec<(usize, f64)>,
    study: Option<usize>,
    shape: usize,
    terms: Vec<Factor>,
    offset: f64,
    variance: f64,
}

/// A [`Term`] with its constants worked out; times as ln(t/5).
pub(crate) enum Factor {
    /// Events, unit-years over follow-up, follow-up.
    Poisson { count: f64, units: f64, at: f64 },
    /// Start (`None` for 0), end, share kept, its entropy, sizes.
    Interval { from: Option<f64>, to: f64, kept: f64, entropy: f64, sizes: [f64; NODES] },
}

impl Factor {
    pub(crate) fn of(term: &Term) -> Self {
        let log_time = |t: f64| (t / Model::REFERENCE_YEARS).ln();
        match *term {
            Term::Poisson { count, years, follow_up } => {
                Self::Poisson { count, units: years / follow_up, at: log_time(follow_up) }
            }
            Term::Interval { from, to, kept, sizes } => {
                let x_ln_x = |x: f64| if x > 0.0 { x * x.ln() } else { 0.0 };
                let entropy = x_ln_x(kept) + x_ln_x(1.0 - kept);
                Self::Interval { from: (from > 0.0).then(|| log_time(from)), to: log_time(to), kept, entropy, sizes }
            }
        }
    }

    /// ln likelihood and its derivatives by eta and by ln kappa.
    pub(crate) fn value(&self, eta: f64, kappa: f64) -> (f64, f64, f64) {
        // Cumulative hazard and its derivative by ln kappa.
        let hazard = |log_time: f64| {
            let h = Model::REFERENCE_YEARS * (eta + kappa * log_time).exp();
            (h, h * kappa * log_time)
        };
        match self {
            Self::Poisson { count, units, at } => {
                let expected = units * hazard(*at).0;
                let value = if *count > 0.0 { count * expected.ln() } else { 0.0 } - expected;
                (value, count - expected, (count - expected) * kappa * at)
            }
            Self::Interval { from, to, kept, entropy, sizes } => {
                let (h0, d0) = from.map_or((0.0, 0.0), hazard);
                let (h1, d1) = hazard(*to);
                let h = (h1 - h0).max(1e-300);
                let (divergence, slope) = divergence(*kept, *entropy, h);
                let (value, size) = mean_over_sizes(sizes, divergence);
                (value, -size * slope * h, -size * slope * (d1 - d0))
            }
        }
    }
}

/// The density of a process.
pub(crate) struct Process {
    prior_log_rate: (f64, f64),
    spread: f64,
    moderator_sd: f64,
    shape_sd: (f64, f64),
    arms: Vec<Arm>,
    /// Effects (coordinate numbers) of each cell.
    cells: Vec<Vec<usize>>,
    /// Names and scale of each effect.
    effects: Vec<(String, usize)>,
    scales: Vec<String>,
    shapes: Vec<String>,
    moderators: Vec<Level>,
    studies: usize,
}

/// A level of a moderator: its effect is centred on the mix of the arms that name the moderator, so that an arm or a setting that
/// names none stands at that mix.
struct Level {
    key: String,
    level: String,
    share: f64,
}

/// Where each block of coordinates starts.
struct Layout {
    scales: usize,
    shapes: usize,
    moderators: usize,
    effects: usize,
    studies: usize,
    arms: usize,
    end: usize,
}

const MU: usize = 0;
const SHAPE: usize = 1;
const TAU: usize = 2;

impl Process {
    /// From entries; `prior` is the median yearly rate and the SD of its logarithm.
    pub(crate) fn new(entries: &[Entry], effects_of: EffectsOf<'_>, prior: (f64, f64), model: &Model) -> Self {
        let mut process = Self {
            prior_log_rate: (prior.0.ln(), prior.1),
            spread: model.spread,
            moderator_sd: model.moderator_sd,
            shape_sd: model.shape_sd,
            arms: Vec::new(),
            cells: Vec::new(),
            effects: Vec::new(),
            scales: Vec::new(),
            shapes: Vec::new(),
            moderators: moderator_levels(entries),
            studies: 0,
        };
        let mut names = BTreeMap::new();
        let mut cell_numbers = BTreeMap::new();
        let study_numbers = shared_studies(entries);
        process.studies = study_numbers.len();
        for entry in entries {
            let mut parts = Vec::new();
            for (cell, weight) in &entry.parts {
                let number = *cell_numbers.entry(cell.clone()).or_insert_with(|| {
                    let effects =
                        effects_of(cell).into_iter().map(|(name, scale)| process.effect(&mut names, name, scale));
                    let effects: Vec<usize> = effects.collect();
                    process.cells.push(effects);
                    process.cells.len() - 1
                });
                parts.push((*weight, number));
            }
            let group = entry.parts.first().and_then(|p| p.0.labels.first()).cloned().unwrap_or_default();
            let shape = position_or_push(&mut process.shapes, group);
            let moderators = process.moderators.iter().enumerate().filter_map(|(m, l)| {
                let named = entry.moderators.get(&l.key)?;
                Some((m, f64::from(u8::from(*named == l.level)) - l.share))
            });
            let moderators = moderators.collect();
            process.arms.push(Arm {
                parts,
                moderators,
                study: study_numbers.get(&entry.study).copied(),
                shape,
                terms: entry.terms.iter().map(Factor::of).collect(),
                offset: entry.offset,
                variance: entry.variance,
            });
        }
        process
    }

    fn effect(&mut self, names: &mut BTreeMap<String, usize>, name: String, scale: String) -> usize {
        if let Some(&number) = names.get(&name) {
            return number;
        }
        let scale = position_or_push(&mut self.scales, scale);
        self.effects.push((name.clone(), scale));
        names.insert(name, self.effects.len() - 1);
        self.effects.len() - 1
    }

    fn layout(&self) -> Layout {
        let scales = 3;
        let shapes = scales + self.scales.len();
        let moderators = shapes + self.shapes.len();
        let effects = moderators + self.moderators.len();
        let studies = effects + self.effects.len();
        let arms = studies + self.studies;
        Layout { scales, shapes, moderators, effects, studies, arms, end: arms + self.arms.len() }
    }

    /// Names of the quantities of [`Self::natural`].
    pub(crate) fn names(&self) -> Vec<String> {
        let mut names = vec!["mu".to_owned(), "ln_shape".to_owned(), "tau".to_owned()];
        names.extend(self.scales.iter().map(|s| format!("sd {s}")));
        names.extend(self.shapes.iter().map(|s| format!("ln_shape {s}")));
        names.extend(self.moderators.iter().map(|m| format!("moderator {}={}", m.key, m.level)));
        names.extend(self.effects.iter().map(|e| e.0.clone()));
        names
    }

    /// What is kept of a draw, in natural units.
    pub(crate) fn natural(&self, q: &[f64]) -> Vec<f64> {
        let at = self.layout();
        let common = self.shape_sd.0 * q[SHAPE];
        let mut kept = vec![self.prior_log_rate.0 + self.prior_log_rate.1 * q[MU], common, self.spread * q[TAU].exp()];
        kept.extend((0..self.scales.len()).map(|s| self.spread * q[at.scales + s].exp()));
        kept.extend((0..self.shapes.len()).map(|s| common + self.shape_sd.1 * q[at.shapes + s]));
        kept.extend(self.moderators.iter().map(|level| {
            let centred = self.moderators.iter().enumerate().filter(|(_, other)| other.key == level.key);
            let effect = |(m, other): (usize, &Level)| {
                (f64::from(u8::from(other.level == level.level)) - other.share) * q[at.moderators + m]
            };
            self.moderator_sd * centred.map(effect).sum::<f64>()
        }));
        kept.extend(
            self.effects
                .iter()
                .enumerate()
                .map(|(e, (_, scale))| self.spread * q[at.scales + scale].exp() * q[at.effects + e]),
        );
        kept
    }
}

impl Target for Process {
    fn dimension(&self) -> usize {
        self.layout().end
    }

    fn log_density(&self, q: &[f64], gradient: &mut [f64]) -> f64 {
        let at = self.layout();
        let mut total = standard_normal(q, gradient);
        for i in std::iter::once(TAU).chain(at.scales..at.shapes) {
            total += half_normal_log(q[i], &mut gradient[i]) + 0.5 * q[i] * q[i];
        }
        let sds: Vec<f64> = (at.scales..at.shapes).map(|i| self.spread * q[i].exp()).collect();
        let cell_values: Vec<f64> = self
            .cells
            .iter()
            .map(|effects| effects.iter().map(|&e| sds[self.effects[e].1] * q[at.effects + e]).sum())
            .collect();
        let cell_rates: Vec<f64> = cell_values.iter().map(|v| v.exp()).collect();
        let mut cell_gradient = vec![0.0; self.cells.len()];
        let kappas: Vec<f64> = (0..self.shapes.len())
            .map(|s| (self.shape_sd.0 * q[SHAPE] + self.shape_sd.1 * q[at.shapes + s]).exp())
            .collect();
        let mu = self.prior_log_rate.0 + self.prior_log_rate.1 * q[MU];
        let tau2 = (self.spread * q[TAU].exp()).powi(2);
        for (i, arm) in self.arms.iter().enumerate() {
            let mixed: f64 = arm.parts.iter().map(|(w, c)| w * cell_rates[*c]).sum();
            let cell = if let [(_, c)] = arm.parts[..] { cell_values[c] } else { mixed.ln() };
            let own_part = if arm.study.is_some() { 0.5 } else { 1.0 };
            let own_sd = (own_part * tau2 + arm.variance).sqrt();
            let shared_sd = (0.5 * tau2).sqrt();
            let mut eta = mu + arm.offset + cell + own_sd * q[at.arms + i];
            eta += arm.moderators.iter().map(|(m, x)| x * self.moderator_sd * q[at.moderators + m]).sum::<f64>();
            if let Some(s) = arm.study {
                eta += shared_sd * q[at.studies + s];
            }
            let (mut by_eta, mut by_shape) = (0.0, 0.0);
            for term in &arm.terms {
                let (value, d_eta, d_shape) = term.value(eta, kappas[arm.shape]);
                total += value;
                by_eta += d_eta;
                by_shape += d_shape;
            }
            gradient[MU] += self.prior_log_rate.1 * by_eta;
            gradient[SHAPE] += self.shape_sd.0 * by_shape;
            gradient[at.shapes + arm.shape] += self.shape_sd.1 * by_shape;
            gradient[at.arms + i] += own_sd * by_eta;
            gradient[TAU] += by_eta * q[at.arms + i] * own_part * tau2 / own_sd;
            if let Some(s) = arm.study {
                gradient[at.studies + s] += shared_sd * by_eta;
                gradient[TAU] += by_eta * q[at.studies + s] * shared_sd;
            }
            for (m, x) in &arm.moderators {
                gradient[at.moderators + m] += x * self.moderator_sd * by_eta;
            }
            for (w, c) in &arm.parts {
                cell_gradient[*c] += w * cell_rates[*c] / mixed * by_eta;
            }
        }
        for (effects, g) in self.cells.iter().zip(cell_gradient) {
            for &e in effects {
                let scale = self.effects[e].1;
                gradient[at.effects + e] += sds[scale] * g;
                gradient[at.scales + scale] += sds[scale] * q[at.effects + e] * g;
            }
        }
        total
    }
}

/// Standard normal prior of every coordinate, with its gradient.
pub(crate) fn standard_normal(q: &[f64], gradient: &mut [f64]) -> f64 {
    let mut total = 0.0;
    for (x, g) in q.iter().zip(gradient.iter_mut()) {
        *g = -x;
        total -= 0.5 * x * x;
    }
    total
}

/// ln density of x = ln(sd/scale) when sd is half-normal; sets the gradient.
pub(crate) fn half_normal_log(x: f64, gradient: &mut f64) -> f64 {
    let square = (2.0 * x).exp();
    *gradient = 1.0 - square;
    x - 0.5 * square
}

/// KL(q || exp(-h)) and its derivative by h.
fn divergence(q: f64, entropy: f64, h: f64) -> (f64, f64) {
    if q >= 1.0 {
        return (h, 1.0);
    }
    let lost = -(-h).exp_m1();
    (entropy + q * h - (1.0 - q) * lost.ln(), q - (1.0 - q) * (1.0 - lost) / lost)
}

/// ln mean_j exp(-n_j d) and the mean size under those weights; sizes ascend.
fn mean_over_sizes(sizes: &[f64; NODES], d: f64) -> (f64, f64) {
    let least = sizes[0];
    if sizes[NODES - 1] == least {
        return (-least * d, least);
    }
    let weights = sizes.map(|n| (-(n - least) * d).exp());
    let total: f64 = weights.iter().sum();
    let size = sizes.iter().zip(&weights).map(|(n, w)| n * w).sum::<f64>() / total;
    (-least * d + (total / sizes.len() as f64).ln(), size)
}

fn position_or_push(list: &mut Vec<String>, name: String) -> usize {
    list.iter().position(|x| *x == name).unwrap_or_else(|| {
        list.push(name);
        list.len() - 1
    })
}

/// Levels met, with their share among the entries that name the moderator.
fn moderator_levels(entries: &[Entry]) -> Vec<Level> {
    let mut counts: BTreeMap<(&str, &str), f64> = BTreeMap::new();
    let mut named: BTreeMap<&str, f64> = BTreeMap::new();
    for (key, level) in entries.iter().flat_map(|e| &e.moderators) {
        *counts.entry((key, level)).or_default() += 1.0;
        *named.entry(key).or_default() += 1.0;
    }
    let level = |((key, level), n): ((&str, &str), f64)| Level {
        key: key.to_owned(),
        level: level.to_owned(),
        share: n / named.get(key).copied().unwrap_or(1.0),
    };
    counts.into_iter().map(level).collect()
}

/// Studies with more than one entry, numbered.
fn shared_studies(entries: &[Entry]) -> BTreeMap<String, usize> {
    let mut counts: BTreeMap<&str, usize> = BTreeMap::new();
    for entry in entries.iter().filter(|e| !e.study.is_empty()) {
        *counts.entry(&entry.study).or_default() += 1;
    }
    counts.into_iter().filter(|c| c.1 > 1).enumerate().map(|(i, (s, _))| (s.to_owned(), i)).collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::arm::Cell;

    fn example() -> Process {
        let entry = |study: &str, cells: &[(&[&str], f64)], terms: Vec<Term>, variance: f64, generation: &str| Entry {
            study: study.into(),
            parts: cells.iter().map(|(c, w)| (Cell::new(c.iter().copied()), *w)).collect(),
            moderators: [("generation".to_owned(), generation.to_owned())].into(),
            terms,
            offset: -0.05,
            variance,
        };
        let entries = [
            entry(
                "s",
                &[(&["a", "x"], 0.3), (&["a", "y"], 0.7)],
                vec![Term::Poisson { count: 4.0, years: 200.0, follow_up: 6.0 }],
                0.0144,
                "first",
            ),
            entry(
                "s",
                &[(&["a", "x"], 1.0)],
                vec![Term::Interval { from: 0.0, to: 5.0, kept: 0.93, sizes: [10.0, 20.0, 30.0, 40.0] }],
                0.0,
                "second",
            ),
            entry(
                "t",
                &[(&["b", "x"], 1.0)],
                vec![
                    Term::Interval { from: 0.0, to: 3.0, kept: 1.0, sizes: [25.0; 4] },
                    Term::Interval { from: 3.0, to: 9.0, kept: 0.9, sizes: [20.0; 4] },
                ],
                0.0,
                "first",
            ),
        ];
        Process::new(&entries, &super::super::fit::nested_and_crossed, (0.015, 1.0), &Model::new(vec![]))
    }

    #[test]
    fn the_gradient_is_that_of_the_density() {
        let process = example();
        let n = process.dimension();
        let q: Vec<f64> = (0..n).map(|i| 0.3 * ((i as f64 * 1.7).sin())).collect();
        let mut gradient = vec![0.0; n];
        process.log_density(&q, &mut gradient);
        let mut scratch = vec![0.0; n];
        for i in 0..n {
            let h = 1e-5;
            let mut at = |step: f64| {
                let mut q = q.clone();
                q[i] += step;
                process.log_density(&q, &mut scratch)
            };
            let numeric = (at(h) - at(-h)) / (2.0 * h);
            // Central differences at 1e-5 of values near 10: about 1e-9.
            assert!((numeric - gradient[i]).abs() < 1e-7, "coordinate {i}: {numeric} against {}", gradient[i]);
        }
        assert_eq!(process.names().len(), process.natural(&q).len());
    }
}

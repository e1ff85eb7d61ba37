//! What the fitted model says of a new setting, draw by draw of the world.

use super::curve::Curve;
use super::fit::{crossed, nested_and_crossed};
use super::model::Model;
use super::posterior::{ArmSummary, Posterior};
use super::shares::{MODERATOR_SCALE, effect_name, moderator_effect_name};
use super::table::Table;
use crate::arm::Cell;
use answer::{Draws, Provenance, World};
use std::collections::BTreeMap;

/// What is to be predicted.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Setting {
    /// Which cell.
    pub cell: Cell,
    /// Circumstances, where they are known; the mix of all arms otherwise.
    pub moderators: BTreeMap<String, String>,
    /// Circumstances as a mix: moderator, level, weight; for a setting that is many settings ([`Posterior::as_studied`]).
    pub mix: Vec<(String, String, f64)>,
    /// Hazard ratios by cause, already divided by their mean over the arms.
    pub hazard_ratios: Vec<(String, Draws)>,
    /// Departure of the clinic on the log loss rate where it is known from own results; a clinic never seen otherwise.
    pub clinic: Option<Draws>,
}

impl Setting {
    /// A cell under average circumstances.
    pub fn of(cell: Cell) -> Self {
        Self { cell, ..Self::default() }
    }
}

/// How near the arms stand to the cell asked for.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Directness {
    /// Arms of this very cell.
    Own,
    /// No arm of its own: arms that share its first labels, this many of them.
    Parent(usize),
    /// No arm shares even the coarsest label.
    None,
}

/// One cause.
#[derive(Debug, Clone, PartialEq)]
pub struct CauseCurve {
    /// Its label.
    pub cause: String,
    /// Its hazard.
    pub curve: Curve,
    /// Arms that count it for the same coarse labels (as far as the cause differs by them).
    pub arms: usize,
    /// Fewer than three arms: what is said is mostly the prior.
    pub little_known: bool,
    /// A label here must not borrow and has no arm of its own: not known.
    pub not_known: bool,
}

/// The odds of a new setting.
#[derive(Debug, Clone, PartialEq)]
pub struct Prediction {
    /// Loss by cause; the hazards add up to the total.
    pub loss: Vec<CauseCurve>,
    /// Complications by cause (recurrent).
    pub complications: Vec<CauseCurve>,
    /// Loss from any cause in a new clinic.
    pub total_loss: Curve,
    /// Loss from any cause in the average (median) clinic. Narrower than a new clinic's; not for a case.
    pub average_loss: Curve,
    /// Loss from any cause over all clinics: the mean rate, exp(tau^2/2) times the median clinic's. Pooled rates published from events over
    /// exposure (Poisson regression) speak of this one.
    pub pooled_loss: Curve,
    /// Arms of the nearest cell that has some.
    pub arms: usize,
    /// Their unit-years.
    pub unit_years: f64,
    /// How near they stand.
    pub directness: Directness,
    /// Longest time one of them speaks of (years).
    pub longest_follow_up: f64,
    /// Their ids and the weakest basis among them.
    pub sources: Provenance,
}

impl Prediction {
    /// Causes of loss that rest mostly on the prior.
    pub fn little_known(&self) -> Vec<&str> {
        self.loss.iter().filter(|c| c.little_known).map(|c| c.cause.as_str()).collect()
    }

    /// Causes that observations tell nothing about for this setting.
    pub fn not_known(&self) -> Vec<&str> {
        self.loss.iter().filter(|c| c.not_known).map(|c| c.cause.as_str()).collect()
    }

    /// Of the events of a cause within the first five years, the share that ended in loss: P(loss | event) = H_loss/(H_loss + H_complication), both
    /// hazards of this setting. Counts whose end the source does not tell are complications, so that this leans low.
    pub fn ends_in_loss(&self, cause: &str) -> Option<Draws> {
        let lost = self.loss.iter().find(|c| c.cause == cause)?.curve.rate();
        let other = self.complications.iter().find(|c| c.cause == cause)?.curve.rate();
        Some(lost.zip(&other, |l, c| l / (l + c).max(1e-300)))
    }

    /// Share of units lost to a cause by `years` when all causes act: its part of the total hazard times the total risk.
    pub fn crude_incidence(&self, cause: &str, years: f64) -> Option<Draws> {
        let own = self.loss.iter().find(|c| c.cause == cause)?;
        let part = own.curve.ln_rate.zip(&self.total_loss.ln_rate, |c, t| (c - t).exp());
        Some(part.times(&self.total_loss.cumulative(years)))
    }
}

impl Posterior {
    /// The odds of a new setting: a cell in a clinic not among those studied. The clinic's departure is one field of the world
    /// a process, so that options compared within a draw share it.
    pub fn predict(&self, world: &World, setting: &Setting) -> Prediction {
        let nearest = Nearest::of(&self.arms, &setting.cell, |a| a.loss);
        let average = self.log_rate(world, &self.loss, "loss", &nested_and_crossed(&setting.cell), setting);
        let clinic = setting.clinic.clone().or_else(|| self.own_clinic(world));
        let rate = average.plus(&clinic.unwrap_or_else(|| self.clinic(world, &self.loss, "loss")));
        let tau = self.loss.get("tau").unwrap_or_else(|| vec![self.model.spread; self.draws()]);
        let mean = Draws::from_fn(world.draws(), |k| average.get(k) + 0.5 * tau[k % tau.len()].powi(2));
        let shape = self.log_shape(world, &self.loss, "loss", &setting.cell);
        let unseen = |name: &str, sd: &[f64]| unseen(world, &format!("evidence/{name}"), sd);
        let shares = share_draws(&self.shares, &self.model, setting, &unseen);
        let n = world.draws();
        let walk = (*world, "evidence/loss/walk".to_owned());
        let curve = |ln_rate: Draws, shape: &Draws, walk: &(World, String), support: f64| Curve {
            ln_rate,
            ln_shape: shape.clone(),
            walk: walk.clone(),
            support,
        };
        let ratio = |cause: &str, k: usize| -> f64 {
            setting.hazard_ratios.iter().filter(|r| r.0 == cause).map(|r| r.1.get(k)).product()
        };
        let mut total = vec![0.0; n];
        let mut loss = Vec::with_capacity(self.model.causes.len());
        for (c, cause) in self.model.causes.iter().enumerate() {
            let factor = Draws::from_fn(n, |k| shares[c][k % shares[c].len()] * ratio(&cause.name, k));
            for (t, f) in total.iter_mut().zip(factor.iter()) {
                *t += f;
            }
            let own = curve(rate.zip(&factor, |r, f| r + f.max(1e-300).ln()), &shape, &walk, nearest.longest);
            loss.push(self.cause_curve(c, own, &setting.cell, |a| &a.lost_causes));
        }
        let added = |rate: &Draws| Draws::from_fn(n, |k| rate.get(k) + total[k].max(1e-300).ln());
        let complications = self.complications(world, setting, &ratio);
        Prediction {
            loss,
            complications,
            total_loss: curve(added(&rate), &shape, &walk, nearest.longest),
            average_loss: curve(added(&average), &shape, &walk, nearest.longest),
            pooled_loss: curve(added(&mean), &shape, &walk, nearest.longest),
            arms: nearest.arms.len(),
            unit_years: nearest.arms.iter().map(|a| a.unit_years).sum(),
            directness: nearest.directness,
            longest_follow_up: nearest.longest,
            sources: nearest.sources(),
        }
    }

    fn complications(&self, world: &World, setting: &Setting, ratio: &dyn Fn(&str, usize) -> f64) -> Vec<CauseCurve> {
        let mut found = Vec::with_capacity(self.model.causes.len());
        for (c, (cause, table)) in self.model.causes.iter().zip(&self.complications).enumerate() {
            let name = format!("complication/{}", cause.name);
            let average = self.log_rate(world, table, &name, &crossed(&setting.cell, &cause.levels), setting);
            let base = average.plus(&self.clinic(world, table, &name));
            let ln_rate = Draws::from_fn(base.len(), |k| base.get(k) + ratio(&cause.name, k).max(1e-300).ln());
            let nearest = Nearest::of(&self.arms, &setting.cell, |a| a.complications.contains(&cause.name));
            let curve = Curve {
                ln_rate,
                ln_shape: self.log_shape(world, table, &name, &setting.cell),
                walk: (*world, format!("evidence/{name}/walk")),
                support: nearest.longest,
            };
            found.push(self.cause_curve(c, curve, &setting.cell, |a| &a.complications));
        }
        found
    }

    /// ln mean yearly rate over the first five years, in the average clinic.
    pub(crate) fn log_rate(
        &self,
        world: &World,
        table: &Table,
        process: &str,
        effects: &[(String, String)],
        setting: &Setting,
    ) -> Draws {
        let prior_sd = self.model.spread;
        let mut total = table.get("mu").unwrap_or_default();
        if total.is_empty() {
            total = vec![self.model.prior_loss_rate.ln(); self.draws()];
        }
        let mut add = |values: &[f64]| total.iter_mut().zip(values).for_each(|(t, v)| *t += v);
        for (name, scale) in effects {
            match table.get(name) {
                Some(values) => add(&values),
                None => {
                    let sd = table.get(&format!("sd {scale}")).unwrap_or_else(|| vec![prior_sd; self.draws()]);
                    add(&unseen(world, &format!("evidence/{process}/{name}"), &sd));
                }
            }
        }
        for (key, level) in &setting.moderators {
            if let Some(values) = table.get(&format!("moderator {key}={level}")) {
                add(&values);
            }
        }
        for (key, level, weight) in &setting.mix {
            if let Some(values) = table.get(&format!("moderator {key}={level}")) {
                add(&values.iter().map(|v| weight * v).collect::<Vec<f64>>());
            }
        }
        Draws::from_fn(world.draws(), |k| total[k % total.len()])
    }

    /// A cell under the circumstances of the arms that stand nearest to it: of each moderator the mix of the levels they name. What a
    /// published pool of such studies speaks of.
    pub fn as_studied(&self, cell: Cell) -> Setting {
        let nearest = Nearest::of(&self.arms, &cell, |a| a.loss);
        let mut counts: BTreeMap<(String, String), f64> = BTreeMap::new();
        for (key, level) in nearest.arms.iter().flat_map(|a| &a.moderators) {
            *counts.entry((key.clone(), level.clone())).or_default() += 1.0;
        }
        // Arms that name no level stand at the mix of all arms, where the effect is 0.
        let arms = nearest.arms.len().max(1) as f64;
        let mix = counts.into_iter().map(|((key, level), n)| (key, level, n / arms));
        Setting { mix: mix.collect(), ..Setting::of(cell) }
    }

    /// Departure of the own clinic, where own results were taken in.
    fn own_clinic(&self, world: &World) -> Option<Draws> {
        let values = self.clinic.as_ref().filter(|v| !v.is_empty())?;
        Some(Draws::from_fn(world.draws(), |k| values[k % values.len()]))
    }

    /// Departure of a new clinic: one field of the world a process.
    fn clinic(&self, world: &World, table: &Table, process: &str) -> Draws {
        let tau = table.get("tau").unwrap_or_else(|| vec![self.model.spread; self.draws()]);
        let values = unseen(world, &format!("evidence/{process}/clinic"), &tau);
        Draws::from_fn(world.draws(), |k| values[k % values.len()])
    }

    pub(crate) fn log_shape(&self, world: &World, table: &Table, process: &str, cell: &Cell) -> Draws {
        let group = cell.labels.first().map(String::as_str).unwrap_or_default();
        let values = table.get(&format!("ln_shape {group}")).unwrap_or_else(|| {
            let departure =
                unseen(world, &format!("evidence/{process}/shape/{group}"), &vec![self.model.shape_sd.1; self.draws()]);
            let common = table.get("ln_shape").unwrap_or_else(|| vec![0.0; self.draws()]);
            common.iter().zip(departure).map(|(c, d)| c + d).collect()
        });
        Draws::from_fn(world.draws(), |k| values[k % values.len()])
    }

    fn cause_curve<'a>(
        &'a self,
        c: usize,
        curve: Curve,
        cell: &Cell,
        counted: impl Fn(&'a ArmSummary) -> &'a Vec<String>,
    ) -> CauseCurve {
        let cause = &self.model.causes[c];
        let counting: Vec<&ArmSummary> = self.arms.iter().filter(|&a| counted(a).contains(&cause.name)).collect();
        let coarse: Vec<usize> = cause.levels.iter().copied().filter(|l| *l <= 1).collect();
        let same = |a: &ArmSummary, level: usize| a.cells.iter().any(|k| k.labels.get(level) == cell.labels.get(level));
        let arms = counting.iter().filter(|a| coarse.iter().all(|&l| same(a, l))).count();
        let has_own = |label: &String| {
            self.arms.iter().any(|a| {
                (a.lost_causes.contains(&cause.name) || a.complications.contains(&cause.name))
                    && a.cells.iter().any(|k| k.labels.contains(label))
            })
        };
        let not_known = cell.labels.iter().any(|l| cause.alone.contains(l) && !has_own(l));
        CauseCurve { cause: cause.name.clone(), curve, arms, little_known: arms < Model::LITTLE_KNOWN, not_known }
    }
}

/// Arms of the deepest part of the cell's path that has any.
struct Nearest<'a> {
    arms: Vec<&'a ArmSummary>,
    directness: Directness,
    longest: f64,
}

impl<'a> Nearest<'a> {
    fn of(arms: &'a [ArmSummary], cell: &Cell, counts: impl Fn(&ArmSummary) -> bool) -> Self {
        for depth in (1..=cell.labels.len()).rev() {
            let near = cell.parent(depth);
            let found: Vec<&ArmSummary> =
                arms.iter().filter(|a| counts(a) && a.cells.iter().any(|c| near.contains(c))).collect();
            if !found.is_empty() {
                let longest = found.iter().map(|a| a.longest).fold(0.0, f64::max);
                let own = depth == cell.labels.len();
                let directness = if own { Directness::Own } else { Directness::Parent(depth) };
                return Self { arms: found, directness, longest };
            }
        }
        Self { arms: Vec::new(), directness: Directness::None, longest: 0.0 }
    }

    fn sources(&self) -> Provenance {
        let mut sources = Provenance::default();
        for arm in &self.arms {
            sources.add(arm.id.clone(), arm.basis);
        }
        sources
    }
}

/// An effect nobody has measured: its standard deviation times a standard normal field of the world.
fn unseen(world: &World, field: &str, sd: &[f64]) -> Vec<f64> {
    let z = world.normal(field, 0.0, 1.0);
    sd.iter().enumerate().map(|(k, s)| s * z.get(k)).collect()
}

/// Shares of the causes in a cell, draw by draw (one list a cause).
pub(crate) fn share_draws(
    table: &Table,
    model: &Model,
    setting: &Setting,
    unseen: &dyn Fn(&str, &[f64]) -> Vec<f64>,
) -> Vec<Vec<f64>> {
    let mut theta: Vec<Vec<f64>> = Vec::with_capacity(model.causes.len());
    for cause in &model.causes {
        let mut values = table.get(&format!("share {}", cause.name)).unwrap_or_else(|| vec![cause.prior_share.ln()]);
        for &level in &cause.levels {
            let Some(label) = setting.cell.labels.get(level) else { continue };
            let name = effect_name(&cause.name, level, label);
            let effect = table.get(&name).unwrap_or_else(|| {
                let sd = table.get(&format!("sd level {level}")).unwrap_or_else(|| vec![model.spread; values.len()]);
                unseen(&name, &sd)
            });
            values.iter_mut().zip(&effect).for_each(|(v, e)| *v += e);
        }
        let named = setting.moderators.iter().map(|(k, l)| (k, l, 1.0));
        for (key, level, weight) in named.chain(setting.mix.iter().map(|(k, l, w)| (k, l, *w))) {
            if !cause.moderators.contains(key) {
                continue;
            }
            let name = moderator_effect_name(&cause.name, key, level);
            let effect = table.get(&name).unwrap_or_else(|| {
                let sd = table.get(MODERATOR_SCALE).unwrap_or_else(|| vec![model.spread; values.len()]);
                unseen(&name, &sd)
            });
            values.iter_mut().zip(&effect).for_each(|(v, e)| *v += weight * e);
        }
        theta.push(values);
    }
    let draws = theta.first().map_or(0, Vec::len);
    for k in 0..draws {
        let top = theta.iter().map(|t| t[k]).fold(f64::NEG_INFINITY, f64::max);
        let total: f64 = theta.iter().map(|t| (t[k] - top).exp()).sum();
        for t in &mut theta {
            t[k] = (t[k] - top).exp() / total;
        }
    }
    theta
}

//! Fits the joint model: the split of losses among causes, then the loss process, then one process a complication.
//!
//! The three parts share no parameter, so that they are sampled apart and joined draw by draw. One thing flows between them, forwards
//! only: a count that is only of some causes' losses enters the loss process with the share of those causes, its mean and variance taken from
//! the first part.

use super::model::Model;
use super::posterior::{ArmSummary, Diagnostics, Posterior};
use super::predict::Setting;
use super::process::{Entry, Process};
use super::shares::Shares;
use super::table::Table;
use super::terms;
use crate::arm::{Arm, Cell, Fate, check};
use crate::sampler::{Stream, Target, chain, diagnostics};
use answer::{Interrupted, Issue, Progress};
use rayon::prelude::*;
use std::sync::atomic::{AtomicUsize, Ordering};

/// Why there is no posterior.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
pub enum FitError {
    /// Arms that cannot be right.
    #[error("{} arm figures cannot be right; first: {}", .0.len(), .0.first().map(ToString::to_string).unwrap_or_default())]
    Arms(Vec<Issue>),
    /// A model that cannot be fitted.
    #[error("the model's `{0}` must be above 0: correct it")]
    Model(&'static str),
    /// Stopped by the caller.
    #[error(transparent)]
    Interrupted(#[from] Interrupted),
}

/// Effects of a cell in the loss process: one a prefix of its labels, one a label below the coarsest.
pub(crate) fn nested_and_crossed(cell: &Cell) -> Vec<(String, String)> {
    let nested = (1..=cell.labels.len()).map(|d| (nested_name(cell, d), format!("depth {d}")));
    nested.chain(crossed(cell, &(1..cell.labels.len()).collect::<Vec<usize>>())).collect()
}

/// Name of the effect of the first `depth` labels.
pub(crate) fn nested_name(cell: &Cell, depth: usize) -> String {
    format!("cell {}", cell.parent(depth))
}

/// Effects of single labels at the given levels.
pub(crate) fn crossed(cell: &Cell, levels: &[usize]) -> Vec<(String, String)> {
    levels
        .iter()
        .filter_map(|&l| cell.labels.get(l).map(|label| (format!("label {l}={label}"), format!("level {l}"))))
        .collect()
}

/// Fits the model to the arms. The order of the arms does not matter; arms marked not to be pooled are passed over with their reason.
///
/// `progress` is told of sampler iterations and may stop the work.
pub fn fit(arms: &[Arm], model: &Model, progress: &dyn Progress) -> Result<Posterior, FitError> {
    check_model(model)?;
    let issues = check(arms);
    if !issues.is_empty() {
        return Err(FitError::Arms(issues));
    }
    let mut sorted: Vec<&Arm> = arms.iter().collect();
    sorted.sort_by(|a, b| a.id.cmp(&b.id));
    let pooled: Vec<&Arm> = sorted.iter().copied().filter(|a| a.pooled.is_ok()).collect();

    let work = Work { model, progress, done: AtomicUsize::new(0), parts: 2 + model.causes.len() };
    let shares = Shares::new(&pooled, model);
    let shares =
        work.sample("shares", vec![("shares".into(), &shares, shares.names())], |q| vec![shares.natural(q)])?;
    let share_table = Table::new(shares.names[0].clone(), &shares.rows[0]);

    let (loss_entries, unused) = loss_entries(&sorted, model, &share_table);
    let loss = Process::new(&loss_entries, &nested_and_crossed, (model.prior_loss_rate, 1.0), model);
    let complications: Vec<Process> = model
        .causes
        .iter()
        .map(|cause| {
            let entries = complication_entries(&pooled, &cause.name);
            let levels = cause.levels.clone();
            Process::new(&entries, &move |cell: &Cell| crossed(cell, &levels), (cause.prior_rate, 1.5), model)
        })
        .collect();
    let mut targets: Vec<(String, &dyn Target, Vec<String>)> = vec![("loss".into(), &loss, loss.names())];
    for (cause, process) in model.causes.iter().zip(&complications) {
        targets.push((format!("complication {}", cause.name), process, process.names()));
    }
    let processes: Vec<&Process> = std::iter::once(&loss).chain(&complications).collect();
    let rates = work.sample_each(targets, |part, q| processes[part].natural(q))?;

    let mut tables = rates.rows.iter().zip(&rates.names).map(|(rows, names)| Table::new(names.clone(), rows));
    let loss_table = tables.next().unwrap_or_default();
    let diagnostics = Diagnostics { parts: [shares.parts, rates.parts].concat() };
    Ok(Posterior::new(
        model.clone(),
        super::posterior::digest(&sorted, model),
        share_table,
        loss_table,
        tables.collect(),
        sorted.iter().filter(|a| a.pooled.is_ok()).map(|a| ArmSummary::of(a, model)).collect(),
        unused,
        diagnostics,
    ))
}

fn check_model(model: &Model) -> Result<(), FitError> {
    let positive = |x: f64| x.is_finite() && x > 0.0;
    let fields = [
        ("prior_loss_rate", positive(model.prior_loss_rate)),
        ("spread", positive(model.spread)),
        ("moderator_sd", positive(model.moderator_sd)),
        ("shape_sd", positive(model.shape_sd.0) && positive(model.shape_sd.1)),
        ("causes", !model.causes.is_empty()),
        ("causes.prior_share", model.causes.iter().all(|c| positive(c.prior_share))),
        ("causes.prior_rate", model.causes.iter().all(|c| positive(c.prior_rate))),
        ("warm_up", model.warm_up >= 100),
        ("kept", model.kept >= 8),
    ];
    fields.into_iter().find(|f| !f.1).map_or(Ok(()), |f| Err(FitError::Model(f.0)))
}

/// Entries of the loss process, and the arms that have none with the reason.
fn loss_entries(arms: &[&Arm], model: &Model, shares: &Table) -> (Vec<Entry>, Vec<(String, String)>) {
    let (mut entries, mut unused) = (Vec::new(), Vec::new());
    for arm in arms {
        let terms = terms::loss_terms(arm).or_else(|reason| part_of_losses(arm, model, shares).ok_or(reason));
        match terms {
            Ok(found) => entries.push(entry(arm, found.terms, found.offset, found.variance)),
            Err(reason) => unused.push((arm.id.clone(), reason)),
        }
    }
    (entries, unused)
}

/// A count of the losses of some causes only: a Poisson count of the total times their share.
fn part_of_losses(arm: &Arm, model: &Model, shares: &Table) -> Option<terms::LossTerms> {
    arm.pooled.as_ref().ok()?;
    let lost: Vec<(usize, u32)> = arm
        .counts
        .iter()
        .filter(|c| c.fate == Fate::Lost)
        .filter_map(|c| model.causes.iter().position(|k| k.name == c.cause).map(|k| (k, c.count)))
        .collect();
    if lost.is_empty() {
        return None;
    }
    let (term, offset, variance) = terms::poisson(arm, lost.iter().map(|c| f64::from(c.1)).sum())?;
    let setting = Setting { moderators: arm.moderators.clone(), ..Setting::of(arm.parts()[0].0.clone()) };
    let all = super::predict::share_draws(shares, model, &setting, &|_, sd| sd.iter().map(|_| 0.0).collect());
    let draws = all.first().map_or(0, Vec::len);
    let logs: Vec<f64> = (0..draws)
        .map(|k| {
            let mut causes: Vec<usize> = lost.iter().map(|c| c.0).collect();
            causes.dedup();
            causes.iter().map(|&c| all[c][k]).sum::<f64>().ln()
        })
        .collect();
    let mean = logs.iter().sum::<f64>() / draws as f64;
    let spread = logs.iter().map(|l| (l - mean).powi(2)).sum::<f64>() / draws as f64;
    Some(terms::LossTerms { terms: vec![term], offset: offset + mean, variance: variance + spread })
}

fn complication_entries(arms: &[&Arm], cause: &str) -> Vec<Entry> {
    arms.iter()
        .filter_map(|arm| {
            let counts: Vec<u32> =
                arm.counts.iter().filter(|c| c.cause == cause && c.fate != Fate::Lost).map(|c| c.count).collect();
            let total: u32 = counts.iter().sum();
            let (term, offset, variance) = terms::poisson(arm, f64::from(total))?;
            (!counts.is_empty()).then(|| entry(arm, vec![term], offset, variance))
        })
        .collect()
}

fn entry(arm: &Arm, terms: Vec<terms::Term>, offset: f64, variance: f64) -> Entry {
    Entry {
        study: arm.study().to_owned(),
        parts: arm.parts(),
        moderators: arm.moderators.clone(),
        terms,
        offset,
        variance,
    }
}

/// Draws of several parts, one set of rows a part.
struct Sampled {
    names: Vec<Vec<String>>,
    rows: Vec<Vec<Vec<f64>>>,
    parts: Vec<super::posterior::PartDiagnostics>,
}

struct Work<'a> {
    model: &'a Model,
    progress: &'a dyn Progress,
    done: AtomicUsize,
    parts: usize,
}

impl Work<'_> {
    fn sample(
        &self,
        _what: &str,
        targets: Vec<(String, &dyn Target, Vec<String>)>,
        natural: impl Fn(&[f64]) -> Vec<Vec<f64>> + Sync,
    ) -> Result<Sampled, FitError> {
        self.sample_each(targets, |_, q| natural(q).into_iter().next().unwrap_or_default())
    }

    /// Four chains of each target, side by side; every chain depends on seed and name alone.
    fn sample_each(
        &self,
        targets: Vec<(String, &dyn Target, Vec<String>)>,
        natural: impl Fn(usize, &[f64]) -> Vec<f64> + Sync,
    ) -> Result<Sampled, FitError> {
        let per_chain = self.model.warm_up + self.model.kept;
        let total = self.parts * Model::CHAINS * per_chain;
        let jobs: Vec<(usize, usize)> =
            (0..targets.len()).flat_map(|t| (0..Model::CHAINS).map(move |c| (t, c))).collect();
        let chains: Vec<Option<(Vec<Vec<f64>>, usize)>> = jobs
            .par_iter()
            .map(|&(t, c)| {
                let mut stream = Stream::new(self.model.seed, format!("evidence/sampler/{}/{c}", targets[t].0));
                let tell = || {
                    let done = self.done.fetch_add(1, Ordering::Relaxed) + 1;
                    !done.is_multiple_of(64) || self.progress.step(done, total).is_continue()
                };
                let result = chain(targets[t].1, &mut stream, self.model.warm_up, self.model.kept, tell)?;
                Some((result.draws.iter().map(|q| natural(t, q)).collect(), result.divergences))
            })
            .collect();
        let mut sampled = Sampled { names: Vec::new(), rows: Vec::new(), parts: Vec::new() };
        let mut chains = chains.into_iter();
        for (name, _, names) in targets {
            let mut own = Vec::with_capacity(Model::CHAINS);
            let mut divergences = 0;
            for chain in chains.by_ref().take(Model::CHAINS) {
                let (draws, diverged) = chain.ok_or(Interrupted)?;
                divergences += diverged;
                own.push(draws);
            }
            sampled.parts.push(part_diagnostics(name, &names, &own, divergences));
            sampled.names.push(names);
            sampled.rows.push(own.concat());
        }
        Ok(sampled)
    }
}

fn part_diagnostics(
    part: String,
    names: &[String],
    chains: &[Vec<Vec<f64>>],
    divergences: usize,
) -> super::posterior::PartDiagnostics {
    let found: Vec<(f64, f64)> = (0..names.len())
        .into_par_iter()
        .map(|i| {
            let columns: Vec<Vec<f64>> = chains.iter().map(|c| c.iter().map(|d| d[i]).collect()).collect();
            (diagnostics::r_hat(&columns), diagnostics::effective_size(&columns))
        })
        .collect();
    let mut worst = (1.0, String::new());
    let mut least = (f64::INFINITY, String::new());
    for (name, (r, size)) in names.iter().zip(found) {
        if r > worst.0 {
            worst = (r, name.clone());
        }
        if size < least.0 {
            least = (size, name.clone());
        }
    }
    super::posterior::PartDiagnostics {
        part,
        quantities: names.len(),
        r_hat: answer::six_figures(worst.0),
        worst: worst.1,
        effective_size: answer::six_figures(least.0),
        least: least.1,
        divergences,
    }
}

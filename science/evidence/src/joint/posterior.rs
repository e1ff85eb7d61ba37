//! The fitted model as it is kept: draws, what each arm gave, and how well the sampler did.

use super::model::Model;
use super::table::Table;
use crate::arm::{Arm, Cell, Fate};
use answer::Basis;
use serde::{Deserialize, Serialize};
use std::collections::BTreeMap;

/// How one part of the sampling went.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct PartDiagnostics {
    /// Which part.
    pub part: String,
    /// Quantities kept.
    pub quantities: usize,
    /// Greatest R-hat among them.
    pub r_hat: f64,
    /// Its quantity.
    pub worst: String,
    /// Least bulk effective sample size.
    pub effective_size: f64,
    /// Its quantity.
    pub least: String,
    /// Trajectories that diverged.
    pub divergences: usize,
}

/// How the sampling went.
#[derive(Debug, Clone, PartialEq, Default, Serialize, Deserialize)]
pub struct Diagnostics {
    /// One entry a part.
    pub parts: Vec<PartDiagnostics>,
}

impl Diagnostics {
    /// Greatest R-hat; below 1.05 is good at these numbers of draws.
    pub fn r_hat(&self) -> f64 {
        self.parts.iter().map(|p| p.r_hat).fold(1.0, f64::max)
    }

    /// Least effective sample size; above 400 is good.
    pub fn effective_size(&self) -> f64 {
        self.parts.iter().map(|p| p.effective_size).fold(f64::INFINITY, f64::min)
    }

    /// Diverged trajectories.
    pub fn divergences(&self) -> usize {
        self.parts.iter().map(|p| p.divergences).sum()
    }

    /// What is wrong with the sampling, in words; empty when it may be used.
    pub fn complaints(&self) -> Vec<String> {
        let mut found = Vec::new();
        for p in &self.parts {
            if p.r_hat > 1.05 {
                found.push(format!("{}: chains differ (R-hat {:.3} of `{}`)", p.part, p.r_hat, p.worst));
            }
            if p.effective_size < 200.0 {
                found.push(format!("{}: only {:.0} independent draws of `{}`", p.part, p.effective_size, p.least));
            }
            if p.divergences > 10 {
                found.push(format!("{}: {} trajectories diverged", p.part, p.divergences));
            }
        }
        found
    }
}

/// What an arm gave, as far as answers need it.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct ArmSummary {
    /// Row id.
    pub id: String,
    /// Cohort key; the part before the first dot names the study.
    pub cohort: String,
    /// Year of publication.
    pub year: Option<i32>,
    /// Circumstances it names.
    pub moderators: BTreeMap<String, String>,
    /// How its figures came into the data.
    pub basis: Basis,
    /// Cells it informs.
    pub cells: Vec<Cell>,
    /// Unit-years.
    pub unit_years: f64,
    /// Longest time it speaks of (years).
    pub longest: f64,
    /// True when it informs the total of losses.
    pub loss: bool,
    /// Causes whose losses it counts.
    pub lost_causes: Vec<String>,
    /// Causes whose complications it counts.
    pub complications: Vec<String>,
}

impl ArmSummary {
    pub(crate) fn of(arm: &Arm, model: &Model) -> Self {
        let causes = |lost: bool| {
            let named = |name: &str| arm.counts.iter().any(|c| c.cause == name && (c.fate == Fate::Lost) == lost);
            model.causes.iter().map(|c| c.name.clone()).filter(|n| named(n)).collect::<Vec<String>>()
        };
        let lost_causes = causes(true);
        let loss = super::terms::loss_terms(arm).is_ok()
            || (!lost_causes.is_empty() && super::terms::poisson(arm, 0.0).is_some());
        Self {
            id: arm.id.clone(),
            cohort: arm.cohort.clone(),
            year: arm.year,
            moderators: arm.moderators.clone(),
            basis: arm.basis,
            cells: arm.parts().into_iter().map(|p| p.0).collect(),
            unit_years: answer::six_figures(arm.unit_years()),
            longest: answer::six_figures(arm.longest()),
            loss,
            lost_causes,
            complications: causes(false),
        }
    }
}

/// The fitted joint model: serialise it to keep it, [`Posterior::is_of`] guards it against other arms.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Posterior {
    pub(crate) version: u32,
    pub(crate) digest: String,
    pub(crate) model: Model,
    pub(crate) shares: Table,
    pub(crate) loss: Table,
    pub(crate) complications: Vec<Table>,
    pub(crate) arms: Vec<ArmSummary>,
    pub(crate) unused: Vec<(String, String)>,
    pub(crate) diagnostics: Diagnostics,
    /// Departure of the own clinic on the log rate, draw by draw, where own results were taken in.
    #[serde(skip)]
    pub(crate) clinic: Option<Vec<f64>>,
}

impl Posterior {
    #[allow(clippy::too_many_arguments)] // the one place where the parts meet
    pub(crate) fn new(
        model: Model,
        digest: String,
        shares: Table,
        loss: Table,
        complications: Vec<Table>,
        arms: Vec<ArmSummary>,
        unused: Vec<(String, String)>,
        diagnostics: Diagnostics,
    ) -> Self {
        let clinic = None;
        Self { version: Model::VERSION, digest, model, shares, loss, complications, arms, unused, diagnostics, clinic }
    }

    /// True when this posterior was fitted to exactly these arms with this model by this version of the program, and is whole.
    pub fn is_of(&self, arms: &[Arm], model: &Model) -> bool {
        let mut sorted: Vec<&Arm> = arms.iter().collect();
        sorted.sort_by(|a, b| a.id.cmp(&b.id));
        self.version == Model::VERSION && self.digest == digest(&sorted, model) && self.is_sound()
    }

    /// True when every draw is there and readable.
    pub fn is_sound(&self) -> bool {
        let draws = self.draws();
        self.complications.len() == self.model.causes.len()
            && [&self.shares, &self.loss].into_iter().chain(&self.complications).all(|t| t.is_sound(draws))
    }

    /// Guard: digest of arms, settings and version.
    pub fn digest(&self) -> &str {
        &self.digest
    }

    /// The model fitted.
    pub fn model(&self) -> &Model {
        &self.model
    }

    /// Number of draws.
    pub fn draws(&self) -> usize {
        Model::CHAINS * self.model.kept
    }

    /// What each pooled arm gave.
    pub fn arms(&self) -> &[ArmSummary] {
        &self.arms
    }

    /// Arms that inform no loss, with the reason (they may still count complications).
    pub fn unused(&self) -> &[(String, String)] {
        &self.unused
    }

    /// How the sampling went.
    pub fn diagnostics(&self) -> &Diagnostics {
        &self.diagnostics
    }

    /// Draws of a quantity of the loss process by name (`mu`, `tau`, `ln_shape`, `cell a/b`, ...), for inspection.
    pub fn loss_quantity(&self, name: &str) -> Option<answer::Draws> {
        answer::Draws::from_vec(self.loss.get(name)?)
    }
}

/// 128-bit digest (two FNV-1a hashes of different start) of arms sorted by id, settings and version.
pub(crate) fn digest(sorted: &[&Arm], model: &Model) -> String {
    let text = format!("{} {model:?} {sorted:?}", Model::VERSION);
    let hash = |start: u64| text.bytes().fold(start, |h, b| (h ^ u64::from(b)).wrapping_mul(0x100000001b3));
    format!("{:016x}{:016x}", hash(0xcbf29ce484222325), hash(0x84222325cbf29ce4))
}

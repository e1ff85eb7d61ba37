//! The main job: a case in, a ranked plan out.

use crate::against::{case_against, chosen};
use crate::assemble::report;
use crate::candidates::candidates;
use crate::lose::ShownTeeth;
use crate::report::{PlannedOption, Report};
use crate::search::Again;
use crate::set::{Member, set};
use crate::shared::{Computed, Kept, Shared};
use crate::shares::Shares;
use answer::{Interrupted, Progress, World};
use case::Case;
use catalogue::Catalogue;
use evidence::Posterior;
use rayon::prelude::*;
use std::sync::Arc;

/// How much is computed anew.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Fidelity {
    /// An eighth of the draws, no open questions.
    Instant,
    /// All draws, open questions for the leading options.
    Quick,
    /// All draws, open questions for all options with more draws.
    Full,
}

impl Fidelity {
    /// The word in reports.
    pub fn word(self) -> &'static str {
        match self {
            Self::Instant => "instant",
            Self::Quick => "quick",
            Self::Full => "full",
        }
    }

    fn draws(self) -> usize {
        if self == Self::Instant { World::DRAWS / 8 } else { World::DRAWS }
    }
}

/// How a plan is to be made.
#[derive(Debug, Clone)]
pub struct Settings {
    /// Seed of the draws.
    pub seed: u64,
    /// Fidelity.
    pub fidelity: Fidelity,
    /// Day on which guidelines are judged, `year-month`.
    pub today: String,
    /// Name of the case as printed.
    pub name: String,
    /// Version of the program.
    pub program: String,
    /// Warnings about the input, carried into the report.
    pub warnings: Vec<String>,
    /// Whether to search for what would change the answer.
    pub changes: bool,
    /// Teeth as scanned and waxed up; the others stand as average forms.
    pub shown: Arc<ShownTeeth>,
}

impl Settings {
    fn world(&self) -> World {
        World::with_draws(self.seed, self.fidelity.draws())
    }
}

/// Why no plan was made.
#[derive(Debug, thiserror::Error)]
pub enum PlanError {
    /// Stopped before it was done.
    #[error(transparent)]
    Interrupted(#[from] Interrupted),
    /// A colour of the case is none a body can have.
    #[error("{0}; correct the colour reading in the case file")]
    Colour(#[from] crate::show::NoColour),
}

/// Plans a case.
///
/// # Errors
/// [`PlanError`] when it was stopped, or a colour given cannot be.
pub fn plan(
    case: &Case,
    catalogue: &Catalogue,
    posterior: &Posterior,
    settings: &Settings,
    progress: &dyn Progress,
) -> Result<Report, PlanError> {
    let world = settings.world();
    // With fewer draws than the evidence holds, an evenly spaced part of it answers.
    let fewer = posterior.thinned(world.draws());
    let posterior = if world.draws() < posterior.draws() { &fewer } else { posterior };
    let one = Staged::of(world, case, catalogue, posterior, settings, progress)?;
    one.report(settings, progress)
}

/// Plans several cases of one smile, and as a set that must match: the reports in the order given, each with the same set in it.
/// Draws are those of the first settings.
///
/// # Errors
/// As [`plan()`].
pub fn plan_together(
    cases: &[(&Case, &Settings)],
    catalogue: &Catalogue,
    posterior: &Posterior,
    progress: &dyn Progress,
) -> Result<Vec<Report>, PlanError> {
    let Some((_, first)) = cases.first() else { return Ok(Vec::new()) };
    let world = first.world();
    let fewer = posterior.thinned(world.draws());
    let posterior = if world.draws() < posterior.draws() { &fewer } else { posterior };
    let staged: Vec<Staged<'_>> = cases
        .iter()
        .map(|(case, settings)| Staged::of(world, case, catalogue, posterior, settings, progress))
        .collect::<Result<_, _>>()?;
    let members: Vec<Member<'_>> = staged
        .iter()
        .zip(cases)
        .map(|(s, (_, settings))| Member {
            name: &settings.name,
            shared: &s.shared,
            computed: &s.computed,
            order: &s.order,
        })
        .collect();
    let together = set(&members);
    staged
        .iter()
        .zip(cases)
        .map(|(one, (_, settings))| {
            let mut report = one.report(settings, progress)?;
            report.set.clone_from(&together);
            Ok(report)
        })
        .collect()
}

/// A case with its options computed and put in order.
struct Staged<'a> {
    shared: Shared<'a>,
    computed: Vec<Computed>,
    order: Vec<usize>,
    shares: Shares,
    too_close: bool,
}

impl<'a> Staged<'a> {
    fn of(
        world: World,
        case: &'a Case,
        catalogue: &'a Catalogue,
        posterior: &'a Posterior,
        settings: &Settings,
        progress: &dyn Progress,
    ) -> Result<Self, PlanError> {
        let kept = Kept { shown: settings.shown.clone(), ..Kept::default() };
        let shared = Shared::of(world, case, catalogue, posterior, kept)?;
        let list = candidates(case, catalogue);
        progress.check(0, list.len() + 1)?;
        let computed: Vec<Computed> = list.into_par_iter().map(|candidate| shared.compute(candidate)).collect();
        progress.check(computed.len(), computed.len() + 1)?;
        let (order, shares, too_close) = shared.order(&computed);
        Ok(Self { shared, computed, order, shares, too_close })
    }

    fn report(&self, settings: &Settings, progress: &dyn Progress) -> Result<Report, PlanError> {
        let Self { shared, computed, order, .. } = self;
        let options: Vec<PlannedOption> =
            order.par_iter().map(|&i| shared.printed(computed, i, &self.shares, settings)).collect();
        let again = |leading, draws| Again::of(shared, computed, order, leading, draws);
        let open_questions = match settings.fidelity {
            Fidelity::Instant => Vec::new(),
            Fidelity::Quick => again(6, 128).open_questions(progress)?,
            Fidelity::Full => again(computed.len(), 512).open_questions(progress)?,
        };
        let changes = if settings.changes { Some(again(6, 128).changes(progress)?) } else { None };
        let mut report = report(shared, options, &self.shares, self.too_close, open_questions, settings);
        report.changes = changes;
        if let Some(named) = &shared.case.chosen {
            let id = chosen(&report, named).map(|o| o.id.clone());
            report.case_against = id.and_then(|id| case_against(&report, &id, named.reason.as_deref()));
        }
        Ok(report)
    }
}

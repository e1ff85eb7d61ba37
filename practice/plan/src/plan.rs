//! The main job: a case in, a ranked plan out.

use crate::against::{case_against, chosen};
use crate::answers::Found;
use crate::assemble::report;
use crate::bite::Bite;
use crate::candidates::{Candidate, candidates};
use crate::cost::{Cost, cost};
use crate::criteria::{Amounts, CRITERIA, active, printed, valued, weighing};
use crate::dimensions::Dimensions;
use crate::failures::failures;
use crate::lose::{Lost, Teeth, lost};
use crate::mechanics::{Bodies, StressPerNewton, stress};
use crate::rank::{Valued, rank};
use crate::report::{GuidelineNote, PlannedOption, Report, Stop};
use crate::risks::{Anchoring, Risks};
use crate::search::Again;
use crate::shares::Shares;
use crate::show::{Scene, Shown};
use crate::stops::{override_reason, stops};
use answer::{Interrupted, Progress, Verdict, World, six_figures};
use case::Case;
use catalogue::Catalogue;
use catalogue::words::Construct;
use evidence::Posterior;
use rayon::prelude::*;
use std::sync::Arc;
use strength::RiskTable;

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

/// Everything options of a case share.
pub(crate) struct Shared<'a> {
    pub(crate) world: World,
    pub(crate) case: &'a Case,
    pub(crate) catalogue: &'a Catalogue,
    pub(crate) posterior: &'a Posterior,
    bite: Bite,
    scene: Scene,
    teeth: Teeth,
    anchoring: Anchoring,
    pub(crate) table: Arc<RiskTable>,
    pub(crate) bodies: Arc<Bodies>,
}

/// One option, computed.
pub(crate) struct Computed {
    pub(crate) candidate: Candidate,
    dimensions: Dimensions,
    stops: Vec<Stop>,
    stress: Option<StressPerNewton>,
    risks: Risks,
    shown: Option<Shown>,
    lost: Lost,
    cost: Option<Cost>,
    amounts: Amounts,
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
    let world = World::with_draws(settings.seed, settings.fidelity.draws());
    // With fewer draws than the evidence holds, an evenly spaced part of it answers.
    let fewer = posterior.thinned(world.draws());
    let posterior = if world.draws() < posterior.draws() { &fewer } else { posterior };
    let shared = Shared::of(world, case, catalogue, posterior, Arc::new(RiskTable::default()), Arc::default())?;
    let list = candidates(case, catalogue);
    progress.check(0, list.len() + 1)?;
    let computed: Vec<Computed> = list.into_par_iter().map(|candidate| shared.compute(candidate)).collect();
    progress.check(computed.len(), computed.len() + 1)?;
    let (order, acceptability, too_close) = shared.order(&computed);
    let options: Vec<PlannedOption> =
        order.par_iter().map(|&i| shared.printed(&computed, i, &acceptability, settings)).collect();
    let open_questions = match settings.fidelity {
        Fidelity::Instant => Vec::new(),
        Fidelity::Quick => Again::of(&shared, &computed, &order, 6, 128).open_questions(progress)?,
        Fidelity::Full => Again::of(&shared, &computed, &order, computed.len(), 512).open_questions(progress)?,
    };
    let changes =
        if settings.changes { Some(Again::of(&shared, &computed, &order, 6, 128).changes(progress)?) } else { None };
    let mut report = report(&shared, options, acceptability, too_close, open_questions, settings);
    report.changes = changes;
    if let Some(named) = &case.chosen {
        let id = chosen(&report, named).map(|o| o.id.clone());
        report.case_against = id.and_then(|id| case_against(&report, &id, named.reason.as_deref()));
    }
    Ok(report)
}

impl<'a> Shared<'a> {
    pub(crate) fn of(
        world: World,
        case: &'a Case,
        catalogue: &'a Catalogue,
        posterior: &'a Posterior,
        table: Arc<RiskTable>,
        bodies: Arc<Bodies>,
    ) -> Result<Self, PlanError> {
        // Colour and form are the dearest engines and smooth in their draws: an eighth gives their chances to about two in a hundred.
        let fewer = World::with_draws(world.seed(), (world.draws() / 8).max(64));
        Ok(Self {
            world,
            case,
            catalogue,
            posterior,
            bite: Bite::of(&world, case, catalogue),
            scene: Scene::of(&fewer, case, catalogue)?,
            teeth: Teeth::of(&fewer, case, catalogue),
            anchoring: Anchoring::of(&world, table.clone()),
            table,
            bodies,
        })
    }

    pub(crate) fn compute(&self, candidate: Candidate) -> Computed {
        let dimensions = Dimensions::of(self.case, &candidate, self.catalogue);
        let stops = stops(self.case, &candidate, &dimensions, self.catalogue);
        let stress = stress(&self.world, self.case, &candidate, &dimensions, self.catalogue, &self.bodies);
        let risks = Risks::of(
            &self.world,
            self.case,
            &candidate,
            self.catalogue,
            self.posterior,
            &self.bite,
            stress.as_ref(),
            &self.anchoring,
        );
        let shown = self.scene.shown(self.case, &candidate, &dimensions, self.catalogue).ok();
        let lost = lost(&self.world, self.case, &candidate, &dimensions, &self.teeth);
        let cost = cost(&self.world, self.case, &candidate);
        let amounts =
            Amounts::of(&self.world, candidate.construct, &risks, shown.as_ref(), &lost, cost.as_ref(), self.catalogue);
        Computed { candidate, dimensions, stops, stress, risks, shown, lost, cost, amounts }
    }

    /// True for options of the construct asked for; while that is open, for all that teeth carry. Implant crowns are then ranked among
    /// themselves: surgery and the loss of the implant itself stand in none of their figures, so they are not weighed against bridges.
    fn asked(&self, computed: &Computed) -> bool {
        let construct = computed.candidate.construct;
        self.case.restoration.construct().map_or(construct != Construct::ImplantCrown, |c| c == construct)
    }

    /// Order of the options (those asked for first, stopped ones last among them), their acceptabilities by index, and whether the first
    /// two are too close. Options asked for and the others are each ranked among themselves.
    pub(crate) fn order(&self, computed: &[Computed]) -> (Vec<usize>, Shares, bool) {
        let mut shares = Shares::none(computed.len());
        for asked in [false, true] {
            let group: Vec<usize> = (0..computed.len())
                .filter(|&i| computed[i].is_weighed() && self.asked(&computed[i]) == asked)
                .collect();
            if !group.is_empty() {
                self.rank_group(computed, &group, &mut shares);
            }
        }
        let mut order: Vec<usize> = (0..computed.len()).collect();
        // By first share; options that never come first by expected rank; stopped ones last.
        order.sort_by(|&a, &b| {
            let key = |i: usize| (!self.asked(&computed[i]), computed[i].is_stopped(), !computed[i].is_weighed());
            key(a)
                .cmp(&key(b))
                .then(shares.first(b).total_cmp(&shares.first(a)))
                .then(shares.expected_rank(a).total_cmp(&shares.expected_rank(b)))
                .then(computed[a].candidate.id().cmp(&computed[b].candidate.id()))
        });
        let close = match (order.first(), order.get(1)) {
            (Some(&a), Some(&b))
                if computed[b].is_weighed() && self.asked(&computed[a]) == self.asked(&computed[b]) =>
            {
                shares.first(a) - shares.first(b) < self.catalogue.values().too_close_below()
            }
            _ => false,
        };
        (order, shares, close)
    }

    fn rank_group(&self, computed: &[Computed], group: &[usize], shares: &mut Shares) {
        let amounts: Vec<&Amounts> = group.iter().map(|&i| &computed[i].amounts).collect();
        let active = active(&amounts);
        let valued: Vec<Valued> = group
            .iter()
            .map(|&i| {
                let id = computed[i].candidate.id();
                Valued { values: valued(&self.world, &id, &computed[i].amounts, self.catalogue), id }
            })
            .collect();
        let (weights, _) = weighing(self.case, self.catalogue);
        let result = rank(&self.world, &valued, &active, &weights);
        for (j, &i) in group.iter().enumerate() {
            shares.ranks[i].clone_from(&result.shares[j]);
            shares.dominated[i] = result.dominated_by[j].map(|d| computed[group[d]].candidate.id());
            shares.regret[i] = Some(result.regret[j]);
        }
        shares.mean_weights = std::array::from_fn(|j| result.mean_weights.get(j).copied().unwrap_or(0.0));
        shares.ways = result.ways;
    }

    fn printed(&self, computed: &[Computed], i: usize, shares: &Shares, settings: &Settings) -> PlannedOption {
        let one = &computed[i];
        let found = Found {
            world: &self.world,
            case: self.case,
            candidate: &one.candidate,
            catalogue: self.catalogue,
            risks: &one.risks,
            stress: one.stress.as_ref(),
            shown: one.shown.as_ref(),
            lost: &one.lost,
            cost: one.cost.as_ref(),
        };
        let answers = found.answers();
        let stopped = one.is_stopped();
        let worst =
            answers.iter().filter(|a| a.verdict != Verdict::NotKnown).fold(Verdict::Suits, |v, a| v.graver(a.verdict));
        let not_known = answers.iter().take(2).any(|a| a.verdict == Verdict::NotKnown);
        let verdict = if stopped {
            Verdict::Unsuitable
        } else if not_known {
            worst.graver(Verdict::NotKnown)
        } else if one.stops.is_empty() {
            worst
        } else {
            worst.graver(Verdict::WithCare)
        };
        let prediction = &one.risks.prediction;
        let curve = |risk: crate::curve::RiskOverYears| {
            risk.printed(prediction.longest_follow_up, prediction.arms, prediction.unit_years)
        };
        PlannedOption {
            id: one.candidate.id(),
            title: one.candidate.title(),
            construct: one.candidate.construct,
            material: one.candidate.material,
            build: one.candidate.build,
            grade: one.shown.as_ref().and_then(|s| s.grade),
            dimensions: one.dimensions.printed(),
            stopped,
            override_reason: override_reason(self.case, &one.stops),
            stops: one.stops.clone(),
            verdict,
            asked: self.asked(one),
            first_share: six_figures(shares.first(i)),
            rank_shares: shares.ranks(i).iter().map(|s| six_figures(*s)).collect(),
            regret: shares.regret[i].map(six_figures),
            regret_years: shares.regret[i].and_then(|r| self.in_years(r, shares)).map(six_figures),
            done_again: Some(one.risks.complication().by(10.0).interval().rounded()),
            dominated_by: shares.dominated[i].clone(),
            answers,
            failures: failures(self.case, &one.candidate, &one.risks, self.catalogue),
            loss_curve: curve(one.risks.loss()),
            complication_curve: curve(one.risks.complication()),
            colour: one.shown.as_ref().map_or(Vec::new(), |s| s.abutments.clone()),
            preparation: one.lost.printed(self.case),
            guidelines: self.guidelines(&one.candidate, settings),
            criteria: printed(&one.amounts, self.catalogue),
        }
    }

    /// A difference on the value scale in restoration-years, by the mean weight of harm.
    fn in_years(&self, value: f64, shares: &Shares) -> Option<f64> {
        let harm = self.catalogue.values().criterion(CRITERIA[0])?;
        let weight = shares.mean_weights[0];
        (weight > 0.0).then(|| value / weight * (harm.worst - harm.best).abs())
    }

    fn guidelines(&self, candidate: &Candidate, settings: &Settings) -> Vec<GuidelineNote> {
        self.catalogue
            .guidelines(candidate.construct, candidate.material, candidate.build, self.case.region())
            .into_iter()
            .map(|g| {
                let direction = match g.direction.as_str() {
                    "for" => "recommends it",
                    "open" => "allows it",
                    "against" => "advises against it",
                    "none" => "cannot judge it",
                    _ => "was not read on this",
                };
                let conditions = if g.conditions.is_empty() { String::new() } else { format!(" ({})", g.conditions) };
                GuidelineNote {
                    id: g.id.clone(),
                    body: [g.society.as_str(), g.text.as_str()]
                        .iter()
                        .filter(|s| !s.is_empty())
                        .copied()
                        .collect::<Vec<_>>()
                        .join(", "),
                    text: format!("{direction}{conditions}"),
                    grade: if g.grade.is_empty() { "not read".to_owned() } else { g.grade.clone() },
                    validity: g.validity(&settings.today).words().to_owned(),
                }
            })
            .collect()
    }
}

impl Computed {
    /// Neither stopped nor of a harm nobody knows: such an option stands behind those that can be weighed.
    fn is_weighed(&self) -> bool {
        !self.is_stopped() && self.amounts.harm.is_some()
    }

    fn is_stopped(&self) -> bool {
        self.stops.iter().any(|s| s.forbids)
    }
}

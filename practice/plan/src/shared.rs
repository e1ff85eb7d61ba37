//! What all options of a case share, each option computed, and their order.

use crate::anchoring::Anchoring;
use crate::beside::Beside;
use crate::bite::Bite;
use crate::candidates::{Candidate, candidates};
use crate::cost::{Cost, cost};
use crate::criteria::{Amounts, active, valued, weighing};
use crate::dimensions::Dimensions;
use crate::lose::{Lost, ShownTeeth, Teeth, lost};
use crate::made_teeth::MadeTeeth;
use crate::mechanics::{Bodies, StressPerNewton, stress};
use crate::plan::PlanError;
use crate::planned::Planned;
use crate::rank::{Valued, rank};
use crate::report::Stop;
use crate::risks::Risks;
use crate::shares::Shares;
use crate::show::{Scene, Shown};
use crate::stops::stops;
use answer::{Draws, World};
use case::Case;
use catalogue::Catalogue;
use catalogue::words::{Build, Construct, Grade};
use evidence::Posterior;
use std::collections::BTreeMap;
use std::sync::{Arc, Mutex};
use strength::RiskTable;

/// What stays the same when a case is looked at again with other answers.
#[derive(Clone, Default)]
pub(crate) struct Kept {
    /// Mean risks.
    pub(crate) table: Arc<RiskTable>,
    /// Bodies already looked up.
    pub(crate) bodies: Arc<Bodies>,
    /// Teeth as scanned and waxed up.
    pub(crate) shown: Arc<ShownTeeth>,
    /// Teeth made already.
    pub(crate) teeth: Arc<MadeTeeth>,
    /// Wish and backings, where the very same case was looked at before and only dimensions differ.
    pub(crate) scene: Option<Arc<Scene>>,
}

/// Everything options of a case share.
pub(crate) struct Shared<'a> {
    pub(crate) world: World,
    pub(crate) case: &'a Case,
    pub(crate) catalogue: &'a Catalogue,
    pub(crate) posterior: &'a Posterior,
    bite: Bite,
    pub(crate) scene: Arc<Scene>,
    teeth: Arc<Teeth>,
    anchoring: Anchoring,
    levels: Mutex<BTreeMap<(Construct, Build), Levels>>,
    pub(crate) kept: Kept,
    /// The only grade to be had, where one is asked about; else each option takes its best.
    pub(crate) only: Option<Grade>,
}

/// Levels of mechanics that patients gave, one a class.
type Levels = Arc<Vec<Draws>>;

/// One option, computed.
pub(crate) struct Computed {
    pub(crate) candidate: Candidate,
    pub(crate) dimensions: Dimensions,
    pub(crate) stops: Vec<Stop>,
    pub(crate) stress: Option<StressPerNewton>,
    pub(crate) risks: Risks,
    pub(crate) beside: Beside,
    pub(crate) shown: Option<Shown>,
    pub(crate) lost: Lost,
    pub(crate) cost: Option<Cost>,
    pub(crate) amounts: Amounts,
}

impl<'a> Shared<'a> {
    pub(crate) fn of(
        world: World,
        case: &'a Case,
        catalogue: &'a Catalogue,
        posterior: &'a Posterior,
        kept: Kept,
    ) -> Result<Self, PlanError> {
        // Colour and form are the dearest engines and smooth in their draws: an eighth gives their chances to about two in a hundred.
        let fewer = World::with_draws(world.seed(), (world.draws() / 8).max(64));
        let scene = match &kept.scene {
            Some(scene) => scene.clone(),
            None => Arc::new(Scene::of(&fewer, case, catalogue)?),
        };
        Ok(Self {
            world,
            case,
            catalogue,
            posterior,
            bite: Bite::of(&world, case, catalogue),
            scene,
            teeth: kept.teeth.of(&fewer, case, catalogue, &kept.shown),
            anchoring: Anchoring::of(&world, kept.table.clone()),
            levels: Mutex::default(),
            kept,
            only: None,
        })
    }

    pub(crate) fn compute(&self, candidate: Candidate) -> Computed {
        let dimensions = Dimensions::of(self.case, &candidate, self.catalogue);
        self.compute_with(candidate, dimensions)
    }

    /// The same in other dimensions.
    pub(crate) fn compute_with(&self, candidate: Candidate, dimensions: Dimensions) -> Computed {
        let stops = stops(self.case, &candidate, &dimensions, self.catalogue);
        let stress = self.stress(&candidate, &dimensions);
        let risks = self.risks(&candidate, stress.as_ref());
        let beside = Beside::of(self.planned(&candidate, &dimensions), &self.bite, stress.as_ref());
        let shown = self.scene.shown(self.case, &candidate, &dimensions, self.catalogue, self.only).ok();
        let lost = lost(&self.world, self.case, &candidate, &dimensions, &self.teeth);
        let cost = cost(&self.world, self.case, &candidate);
        let amounts =
            Amounts::of(&self.world, candidate.construct, &risks, shown.as_ref(), &lost, cost.as_ref(), self.catalogue);
        Computed { candidate, dimensions, stops, stress, risks, beside, shown, lost, cost, amounts }
    }

    fn stress(&self, candidate: &Candidate, dimensions: &Dimensions) -> Option<StressPerNewton> {
        stress(self.planned(candidate, dimensions), &self.kept.bodies)
    }

    fn planned<'b>(&'b self, candidate: &'b Candidate, dimensions: &'b Dimensions) -> Planned<'b> {
        Planned { world: &self.world, case: self.case, candidate, dimensions, catalogue: self.catalogue }
    }

    /// Risks of an option; of a class that nobody was followed with at the level of its kin.
    fn risks(&self, candidate: &Candidate, stress: Option<&StressPerNewton>) -> Risks {
        let alone = self.anchored(candidate, stress, &self.anchoring);
        if stress.is_none() || !alone.fracture_not_known() {
            return alone;
        }
        let kin = self.kin(candidate);
        let mut risks = self.anchored(candidate, stress, &self.anchoring.among(&kin));
        risks.kin = kin.len();
        risks
    }

    fn anchored(&self, candidate: &Candidate, stress: Option<&StressPerNewton>, anchoring: &Anchoring) -> Risks {
        Risks::of(&self.world, self.case, candidate, self.catalogue, self.posterior, &self.bite, stress, anchoring)
    }

    /// Levels of the kin of a class: of what is veneered all over those veneered all over, where patients had any; else those of one material.
    fn kin(&self, candidate: &Candidate) -> Levels {
        if candidate.build == Build::Layered {
            let alike = self.levels(candidate.construct, Build::Layered);
            if !alike.is_empty() {
                return alike;
            }
        }
        self.levels(candidate.construct, Build::Monolithic)
    }

    /// Levels of mechanics that patients gave the classes of a construct in one build: found once.
    fn levels(&self, construct: Construct, build: Build) -> Levels {
        // A poisoned lock means another worker stopped: compute without the store.
        if let Some(known) = self.levels.lock().ok().and_then(|known| known.get(&(construct, build)).cloned()) {
            return known;
        }
        let one_build = |c: &Candidate| c.construct == construct && c.build == build;
        let level = |c: Candidate| {
            let stress = self.stress(&c, &Dimensions::of(self.case, &c, self.catalogue))?;
            self.anchored(&c, Some(&stress), &self.anchoring).level
        };
        let all = candidates(self.case, self.catalogue).into_iter().filter(one_build).filter_map(level);
        let found = Arc::new(all.collect::<Vec<_>>());
        if let Ok(mut known) = self.levels.lock() {
            known.insert((construct, build), found.clone());
        }
        found
    }

    /// True for options of the construct asked for; while that is open, for all that teeth carry. Implant crowns are then ranked among
    /// themselves: surgery and the loss of the implant itself stand in none of their figures, so they are not weighed against bridges.
    pub(crate) fn asked(&self, computed: &Computed) -> bool {
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
}

impl Computed {
    /// Neither stopped nor of a harm nobody knows: such an option stands behind those that can be weighed.
    pub(crate) fn is_weighed(&self) -> bool {
        !self.is_stopped() && self.amounts.harm.is_some()
    }

    pub(crate) fn is_stopped(&self) -> bool {
        self.stops.iter().any(|s| s.forbids)
    }
}

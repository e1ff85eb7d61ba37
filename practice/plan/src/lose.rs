//! What does the tooth lose: preparation of each abutment for the working dimensions, less the room there already is.

use crate::candidates::{Candidate, candidates, carries_preparation};
use crate::dimensions::Dimensions;
use crate::report::PreparationAnswer;
use anatomy::{Arch, Needs, Reduction, Seen, Shown, StandingTooth, ToothForm, common_path};
use answer::{Caveat, Draws, Interval, Provenance, World, six_figures};
use case::Case;
use case::words::SpaceSource;
use catalogue::Catalogue;
use catalogue::words::{Construct, Surface, Tooth};
use rayon::prelude::*;
use std::collections::BTreeMap;
use std::sync::{Arc, Mutex};

/// A tooth, whether along the path shared with the other abutments, and the bits of the five depths asked for.
type Preparation = (Tooth, bool, [u64; 5]);

/// Teeth of a case before preparation, made once for all options.
pub struct Teeth {
    standing: BTreeMap<Tooth, StandingTooth>,
    /// The same along one path for all, where there are several.
    together: BTreeMap<Tooth, StandingTooth>,
    /// Why the abutments have no path in common.
    pub no_common_path: Option<String>,
    /// Preparations by tooth and needs: builds of one thickness share them.
    cut: Mutex<BTreeMap<Preparation, Arc<Reduction>>>,
}

/// Teeth as scanned and waxed up, with forms scaled to them; teeth without a scan stand as forms.
pub type ShownTeeth = BTreeMap<Tooth, (ToothForm, Shown)>;

impl Teeth {
    /// Standing teeth of a case, as far as they were seen and scanned.
    pub fn shown(world: &World, case: &Case, catalogue: &Catalogue, shown: &ShownTeeth) -> Self {
        let one = |tooth: Tooth| {
            let abutment = case.abutment(tooth);
            let seen = Seen {
                // Beside a measured neighbour the crown's height is in the form as it stands.
                clinical_crown: abutment.filter(|a| a.sound_neighbour.is_none()).and_then(|a| a.crown_mm),
                age: case.mouth.age.map(case::Age::years),
                occlusal_to_pulp: abutment.and_then(|a| a.dentine_mm),
            };
            let standing = match shown.get(&tooth) {
                Some((form, shown)) => StandingTooth::shown(world, form, &seen, shown),
                None => StandingTooth::new(world, &ToothForm::of(catalogue, tooth).ok()?, &seen),
            };
            Some((tooth, standing.ok()?))
        };
        let standing: BTreeMap<Tooth, StandingTooth> = case.standing().into_par_iter().filter_map(one).collect();
        let (together, no_common_path) = along_one_path(case, catalogue, &standing);
        Self { standing, together, no_common_path, cut: Mutex::new(BTreeMap::new()) }
    }

    /// The preparation of a tooth, along the shared path or its own; `None` when its size is not known.
    fn prepared(&self, tooth: Tooth, together: bool, needs: &Needs) -> Option<Arc<Reduction>> {
        let own = self.standing.get(&tooth)?;
        let standing = if together { self.together.get(&tooth).unwrap_or(own) } else { own };
        let depths = [needs.occlusal, needs.facial, needs.lingual, needs.proximal, needs.margin].map(f64::to_bits);
        let key = (tooth, together, depths);
        // A poisoned lock means another worker stopped: compute without the store.
        if let Some(known) = self.cut.lock().ok().and_then(|cut| cut.get(&key).cloned()) {
            return Some(known);
        }
        let reduction = Arc::new(standing.reduction(needs));
        if let Ok(mut cut) = self.cut.lock() {
            cut.insert(key, reduction.clone());
        }
        Some(reduction)
    }
}

/// Abutments of a gap along one path. A tooth that leans is taken to lean towards the gap (common practice, no source); a lean nobody gave
/// counts as none here and is asked for elsewhere.
fn along_one_path(
    case: &Case,
    catalogue: &Catalogue,
    standing: &BTreeMap<Tooth, StandingTooth>,
) -> (BTreeMap<Tooth, StandingTooth>, Option<String>) {
    let missing = case.missing();
    let (Some(first), true) = (missing.first(), standing.len() > 1) else { return Default::default() };
    let jaw = Tooth::all().filter(|t| t.jaw() == first.jaw());
    let forms: BTreeMap<Tooth, ToothForm> = jaw.filter_map(|t| Some((t, ToothForm::of(catalogue, t).ok()?))).collect();
    let lean = |tooth: Tooth| {
        let degrees = case.abutment(tooth).and_then(|a| a.tilt_degrees).unwrap_or(0.0);
        // Distal of the gap: mesial is towards it.
        let distal = tooth.side() == first.side() && tooth.number() > first.number();
        if distal { degrees } else { -degrees }
    };
    let Ok(arch) = Arch::new(&forms, lean) else { return Default::default() };
    let pairs: Vec<_> = standing.values().filter_map(|t| Some((t, arch.seat(t.tooth())?))).collect();
    let (path, why) = match common_path(&pairs, &Needs::USUAL) {
        Ok(path) => (path, None),
        Err(none) => (none.best.clone(), Some(none.to_string())),
    };
    let together =
        path.costs.iter().filter_map(|cost| Some((cost.tooth, standing.get(&cost.tooth)?.along(cost.tilt)))).collect();
    (together, why)
}

/// What one option takes.
#[derive(Debug, Clone)]
pub struct Lost {
    /// By abutment: the preparation, where the tooth is cut.
    pub abutments: Vec<(Tooth, Arc<Reduction>)>,
    /// Mean share of crown removed over the abutments.
    pub share: Draws,
    /// 1 where a vital tooth keeps less than 1 mm of dentine, mean over the vital abutments.
    pub thin: Draws,
    /// Least dentine over the pulp of a vital abutment.
    pub dentine: Option<Draws>,
    /// Least share of the finish line in enamel.
    pub margin_in_enamel: Option<Draws>,
    /// Why the abutments have no path in common, for options that need one.
    pub no_common_path: Option<String>,
    /// True when all teeth carry their preparation, from before or at the stump, so that little more is lost.
    pub prepared_before: bool,
    /// Marks.
    pub caveats: Vec<Caveat>,
    /// What it rests on.
    pub provenance: Provenance,
}

/// What a candidate takes from its abutments.
pub fn lost(world: &World, case: &Case, candidate: &Candidate, dimensions: &Dimensions, teeth: &Teeth) -> Lost {
    let needs = needs_of(case, candidate, dimensions);
    let mut abutments = Vec::new();
    let mut provenance = dimensions.provenance();
    let mut caveats = Vec::new();
    for tooth in &candidate.abutments {
        let Some(reduction) = teeth.prepared(*tooth, is_drawn_together(candidate.construct), &needs) else { continue };
        provenance.merge(&reduction.provenance);
        for caveat in &reduction.caveats {
            if !caveats.contains(caveat) {
                caveats.push(*caveat);
            }
        }
        abutments.push((*tooth, reduction));
    }
    let n = world.draws();
    let count = abutments.len().max(1) as f64;
    let mut share = Draws::constant(n, 0.0);
    for (_, r) in &abutments {
        share = share.plus(&r.volume_share.scaled(1.0 / count));
    }
    let vital: Vec<&Arc<Reduction>> = abutments
        .iter()
        .filter(|(t, _)| case.abutment(*t).and_then(|a| a.pulp).is_none_or(|p| p == case::words::Pulp::Vital))
        .map(|(_, r)| r)
        .collect();
    let mut thin = Draws::constant(n, 0.0);
    let mut dentine: Option<Draws> = None;
    for r in &vital {
        let below = r.dentine_over_pulp.map(|d| f64::from(u8::from(d < 1.0)));
        thin = thin.plus(&below.scaled(1.0 / vital.len() as f64));
        dentine = Some(dentine.map_or_else(|| r.dentine_over_pulp.clone(), |d| d.zip(&r.dentine_over_pulp, f64::min)));
    }
    let margin = abutments.iter().map(|(_, r)| r.margin_in_enamel.clone()).reduce(|a, b| a.zip(&b, f64::min));
    let prepared_before = !abutments.is_empty() && abutments.iter().all(|(t, _)| carries_preparation(case, *t));
    if prepared_before {
        // The teeth carry their preparation already: what a thicker option asks beyond it is not known, anything up to a third of what a
        // sound tooth would lose (common practice, no source; listed among the defaults).
        let more = world.between("plan/lose/beyond_preparation", 0.0, 0.33);
        share = more.times(&share);
        thin = more.times(&thin);
    }
    let no_common_path = teeth.no_common_path.clone().filter(|_| is_drawn_together(candidate.construct));
    Lost {
        abutments,
        share,
        thin,
        no_common_path,
        dentine,
        margin_in_enamel: margin,
        prepared_before,
        caveats,
        provenance,
    }
}

/// What is left to be cut for a candidate, by surface.
fn needs_of(case: &Case, candidate: &Candidate, dimensions: &Dimensions) -> Needs {
    let needs = Needs::from_surfaces(dimensions.surfaces().filter(|(s, _)| is_cut(candidate.construct, *s)));
    needs.with_space(room_without_cutting(case))
}

/// Constructs whose retainers go onto all abutments at once and grip them all round.
fn is_drawn_together(construct: Construct) -> bool {
    matches!(construct, Construct::Bridge | Construct::CantileverBridge)
}

/// The least preparation of one abutment for one option.
#[derive(Debug, Clone)]
pub struct LeastOption {
    /// Key of the option.
    pub id: String,
    /// Its title.
    pub title: String,
    /// The abutment.
    pub tooth: Tooth,
    /// What is left to be cut, by surface.
    pub needs: Needs,
    /// What that takes and leaves.
    pub reduction: Arc<Reduction>,
}

/// The least preparation of every abutment for all options of a case, side by side; and why abutments have no path in common.
pub fn least(
    world: &World,
    case: &Case,
    catalogue: &Catalogue,
    shown: &ShownTeeth,
) -> (Vec<LeastOption>, Option<String>) {
    let teeth = Teeth::shown(world, case, catalogue, shown);
    let all = candidates(case, catalogue);
    let rows = all.par_iter().flat_map_iter(|candidate| {
        let needs = needs_of(case, candidate, &Dimensions::of(case, candidate, catalogue));
        let together = is_drawn_together(candidate.construct);
        let row = |tooth: &Tooth| {
            let reduction = teeth.prepared(*tooth, together, &needs)?;
            Some(LeastOption { id: candidate.id(), title: candidate.title(), tooth: *tooth, needs, reduction })
        };
        candidate.abutments.iter().filter_map(row).collect::<Vec<_>>()
    });
    (rows.collect(), teeth.no_common_path.clone())
}

/// Surfaces a construct prepares (common practice, no source): a wing lies on the lingual surface; an onlay and an endocrown cover the
/// chewing surface and leave the walls; what else is missing of them was lost before.
fn is_cut(construct: Construct, surface: Surface) -> bool {
    match construct {
        Construct::OneWing | Construct::TwoWings => surface == Surface::Lingual,
        Construct::PartialCrown | Construct::Endocrown => surface == Surface::Occlusal,
        _ => true,
    }
}

/// Room to the antagonist that is there without cutting this tooth.
fn room_without_cutting(case: &Case) -> Option<f64> {
    match case.space.planned_by {
        Some(SpaceSource::RaisedBite | SpaceSource::Orthodontics | SpaceSource::Antagonist) => case.space.planned_mm,
        _ => case.space.now_mm,
    }
}

impl Lost {
    /// As printed.
    pub fn printed(&self, case: &Case) -> Vec<PreparationAnswer> {
        let round = |d: &Draws| d.interval().rounded();
        self.abutments
            .iter()
            .map(|(tooth, r)| {
                let vital = case.abutment(*tooth).and_then(|a| a.pulp).is_none_or(|p| p == case::words::Pulp::Vital);
                PreparationAnswer {
                    tooth: *tooth,
                    depths: r.depths.iter().map(|(s, d)| (*s, round(d))).collect(),
                    share_removed: round(&r.volume_share),
                    dentine_left: vital.then(|| round(&r.dentine_over_pulp)),
                    chance_below_2: vital.then(|| six_figures(r.chance_below(2.0))),
                    chance_below_1: vital.then(|| six_figures(r.chance_below(1.0))),
                }
            })
            .collect()
    }

    /// Share removed, nothing where no tooth is cut.
    pub fn share_interval(&self) -> Interval {
        self.share.interval()
    }
}

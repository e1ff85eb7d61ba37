//! A practice's own results in the evidence: which arms they are, what they shift, and whether the model must be fitted anew.
//!
//! Rows of the practice's own `studies.csv` whose cohort starts with `own.` are its own results; the cohort's second part names the
//! laboratory (`own.north.crowns_2024`), nothing else. Other rows it added are further studies. Both reweight the shipped posterior (`evidence::own`); a row
//! that replaces or retires a shipped one changes what was fitted, which only a fit can take in. No arm enters twice: an id or cohort that
//! was fitted is refused.

use crate::arms::{arms, model};
use answer::{Interval, World};
use catalogue::Catalogue;
use evidence::{Arm, FitError, OwnGroup, Posterior, Setting};

/// First part of the cohort of own results.
pub const OWN: &str = "own";

/// What a practice's own rows did to the evidence.
#[derive(Debug, Clone)]
pub struct OwnEvidence {
    /// The posterior to plan with: reweighted, and set in the own clinic where there are own results.
    pub posterior: Posterior,
    /// What was done, in sentences for the report.
    pub words: Vec<String>,
    /// Ratio of the own clinic's loss rate to the median clinic's, where there are own results.
    pub shift: Option<Interval>,
    /// The same by laboratory.
    pub laboratories: Vec<(String, Interval)>,
    /// Shape of the tail of the weights; none where nothing was weighed.
    pub pareto_k: Option<f64>,
    /// True when the model must be fitted anew before own rows count as they should.
    pub needs_refit: bool,
}

/// Own results of a catalogue by laboratory.
pub fn own_groups(arms: &[Arm]) -> Vec<OwnGroup> {
    let mut groups: Vec<OwnGroup> = Vec::new();
    for arm in arms.iter().filter(|a| is_own(a) && a.pooled.is_ok()) {
        let laboratory = laboratory(arm);
        match groups.iter_mut().find(|g| g.laboratory == laboratory) {
            Some(group) => group.arms.push(arm.clone()),
            None => groups.push(OwnGroup { laboratory, arms: vec![arm.clone()] }),
        }
    }
    groups.sort_by(|a, b| a.laboratory.cmp(&b.laboratory));
    groups
}

/// True for an arm of the practice's own results.
pub fn is_own(arm: &Arm) -> bool {
    arm.study() == OWN
}

/// Laboratory of an own arm: second part of its cohort where that has three.
fn laboratory(arm: &Arm) -> String {
    let parts: Vec<&str> = arm.cohort.splitn(3, '.').collect();
    if parts.len() == 3 { parts[1].to_owned() } else { String::new() }
}

/// Takes a practice's own rows into a posterior. `world` gives the draws by which the clinic is located; plan with the same.
///
/// # Errors
/// [`FitError::Arms`] where own arms cannot be right or were counted before.
pub fn with_own_results(posterior: &Posterior, catalogue: &Catalogue, world: &World) -> Result<OwnEvidence, FitError> {
    let all = arms(catalogue);
    let groups = own_groups(&all);
    if posterior.is_of(&all, &model()) {
        return Ok(fitted_with_them(posterior, world, &groups));
    }
    let fitted =
        |arm: &Arm| posterior.arms().iter().any(|f| f.id == arm.id) || posterior.unused().iter().any(|u| u.0 == arm.id);
    let known: Vec<Arm> = all.iter().filter(|a| fitted(a)).cloned().collect();
    let needs_base_refit = !posterior.is_of(&known, &model());
    let others: Vec<Arm> = all.iter().filter(|a| !fitted(a) && !is_own(a) && a.pooled.is_ok()).cloned().collect();
    let new_groups: Vec<OwnGroup> = groups
        .into_iter()
        .map(|g| OwnGroup { arms: g.arms.into_iter().filter(|a| !fitted(a)).collect(), ..g })
        .filter(|g| !g.arms.is_empty())
        .collect();
    let mut words = Vec::new();
    if needs_base_refit {
        words.push(
            "own rows replace or retire shipped studies: the pooled evidence still holds the shipped ones until `bisque evidence refit`".to_owned(),
        );
    }
    if new_groups.is_empty() && others.is_empty() {
        return Ok(OwnEvidence {
            posterior: posterior.clone(),
            words,
            shift: None,
            laboratories: Vec::new(),
            pareto_k: None,
            needs_refit: needs_base_refit,
        });
    }
    let seen = posterior.reweight_with(world, &new_groups, &others)?;
    words.push(taken_in(&new_groups, &others, seen.effective_draws));
    words.extend(seen.unused.iter().map(|(id, why)| format!("own arm `{id}` says nothing about losses: {why}")));
    let needs_refit = needs_base_refit || seen.needs_refit();
    if seen.needs_refit() {
        words.push(format!(
            "own results differ so much from the studies that their weights do not carry (Pareto k {:.2}, above 0.7): run `bisque evidence refit`",
            seen.pareto_k
        ));
    }
    let (posterior, shift) = if new_groups.is_empty() {
        (seen.posterior, None)
    } else {
        words.push(shift_in_words("this practice", &ratio(&seen.clinic)));
        (seen.posterior.at_clinic(&seen.clinic), Some(ratio(&seen.clinic)))
    };
    let laboratories = by_laboratory(&seen.laboratories, &mut words);
    Ok(OwnEvidence { posterior, words, shift, laboratories, pareto_k: Some(seen.pareto_k), needs_refit })
}

/// The model was fitted with the own rows among the rest: nothing is weighed, the clinic is located.
fn fitted_with_them(posterior: &Posterior, world: &World, groups: &[OwnGroup]) -> OwnEvidence {
    let mut found = OwnEvidence {
        posterior: posterior.clone(),
        words: Vec::new(),
        shift: None,
        laboratories: Vec::new(),
        pareto_k: None,
        needs_refit: false,
    };
    if !groups.is_empty() {
        let (clinic, laboratories) = posterior.locate(world, groups);
        found.words.push("the pooled evidence was fitted with the practice's own results".to_owned());
        found.words.push(shift_in_words("this practice", &ratio(&clinic)));
        found.shift = Some(ratio(&clinic));
        found.posterior = posterior.clone().at_clinic(&clinic);
        found.laboratories = by_laboratory(&laboratories, &mut found.words);
    }
    found
}

fn by_laboratory(found: &[(String, answer::Draws)], words: &mut Vec<String>) -> Vec<(String, Interval)> {
    let named: Vec<(String, Interval)> =
        found.iter().filter(|(name, _)| !name.is_empty()).map(|(name, d)| (name.clone(), ratio(d))).collect();
    words.extend(named.iter().map(|(name, r)| shift_in_words(&format!("work of laboratory `{name}`"), r)));
    named
}

fn ratio(departure: &answer::Draws) -> Interval {
    departure.map(f64::exp).interval()
}

fn shift_in_words(who: &str, ratio: &Interval) -> String {
    format!(
        "{who} loses {:.2} times as many a year as the median clinic of the studies (90 % interval {:.2} to {:.2})",
        ratio.median, ratio.low, ratio.high
    )
}

fn taken_in(groups: &[OwnGroup], others: &[Arm], effective: f64) -> String {
    let own: Vec<&Arm> = groups.iter().flat_map(|g| &g.arms).collect();
    let years: f64 = own.iter().map(|a| a.unit_years()).sum();
    let mut parts = Vec::new();
    if !own.is_empty() {
        parts.push(format!("{} own arms with {years:.0} restoration-years", own.len()));
    }
    if !others.is_empty() {
        parts.push(format!("{} added study arms", others.len()));
    }
    format!("{} taken into the pooled evidence (worth {effective:.0} of its draws)", parts.join(" and "))
}

/// Risk of loss by `years` in the median clinic of the studies and in the practice, for one cell.
pub fn before_and_after(
    shipped: &Posterior,
    own: &OwnEvidence,
    world: &World,
    cell: &evidence::Cell,
    years: f64,
) -> (Interval, Interval) {
    let risk = |p: &Posterior| p.predict(world, &Setting::of(cell.clone())).total_loss.cumulative(years).interval();
    (risk(shipped), risk(&own.posterior))
}

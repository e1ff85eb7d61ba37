//! From the studies of the catalogue to the arms of the evidence engine, and the posterior shipped with the program.
//!
//! A cell is the path construct / family / material / build / region. Causes that the material does not drive (caries, root canal,
//! tooth, other) differ by construct only and so are shared across materials; fracture differs down to material and build and is never
//! borrowed by 4Y and 5Y zirconia. Arms that do not tell their region or build stop the path there.

use answer::{Progress, Source};
use catalogue::words::{Build, Cause, Construct, Material, Region};
use catalogue::{Catalogue, Study};
use evidence::{Arm, CauseCount, Cell, DatedSurvival, Exposure, Fate, FitError, Model, Posterior};
use std::collections::{BTreeMap, BTreeSet};

/// The fitted model as shipped; made by `cargo xtask refit`.
const SHIPPED: &str = include_str!("../../../data/posterior.json");

/// Why the shipped posterior cannot be used.
#[derive(Debug, thiserror::Error)]
#[error("the shipped posterior cannot be read: {0}; run `cargo xtask refit`")]
pub struct BrokenPosterior(String);

/// The posterior shipped with the program.
///
/// # Errors
/// [`BrokenPosterior`] when the file compiled in is no posterior.
pub fn shipped_posterior() -> Result<Posterior, BrokenPosterior> {
    // That every draw is there is held by a test, not looked up at each start: the file is compiled in.
    serde_json::from_str(SHIPPED).map_err(|e| BrokenPosterior(e.to_string()))
}

/// True when a posterior was fitted to exactly the studies of this catalogue.
pub fn is_current(posterior: &Posterior, catalogue: &Catalogue) -> bool {
    posterior.is_of(&arms(catalogue), &model())
}

/// Fits the joint model to the studies of the catalogue.
///
/// # Errors
/// As [`evidence::fit`].
pub fn refit(catalogue: &Catalogue, progress: &dyn Progress) -> Result<Posterior, FitError> {
    evidence::fit(&arms(catalogue), &model(), progress)
}

/// Causes, the levels at which they differ, and what is expected before any arm is seen (common practice, no source).
pub fn model() -> Model {
    let alone: BTreeSet<String> = ["zirconia_4y", "zirconia_5y", "zls"].map(str::to_owned).into();
    // What breaks differs by generation (the first pressed core against the present one); what decays does not.
    let generation = |cause: Cause| if cause.is_stress_driven() { vec!["generation".to_owned()] } else { Vec::new() };
    let cause = |cause: Cause, prior_share: f64, prior_rate: f64, levels: &[usize]| evidence::Cause {
        name: cause.word().to_owned(),
        prior_share,
        prior_rate,
        levels: levels.to_vec(),
        moderators: generation(cause),
        alone: if cause == Cause::FrameworkFracture { alone.clone() } else { BTreeSet::new() },
    };
    Model::new(vec![
        cause(Cause::FrameworkFracture, 0.15, 0.001, &[0, 1, 2, 3]),
        cause(Cause::Chip, 0.08, 0.006, &[0, 1, 3]),
        cause(Cause::Debonding, 0.15, 0.004, &[0, 1]),
        cause(Cause::Caries, 0.22, 0.003, &[0]),
        cause(Cause::Endodontic, 0.14, 0.004, &[0]),
        cause(Cause::ToothFracture, 0.16, 0.002, &[0]),
        cause(Cause::Other, 0.10, 0.005, &[0]),
    ])
}

/// Path of a way of making it.
pub fn cell(construct: Construct, material: Material, build: Build, region: Region) -> Cell {
    Cell::new([construct.word(), family(material.word()), material.word(), build.word(), region.word()])
}

/// All arms, pooled or not (then with the reason).
pub fn arms(catalogue: &Catalogue) -> Vec<Arm> {
    catalogue.studies().iter().map(arm).collect()
}

/// An arm's source, for the list of sources.
pub fn arm_source(catalogue: &Catalogue, arm: &str) -> Option<Source> {
    let study = catalogue.studies().iter().find(|s| s.id == arm)?;
    catalogue.source(study.sources.first()?).cloned()
}

/// Material family, the level between construct and material.
fn family(material: &str) -> &'static str {
    match material {
        "zirconia_3y" | "zirconia_4y" | "zirconia_5y" | "zirconia_unspecified" => "zirconia",
        "lithium_disilicate" | "leucite" | "feldspathic" | "zls" => "glass_ceramic",
        "metal" | "metal_ceramic" => "metal_based",
        "composite" | "resin_matrix" | "resin_composite" => "resin",
        _ => "other",
    }
}

fn arm(study: &Study) -> Arm {
    let mut path = vec![study.construct.clone(), family(&study.material).to_owned(), study.material.clone()];
    if !study.build.is_empty() && study.build != "unspecified" {
        path.push(study.build.clone());
    }
    let told_build = path.len() == 4;
    let with = |region: &str| {
        let mut labels = path.clone();
        labels.push(region.to_owned());
        Cell { labels }
    };
    let mixture = match (told_build, study.n_by_region) {
        (true, Some((front, back))) if front + back > 0.0 => {
            vec![(with("anterior"), front), (with("posterior"), back)]
        }
        _ => Vec::new(),
    };
    let cell = match study.region.as_str() {
        region @ ("anterior" | "posterior") if told_build => with(region),
        _ => Cell { labels: path },
    };
    let moderators: BTreeMap<String, String> =
        [("generation", &study.generation), ("process", &study.process), ("setting", &study.setting)]
            .into_iter()
            .filter(|(_, level)| !level.is_empty())
            .map(|(key, level)| (key.to_owned(), level.clone()))
            .collect();
    let at = study.survival.map_or(0.0, |s| s.0);
    // The longest follow-up of any one restoration is no time that all were followed for: it stands last.
    let follow_up = study.follow_up.0.or((at > 0.0).then_some(at)).or(study.follow_up.1).unwrap_or(0.0);
    let pooled = match (&study.usable, study.outcome_is_loss) {
        (Err(reason), _) => Err(reason.clone()),
        (Ok(()), false) => Err("the event counted is not loss".to_owned()),
        (Ok(()), true) => Ok(()),
    };
    Arm {
        id: study.id.clone(),
        cohort: study.cohort.clone(),
        year: study.year,
        cell,
        mixture,
        moderators,
        n: study.n,
        units_per_subject: study.patients.zip(study.n).map(|(p, n)| (f64::from(n) / f64::from(p.max(1))).max(1.0)),
        follow_up_years: follow_up,
        exposure: study.exposure.map(|(years, computed)| Exposure { years, computed }),
        losses: study.failures,
        counts: study.causes.iter().flat_map(counts).collect(),
        survival: study
            .survival
            .into_iter()
            .chain(study.survival_more.iter().copied())
            .map(|(years, survival, se, at_risk)| DatedSurvival {
                years,
                survival,
                se: if study.design == "review" { se.map(|se| widened(survival, se)) } else { se },
                at_risk,
            })
            .collect(),
        basis: study.basis,
        pooled,
    }
}

/// Standard deviation of the log hazard added to a published pool that enters as one arm: its definitions and its mix of clinics are
/// not ours (common practice, no source).
const REVIEW_SD: f64 = 0.5;

/// Standard error of a survival with [`REVIEW_SD`] added on the log of the hazard (delta method: dS = S ln S d ln H).
fn widened(survival: f64, se: f64) -> f64 {
    let slope = survival * survival.max(1e-300).ln();
    se.hypot(slope * REVIEW_SD)
}

/// Counts of a cause, split by what became of them where the study tells.
fn counts(counts: &catalogue::CauseCounts) -> Vec<CauseCount> {
    let of = |count: u32, fate: Fate| CauseCount { cause: counts.cause.word().to_owned(), count, fate };
    let lost = counts.lost.map(|lost| lost.min(counts.events));
    match (counts.fate.as_str(), lost) {
        ("lost", _) => vec![of(counts.events, Fate::Lost)],
        ("repaired" | "none", _) => vec![of(counts.events, Fate::Repaired)],
        (_, Some(lost)) => vec![of(lost, Fate::Lost), of(counts.events - lost, Fate::Repaired)],
        _ => vec![of(counts.events, Fate::Unclear)],
    }
}

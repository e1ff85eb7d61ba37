//! The stress of one option from finite elements of its own form, in place of the surface: `full`.
//!
//! Each distinct geometry is solved once: the option as planned, with five places of the bite on one set-up, and as the studies are taken to have had it (tested minimum x 1.15), under the
//! first of them.
//! What enters the risk is the ratio of the two s_W under the worst bite in the middle, per draw of m, in place of the surface's; its error is that of
//! the cells: [`ZOOMED`] in the zoom around the spot, [`CELLS`] without one. Average tooth forms: not this patient's.
//! Limits: docs/methods/strength.md.

mod along;
mod crown;
mod made;
mod shown;

pub use along::STAGES;
pub use shown::colours_end;

use crate::anchoring::Anchoring;
use crate::bite::Bite;
use crate::candidates::{Candidate, candidates};
use crate::dimensions::Dimensions;
use crate::fired::pair;
use crate::mechanics::{Bodies, STUDIES, StressPerNewton, stress};
use crate::planned::Planned;
use crate::risks::Risks;
use crate::walls::core_share;
use along::{Along, Piece};
use answer::{Interrupted, Interval, Progress, World};
use case::Case;
use catalogue::Catalogue;
use catalogue::words::{Cause, Process};
use evidence::Posterior;
use made::{Made, Seen, Stiff, made};
use serde::Serialize;
use std::sync::Arc;
use strength::multigrid::SolveError;
use strength::solve::{Material, ModelError, Prepared, Solution, Zoom};
use strength::{EquivalentTable, RiskTable};

/// Spread of ln of a ratio of two s_W that cells of half a wall leave (common practice, no source).
const CELLS: f64 = 0.3;
/// The same in the zoom (common practice, no source; two walls came out 2 and 3 % from the surface over designs).
const ZOOMED: f64 = 0.15;
/// Edges of the zoom, mm.
const ZOOM: [f64; 3] = [4.0, 4.0, 4.5];
/// Relative residual of the solves: 1e-4 may leave 1.5 % in s_W where a stiff frame turns in soft springs (`strength::designs`).
const TOLERANCE: f64 = 1e-6;
/// Weibull modulus that is printed for.
const SHOWN_M: f64 = 10.0;

/// How to solve.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct FullAsked {
    /// Edge of a cell, mm.
    pub cell: f64,
    /// Edge of a cell in the zoom around the spot, mm; none without one.
    pub zoom: Option<f64>,
    /// By which year the risk is told.
    pub year: f64,
}

/// Stress of a surface group under one bite.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct BiteStress {
    /// Where and how it is bitten on.
    pub bite: String,
    /// Surface group.
    pub group: String,
    /// Equivalent stress per newton at m = 10, MPa/N.
    pub equivalent: f64,
    /// Greatest principal stress per newton, MPa/N: one point's, for show.
    pub peak: f64,
    /// Where that is, mm, in the frame of the jaw (or tooth).
    pub at: [f64; 3],
    /// Share of the group that was left out near loads, roots and edges of cement.
    pub left_out: f64,
}

/// What was found.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct FullFound {
    /// Option.
    pub id: String,
    /// Its title.
    pub title: String,
    /// Unknowns, and iterations of the longest solve.
    pub size: (usize, usize),
    /// Height and width of connectors as built, mm.
    pub connectors: Vec<[f64; 2]>,
    /// By bite and group, as planned.
    pub stress: Vec<BiteStress>,
    /// The same in the zoom.
    pub zoomed: Vec<BiteStress>,
    /// Stress over that of the studies' size at m = 10: by these solves (none where the cells do not show it), and by the plan's surface.
    pub ratio: (Option<f64>, f64),
    /// Risk of framework fracture by the year asked: with these solves, and as the plan has it.
    pub risk: Option<(Interval, Interval)>,
    /// Remarks.
    pub remarks: Vec<String>,
}

/// What was found, with the solutions it rests on.
pub struct FullWork {
    /// What was found.
    pub found: FullFound,
    /// One solution a bite, as planned.
    pub planned: Vec<Solution>,
    /// Number of the body that is framework, or all of a restoration of one material.
    pub framework: usize,
}

/// Edge of a cell where none is asked for, mm.
pub const CELL: f64 = 0.7;

/// Why there is none.
#[derive(Debug, thiserror::Error)]
pub enum FullError {
    /// No such option.
    #[error("the case has no option {0}; `bisque plan` lists them")]
    NoOption(String),
    /// Nothing brittle to solve.
    #[error("{0}")]
    NotComputed(String),
    /// Stopped.
    #[error(transparent)]
    Interrupted(#[from] Interrupted),
    /// The solver found nothing that holds the body named; the models made here are held, so the size of the cells is to blame.
    #[error(
        "in cells of this size the solver finds nothing that holds the {0}: ask for cells a tenth of a millimetre larger or smaller"
    )]
    NotHeld(String),
    /// The solver.
    #[error("the solver: {0}")]
    Model(String),
}

impl From<ModelError> for FullError {
    fn from(e: ModelError) -> Self {
        match e {
            ModelError::Interrupted(i) | ModelError::Solve(SolveError::Interrupted(i)) => Self::Interrupted(i),
            ModelError::Unsupported(body) => Self::NotHeld(body),
            other => Self::Model(other.to_string()),
        }
    }
}

/// Solves an option; the first that has a brittle body unless one is named.
///
/// # Errors
/// [`FullError`].
pub fn full(
    world: &World,
    case: &Case,
    catalogue: &Catalogue,
    posterior: &Posterior,
    option: Option<&str>,
    asked: &FullAsked,
    progress: &dyn Progress,
) -> Result<FullWork, FullError> {
    let bodies = Bodies::default();
    let mut list = candidates(case, catalogue);
    list.retain(|c| option.is_none_or(|o| c.id() == o));
    let of = |c: &Candidate| {
        let dimensions = Dimensions::of(case, c, catalogue);
        let planned = Planned { world, case, candidate: c, dimensions: &dimensions, catalogue };
        stress(planned, &bodies).map(|s| (c.clone(), dimensions, s))
    };
    let Some((candidate, planned, stress)) = list.iter().find_map(of) else {
        return Err(match option {
            Some(id) if list.is_empty() => FullError::NoOption(id.to_owned()),
            _ => FullError::NotComputed("nothing brittle carries the load, or its strength is not known".to_owned()),
        });
    };
    let studied = match planned.connector {
        Some(c) => {
            let [height, width] = c.in_studies();
            planned.with_connector(|c| (c.height, c.width, c.radius) = (height, width, c.studies.1))
        }
        None => {
            let least = planned
                .minimum("occlusal")
                .ok_or_else(|| FullError::NotComputed("no tested minimum is known".to_owned()))?;
            planned.with_wall(least * STUDIES.0)
        }
    };
    let stiff = stiff(&candidate, &planned, catalogue)?;
    let along = Along::new(progress);
    (&along.piece(0, 0.0, 0.0) as &dyn Progress).check(0, 1)?;
    let shapes = [&planned, &studied];
    let [form, mut other] =
        made(case, &candidate, shapes, catalogue, stiff, asked.cell).map_err(FullError::NotComputed)?;
    // The ratio is that of the first bite; the others are told as planned only.
    other.model.cases.truncate(1);
    let solving =
        |made: &Made, share: f64| solved(made, &along.piece(1, 0.0, 0.1 * share), &along.piece(1, 0.1 * share, share));
    // Of two at once the longer one tells how far they have come.
    let (planned, studied) = rayon::join(|| solving(&form, 1.0), || solving(&other, 0.0));
    let ((solutions, unknowns), (others, _)) = (planned?, studied?);
    // Of several connectors the one that is stressed most as planned, in both sizes.
    let worst = worst(&form, &solutions)?;
    let same = same(&form, worst, &other)?;
    let closer = |made: &Made, number: usize, solutions: &[Solution], share: f64| {
        closer(made, number, solutions, asked, &along.piece(2, 0.0, share))
    };
    let (near, nearby) = rayon::join(|| closer(&form, worst, &solutions, 1.0), || closer(&other, same, &others, 0.0));
    let mut remarks = form.remarks.clone();
    let looked = match (near, nearby) {
        (Ok(near), Ok(nearby)) => {
            let (error, zoomed) = match asked.zoom {
                Some(_) => (ZOOMED, told(&form, &near)?),
                None => (CELLS, Vec::new()),
            };
            Looked { mine: near, theirs: nearby, error, zoomed }
        }
        (Err(e), _) | (_, Err(e)) => {
            if let FullError::Interrupted(i) = e {
                return Err(i.into());
            }
            remarks
                .push(format!("the spot could not be looked at more closely ({e}); the coarse cells' stress stands"));
            Looked { mine: solutions.clone(), theirs: others, error: CELLS, zoomed: Vec::new() }
        }
    };
    let (mine, theirs) = (equivalent(&form, worst, &looked.mine)?, equivalent(&other, same, &looked.theirs)?);
    let unseen = if looked.zoomed.is_empty() { unseen([form.wall, other.wall], asked.cell) } else { None };
    let ratio = (mine.ln_equivalent(SHOWN_M) - theirs.ln_equivalent(SHOWN_M)).exp();
    let risk = match unseen {
        Some(_) => None,
        None => {
            risk(world, case, catalogue, posterior, &candidate, &stress, (&mine, &theirs), looked.error, asked.year)
        }
    };
    if risk.is_none() {
        remarks.insert(0, unseen.clone().unwrap_or_else(|| "Patients tell nothing of its fracture.".to_owned()));
    }
    let found = FullFound {
        id: candidate.id(),
        title: candidate.title(),
        size: (unknowns, solutions.iter().map(|s| s.convergence.iterations).max().unwrap_or(0)),
        connectors: form.built.clone(),
        stress: told(&form, &solutions)?,
        zoomed: looked.zoomed,
        ratio: (unseen.is_none().then_some(ratio), (stress.case.mean() - stress.reference.mean()).exp()),
        risk,
        remarks,
    };
    Ok(FullWork { found, planned: solutions, framework: form.framework() })
}

/// Why nothing rests on these cells: longer than a wall is thick, they are beyond what [`CELLS`] was judged for.
fn unseen(walls: [Option<f64>; 2], cell: f64) -> Option<String> {
    let names = ["as planned", "in the studies' size"];
    let (wall, name) =
        walls.into_iter().zip(names).find_map(|(wall, name)| Some((wall.filter(|w| *w < cell)?, name)))?;
    Some(format!(
        "The wall under the bite is {wall:.1} mm thin {name}: cells of {cell:.1} mm do not show its stress, so neither its ratio nor odds are told. Ask for a zoom, or for cells of half the wall."
    ))
}

fn stiff(candidate: &Candidate, dimensions: &Dimensions, catalogue: &Catalogue) -> Result<Stiff, FullError> {
    let of = |word: &str| {
        let young = catalogue
            .class_value(word, "youngs_modulus")
            .ok_or_else(|| FullError::NotComputed(format!("the modulus of {word} is not known")))?;
        Ok::<_, FullError>(Material { young: 1000.0 * young.figure.middle(), poisson: 0.25 })
    };
    let layers = core_share(candidate, dimensions).zip(pair(candidate.material));
    let veneer = layers.map(|(share, (_, word))| Ok::<_, FullError>((share, of(word)?))).transpose()?;
    Ok(Stiff {
        framework: of(candidate.material.word())?,
        dentine: Material { young: crate::mechanics::DENTINE.0, poisson: crate::mechanics::DENTINE.1 },
        veneer,
    })
}

/// One solution a bite, the number of unknowns.
fn solved(made: &Made, cutting: &Piece, solving: &Piece) -> Result<(Vec<Solution>, usize), FullError> {
    let prepared = Prepared::new(made.model.clone(), cutting)?;
    let solutions = prepared.solve(TOLERANCE, solving)?;
    let unknowns = prepared.unknowns();
    Ok((solutions, unknowns))
}

/// Number of the surface that is stressed most under the first bite.
fn worst(made: &Made, solutions: &[Solution]) -> Result<usize, FullError> {
    let ln_s = |number: usize| Some(equivalent(made, number, solutions).ok()?.ln_equivalent(SHOWN_M));
    let all = (0..made.seen.len()).filter_map(|number| Some((number, ln_s(number)?)));
    all.max_by(|a, b| a.1.total_cmp(&b.1))
        .map(|a| a.0)
        .ok_or_else(|| FullError::NotComputed("no surface looked at is in tension".to_owned()))
}

/// Number of a surface of one body in the other, which may have fewer.
fn same(one: &Made, number: usize, other: &Made) -> Result<usize, FullError> {
    let name = one.seen.get(number).map(|s| s.group.name.as_str());
    let found = other.seen.iter().position(|s| Some(s.group.name.as_str()) == name);
    found.ok_or_else(|| FullError::NotComputed("what is stressed most is none of what the studies' had".to_owned()))
}

/// s_W of a surface under the first bite.
fn equivalent(made: &Made, number: usize, solutions: &[Solution]) -> Result<EquivalentTable, FullError> {
    let (Some(first), Some(seen)) = (solutions.first(), made.seen.get(number)) else {
        return Err(FullError::Model("no load case".to_owned()));
    };
    let spectrum = first.group(&seen.group)?.spectrum;
    spectrum
        .map(|s| s.table())
        .ok_or_else(|| FullError::NotComputed(format!("the {} is nowhere in tension", seen.group.name)))
}

fn told(made: &Made, solutions: &[Solution]) -> Result<Vec<BiteStress>, FullError> {
    let mut all = Vec::new();
    for s in solutions {
        for group in made.seen.iter().map(|s: &Seen| &s.group).chain(&made.beside) {
            // A zoom holds one of several connectors.
            let Ok(found) = s.group(group) else { continue };
            all.push(BiteStress {
                bite: made.model.cases.get(s.case).map_or_else(String::new, |c| c.name.clone()),
                group: group.name.clone(),
                equivalent: found.spectrum.as_ref().map_or(0.0, |x| x.equivalent_stress(SHOWN_M)),
                peak: found.peak.1.max(0.0),
                at: found.peak.0,
                left_out: found.left_out,
            });
        }
    }
    Ok(all)
}

/// What the two ratios are taken from.
struct Looked {
    mine: Vec<Solution>,
    theirs: Vec<Solution>,
    /// Spread of ln of their ratio.
    error: f64,
    /// As told of the zoom, where there is one.
    zoomed: Vec<BiteStress>,
}

/// The first bite in smaller cells around the spot; as it was solved where none are asked for. A wall gets four cells through it at least.
fn closer(
    made: &Made,
    number: usize,
    solutions: &[Solution],
    asked: &FullAsked,
    progress: &dyn Progress,
) -> Result<Vec<Solution>, FullError> {
    let first = solutions.get(..1).unwrap_or_default();
    let Some(cell) = asked.zoom else { return Ok(first.to_vec()) };
    let cell = made.wall.map_or(cell, |wall| cell.min(0.25 * wall));
    let centre = made.seen.get(number).map_or([0.0; 3], |s| s.spot);
    let zoom = Zoom { name: "spot".into(), centre, size: ZOOM, cell };
    Ok(Solution::zoom(first, &zoom, TOLERANCE, progress)?)
}

/// Risk with the ratio of these solves in place of the plan's, and as the plan has it.
#[allow(clippy::too_many_arguments)] // where evidence, loads and mechanics meet
fn risk(
    world: &World,
    case: &Case,
    catalogue: &Catalogue,
    posterior: &Posterior,
    candidate: &Candidate,
    planned: &StressPerNewton,
    (mine, theirs): (&EquivalentTable, &EquivalentTable),
    cells: f64,
    year: f64,
) -> Option<(Interval, Interval)> {
    let fewer = posterior.thinned(world.draws());
    let (bite, anchoring) = (Bite::of(world, case, catalogue), Anchoring::of(world, Arc::new(RiskTable::default())));
    let at = |t: &EquivalentTable| planned.m.map(|m| t.ln_equivalent(m.clamp(2.0, 79.0)));
    let error = world.normal("strength/cells", 0.0, cells);
    let own = planned.reference.plus(&at(mine)).plus(&at(theirs).scaled(-1.0)).plus(&error);
    let solved = StressPerNewton { case: own, ..planned.clone() };
    let of = |stress: &StressPerNewton| {
        let risks = Risks::of(world, case, candidate, catalogue, &fewer, &bite, Some(stress), &anchoring);
        (!risks.fracture_not_known())
            .then(|| risks.crude(Cause::FrameworkFracture, Process::Loss, year).interval().rounded())
    };
    Some((of(&solved)?, of(planned)?))
}

//! Stress of one option by finite elements of its own form: the work of a job, and the mesh that is kept of it.
//!
//! A mesh lies beside its sheet as `<sheet>-stress-<made of>.bin`, named by a checksum of what it was made of (case, option, own tables, program), so
//! that it is found again after a restart or an undo and never shown for another case. What the solver tells is not what the plan goes by:
//! [`CAUTION`] goes with every figure of it.

use crate::app::App;
use crate::draft;
use crate::jobs::Meter;
use crate::mesh::{Scalar, pack};
use crate::problem::Problem;
use crate::sheet_routes::id_of;
use crate::sheets::{Id, replace};
use answer::{Progress, World};
use axum::http::StatusCode;
use case::Case;
use plan::{FULL_STAGES, FullAsked, FullError, FullWork, colours_end, full};
use serde_json::{Value, json};
use sha2::{Digest, Sha256};
use shape::Surface;
use std::ops::ControlFlow;
use std::path::PathBuf;
use strength::solve::principal;

/// Said with every figure of a full solve.
pub const CAUTION: &str = "Go by the plan's figure: solves of whole teeth are coarse and not checked against experiments yet, and where the two differ nobody knows which is right";
/// What the values are.
const QUANTITY: &str = "greatest principal stress under a bite of 100 N";
/// Edge of a cell in the zoom that the figure is told from, mm; the mesh shows the whole.
const ZOOM: f64 = 0.3;
/// Meshes kept a sheet.
const KEPT: usize = 12;

/// Solves an option of a sheet and keeps its surface with the stress.
///
/// # Errors
/// When the case has no such option, nothing brittle carries its load, the solver fails, or it was stopped.
pub fn solved(
    app: &App,
    sheet: &str,
    option: Option<&str>,
    cell: Option<f64>,
    meter: &Meter,
) -> Result<(String, Value), Problem> {
    let id = id_of(sheet)?;
    let standing = app.sheets().standing(&id)?;
    let grounds = app.ground().get()?;
    let read = draft::read("case", &standing.case, grounds.catalogue.own_colours());
    let case = read.case.ok_or_else(|| Problem::of_issues(&read.issues))?;
    let asked = FullAsked { cell: edge(cell)?, zoom: Some(ZOOM), year: 10.0 };
    let world = World::with_draws(1, World::DRAWS / 8);
    let solves = Solves(meter);
    let work = full(&world, &case, &grounds.catalogue, &grounds.posterior, option, &asked, &solves).map_err(told)?;
    let packed = packed(&work, asked.cell)?;
    let path = file(app, &id, &case, &work.found.id);
    replace(&path, &packed)
        .map_err(|e| Problem::fault(format!("the mesh could not be kept: {e}"), "make room on the disk"))?;
    forget_old(app, &id);
    let (solved, planned) = work.found.ratio;
    let here = match solved {
        Some(solved) => format!("{solved:.2} by this solve"),
        None => "not told by this solve, whose cells are too large for its wall".to_owned(),
    };
    let words = format!(
        "{}: stress over that of the studies' size {planned:.2} as the plan has it, {here}. {CAUTION}.",
        work.found.title
    );
    let found = serde_json::to_value(&work.found).unwrap_or_default();
    Ok((
        words,
        json!({
            "revision": standing.revision, "option": work.found.id, "mesh": "stress", "caution": CAUTION, "found": found,
        }),
    ))
}

fn edge(cell: Option<f64>) -> Result<f64, Problem> {
    let cell = cell.unwrap_or(plan::FULL_CELL);
    if (0.5..=1.5).contains(&cell) {
        Ok(cell)
    } else {
        Err(Problem::wrong("cell", "such cells are not solved here", "0.5 to 1.5 mm", "leave it out"))
    }
}

fn told(e: FullError) -> Problem {
    let (what, remedy) = (e.to_string(), "take another option of the plan");
    match e {
        FullError::NoOption(_) => {
            Problem::wrong("option", what, "an id of the plan's options", "take it from the plan")
        }
        FullError::NotComputed(_) => Problem::wrong("option", what, "an option with a brittle body", remedy),
        FullError::Interrupted(_) => Problem::new(StatusCode::CONFLICT, "", what, "time to finish", "begin it again"),
        FullError::NotHeld(_) | FullError::Model(_) => Problem::fault(what, "take other cells or another option"),
    }
}

/// The framework, or all of a restoration of one material, under the first bite, half a cell fine.
fn packed(work: &FullWork, cell: f64) -> Result<Vec<u8>, Problem> {
    let broken = |what: String| Problem::fault(what, "take other cells or another option");
    let solution = work.planned.first().ok_or_else(|| broken("nothing was solved".to_owned()))?;
    let model = solution.model();
    let (Some(body), Some(bite)) = (model.bodies.get(work.framework), model.cases.get(solution.case)) else {
        return Err(broken("the model has no body or no bite".to_owned()));
    };
    let surface = Surface::of(&*body.solid, 0.5 * cell).map_err(|e| broken(e.to_string()))?;
    // The model is bitten on with one newton.
    let at =
        |p: &[f64; 3]| 100.0 * solution.nearest(work.framework, *p).map_or(0.0, |l| principal(l.stress)[0].max(0.0));
    let values: Vec<f64> = surface.points().iter().map(at).collect();
    let scale_ends = colours_end(&values);
    let scalar = Scalar { name: QUANTITY, unit: "MPa", values, scale_ends };
    let title = format!("{}, bitten on: {}", work.found.title, bite.name);
    let text = format!("{CAUTION}; average forms, cells of {cell} mm, not to cut to");
    Ok(pack(&surface, Some(&scalar), &title, &text))
}

/// The mesh of an option as its case stands, where one was made.
pub fn kept(app: &App, id: &Id, case: &Case, option: &str) -> Option<PathBuf> {
    Some(file(app, id, case, option)).filter(|path| path.is_file())
}

fn file(app: &App, id: &Id, case: &Case, option: &str) -> PathBuf {
    let mut sum = Sha256::new();
    sum.update(serde_json::to_vec(case).unwrap_or_default());
    sum.update(format!("{option} {}", env!("CARGO_PKG_VERSION")));
    for table in own_tables(app) {
        sum.update(table);
    }
    let made_of: String = sum.finalize().iter().take(8).map(|b| format!("{b:02x}")).collect();
    app.sheets().folder().join(format!("{}-stress-{made_of}.bin", id.text()))
}

/// Own tables of facts, in the order of their names.
fn own_tables(app: &App) -> Vec<Vec<u8>> {
    let Ok(entries) = std::fs::read_dir(app.own_tables()) else { return Vec::new() };
    let mut paths: Vec<PathBuf> = entries.flatten().map(|e| e.path()).collect();
    paths.retain(|p| p.extension().and_then(|e| e.to_str()).is_some_and(|e| ["csv", "toml"].contains(&e)));
    paths.sort();
    paths.into_iter().filter_map(|p| std::fs::read(p).ok()).collect()
}

fn forget_old(app: &App, id: &Id) {
    let Ok(entries) = std::fs::read_dir(app.sheets().folder()) else { return };
    let begins = format!("{}-stress-", id.text());
    let mut kept: Vec<_> = entries
        .flatten()
        .filter(|e| e.file_name().to_str().is_some_and(|n| n.starts_with(&begins) && n.ends_with(".bin")))
        .filter_map(|e| Some((e.metadata().ok()?.modified().ok()?, e.path())))
        .collect();
    kept.sort();
    for (_, path) in kept.iter().rev().skip(KEPT) {
        // One that stays takes room and does no harm.
        let _ = std::fs::remove_file(path);
    }
}

/// Tells what is being done beside how far it has come.
struct Solves<'a>(&'a Meter);

impl Progress for Solves<'_> {
    fn step(&self, done: usize, total: usize) -> ControlFlow<()> {
        let share = done as f64 / total.max(1) as f64;
        if let Some((_, words)) = FULL_STAGES.iter().rfind(|(from, _)| *from <= share) {
            self.0.tell(words);
        }
        self.0.step(done, total)
    }
}

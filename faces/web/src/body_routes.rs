//! Sections, trials and meshes over the network: what a hand drags and what an eye turns.

use crate::api::{Api, Operation};
use crate::app::App;
use crate::bodies::FlatSection;
use crate::draft;
use crate::files;
use crate::grounds::Grounds;
use crate::mesh::{Scalar, pack};
use crate::planning::name_of;
use crate::problem::{Problem, away};
use crate::sheet_routes::id_of;
use crate::sheets::Id;
use crate::stress;
use axum::Json;
use axum::extract::{Path, Query, State};
use axum::http::header::CONTENT_TYPE;
use axum::response::{IntoResponse, Response};
use axum::routing::{get, post};
use case::Case;
use catalogue::words::Tooth;
use plan::{Fidelity, PlannedOption, Report, Trial, Tried};
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};
use shape::{Solid, Surface};
use std::sync::Arc;
use std::time::Instant;

/// The routes.
pub fn routes(api: Api) -> Api {
    api.with(
        Operation::new(
            "get",
            "/api/sheets/{id}/section/{option}",
            "A flat section to scale, and what may be dragged in it",
        )
        .query("tooth", "the tooth (default: the first that carries)")
        .answers::<FlatSection>(),
        get(section),
    )
    .with(
        Operation::new("post", "/api/sheets/{id}/try", "What follows from other dimensions; nothing is kept")
            .takes::<Try>()
            .answers::<TrialForm>(),
        post(trial),
    )
    .with(
        Operation::new("get", "/api/sheets/{id}/meshes", "The meshes there are")
            .query("option", "id of an option (default: the first)")
            .answers::<Vec<MeshRow>>(),
        get(meshes),
    )
    .with(
        Operation::new(
            "get",
            "/api/sheets/{id}/mesh/{file}",
            "A mesh: `what`.bin; head (length, JSON), then points, facets, values",
        )
        .query("tooth", "the tooth")
        .query("option", "id of an option (default: the first)")
        .answers_media("application/octet-stream"),
        get(mesh),
    )
}

/// An option in other dimensions.
#[derive(Debug, Clone, Deserialize, JsonSchema)]
pub struct Try {
    /// Id of the option.
    pub option: String,
    /// The tooth whose section is drawn.
    #[serde(default)]
    pub tooth: Option<u8>,
    /// What is tried.
    #[serde(default)]
    pub values: Tried,
}

/// What follows.
#[derive(Debug, Clone, Serialize, JsonSchema)]
pub struct TrialForm {
    /// The answers.
    #[serde(flatten)]
    pub trial: Trial,
    /// The section in these dimensions.
    pub section: FlatSection,
    /// How long it took, milliseconds.
    pub took_ms: u64,
}

/// A mesh there is.
#[derive(Debug, Clone, Serialize, JsonSchema)]
pub struct MeshRow {
    /// Its name for `/mesh/{what}.bin`.
    pub what: String,
    /// The tooth.
    pub tooth: u8,
    /// In words.
    pub title: String,
}

/// A sheet with its plan.
struct Planned {
    id: Id,
    case: Case,
    report: Arc<Report>,
    grounds: Arc<Grounds>,
}

impl Planned {
    fn of(app: &App, id: &str) -> Result<Self, Problem> {
        let id = id_of(id)?;
        let sheet = app.sheets().standing(&id)?;
        let grounds = app.ground().get()?;
        let read = draft::read("case", &sheet.case, grounds.catalogue.own_colours());
        let case = read.case.ok_or_else(|| Problem::of_issues(&read.issues))?;
        let report = app.plans().of(&name_of(&sheet), &case, &grounds, Fidelity::Instant)?;
        Ok(Self { id, case, report, grounds })
    }

    fn option(&self, id: Option<&str>) -> Result<&PlannedOption, Problem> {
        let found = match id {
            Some(id) => self.report.option(id),
            None => self.report.options.first(),
        };
        found.ok_or_else(|| {
            Problem::wrong("option", "the plan has no such option", "an id of its options", "take it from the plan")
        })
    }
}

fn tooth_of(code: Option<u8>) -> Result<Option<Tooth>, Problem> {
    let wrong =
        |_| Problem::wrong("tooth", "there is no such tooth", "a code of ISO 3950, e.g. 46", "take one of the case");
    code.map(|c| Tooth::new(c).map_err(wrong)).transpose()
}

#[derive(Debug, Deserialize)]
struct Which {
    tooth: Option<u8>,
    option: Option<String>,
}

async fn section(
    State(app): State<App>,
    Path((id, option)): Path<(String, String)>,
    Query(which): Query<Which>,
) -> Result<Json<FlatSection>, Problem> {
    away(move || {
        let planned = Planned::of(&app, &id)?;
        let option = planned.option(Some(&option))?;
        let (tooth, nothing) = (tooth_of(which.tooth)?, Tried::default());
        let section = app.bodies().section(&planned.case, &planned.grounds.catalogue, option, tooth, &nothing)?;
        // Once it is seen it may be dragged: what the first move asks for is made meanwhile, beside the answer.
        let (beside, option) = (app.clone(), option.id.clone());
        drop(tokio::task::spawn_blocking(move || beside.lay_out(&planned.case, &planned.grounds, &option)));
        Ok(Json(section))
    })
    .await
}

async fn trial(
    State(app): State<App>,
    Path(id): Path<String>,
    Json(asked): Json<Try>,
) -> Result<Json<TrialForm>, Problem> {
    let started = Instant::now();
    away(move || {
        check(&asked.values)?;
        let planned = Planned::of(&app, &id)?;
        let Planned { case, grounds, .. } = &planned;
        let option = planned.option(Some(&asked.option))?;
        let tooth = tooth_of(asked.tooth)?;
        // Answers and drawing do not wait for each other.
        let (section, trial) = std::thread::scope(|scope| {
            let drawn = scope.spawn(|| app.bodies().section(case, &grounds.catalogue, option, tooth, &asked.values));
            let trial =
                app.lay_out(case, grounds, &asked.option).tried(case, &grounds.catalogue, &asked.option, &asked.values);
            (drawn.join(), trial)
        });
        let section = section.map_err(|_| Problem::fault("the drawing broke off", "drag on"))??;
        let trial = trial.map_err(|e| Problem::wrong("case", e.to_string(), "a colour that can be", "correct it"))?;
        let trial = trial.ok_or_else(|| {
            Problem::wrong("option", "the case has no such option", "an id of the plan", "take it from the plan")
        })?;
        Ok(Json(TrialForm { trial, section, took_ms: started.elapsed().as_millis() as u64 }))
    })
    .await
}

/// Dimensions a hand can drag to.
fn check(tried: &Tried) -> Result<(), Problem> {
    let within = [
        ("thickness", tried.thickness, 0.1, 6.0),
        ("taper", tried.taper, 0.0, 60.0),
        ("connector_height", tried.connector_height, 0.5, 12.0),
        ("connector_width", tried.connector_width, 0.5, 10.0),
        ("connector_radius", tried.connector_radius, 0.05, 3.0),
    ];
    for (name, value, low, high) in within {
        if value.is_some_and(|v| !(low..=high).contains(&v)) {
            let expected = format!("{low} to {high}");
            return Err(Problem::wrong(name, "this cannot be made", &expected, "drag back"));
        }
    }
    Ok(())
}

/// Meshes by name and title, and whether they need a prepared tooth.
const MESHES: &[(&str, &str, bool)] = &[
    ("tooth", "tooth before preparation, average form", false),
    ("stump", "least preparation, as a stump", true),
    ("depth", "depth of the least preparation", true),
    ("restoration", "restoration with its thickness", true),
    ("pulp", "pulp, average form", false),
    ("scan", "scan as it was sent", false),
];

async fn meshes(
    State(app): State<App>,
    Path(id): Path<String>,
    Query(which): Query<Which>,
) -> Result<Json<Vec<MeshRow>>, Problem> {
    away(move || {
        let planned = Planned::of(&app, &id)?;
        let option = planned.option(which.option.as_deref())?;
        let mut list = Vec::new();
        for tooth in planned.case.standing() {
            let cut = option.preparation.iter().any(|p| p.tooth == tooth);
            let scanned = planned.case.abutment(tooth).is_some_and(|a| a.scan.is_some());
            for (what, title, needs_cut) in MESHES {
                if (*needs_cut && !cut) || (*what == "scan" && !scanned) {
                    continue;
                }
                let row = MeshRow { what: (*what).to_owned(), tooth: tooth.code(), title: format!("{tooth}: {title}") };
                list.push(row);
            }
        }
        let main = planned.case.main_tooth().or_else(|| planned.case.standing().first().copied());
        if let Some(tooth) = main.filter(|_| stress::kept(&app, &planned.id, &planned.case, &option.id).is_some()) {
            let title = "restoration with its stress, coarse: the plan's figure comes first".to_owned();
            list.push(MeshRow { what: "stress".to_owned(), tooth: tooth.code(), title });
        }
        Ok(Json(list))
    })
    .await
}

/// Lattice of a mesh, mm.
const CELL: f64 = 0.25;

async fn mesh(
    State(app): State<App>,
    Path((id, file)): Path<(String, String)>,
    Query(which): Query<Which>,
) -> Result<Response, Problem> {
    away(move || {
        let what = file.strip_suffix(".bin").unwrap_or(&file);
        let planned = Planned::of(&app, &id)?;
        let option = planned.option(which.option.as_deref())?;
        if what == "stress" {
            return stressed(&app, &planned, &option.id);
        }
        let tooth = tooth_of(which.tooth)?.or_else(|| planned.case.standing().first().copied());
        let (Some(tooth), Some((_, title, _))) = (tooth, MESHES.iter().find(|m| m.0 == what)) else {
            return Err(no_mesh());
        };
        let title = format!("{tooth}: {title}");
        let packed = match what {
            "scan" => scanned(&app, &planned.case, tooth, &title)?,
            _ => computed(&app, &planned, option, tooth, what, &title)?,
        };
        Ok(([(CONTENT_TYPE, "application/octet-stream")], packed).into_response())
    })
    .await
}

fn stressed(app: &App, planned: &Planned, option: &str) -> Result<Response, Problem> {
    let bytes = stress::kept(app, &planned.id, &planned.case, option).and_then(|path| std::fs::read(path).ok());
    let bytes = bytes.ok_or_else(|| {
        let remedy = "begin a job of the kind `stress` for this option; it takes about a minute";
        Problem::missing("the stress of this option was not solved as the sheet stands", "a mesh of the list", remedy)
    })?;
    Ok(([(CONTENT_TYPE, "application/octet-stream")], bytes).into_response())
}

fn no_mesh() -> Problem {
    Problem::missing("there is no such mesh", "one of the list of meshes", "take it from the list")
}

fn scanned(app: &App, case: &Case, tooth: Tooth, title: &str) -> Result<Vec<u8>, Problem> {
    let name = case.abutment(tooth).and_then(|a| a.scan.clone()).ok_or_else(no_mesh)?;
    let plain = std::path::Path::new(&name).file_name().is_some_and(|n| n == name.as_str());
    let bytes = plain.then(|| std::fs::read(app.sheets().folder().join(&name)).ok()).flatten().ok_or_else(no_mesh)?;
    let surface = files::surface(&bytes, &name)?;
    Ok(pack(&surface, None, title, &format!("{} triangles, as sent", surface.facets().len())))
}

fn computed(
    app: &App,
    planned: &Planned,
    option: &PlannedOption,
    tooth: Tooth,
    what: &str,
    title: &str,
) -> Result<Vec<u8>, Problem> {
    let made = app.bodies().made(&planned.case, &planned.grounds.catalogue, option, tooth, CELL)?;
    let wrong = |e: shape::ShapeError| Problem::fault(e.to_string(), "take another option or tooth");
    let of = |solid: &dyn Solid| Surface::of(solid, CELL).map_err(wrong);
    let form = "average form, to look at and measure, not to cut to";
    match (what, &made.preparation, &made.restoration) {
        ("tooth", _, _) => Ok(pack(&of(made.parts.outer.as_ref())?, None, title, form)),
        ("pulp", _, _) => Ok(pack(&of(made.parts.pulp.as_ref())?, None, title, form)),
        ("stump", Some(p), _) => Ok(pack(&of(&p.stump)?, None, title, form)),
        ("depth", Some(p), _) => {
            let surface = of(&p.present)?;
            let depth: Vec<f64> = surface.points().iter().map(|q| p.stump.distance(*q).max(0.0)).collect();
            let scalar = Scalar { name: "depth of the preparation", unit: "mm", values: depth, scale_ends: None };
            Ok(pack(&surface, Some(&scalar), title, form))
        }
        ("restoration", Some(p), Some(body)) => {
            let surface = of(body)?;
            // Thickness at a place: from the outer form to the stump through it.
            let values =
                surface.points().iter().map(|q| (p.stump.distance(*q) - p.wanted.distance(*q)).max(0.0)).collect();
            let scalar = Scalar { name: "thickness", unit: "mm", values, scale_ends: None };
            Ok(pack(&surface, Some(&scalar), title, form))
        }
        _ => Err(no_mesh()),
    }
}

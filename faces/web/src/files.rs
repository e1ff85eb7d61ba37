//! Files sent to a sheet: bounded while they come in, kept beside the case under a name made of their contents, read afterwards.

use crate::api::{Api, Operation};
use crate::app::App;
use crate::job_routes;
use crate::jobs::{Job, Work};
use crate::photograph;
use crate::problem::{Problem, away};
use crate::sheet_routes::id_of;
use crate::sheets::{Id, replace};
use axum::Json;
use axum::body::Bytes;
use axum::extract::{DefaultBodyLimit, Path, Query, State};
use axum::http::StatusCode;
use axum::routing::post;
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};
use serde_json::{Value, json};
use sha2::{Digest, Sha256};
use shape::{ReadLimits, Surface};

/// Largest file, bytes: a full-arch scan has some 30 to 60 MB.
pub const LARGEST: usize = 200 << 20;
/// Facets of a scan read here.
const FACETS: usize = 4_000_000;

/// The route.
pub fn routes(api: Api) -> Api {
    api.with(
        Operation::new("post", "/api/sheets/{id}/files", "Keeps a file beside the case and reads it in a job")
            .query("name", "its name; only the ending is kept, since names tell people")
            .query("kind", "`scan`, `wax_up`, `photo` or `csv`")
            .query("tooth", "the tooth of a scan or wax-up")
            .takes_bytes()
            .answers::<Sent>(),
        post(send).layer(DefaultBodyLimit::max(LARGEST)),
    )
}

/// A file that was sent.
#[derive(Debug, Clone, Serialize, JsonSchema)]
pub struct Sent {
    /// The file as kept.
    pub file: FileForm,
    /// The job that reads it.
    pub job: Job,
}

/// A file as kept.
#[derive(Debug, Clone, Serialize, JsonSchema)]
pub struct FileForm {
    /// Its name beside the case.
    pub name: String,
    /// SHA-256 of its contents.
    pub sha256: String,
    /// Its size.
    pub bytes: usize,
    /// What it is.
    pub kind: String,
}

#[derive(Debug, Deserialize)]
struct Described {
    name: String,
    kind: String,
    tooth: Option<u8>,
}

/// Endings by what a file is.
fn endings(kind: &str) -> &'static [&'static str] {
    match kind {
        "scan" | "wax_up" => &["stl", "ply", "obj", "3mf"],
        "photo" => &["jpg", "jpeg", "png"],
        "csv" => &["csv"],
        _ => &[],
    }
}

async fn send(
    State(app): State<App>,
    Path(id): Path<String>,
    Query(described): Query<Described>,
    bytes: Bytes,
) -> Result<(StatusCode, Json<Sent>), Problem> {
    let (file, job) = away({
        let app = app.clone();
        move || keep(&app, &id_of(&id)?, &described, &bytes)
    })
    .await?;
    job_routes::start(&app, &job);
    Ok((StatusCode::ACCEPTED, Json(Sent { file, job })))
}

fn keep(app: &App, id: &Id, described: &Described, bytes: &[u8]) -> Result<(FileForm, Job), Problem> {
    app.sheets().standing(id)?;
    let known = endings(&described.kind);
    let ending = described.name.rsplit('.').next().unwrap_or_default().to_ascii_lowercase();
    if !known.contains(&ending.as_str()) {
        let expected = match described.kind.as_str() {
            "scan" | "wax_up" => "a surface: .stl, .ply, .obj or .3mf",
            "photo" => "a photograph: .jpg or .png",
            "csv" => "a table: .csv",
            _ => "a scan, wax-up, photograph or table",
        };
        return Err(Problem::wrong("name", "a file of this ending is not read", expected, "save it as one of them"));
    }
    if bytes.is_empty() {
        return Err(Problem::wrong("body", "the file is empty", "a file with contents", "send it again"));
    }
    let sha256: String = Sha256::digest(bytes).iter().map(|b| format!("{b:02x}")).collect();
    let name = format!("{}-{}.{ending}", id.text(), &sha256[..12]);
    replace(&app.sheets().folder().join(&name), bytes).map_err(|e| {
        Problem::fault(format!("the file could not be kept: {e}"), "make room on the disk and send it again")
    })?;
    let work = Work::File {
        sheet: id.text().to_owned(),
        name: name.clone(),
        what: described.kind.clone(),
        tooth: described.tooth,
    };
    let job = app.jobs().enter(work)?;
    Ok((FileForm { name, sha256, bytes: bytes.len(), kind: described.kind.clone() }, job))
}

/// What reading a file found.
pub struct Found {
    /// In a sentence.
    pub words: String,
    /// In figures.
    pub found: Value,
}

/// Reads a file kept beside the cases.
///
/// # Errors
/// When it is not what it says it is.
pub fn read(app: &App, name: &str, what: &str) -> Result<Found, Problem> {
    let bytes = std::fs::read(app.sheets().folder().join(name))
        .map_err(|e| Problem::fault(format!("the file cannot be read again: {e}"), "send it again"))?;
    match what {
        "scan" | "wax_up" => {
            let surface = surface(&bytes, name)?;
            let (facets, area) = (surface.facets().len(), surface.area());
            let size = surface.bound().size().map(|s| (10.0 * s).round() / 10.0);
            let words = format!("{facets} triangles, {:.1} x {:.1} x {:.1} mm", size[0], size[1], size[2]);
            Ok(Found {
                words,
                found: json!({ "facets": facets, "area_mm2": answer::six_figures(area), "size_mm": size }),
            })
        }
        "photo" => {
            let (width, height) = photograph::size(&bytes).map_err(|e| {
                Problem::wrong("file", e.to_string(), "a whole JPEG or PNG picture", "save it anew and send it again")
            })?;
            Ok(Found {
                words: format!("photograph, {width} x {height} pixels"),
                found: json!({ "width": width, "height": height }),
            })
        }
        _ => {
            let text = String::from_utf8(bytes).map_err(|_| {
                Problem::wrong("file", "the table is not UTF-8 text", "UTF-8", "save the table as UTF-8")
            })?;
            let (rows, heads) = (text.lines().count().saturating_sub(1), text.lines().next().unwrap_or_default());
            let heads: Vec<&str> = heads.split([',', ';', '\t']).map(str::trim).collect();
            Ok(Found {
                words: format!("table of {rows} rows and {} columns", heads.len()),
                found: json!({ "rows": rows, "columns": heads }),
            })
        }
    }
}

/// Removes a file that is not what it says it is: nothing refers to it, and what was sent by mistake may tell people.
pub fn forget(app: &App, name: &str) {
    // One that stays takes room and is not read again.
    let _ = std::fs::remove_file(app.sheets().folder().join(name));
}

/// A surface out of a file's bytes, within bounds.
///
/// # Errors
/// When it is none, or larger than is read here.
pub fn surface(bytes: &[u8], name: &str) -> Result<Surface, Problem> {
    let limits = ReadLimits { bytes: LARGEST, facets: FACETS, ..ReadLimits::default() };
    let read = shape::read(bytes, name, &limits).map_err(|e| Problem::of_issues(&[e.issue(name)]))?;
    Surface::from_mesh(read.mesh).map_err(|e| {
        Problem::wrong("file", e.to_string(), "a surface that can be measured", "repair it and send it again")
    })
}

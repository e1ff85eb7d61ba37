//! The evidence room: the library of study arms, its forests, funnels and map; own rows added and arms retired with a reason.

use crate::api::{Api, Operation};
use crate::app::App;
use crate::jobs::Meter;
use crate::problem::{Problem, away};
use crate::program::Passing;
use axum::Json;
use axum::extract::{Path, Query, State};
use axum::http::header::CONTENT_TYPE;
use axum::response::{IntoResponse, Response};
use axum::routing::{get, post};
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};
use serde_json::{Map, Value, json};
use std::collections::BTreeMap;

/// The table of arms.
const STUDIES: &str = "studies.csv";

/// The routes.
pub fn routes(api: Api) -> Api {
    api.with(
        Operation::new("get", "/api/evidence/studies", "Every arm as it enters the pool, or why not")
            .answers::<Vec<Value>>(),
        get(studies),
    )
    .with(
        Operation::new(
            "get",
            "/api/evidence/arms",
            "Every row of the library with all its columns, and whether it is own",
        )
        .answers::<Vec<Value>>(),
        get(arms),
    )
    .with(
        Operation::new("get", "/api/evidence/map", "Material by indication, as `bisque evidence map --json`")
            .answers::<Vec<Value>>(),
        get(map),
    )
    .with(
        Operation::new(
            "get",
            "/api/evidence/picture/{file}",
            "`forest.svg` or `funnel.svg` of a cell, `map.svg` of all",
        )
        .query("cell", "coarse label first, e.g. crown/zirconia")
        .query("by", "a grouping: material, build, region, setting")
        .answers_media("image/svg+xml"),
        get(picture),
    )
    .with(
        Operation::new("post", "/api/evidence/add", "Adds an own arm; checked before anything is written")
            .takes::<Add>()
            .answers::<Done>(),
        post(add),
    )
    .with(
        Operation::new("post", "/api/evidence/retire", "Takes an arm out of the pool; it stays listed with the reason")
            .takes::<Retire>()
            .answers::<Done>(),
        post(retire),
    )
    .with(
        Operation::new(
            "post",
            "/api/evidence/restore",
            "Takes a retirement back: a shipped arm is pooled as shipped, an own one as it stands",
        )
        .takes::<Restore>()
        .answers::<Done>(),
        post(restore),
    )
}

/// An own arm.
#[derive(Debug, Clone, Deserialize, JsonSchema)]
pub struct Add {
    /// Fields by the columns of the library.
    pub fields: BTreeMap<String, String>,
    /// Where the figures stand.
    #[serde(default)]
    pub citation: Option<String>,
    /// Check only.
    #[serde(default)]
    pub dry_run: bool,
}

/// An arm that may not be pooled.
#[derive(Debug, Clone, Deserialize, JsonSchema)]
pub struct Retire {
    /// Its id.
    pub id: String,
    /// Why.
    pub reason: String,
}

/// An arm whose retirement is taken back.
#[derive(Debug, Clone, Deserialize, JsonSchema)]
pub struct Restore {
    /// Its id.
    pub id: String,
}

/// An arm with what the practice did to it.
#[derive(Debug, Clone, Serialize)]
struct Study {
    /// The arm.
    #[serde(flatten)]
    arm: evidence::Arm,
    /// True where the practice added it or laid a row of its own over it.
    own: bool,
    /// Why the practice took it out of the pool, where it did.
    retired: Option<String>,
}

/// What was done.
#[derive(Debug, Clone, Serialize, JsonSchema)]
pub struct Done {
    /// In words.
    pub words: String,
}

fn words(of: &[&str]) -> Vec<String> {
    of.iter().map(|w| (*w).to_owned()).collect()
}

/// A command of the evidence with the practice's own tables.
fn command(app: &App, of: &[&str]) -> Vec<String> {
    let mut arguments = words(&["evidence"]);
    arguments.extend(words(of));
    arguments.push(format!("--data={}", app.own_tables().display()));
    arguments
}

async fn studies(State(app): State<App>) -> Result<Json<Value>, Problem> {
    away(move || {
        let grounds = app.ground().get()?;
        let rows = grounds.catalogue.table(STUDIES).unwrap_or_default();
        let study = |arm: evidence::Arm| {
            let own = rows.iter().find(|(r, o)| r.maybe("id") == Some(&arm.id) && *o != table::Origin::Shipped);
            let retired = own.filter(|(r, _)| r.maybe("use") == Some("no"));
            let retired = retired.map(|(r, _)| r.maybe("use_reason").unwrap_or_default().to_owned());
            Study { arm, own: own.is_some(), retired }
        };
        let studies: Vec<Study> = plan::arms(&grounds.catalogue).into_iter().map(study).collect();
        serde_json::to_value(studies).map(Json).map_err(|e| Problem::fault(e.to_string(), "try again"))
    })
    .await
}

async fn arms(State(app): State<App>) -> Result<Json<Vec<Value>>, Problem> {
    away(move || {
        let grounds = app.ground().get()?;
        let row = |(row, origin): &(table::Row, table::Origin)| {
            let mut cells: Map<String, Value> = row.cells().map(|(c, v)| (c.to_owned(), json!(v))).collect();
            cells.insert("own".to_owned(), json!(*origin != table::Origin::Shipped));
            Value::Object(cells)
        };
        Ok(Json(grounds.catalogue.table(STUDIES).unwrap_or_default().iter().map(row).collect()))
    })
    .await
}

async fn map(State(app): State<App>) -> Result<Json<Value>, Problem> {
    away(move || app.program().json(&command(&app, &["map"])).map(Json)).await
}

#[derive(Debug, Deserialize)]
struct Asked {
    cell: Option<String>,
    by: Option<String>,
    construct: Option<String>,
    material: Option<String>,
    build: Option<String>,
}

impl Asked {
    /// The cell, or the words it is made of; the family stands between construct and material and is looked up in the arms.
    fn cell(&self, arms: &[evidence::Arm]) -> Option<String> {
        if self.cell.is_some() {
            return self.cell.clone();
        }
        let (construct, material) = (self.construct.clone()?, self.material.as_deref().filter(|m| !m.is_empty()));
        let Some(material) = material else { return Some(construct) };
        let labels = |a: &evidence::Arm| a.cell.labels.clone();
        let family = arms
            .iter()
            .map(labels)
            .find(|l| l.len() > 2 && l[0] == construct && l[2] == material)
            .map(|l| l[1].clone());
        let mut parts = vec![construct];
        parts.extend(family);
        parts.push(material.to_owned());
        parts.extend(self.build.clone().filter(|b| !b.is_empty()));
        Some(parts.join("/"))
    }
}

async fn picture(
    State(app): State<App>,
    Path(file): Path<String>,
    Query(asked): Query<Asked>,
) -> Result<Response, Problem> {
    away(move || {
        let out = Passing::new(app.sheets().folder(), "svg")?;
        let mut arguments = match file.as_str() {
            "map.svg" => command(&app, &["map"]),
            "forest.svg" | "funnel.svg" => {
                let cell = asked.cell(&plan::arms(&app.ground().get()?.catalogue)).ok_or_else(|| {
                    Problem::wrong("cell", "which arms?", "a cell, e.g. crown/zirconia", "choose a construct")
                })?;
                let mut arguments = command(&app, &[file.trim_end_matches(".svg")]);
                arguments.push(format!("--cell={cell}"));
                arguments.extend(asked.by.as_ref().map(|by| format!("--by={by}")));
                arguments
            }
            _ => {
                return Err(Problem::missing(
                    "there is no such picture",
                    "forest.svg, funnel.svg, map.svg",
                    "take one of them",
                ));
            }
        };
        arguments.push(format!("--out={}", out.path().display()));
        app.program().run(&arguments)?;
        let svg = std::fs::read(out.path())
            .map_err(|e| Problem::fault(format!("the picture is not there: {e}"), "try again"))?;
        Ok(([(CONTENT_TYPE, "image/svg+xml")], svg).into_response())
    })
    .await
}

async fn add(State(app): State<App>, Json(asked): Json<Add>) -> Result<Json<Done>, Problem> {
    away(move || {
        let mut arguments = command(&app, &["add"]);
        arguments.extend(asked.citation.map(|c| format!("--citation={c}")));
        arguments.extend(asked.dry_run.then(|| "--dry-run".to_owned()));
        arguments.push("--".to_owned());
        arguments.extend(asked.fields.iter().map(|(field, value)| format!("{field}={value}")));
        let words = app.program().run(&arguments)?.trim().to_owned();
        app.ground().changed();
        Ok(Json(Done { words }))
    })
    .await
}

async fn retire(State(app): State<App>, Json(asked): Json<Retire>) -> Result<Json<Done>, Problem> {
    away(move || {
        let mut arguments = command(&app, &["retire"]);
        arguments.extend([format!("--reason={}", asked.reason), "--".to_owned(), asked.id]);
        let words = app.program().run(&arguments)?.trim().to_owned();
        app.ground().changed();
        Ok(Json(Done { words }))
    })
    .await
}

async fn restore(State(app): State<App>, Json(asked): Json<Restore>) -> Result<Json<Done>, Problem> {
    away(move || {
        let grounds = app.ground().get()?;
        let rows = grounds.catalogue.table(STUDIES).unwrap_or_default();
        let this = |row: &table::Row| row.maybe("id") == Some(asked.id.as_str());
        let origin =
            rows.iter().find(|(row, _)| this(row)).map(|(row, origin)| (*origin, row.maybe("use") == Some("no")));
        // A shipped arm comes back as shipped; one of the practice's own is pooled as it stands.
        let (stands, words) = match origin {
            Some((table::Origin::Replaced, _)) => (None, format!("{} is pooled as shipped again", asked.id)),
            Some((table::Origin::Added, true)) => (Some(pooled), format!("{} is pooled again", asked.id)),
            _ => {
                let what = "the practice retired no arm of this id";
                return Err(Problem::wrong("id", what, "an arm the practice retired", "take it from the list"));
            }
        };
        let path = app.own_tables().join(STUDIES);
        let text = std::fs::read_to_string(&path)
            .map_err(|e| Problem::fault(format!("own rows cannot be read: {e}"), "check that the folder is yours"))?;
        let own = table::Table::parse(STUDIES, &text).map_err(|issues| Problem::of_issues(&issues))?;
        // Lines of other rows stay as they are, letter by letter.
        let row_of = |n: usize| own.rows().iter().find(|r| r.line() == n && this(r));
        let line = |(n, line): (usize, &str)| match (row_of(n), stands) {
            (None, _) => format!("{line}\n"),
            (Some(row), Some(stands)) => stands(row),
            (Some(_), None) => String::new(),
        };
        let kept: String = (1..).zip(text.lines()).map(line).collect();
        let gone = own.rows().iter().filter(|r| stands.is_none() && this(r)).count();
        if table::Table::parse(STUDIES, &kept).map_or(0, |t| t.rows().len()) + gone != own.rows().len() {
            let remedy = "change its row in the own `studies.csv` by hand; nothing was changed";
            return Err(Problem::wrong("id", "a cell of the own rows runs over several lines", "a row a line", remedy));
        }
        crate::sheets::replace(&path, kept.as_bytes())
            .map_err(|e| Problem::fault(format!("own rows could not be written: {e}"), "make room on the disk"))?;
        app.ground().changed();
        Ok(Json(Done { words }))
    })
    .await
}

/// A row without its retirement, as a line of the table.
fn pooled(row: &table::Row) -> String {
    let cell = |(column, value): (&str, &str)| match column {
        "use" => "yes".to_owned(),
        "use_reason" => String::new(),
        _ if value.contains([',', '"']) => format!("\"{}\"", value.replace('"', "\"\"")),
        _ => value.to_owned(),
    };
    row.cells().map(cell).collect::<Vec<_>>().join(",") + "\n"
}

/// Fits the pooled evidence anew and keeps it with the own tables.
///
/// # Errors
/// When it was stopped, or the arms cannot be pooled.
pub fn refit(app: &App, meter: &Meter) -> Result<(String, Value), Problem> {
    let grounds = app.ground().get()?;
    let posterior = plan::refit(&grounds.catalogue, meter)
        .map_err(|e| Problem::wrong("own rows", e.to_string(), "arms that can be pooled", "correct the own rows"))?;
    let bytes = serde_json::to_vec(&posterior).map_err(|e| Problem::fault(e.to_string(), "try again"))?;
    let file = app.own_tables().join("posterior.json");
    crate::sheets::replace(&file, &bytes)
        .map_err(|e| Problem::fault(format!("the fit could not be kept: {e}"), "make room on the disk"))?;
    app.ground().changed();
    let d = posterior.diagnostics();
    let words = format!("{} arms, largest R-hat {:.3}", posterior.arms().len(), d.r_hat());
    Ok((words, json!({ "arms": posterior.arms().len(), "r_hat": d.r_hat(), "complaints": d.complaints() })))
}

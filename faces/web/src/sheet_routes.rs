//! Sheets over the network: list, begin, read, change, take back, delete.

use crate::api::{Api, Operation};
use crate::app::App;
use crate::draft::{self, Set};
use crate::planning::name_of;
use crate::problem::{Fault, Problem, away};
use crate::sheets::{Change, Id, Standing, faults};
use crate::words::{Words, example, words};
use axum::Json;
use axum::extract::{Path, State};
use axum::http::{HeaderMap, StatusCode, header};
use axum::routing::get;
use case::words::Moment;
use register::Day;
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};
use serde_json::Value;

/// The routes.
pub fn routes(api: Api) -> Api {
    api.with(
        Operation::new("get", "/api/words", "Every closed list of the trade, every field of the case, the teeth")
            .answers::<Words>(),
        get(all_words),
    )
    .with(
        Operation::new("get", "/api/sheets", "The sheets, the one changed last first").answers::<Vec<SheetRow>>(),
        get(list),
    )
    .with(
        Operation::new(
            "post",
            "/api/sheets",
            "Begins a sheet: empty, of an invented case, or of the text of a case file",
        )
        .takes::<Begin>()
        .answers::<SheetForm>(),
        axum::routing::post(begin),
    )
    .with(
        Operation::new(
            "get",
            "/api/sheets/{id}",
            "A sheet, with what is wrong with it and what stands for what was not said",
        )
        .answers::<SheetForm>(),
        get(read),
    )
    .with(
        Operation::new("put", "/api/sheets/{id}", "Writes the whole sheet; kept before it is answered")
            .if_match()
            .takes_named("Draft")
            .answers::<SheetForm>(),
        axum::routing::put(write),
    )
    .with(
        Operation::new("patch", "/api/sheets/{id}", "Sets some values; kept before it is answered")
            .if_match()
            .takes::<Sets>()
            .answers::<SheetForm>(),
        axum::routing::patch(set),
    )
    .with(
        Operation::new("delete", "/api/sheets/{id}", "Takes a sheet off the list; it can be brought back"),
        axum::routing::delete(delete),
    )
    .with(
        Operation::new("post", "/api/sheets/{id}/restore", "Brings a deleted sheet back").answers::<SheetForm>(),
        axum::routing::post(restore),
    )
    .with(
        Operation::new("post", "/api/sheets/{id}/undo", "Takes one edit back").if_match().answers::<SheetForm>(),
        axum::routing::post(undo),
    )
    .with(
        Operation::new("post", "/api/sheets/{id}/redo", "Does one edit again").if_match().answers::<SheetForm>(),
        axum::routing::post(redo),
    )
}

/// A sheet in the list.
#[derive(Debug, Clone, Serialize, JsonSchema)]
pub struct SheetRow {
    /// Its name in addresses.
    pub id: String,
    /// Its name on papers.
    pub name: String,
    /// Teeth and what is planned, in one line; empty while no tooth is named.
    pub subject: String,
    /// True for an invented case.
    pub example: bool,
    /// `plan` or `stump`.
    pub moment: Option<Moment>,
    /// When it was changed last, UTC.
    pub changed: String,
}

/// How a sheet is begun.
#[derive(Debug, Clone, Deserialize, JsonSchema)]
pub struct Begin {
    /// `empty`, `example:<name>` or `text`.
    pub from: String,
    /// With `text`: a case file.
    #[serde(default)]
    pub text: Option<String>,
}

/// Values to be set.
#[derive(Debug, Clone, Deserialize, JsonSchema)]
pub struct Sets {
    /// One after the other.
    pub set: Vec<Set>,
}

/// A sheet.
#[derive(Debug, Clone, Serialize, JsonSchema)]
pub struct SheetForm {
    /// Its name in addresses.
    pub id: String,
    /// Its revision, for `If-Match`.
    pub revision: u64,
    /// Its name on papers.
    pub name: String,
    /// The fields of the case file, as far as they were answered.
    #[schemars(schema_with = "draft_schema")]
    pub case: Value,
    /// What is wrong or worth knowing.
    pub issues: Vec<Fault>,
    /// What stands for what was not said.
    pub defaults: Vec<case::DefaultUsed>,
    /// True once it can be planned.
    pub plannable: bool,
    /// Whether an edit can be taken back.
    pub can_undo: bool,
    /// Whether an edit can be done again.
    pub can_redo: bool,
    /// When it was changed last, UTC.
    pub changed: String,
}

fn draft_schema(_: &mut schemars::SchemaGenerator) -> schemars::Schema {
    schemars::json_schema!({ "$ref": "#/components/schemas/Draft" })
}

fn form(app: &App, sheet: &Standing) -> Result<SheetForm, Problem> {
    let grounds = app.ground().get()?;
    let read = draft::read("case", &sheet.case, grounds.catalogue.own_colours());
    Ok(SheetForm {
        id: sheet.id.text().to_owned(),
        revision: sheet.revision,
        name: name_of(sheet),
        case: sheet.case.clone(),
        issues: faults(&read.issues),
        defaults: read.case.as_ref().map(case::defaults_used).unwrap_or_default(),
        plannable: read.case.is_some(),
        can_undo: sheet.can_undo,
        can_redo: sheet.can_redo,
        changed: time(sheet.changed),
    })
}

/// A moment as `2026-11-26T04:50:00Z`.
pub fn time(seconds: u64) -> String {
    let of_day = seconds % 86_400;
    let day = Day::from_number((seconds / 86_400) as i32);
    format!("{day}T{:02}:{:02}:{:02}Z", of_day / 3600, of_day / 60 % 60, of_day % 60)
}

/// The sheet an address names.
pub fn id_of(text: &str) -> Result<Id, Problem> {
    Id::parse(text)
        .ok_or_else(|| Problem::missing("there is no such sheet", "a sheet of the list", "go back to the list"))
}

fn seen(heads: &HeaderMap) -> Result<u64, Problem> {
    let value = heads.get(header::IF_MATCH).and_then(|v| v.to_str().ok()).unwrap_or_default();
    value.trim().trim_start_matches("W/").trim_matches('"').parse().map_err(|_| {
        Problem::new(
            StatusCode::PRECONDITION_REQUIRED,
            "If-Match",
            "the change does not say which revision it was made to",
            "the revision in quotation marks",
            "send the revision the sheet was read at",
        )
    })
}

async fn all_words(State(app): State<App>) -> Result<Json<Words>, Problem> {
    away(move || Ok(Json(words(&app.ground().get()?.catalogue)))).await
}

async fn list(State(app): State<App>) -> Result<Json<Vec<SheetRow>>, Problem> {
    away(move || {
        let mut rows: Vec<(u64, SheetRow)> = Vec::new();
        for id in app.sheets().ids()? {
            // One sheet that cannot be read must not hide the others.
            let Ok(sheet) = app.sheets().standing(&id) else { continue };
            let moment = sheet.case.get("moment").and_then(|m| serde_json::from_value(m.clone()).ok());
            let row = SheetRow {
                id: id.text().to_owned(),
                name: name_of(&sheet),
                subject: subject(&sheet.case),
                example: sheet.case.get("invented") == Some(&Value::Bool(true)),
                moment,
                changed: time(sheet.changed),
            };
            rows.push((sheet.changed, row));
        }
        rows.sort_by(|a, b| b.0.cmp(&a.0).then(a.1.id.cmp(&b.1.id)));
        Ok(Json(rows.into_iter().map(|r| r.1).collect()))
    })
    .await
}

fn subject(case: &Value) -> String {
    let list = |name: &str| -> Vec<String> {
        case["restoration"][name].as_array().into_iter().flatten().map(ToString::to_string).collect()
    };
    let (teeth, missing) = (list("teeth"), list("missing"));
    let kind = case["restoration"]["kind"].as_str().and_then(catalogue::words::Construct::parse);
    let what = kind.map_or(String::new(), |k| format!(", {k}"));
    match (teeth.is_empty(), missing.is_empty()) {
        (true, _) => String::new(),
        (false, true) => format!("tooth {}{what}", teeth.join(", ")),
        (false, false) => format!("{}, {} missing{what}", teeth.join(", "), missing.join(", ")),
    }
}

async fn begin(State(app): State<App>, Json(asked): Json<Begin>) -> Result<Json<SheetForm>, Problem> {
    away(move || {
        let text = match asked.from.split_once(':') {
            Some(("example", name)) => Some(example(name).ok_or_else(|| {
                Problem::wrong(
                    "from",
                    "there is no example of that name",
                    "one listed in /api/words",
                    "take a listed one",
                )
            })?),
            _ if asked.from == "text" => asked.text.as_deref(),
            _ if asked.from == "empty" => None,
            _ => {
                let expected = "`empty`, `example:<name>` or `text`";
                return Err(Problem::wrong("from", "a sheet is not begun that way", expected, "write one of them"));
            }
        };
        let case = match text {
            Some(text) => draft::of_text("case", text).map_err(|issues| Problem::of_issues(&issues))?,
            None => draft::empty(),
        };
        let sheet = app.sheets().begin(case)?;
        Ok(Json(form(&app, &sheet)?))
    })
    .await
}

async fn read(State(app): State<App>, Path(id): Path<String>) -> Result<Json<SheetForm>, Problem> {
    away(move || Ok(Json(form(&app, &app.sheets().standing(&id_of(&id)?)?)?))).await
}

async fn change(app: App, id: String, heads: HeaderMap, change: Change) -> Result<Json<SheetForm>, Problem> {
    away(move || {
        let sheet = app.sheets().change(&id_of(&id)?, seen(&heads)?, change)?;
        Ok(Json(form(&app, &sheet)?))
    })
    .await
}

async fn write(
    State(app): State<App>,
    Path(id): Path<String>,
    heads: HeaderMap,
    Json(case): Json<Value>,
) -> Result<Json<SheetForm>, Problem> {
    if !case.is_object() {
        return Err(Problem::wrong(
            "body",
            "this is no sheet",
            "the fields of the case file as one object",
            "send the sheet",
        ));
    }
    change(app, id, heads, Change::Whole(case)).await
}

async fn set(
    State(app): State<App>,
    Path(id): Path<String>,
    heads: HeaderMap,
    Json(sets): Json<Sets>,
) -> Result<Json<SheetForm>, Problem> {
    change(app, id, heads, Change::Values(sets.set)).await
}

async fn undo(State(app): State<App>, Path(id): Path<String>, heads: HeaderMap) -> Result<Json<SheetForm>, Problem> {
    change(app, id, heads, Change::Undo).await
}

async fn redo(State(app): State<App>, Path(id): Path<String>, heads: HeaderMap) -> Result<Json<SheetForm>, Problem> {
    change(app, id, heads, Change::Redo).await
}

async fn delete(State(app): State<App>, Path(id): Path<String>) -> Result<StatusCode, Problem> {
    away(move || app.sheets().delete(&id_of(&id)?).map(|()| StatusCode::NO_CONTENT)).await
}

async fn restore(State(app): State<App>, Path(id): Path<String>) -> Result<Json<SheetForm>, Problem> {
    away(move || Ok(Json(form(&app, &app.sheets().restore(&id_of(&id)?)?)?))).await
}

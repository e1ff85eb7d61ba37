//! The register room: placing, try-ins, recalls with one key, events, audit, watch, overdue; a table taken in after a dry run.

use crate::api::{Api, Operation};
use crate::app::App;
use crate::draft;
use crate::planning::{name_of, today};
use crate::problem::{Problem, away};
use crate::program::Passing;
use crate::sheet_routes::id_of;
use axum::Json;
use axum::extract::{DefaultBodyLimit, Query, State};
use axum::http::StatusCode;
use axum::routing::{get, post};
use plan::Fidelity;
use register::{Counting, Held, Store};
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};
use serde_json::{Value, json};
use store::{Keeper, Place};

/// Largest table taken in, bytes.
const LARGEST: usize = 200 << 20;
/// Restorations listed at most.
const LISTED: usize = 500;

/// The routes.
pub fn routes(api: Api) -> Api {
    let told = |method, path, words| Operation::new(method, path, words).answers::<Value>();
    api.with(told("post", "/api/register/init", "Makes a register").takes::<Init>(), post(init))
        .with(
            told("get", "/api/register/list", "Standing restorations, those not seen longest first")
                .answers::<Vec<Row>>(),
            get(list),
        )
        .with(
            told("get", "/api/register/audit", "As `bisque register audit --json`")
                .query("by", "material, build, construct, region, laboratory, operator, cement, year")
                .query("success", "`1`: free of every complication, instead of standing"),
            get(audit),
        )
        .with(told("get", "/api/register/watch", "As `bisque register watch --json`"), get(watch))
        .with(
            told(
                "get",
                "/api/register/overdue",
                "Restorations whose recall is due, as `bisque register recall --json`",
            )
            .query("months", "months without a look (default 12)"),
            get(overdue),
        )
        .with(
            told("post", "/api/register/place", "Enters a restoration of a sheet's plan as placed or ordered")
                .takes::<Placed>(),
            post(place),
        )
        .with(told("post", "/api/register/tryin", "Enters how a try-in went").takes::<TryIn>(), post(try_in))
        .with(
            told("post", "/api/register/recall", "Enters that restorations were seen in place").takes::<Recall>(),
            post(recall),
        )
        .with(told("post", "/api/register/event", "Enters something that went wrong").takes::<Event>(), post(event))
        .with(
            told("post", "/api/register/import", "Takes a table in; the dry run says what would be taken")
                .takes::<Import>(),
            post(import).layer(DefaultBodyLimit::max(LARGEST)),
        )
}

/// A new register.
#[derive(Debug, Clone, Deserialize, JsonSchema)]
pub struct Init {
    /// Fill it with so many invented restorations.
    #[serde(default)]
    pub invented: Option<u32>,
}

/// A restoration in place.
#[derive(Debug, Clone, Serialize, JsonSchema)]
pub struct Row {
    /// Its key.
    pub restoration: String,
    /// Pseudonym.
    pub patient: String,
    /// Its teeth.
    pub teeth: String,
    /// Construct.
    pub construct: String,
    /// Material.
    pub material: String,
    /// Build.
    pub build: String,
    /// Day of placing.
    pub placed: Option<String>,
    /// Laboratory.
    pub laboratory: Option<String>,
    /// Day it was seen last.
    pub last_seen: String,
}

/// A restoration placed.
#[derive(Debug, Clone, Deserialize, JsonSchema)]
pub struct Placed {
    /// The sheet whose plan it is of; not needed with `restoration`.
    #[serde(default)]
    pub sheet: Option<String>,
    /// Option of the plan; else its first.
    #[serde(default)]
    pub option: Option<String>,
    /// Pseudonym: a code with a digit, never a name.
    #[serde(default)]
    pub patient: Option<String>,
    /// One that was entered when it was ordered.
    #[serde(default)]
    pub restoration: Option<String>,
    /// Only ordered, on this day.
    #[serde(default)]
    pub ordered: Option<String>,
    /// Day of placing; else today.
    #[serde(default)]
    pub day: Option<String>,
    /// Laboratory.
    #[serde(default)]
    pub laboratory: Option<String>,
    /// Cement.
    #[serde(default)]
    pub cement: Option<String>,
    /// Who placed it.
    #[serde(default)]
    pub operator: Option<String>,
}

/// A try-in.
#[derive(Debug, Clone, Deserialize, JsonSchema)]
pub struct TryIn {
    /// Key of the restoration.
    pub restoration: String,
    /// `fitted`, `adjusted` or `sent_back`.
    pub outcome: String,
    /// Why.
    #[serde(default)]
    pub causes: Vec<String>,
    /// Minutes of adjustment.
    #[serde(default)]
    pub minutes: Option<f64>,
    /// `framework`, `bisque` or `finished`.
    #[serde(default)]
    pub stage: Option<String>,
    /// Day; else today.
    #[serde(default)]
    pub day: Option<String>,
}

/// Restorations seen in place.
#[derive(Debug, Clone, Deserialize, JsonSchema)]
pub struct Recall {
    /// Their keys.
    pub restorations: Vec<String>,
    /// Day; else today.
    #[serde(default)]
    pub day: Option<String>,
}

/// Something that went wrong.
#[derive(Debug, Clone, Deserialize, JsonSchema)]
pub struct Event {
    /// Key of the restoration.
    pub restoration: String,
    /// What.
    pub cause: String,
    /// What was done.
    pub consequence: String,
    /// Day on which it was found; else today.
    #[serde(default)]
    pub day: Option<String>,
    /// Grade of a chip, 1 to 3.
    #[serde(default)]
    pub grade: Option<u8>,
}

/// A table to be taken in.
#[derive(Debug, Clone, Deserialize, JsonSchema)]
pub struct Import {
    /// The table.
    pub csv: String,
    /// Its layout, TOML.
    pub layout: String,
    /// Only say what would be taken.
    pub dry_run: bool,
}

fn store_of(app: &App) -> String {
    let usual = || app.sheets().folder().join("register.db").display().to_string();
    app.settings().store.clone().unwrap_or_else(usual)
}

/// A command of the register in this practice's place.
fn command(app: &App, of: &[&str]) -> Vec<String> {
    let mut arguments = vec!["register".to_owned()];
    arguments.extend(of.iter().map(|w| (*w).to_owned()));
    arguments.push(format!("--store={}", store_of(app)));
    arguments
}

/// Refuses kindly while there is no register.
fn there_is_one(app: &App) -> Result<(), Problem> {
    match Place::parse(&store_of(app)) {
        Place::File(path) if !path.is_file() => Err(Problem::new(
            StatusCode::NOT_FOUND,
            "register",
            "there is no register yet",
            "a register of the restorations placed here",
            "make one; nothing that is planned depends on it",
        )),
        _ => Ok(()),
    }
}

async fn told(app: App, arguments: impl FnOnce(&App) -> Vec<String> + Send + 'static) -> Result<Json<Value>, Problem> {
    away(move || {
        there_is_one(&app)?;
        app.program().json(&arguments(&app)).map(Json)
    })
    .await
}

async fn init(State(app): State<App>, Json(asked): Json<Init>) -> Result<Json<Value>, Problem> {
    away(move || {
        let mut arguments = command(&app, &["init"]);
        arguments.extend(asked.invented.map(|n| format!("--invented={}", n.min(20_000))));
        app.program().json(&arguments).map(Json)
    })
    .await
}

async fn list(State(app): State<App>) -> Result<Json<Vec<Row>>, Problem> {
    away(move || {
        there_is_one(&app)?;
        let failed = |e: store::StoreError| Problem::fault(e.to_string(), "check that the register is there and yours");
        let passphrase = std::env::var("BISQUE_PASSPHRASE").ok().filter(|p| !p.is_empty());
        let mut keeper = Keeper::open(&Place::parse(&store_of(&app)), passphrase.as_deref()).map_err(failed)?;
        // Whatever was seen up to tomorrow: everything that stands.
        let (standing, _) = keeper.due(today().plus(1), LISTED).map_err(failed)?;
        let mut patients: Vec<String> = standing.iter().map(|d| d.patient.clone()).collect();
        patients.sort();
        patients.dedup();
        let charts = keeper.charts(&patients).map_err(failed)?;
        let held = |key: &str| -> Option<&Held> { charts.iter().find_map(|c| c.held(key)) };
        let row = |d: &register::counting::Due| {
            let r = &held(&d.restoration)?.restoration.value;
            Some(Row {
                restoration: d.restoration.clone(),
                patient: d.patient.clone(),
                teeth: d.teeth.clone(),
                construct: r.construct.word().to_owned(),
                material: r.material.word().to_owned(),
                build: r.build.word().to_owned(),
                placed: r.placed.map(|p| p.to_string()),
                laboratory: r.laboratory.clone(),
                last_seen: d.last_seen.to_string(),
            })
        };
        Ok(Json(standing.iter().filter_map(row).collect()))
    })
    .await
}

#[derive(Debug, Deserialize)]
struct Asked {
    by: Option<String>,
    success: Option<String>,
    months: Option<u32>,
}

async fn audit(State(app): State<App>, Query(asked): Query<Asked>) -> Result<Json<Value>, Problem> {
    told(app, move |app| {
        let mut arguments = command(app, &["audit"]);
        arguments.extend(asked.by.filter(|by| !by.is_empty()).map(|by| format!("--by={by}")));
        arguments.extend(asked.success.map(|_| "--success".to_owned()));
        arguments
    })
    .await
}

async fn watch(State(app): State<App>) -> Result<Json<Value>, Problem> {
    told(app, |app| command(app, &["watch"])).await
}

async fn overdue(State(app): State<App>, Query(asked): Query<Asked>) -> Result<Json<Value>, Problem> {
    told(app, move |app| {
        let mut arguments = command(app, &["recall"]);
        arguments.extend(asked.months.map(|m| format!("--months={m}")));
        arguments
    })
    .await
}

fn options(list: &mut Vec<String>, values: [(&str, Option<String>); 7]) {
    list.extend(values.into_iter().filter_map(|(name, value)| value.map(|v| format!("--{name}={v}"))));
}

async fn place(State(app): State<App>, Json(asked): Json<Placed>) -> Result<Json<Value>, Problem> {
    away(move || {
        there_is_one(&app)?;
        let mut arguments = command(&app, &["place"]);
        // The plan goes by a file of its own, which is gone when the command has read it.
        let plan = asked.sheet.as_deref().map(|sheet| plan_file(&app, sheet)).transpose()?;
        arguments.extend(plan.as_ref().map(|file| format!("--plan={}", file.path().display())));
        arguments.extend(asked.option.filter(|_| plan.is_some()).map(|o| format!("--option={o}")));
        options(
            &mut arguments,
            [
                ("patient", asked.patient),
                ("restoration", asked.restoration),
                ("ordered", asked.ordered),
                ("day", asked.day),
                ("laboratory", asked.laboratory),
                ("cement", asked.cement),
                ("operator", asked.operator),
            ],
        );
        app.program().json(&arguments).map(Json)
    })
    .await
}

fn plan_file(app: &App, sheet: &str) -> Result<Passing, Problem> {
    let sheet = app.sheets().standing(&id_of(sheet)?)?;
    let grounds = app.ground().get()?;
    let read = draft::read("case", &sheet.case, grounds.catalogue.own_colours());
    let case = read.case.ok_or_else(|| Problem::of_issues(&read.issues))?;
    let report = app.plans().of(&name_of(&sheet), &case, &grounds, Fidelity::Instant)?;
    let file = Passing::new(app.sheets().folder(), "json")?;
    let bytes = serde_json::to_vec(&*report).map_err(|e| Problem::fault(e.to_string(), "try again"))?;
    std::fs::write(file.path(), bytes)
        .map_err(|e| Problem::fault(format!("the plan could not be handed over: {e}"), "make room on the disk"))?;
    Ok(file)
}

async fn try_in(State(app): State<App>, Json(asked): Json<TryIn>) -> Result<Json<Value>, Problem> {
    told(app, move |app| {
        let mut arguments = command(app, &["tryin"]);
        arguments.extend((!asked.causes.is_empty()).then(|| format!("--cause={}", asked.causes.join(","))));
        arguments.extend(asked.minutes.map(|m| format!("--minutes={m}")));
        arguments.extend(asked.stage.map(|s| format!("--stage={s}")));
        arguments.extend(asked.day.map(|d| format!("--day={d}")));
        // `--json` is added behind; values that could be taken for options are not among keys and words.
        arguments.extend([plain(&asked.restoration), plain(&asked.outcome)]);
        arguments
    })
    .await
}

async fn recall(State(app): State<App>, Json(asked): Json<Recall>) -> Result<Json<Value>, Problem> {
    if asked.restorations.is_empty() {
        return Err(Problem::wrong("restorations", "none is named", "at least one key", "choose from the list"));
    }
    told(app, move |app| {
        let mut arguments = command(app, &["recall"]);
        arguments.extend(asked.day.map(|d| format!("--day={d}")));
        arguments.extend(asked.restorations.iter().map(|key| plain(key)));
        arguments
    })
    .await
}

async fn event(State(app): State<App>, Json(asked): Json<Event>) -> Result<Json<Value>, Problem> {
    told(app, move |app| {
        let mut arguments = command(app, &["event"]);
        arguments.extend(asked.day.map(|d| format!("--found={d}")));
        arguments.extend(asked.grade.map(|g| format!("--grade={g}")));
        arguments.extend([plain(&asked.restoration), plain(&asked.cause), plain(&asked.consequence)]);
        arguments
    })
    .await
}

/// A key or word: never an option.
fn plain(text: &str) -> String {
    text.trim_start_matches('-').to_owned()
}

async fn import(State(app): State<App>, Json(asked): Json<Import>) -> Result<Json<Value>, Problem> {
    away(move || {
        there_is_one(&app)?;
        let folder = app.sheets().folder();
        let (table, layout) = (Passing::new(folder, "csv")?, Passing::new(folder, "toml")?);
        let written =
            std::fs::write(table.path(), &asked.csv).and_then(|()| std::fs::write(layout.path(), &asked.layout));
        written
            .map_err(|e| Problem::fault(format!("the table could not be handed over: {e}"), "make room on the disk"))?;
        let mut arguments = command(&app, &["import"]);
        arguments.push(table.path().display().to_string());
        arguments.push(format!("--layout={}", layout.path().display()));
        arguments.extend(asked.dry_run.then(|| "--dry-run".to_owned()));
        let mut told = app.program().json(&arguments)?;
        told["dry_run"] = json!(asked.dry_run);
        Ok(Json(told))
    })
    .await
}

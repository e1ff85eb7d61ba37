//! The register room: who stands, who is ordered, who is due, audit and watch. What is entered by hand: `register_work`; a table taken in: `register_import`.
//!
//! All of it in this process: no pseudonym stands in a list of processes or a file handed over.

use crate::api::{Api, Operation};
use crate::app::App;
use crate::planning::today;
use crate::problem::{Problem, away};
use crate::{register_import, register_work};
use axum::Json;
use axum::extract::{Query, State};
use axum::http::StatusCode;
use axum::routing::{get, post};
use register::counting::{Due, Endpoint, Question};
use register::words::Grouping;
use register::{Author, Chart, Counting, Criteria, Held, Restoration, Rules, Store, Told};
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};
use serde_json::{Value, json};
use std::time::{SystemTime, UNIX_EPOCH};
use store::{Keeper, Place, StoreError};

/// Restorations listed at most.
const LISTED: usize = 500;
/// Try-ins to a false alarm of the watch, on average, of each chart.
const FALSE_ALARM: f64 = 1000.0;

/// The routes.
pub fn routes(api: Api) -> Api {
    let told = |method, path, words| Operation::new(method, path, words).answers::<Value>();
    let api = api
        .with(told("post", "/api/register/init", "Makes a register").takes::<Init>(), post(init))
        .with(
            told("get", "/api/register/list", "Standing restorations, those not seen longest first")
                .answers::<Vec<Row>>(),
            get(list),
        )
        .with(
            told("get", "/api/register/ordered", "Restorations ordered and not placed yet, oldest order first")
                .answers::<Vec<OrderedRow>>(),
            get(ordered),
        )
        .with(
            told("get", "/api/register/audit", "As `bisque register audit --json`")
                .query("by", "a grouping of `/api/words`; all together without one")
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
        );
    register_import::routes(register_work::routes(api))
}

/// A new register.
#[derive(Debug, Clone, Deserialize, JsonSchema)]
pub struct Init {
    /// Fill it with so many invented restorations.
    #[serde(default)]
    pub invented: Option<u32>,
}

/// What a restoration is, and whose.
#[derive(Debug, Clone, Serialize, JsonSchema)]
pub struct What {
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
    /// Laboratory.
    pub laboratory: Option<String>,
}

impl What {
    fn of(due: &Due, value: &Restoration) -> Self {
        Self {
            restoration: due.restoration.clone(),
            patient: due.patient.clone(),
            teeth: due.teeth.clone(),
            construct: value.construct.word().to_owned(),
            material: value.material.word().to_owned(),
            build: value.build.word().to_owned(),
            laboratory: value.laboratory.clone(),
        }
    }
}

/// A restoration in place.
#[derive(Debug, Clone, Serialize, JsonSchema)]
pub struct Row {
    /// What it is.
    #[serde(flatten)]
    pub what: What,
    /// Day of placing.
    pub placed: Option<String>,
    /// Day it was seen last.
    pub last_seen: String,
}

/// A restoration that is ordered and not placed yet.
#[derive(Debug, Clone, Serialize, JsonSchema)]
pub struct OrderedRow {
    /// What it is to be.
    #[serde(flatten)]
    pub what: What,
    /// Day of the order.
    pub ordered: Option<String>,
    /// Try-ins entered.
    pub try_ins: usize,
}

/// An open register with what its rules need.
pub struct Open {
    /// The register.
    pub keeper: Keeper,
    /// Who writes, and when.
    pub author: Author,
    criteria: Criteria,
}

impl Open {
    /// The practice's register; refuses kindly while there is none.
    ///
    /// # Errors
    /// When there is none, or it cannot be opened.
    pub fn of(app: &App) -> Result<Self, Problem> {
        let place = place_of(app);
        if matches!(&place, Place::File(path) if !path.is_file()) {
            return Err(Problem::new(
                StatusCode::NOT_FOUND,
                "register",
                "there is no register yet",
                "a register of the restorations placed here",
                "make one; nothing that is planned depends on it",
            ));
        }
        Self::with(app, Keeper::open(&place, passphrase().as_deref()).map_err(of_store)?)
    }

    fn with(app: &App, keeper: Keeper) -> Result<Self, Problem> {
        let env = |name: &str| std::env::var(name).ok().filter(|v| !v.is_empty());
        let now = SystemTime::now().duration_since(UNIX_EPOCH).unwrap_or_default();
        let who = env("BISQUE_WHO").or_else(|| env("USER")).unwrap_or_else(|| "unknown".to_owned());
        let author = Author { who, at_ms: i64::try_from(now.as_millis()).unwrap_or(0) };
        Ok(Self { keeper, author, criteria: Criteria::of(&app.ground().get()?.catalogue) })
    }

    /// By which rules records are judged.
    pub fn rules(&self) -> Rules<'_> {
        Rules { criteria: &self.criteria, today: today() }
    }

    /// A day's work at it.
    pub fn work(&mut self) -> register::Work<'_, Keeper> {
        let rules = Rules { criteria: &self.criteria, today: today() };
        register::Work { store: &mut self.keeper, author: &self.author, rules }
    }

    fn charts(&mut self, rows: &[Due]) -> Result<Vec<Chart>, Problem> {
        let mut patients: Vec<String> = rows.iter().map(|d| d.patient.clone()).collect();
        patients.sort();
        patients.dedup();
        self.keeper.charts(&patients).map_err(of_store)
    }
}

fn place_of(app: &App) -> Place {
    let usual = || app.sheets().folder().join("register.db").display().to_string();
    Place::parse(&app.settings().store.clone().unwrap_or_else(usual))
}

fn passphrase() -> Option<String> {
    std::env::var("BISQUE_PASSPHRASE").ok().filter(|p| !p.is_empty())
}

/// What a store says, as a problem of the page.
pub fn of_store(e: StoreError) -> Problem {
    let what = e.to_string();
    match e {
        StoreError::Conflict(_) | StoreError::Locked | StoreError::StandsAlready(_) => {
            Problem::new(StatusCode::CONFLICT, "register", what, "a register nobody else is writing to", "look again")
        }
        StoreError::NeedsPassphrase | StoreError::WrongPassphrase | StoreError::NotSealed => Problem::new(
            StatusCode::UNPROCESSABLE_ENTITY,
            "register",
            what,
            "the passphrase in the environment of the server",
            "stop the server and begin it with BISQUE_PASSPHRASE set",
        ),
        _ => Problem::fault(what, "check that the register is there and yours"),
    }
}

fn held<'a>(charts: &'a [Chart], key: &str) -> Option<&'a Held> {
    charts.iter().find_map(|c| c.held(key))
}

async fn init(State(app): State<App>, Json(asked): Json<Init>) -> Result<Json<Value>, Problem> {
    away(move || {
        let place = place_of(&app);
        let mut open = Open::with(&app, Keeper::create(&place, passphrase().as_deref()).map_err(of_store)?)?;
        if let Some(n) = asked.invented {
            let writings = register::invent(1, n.min(20_000) as usize, today()).writings(open.rules());
            open.keeper.write(&open.author, &writings, Told::Batch("invented")).map_err(of_store)?;
        }
        let totals = open.keeper.totals().map_err(of_store)?;
        Ok(Json(json!({ "place": place.to_string(), "sealed": open.keeper.is_sealed(), "totals": totals })))
    })
    .await
}

async fn list(State(app): State<App>) -> Result<Json<Vec<Row>>, Problem> {
    away(move || {
        let mut open = Open::of(&app)?;
        // Whatever was seen up to tomorrow: everything that stands.
        let (standing, _) = open.keeper.due(today().plus(1), LISTED).map_err(of_store)?;
        let charts = open.charts(&standing)?;
        let row = |d: &Due| {
            let value = &held(&charts, &d.restoration)?.restoration.value;
            let placed = value.placed.map(|p| p.to_string());
            Some(Row { what: What::of(d, value), placed, last_seen: d.last_seen.to_string() })
        };
        Ok(Json(standing.iter().filter_map(row).collect()))
    })
    .await
}

async fn ordered(State(app): State<App>) -> Result<Json<Vec<OrderedRow>>, Problem> {
    away(move || {
        let mut open = Open::of(&app)?;
        let mut waiting = open.keeper.waiting().map_err(of_store)?;
        waiting.truncate(LISTED);
        let charts = open.charts(&waiting)?;
        let row = |d: &Due| {
            let one = held(&charts, &d.restoration)?;
            let value = &one.restoration.value;
            let ordered = value.ordered.map(|o| o.to_string());
            Some(OrderedRow { what: What::of(d, value), ordered, try_ins: one.try_ins.len() })
        };
        Ok(Json(waiting.iter().filter_map(row).collect()))
    })
    .await
}

#[derive(Debug, Deserialize)]
struct Asked {
    by: Option<String>,
    success: Option<String>,
    months: Option<i32>,
}

async fn audit(State(app): State<App>, Query(asked): Query<Asked>) -> Result<Json<Value>, Problem> {
    away(move || {
        let by = match asked.by.as_deref() {
            None | Some("") => Grouping::All,
            Some(text) => register_work::word("by", text, Grouping::ALL, Grouping::word)?,
        };
        let endpoint = if asked.success.is_some() { Endpoint::Success } else { Endpoint::Survival };
        // A year without a look is late, as on the command line.
        let question = Question { endpoint, by, only: Vec::new(), seen_since: seen_since(None) };
        let mut open = Open::of(&app)?;
        let groups = register::audit(&mut open.keeper, &question).map_err(of_store)?;
        let units = if by == Grouping::All { Vec::new() } else { register::funnel(&groups) };
        let (due, overdue) = open.keeper.due(question.seen_since, 20).map_err(of_store)?;
        Ok(Json(json!({
            "endpoint": endpoint, "by": by, "level": register::LEVEL, "groups": groups, "funnel": units,
            "overdue": overdue, "overdue_first": due
        })))
    })
    .await
}

async fn watch(State(app): State<App>) -> Result<Json<Value>, Problem> {
    away(move || {
        let found = register::watch::watch(&mut Open::of(&app)?.keeper, FALSE_ALARM, today()).map_err(of_store)?;
        serde_json::to_value(found).map(Json).map_err(|e| Problem::fault(e.to_string(), "try again"))
    })
    .await
}

/// The day before which a last look is overdue.
fn seen_since(months: Option<i32>) -> register::Day {
    today().plus(-months.unwrap_or(12).clamp(1, 600) * 30)
}

async fn overdue(State(app): State<App>, Query(asked): Query<Asked>) -> Result<Json<Value>, Problem> {
    away(move || {
        let (due, all) = Open::of(&app)?.keeper.due(seen_since(asked.months), LISTED).map_err(of_store)?;
        Ok(Json(json!({ "due": due, "all": all })))
    })
    .await
}

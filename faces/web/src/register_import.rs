//! A table of an older register taken in: sent and bounded in a request, read, checked and written in a job.
//!
//! The table stays in memory and goes with the server: rows of patients do not lie beside a register that may be sealed. A table sent again is no harm, since
//! rows that stand there already are not entered twice.

use crate::api::{Api, Operation};
use crate::app::App;
use crate::jobs::{Job, Meter, Work};
use crate::planning::today;
use crate::problem::{Problem, away};
use crate::register_room::{Open, of_store};
use axum::Json;
use axum::extract::{DefaultBodyLimit, State};
use axum::http::StatusCode;
use axum::routing::post;
use register::{Layout, NotTaken, Refused};
use schemars::JsonSchema;
use serde::Deserialize;
use serde_json::{Value, json};

/// Largest table taken in, bytes.
const LARGEST: usize = 200 << 20;

/// The route.
pub fn routes(api: Api) -> Api {
    let words = "Takes a table in by a job; the dry run says what would be taken";
    api.with(
        Operation::new("post", "/api/register/import", words).takes::<Import>().answers::<Job>(),
        post(send).layer(DefaultBodyLimit::max(LARGEST)),
    )
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

async fn send(State(app): State<App>, Json(sent): Json<Import>) -> Result<(StatusCode, Json<Job>), Problem> {
    let (app, job, sent) = away(move || {
        // A register that cannot be opened is told at once, not by a job.
        Open::of(&app)?;
        let job = app.jobs().enter(Work::Import { dry_run: sent.dry_run })?;
        Ok((app, job, sent))
    })
    .await?;
    let with = app.clone();
    app.jobs().run(&job.id, move |meter| taken(&with, &sent, meter));
    Ok((StatusCode::ACCEPTED, Json(job)))
}

fn taken(app: &App, sent: &Import, meter: &Meter) -> Result<(String, Value), Problem> {
    let wrong = |issues: Vec<answer::Issue>| Problem::of_issues(&issues);
    meter.tell("reading the table");
    let layout = Layout::parse("layout", &sent.layout).map_err(wrong)?;
    let rows = register::Import::of_text("table", &sent.csv, &layout, today()).map_err(wrong)?;
    meter.tell(if sent.dry_run { "looking what would be taken" } else { "taking the table in" });
    let mut open = Open::of(app)?;
    let taken = rows.take(&mut open.work(), sent.dry_run, meter).map_err(not_taken)?;
    let refused: Vec<Value> = taken.refused.iter().map(told).collect();
    let words = format!(
        "old table: {} {} entries from {} rows, {} refused",
        if sent.dry_run { "would take" } else { "took" },
        taken.added,
        taken.rows,
        refused.len()
    );
    let found = json!({
        "rows": taken.rows, "added": taken.added, "unchanged": taken.unchanged, "refused": refused, "dry_run": sent.dry_run
    });
    Ok((words, found))
}

fn told(refused: &Refused) -> Value {
    let issue = &refused.issue;
    json!({
        "line": refused.line, "column": issue.place.field, "found": issue.found, "expected": issue.expected,
        "do": issue.remedy
    })
}

fn not_taken(e: NotTaken<store::StoreError>) -> Problem {
    match e {
        NotTaken::Store(e) => of_store(e),
        NotTaken::Interrupted(e) => {
            Problem::new(StatusCode::CONFLICT, "register", e.to_string(), "time to finish", "send the table again")
        }
    }
}

//! Jobs over the network, and what each kind does.

use crate::api::{Api, Operation};
use crate::app::App;
use crate::draft::{self, Set};
use crate::files;
use crate::jobs::{Job, Meter, Work};
use crate::planning::{name_of, settings};
use crate::problem::{Problem, away};
use crate::sheet_routes::id_of;
use crate::sheets::Change;
use axum::Json;
use axum::extract::{Path, State};
use axum::http::StatusCode;
use axum::response::sse::{Event, KeepAlive, KeepAliveStream, Sse};
use axum::routing::{get, post};
use plan::Fidelity;
use serde_json::{Value, json};
use std::convert::Infallible;
use std::pin::Pin;
use std::task::{Context, Poll};
use tokio::sync::watch;

/// The routes.
pub fn routes(api: Api) -> Api {
    api.with(Operation::new("post", "/api/jobs", "Begins long work").takes::<Work>().answers::<Job>(), post(begin))
        .with(Operation::new("get", "/api/jobs", "All jobs, the newest first").answers::<Vec<Job>>(), get(list))
        .with(Operation::new("get", "/api/jobs/{id}", "A job").answers::<Job>(), get(one))
        .with(
            Operation::new(
                "get",
                "/api/jobs/{id}/events",
                "What happens to a job, as events `progress`, `done`, `failed`, `cancelled`",
            )
            .answers_media("text/event-stream"),
            get(events),
        )
        .with(
            Operation::new("delete", "/api/jobs/{id}", "Asks a job to stop").answers::<Job>(),
            axum::routing::delete(cancel),
        )
}

fn no_job() -> Problem {
    Problem::missing("there is no such job", "a job of the list", "begin it again")
}

async fn begin(State(app): State<App>, Json(work): Json<Work>) -> Result<(StatusCode, Json<Job>), Problem> {
    let sent = match work {
        Work::File { .. } => Some("send the file to /api/sheets/{id}/files"),
        Work::Import { .. } => Some("send the table to /api/register/import"),
        _ => None,
    };
    if let Some(remedy) = sent {
        return Err(Problem::wrong("kind", "what is sent is read when it is sent", "another kind", remedy));
    }
    let job = away({
        let app = app.clone();
        move || app.jobs().enter(work)
    })
    .await?;
    start(&app, &job);
    Ok((StatusCode::ACCEPTED, Json(job)))
}

/// Runs a job of any kind.
pub fn start(app: &App, job: &Job) {
    let (with, work) = (app.clone(), job.work.clone());
    app.jobs().run(&job.id, move |meter| done(&with, &work, meter));
}

fn done(app: &App, work: &Work, meter: &Meter) -> Result<(String, Value), Problem> {
    match work {
        Work::Plan { sheet } => full_plan(app, sheet, meter),
        Work::File { sheet, name, what, tooth } => taken_in(app, sheet, name, what, *tooth),
        Work::Papers { sheet, option } => crate::paper_routes::written(app, sheet, option.clone(), meter),
        Work::Stress { sheet, option, cell } => crate::stress::solved(app, sheet, option.as_deref(), *cell, meter),
        Work::Refit => crate::evidence_room::refit(app, meter),
        // Begun where its table is, and not taken up without it.
        Work::Import { .. } => Err(Problem::fault("the table is gone", "send it again")),
    }
}

fn full_plan(app: &App, sheet: &str, meter: &Meter) -> Result<(String, Value), Problem> {
    let sheet = app.sheets().standing(&id_of(sheet)?)?;
    let grounds = app.ground().get()?;
    let read = draft::read("case", &sheet.case, grounds.catalogue.own_colours());
    let case = read.case.ok_or_else(|| Problem::of_issues(&read.issues))?;
    let (shown, remarks) = app.plans().teeth(&case, &grounds.catalogue);
    let settings =
        plan::Settings { changes: true, shown, ..settings(&name_of(&sheet), &grounds, Fidelity::Full, remarks) };
    let report = plan::plan(&case, &grounds.catalogue, &grounds.posterior, &settings, meter)
        .map_err(|e| Problem::wrong("case", e.to_string(), "a case that can be planned", "begin it again"))?;
    let words = report.verdict.clone();
    Ok((words, json!({ "revision": sheet.revision, "report": report })))
}

/// Reads a file that was sent; what is good of it is entered in the sheet as a revision that can be undone.
fn taken_in(app: &App, sheet: &str, name: &str, what: &str, tooth: Option<u8>) -> Result<(String, Value), Problem> {
    let id = id_of(sheet)?;
    let read = files::read(app, name, what).inspect_err(|problem| {
        if problem.status().is_client_error() {
            files::forget(app, name);
        }
    })?;
    // Edits of others in between are no conflict: only these fields are set.
    for _ in 0..5 {
        let standing = app.sheets().standing(&id)?;
        let sets = entries(&standing.case, name, what, tooth);
        if sets.is_empty() {
            return Ok((read.words, json!({ "sheet": null, "found": read.found })));
        }
        match app.sheets().change(&id, standing.revision, Change::Values(sets)) {
            Ok(after) => return Ok((read.words, json!({ "sheet": after.revision, "found": read.found }))),
            Err(problem) if problem.status() == StatusCode::CONFLICT => {}
            Err(problem) => return Err(problem),
        }
    }
    Err(Problem::fault("the sheet changes too fast to enter the file", "send the file again"))
}

fn entries(case: &Value, name: &str, what: &str, tooth: Option<u8>) -> Vec<Set> {
    let appended = |section: &str, field: &str| -> Value {
        let mut list = case[section][field].as_array().cloned().unwrap_or_default();
        list.push(json!(name));
        json!(list)
    };
    let set = |field: &str, tooth: Option<u8>, value: Value| vec![Set { field: field.to_owned(), tooth, value }];
    match (what, tooth) {
        ("scan", Some(code)) => set("abutment.scan", Some(code), json!(name)),
        ("wax_up", Some(code)) => set("abutment.wax_up", Some(code), json!(name)),
        ("scan" | "wax_up", None) => set("restoration.scans", None, appended("restoration", "scans")),
        ("photo", _) => set("order.photographs", None, appended("order", "photographs")),
        _ => Vec::new(),
    }
}

async fn list(State(app): State<App>) -> Json<Vec<Job>> {
    Json(app.jobs().list())
}

async fn one(State(app): State<App>, Path(id): Path<String>) -> Result<Json<Job>, Problem> {
    app.jobs().get(&id).map(Json).ok_or_else(no_job)
}

async fn cancel(State(app): State<App>, Path(id): Path<String>) -> Result<Json<Job>, Problem> {
    away(move || app.jobs().cancel(&id).map(Json).ok_or_else(no_job)).await
}

async fn events(State(app): State<App>, Path(id): Path<String>) -> Result<Sse<KeepAliveStream<Told>>, Problem> {
    let watched = app.jobs().watch(&id).ok_or_else(no_job)?;
    Ok(Sse::new(Told::new(watched)).keep_alive(KeepAlive::default()))
}

type Next = Pin<Box<dyn Future<Output = (Option<Job>, watch::Receiver<Job>)> + Send>>;

/// The states of a job from now to its end, as events.
struct Told {
    next: Option<Next>,
}

impl Told {
    fn new(mut watched: watch::Receiver<Job>) -> Self {
        let first = watched.borrow_and_update().clone();
        Self { next: Some(Box::pin(async move { (Some(first), watched) })) }
    }
}

async fn following(mut watched: watch::Receiver<Job>) -> (Option<Job>, watch::Receiver<Job>) {
    let changed = watched.changed().await.is_ok();
    let job = changed.then(|| watched.borrow_and_update().clone());
    (job, watched)
}

impl futures_core::Stream for Told {
    type Item = Result<Event, Infallible>;

    fn poll_next(mut self: Pin<&mut Self>, context: &mut Context<'_>) -> Poll<Option<Self::Item>> {
        let Some(next) = self.next.as_mut() else { return Poll::Ready(None) };
        let Poll::Ready((job, watched)) = next.as_mut().poll(context) else { return Poll::Pending };
        let Some(job) = job else {
            self.next = None;
            return Poll::Ready(None);
        };
        self.next = (!job.is_over()).then(|| Box::pin(following(watched)) as Next);
        let name = match job.state {
            crate::jobs::State::Waiting | crate::jobs::State::Running => "progress",
            crate::jobs::State::Done => "done",
            crate::jobs::State::Failed => "failed",
            crate::jobs::State::Cancelled => "cancelled",
        };
        // A job always has a JSON form; an event without one would only be empty.
        let data = serde_json::to_string(&job).unwrap_or_default();
        Poll::Ready(Some(Ok(Event::default().event(name).data(data))))
    }
}

//! The plan of a sheet over the network: the report, why its numbers are what they are, and the one question worth asking next.

use crate::api::{Api, Operation};
use crate::app::App;
use crate::planning::{Planned, planned};
use crate::problem::{Problem, away};
use crate::questions::{Questions, questions};
use crate::sheet_routes::id_of;
use axum::Json;
use axum::extract::{Path, Query, State};
use axum::routing::get;
use catalogue::words::Question;
use plan::{Fidelity, Why, why};
use serde::Deserialize;

/// The routes.
pub fn routes(api: Api) -> Api {
    api.with(
        Operation::new("get", "/api/sheets/{id}/plan", "The plan, or what is needed for one")
            .query("fidelity", "`instant` (the default), `quick` or `full`")
            .answers::<Planned>(),
        get(plan_of),
    )
    .with(
        Operation::new(
            "get",
            "/api/sheets/{id}/before",
            "The plan of the sheet as it last stood before preparation; without a report where it never stood so",
        )
        .answers::<Planned>(),
        get(before),
    )
    .with(
        Operation::new("get", "/api/sheets/{id}/why", "Why a number of the plan is what it is")
            .query("option", "id of the option")
            .query("question", "last, break, show, lose, hold or cost")
            .answers::<Why>(),
        get(why_of),
    )
    .with(
        Operation::new("get", "/api/sheets/{id}/next", "The one question worth asking next, and the rows of the sheet")
            .query("row", "a row to be shown in full instead")
            .query("order", "`sheet`: do not compute how much each could change the choice")
            .answers::<Questions>(),
        get(next),
    )
}

/// How thoroughly a plan is asked for.
#[derive(Debug, Deserialize)]
struct Thoroughness {
    fidelity: Option<String>,
}

async fn plan_of(
    State(app): State<App>,
    Path(id): Path<String>,
    Query(asked): Query<Thoroughness>,
) -> Result<Json<Planned>, Problem> {
    let fidelity = match asked.fidelity.as_deref() {
        None | Some("instant") => Fidelity::Instant,
        Some("quick") => Fidelity::Quick,
        Some("full") => Fidelity::Full,
        Some(_) => {
            return Err(Problem::wrong(
                "fidelity",
                "there is no such",
                "`instant`, `quick` or `full`",
                "take one of them",
            ));
        }
    };
    away(move || {
        let sheet = app.sheets().standing(&id_of(&id)?)?;
        Ok(Json(planned(app.plans(), &sheet, &*app.ground().get()?, fidelity)?))
    })
    .await
}

async fn before(State(app): State<App>, Path(id): Path<String>) -> Result<Json<Planned>, Problem> {
    away(move || {
        let id = id_of(&id)?;
        let then = app.sheets().last_so(&id, |case| case["moment"] == "plan")?;
        let Some(then) = then else {
            let revision = app.sheets().standing(&id)?.revision;
            return Ok(Json(Planned { revision, report: None, needs: Vec::new(), issues: Vec::new(), took_ms: 0 }));
        };
        Ok(Json(planned(app.plans(), &then, &*app.ground().get()?, Fidelity::Instant)?))
    })
    .await
}

/// Of which number.
#[derive(Debug, Deserialize)]
struct Number {
    option: String,
    question: String,
}

async fn why_of(
    State(app): State<App>,
    Path(id): Path<String>,
    Query(number): Query<Number>,
) -> Result<Json<Why>, Problem> {
    let wrong =
        |place: &str, what: &str, expected: &str| Problem::wrong(place, what, expected, "take it from the plan");
    let question = Question::parse(&number.question)
        .ok_or_else(|| wrong("question", "there is no such question", "last, break, show, lose, hold or cost"))?;
    away(move || {
        let sheet = app.sheets().standing(&id_of(&id)?)?;
        let made = planned(app.plans(), &sheet, &*app.ground().get()?, Fidelity::Instant)?;
        let report = made.report.ok_or_else(|| wrong("case", "there is no plan yet", "a sheet that can be planned"))?;
        let found = why(&report, &number.option, question);
        found.map(Json).ok_or_else(|| wrong("option", "the plan has no such option", "an id of its options"))
    })
    .await
}

/// Which question is asked for.
#[derive(Debug, Deserialize)]
struct Wanted {
    row: Option<String>,
    order: Option<String>,
}

async fn next(
    State(app): State<App>,
    Path(id): Path<String>,
    Query(wanted): Query<Wanted>,
) -> Result<Json<Questions>, Problem> {
    away(move || {
        let sheet = app.sheets().standing(&id_of(&id)?)?;
        let by_influence = wanted.order.as_deref() != Some("sheet");
        let plan = match by_influence {
            true => planned(app.plans(), &sheet, &*app.ground().get()?, Fidelity::Quick)?.report,
            false => None,
        };
        let influence = plan.as_ref().map_or(&[][..], |r| &r.open_questions);
        let asked = questions(&sheet.case, influence, wanted.row.as_deref());
        asked.map(Json).ok_or_else(|| {
            Problem::wrong(
                "case",
                "a value of the sheet cannot stand, so that its questions are not known",
                "values the fields allow",
                "undo the last edit, or correct what the sheet's issues name",
            )
        })
    })
    .await
}

//! What is entered in the register by hand: placings and orders, try-ins, recalls with one key, events.

use crate::api::{Api, Operation};
use crate::app::App;
use crate::draft;
use crate::planning::{name_of, today};
use crate::problem::{Problem, away};
use crate::register_room::{Open, of_store};
use crate::sheet_routes::id_of;
use axum::Json;
use axum::extract::State;
use axum::http::StatusCode;
use axum::routing::post;
use plan::Fidelity;
use register::words::{Consequence, EventKind, Fit, Misfit, Stage};
use register::{Day, NotDone, NotEntered, Restoration};
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};
use store::StoreError;

/// The routes.
pub fn routes(api: Api) -> Api {
    let told = |path, words| Operation::new("post", path, words).answers::<Done>();
    api.with(
        told("/api/register/place", "Enters a restoration of a sheet's plan as placed or ordered").takes::<Placed>(),
        post(place),
    )
    .with(told("/api/register/tryin", "Enters how a try-in went").takes::<TryIn>(), post(try_in))
    .with(told("/api/register/recall", "Enters that restorations were seen in place").takes::<Recall>(), post(recall))
    .with(told("/api/register/event", "Enters something that went wrong").takes::<Event>(), post(event))
}

/// What was entered.
#[derive(Debug, Clone, Serialize, JsonSchema)]
pub struct Done {
    /// Key of the restoration; several are parted by a space.
    pub key: String,
    /// In words.
    pub done: String,
}

impl From<register::Done> for Done {
    fn from(done: register::Done) -> Self {
        Self { key: done.key, done: done.words }
    }
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

/// A word of a closed list, or a refusal that names the list.
///
/// # Errors
/// When it is none of the list.
pub fn word<T: Copy>(place: &str, text: &str, all: &[T], word: impl Fn(T) -> &'static str) -> Result<T, Problem> {
    all.iter().copied().find(|t| word(*t) == text).ok_or_else(|| {
        let list: Vec<&str> = all.iter().map(|t| word(*t)).collect();
        let remedy = answer::nearest_name(text, list.iter().copied())
            .map_or_else(|| "take one of them".to_owned(), |near| format!("did you mean `{near}`?"));
        // Words of a list are short: what is sent may be anything.
        let found: String = text.chars().take(40).collect();
        Problem::wrong(place, format!("`{found}` is none of the words"), &list.join(", "), &remedy)
    })
}

/// A day as a person writes it; today where none is said.
fn day(place: &str, text: Option<&str>) -> Result<Day, Problem> {
    match text.map(str::trim).filter(|t| !t.is_empty()) {
        None | Some("today") => Ok(today()),
        Some(text) => Day::parse(text)
            .map_err(|e| Problem::wrong(place, e.to_string(), "a day, e.g. 2026-03-31", "correct the day")),
    }
}

fn not_done(e: NotDone<StoreError>) -> Problem {
    let what = e.to_string();
    match e {
        NotDone::NotEntered(NotEntered::Refused(issues)) => Problem::of_issues(&issues),
        NotDone::NotEntered(NotEntered::Store(e)) => of_store(e),
        NotDone::PlacedAlready { key, on } => Problem::new(
            StatusCode::CONFLICT,
            "restoration",
            format!("{key} was placed on {on} already"),
            "one that is ordered and not placed yet",
            "choose another; a wrong day is corrected by `bisque register place --correct`",
        ),
        _ => Problem::wrong("restoration", what, "a key of this register", "take it from the list"),
    }
}

async fn place(State(app): State<App>, Json(asked): Json<Placed>) -> Result<Json<Done>, Problem> {
    away(move || {
        let mut open = Open::of(&app)?;
        if let Some(key) = asked.restoration.as_deref() {
            let on = day("day", asked.day.as_deref())?;
            let (cement, operator) = (asked.cement.clone(), asked.operator.clone());
            let also = |value: &mut Restoration| {
                value.cement = cement.or(value.cement.take());
                value.operator = operator.or(value.operator.take());
            };
            return open.work().place_ordered(key, on, false, also).map(|d| Json(d.into())).map_err(not_done);
        }
        let restoration = of_sheet(&app, &asked)?;
        open.work().place(restoration).map(|d| Json(d.into())).map_err(not_done)
    })
    .await
}

/// What a sheet's plan makes of a tooth or gap, placed or ordered as asked.
fn of_sheet(app: &App, asked: &Placed) -> Result<Restoration, Problem> {
    let patient = asked.patient.clone().ok_or_else(|| {
        Problem::wrong("patient", "whose is it?", "a pseudonym with a digit, never a name", "give the pseudonym")
    })?;
    let sheet = asked.sheet.as_deref().ok_or_else(|| {
        Problem::wrong("sheet", "of which plan?", "the sheet it was planned on, or the key of an order", "name one")
    })?;
    let sheet = app.sheets().standing(&id_of(sheet)?)?;
    let grounds = app.ground().get()?;
    let read = draft::read("case", &sheet.case, grounds.catalogue.own_colours());
    let case = read.case.ok_or_else(|| Problem::of_issues(&read.issues))?;
    let report = app.plans().of(&name_of(&sheet), &case, &grounds, Fidelity::Instant)?;
    let option = match asked.option.as_deref() {
        Some(id) => report.option(id),
        None => report.options.first(),
    };
    let option = option.ok_or_else(|| {
        Problem::wrong("option", "the plan has no such option", "an id of its options", "take it from the plan")
    })?;
    let ordered = asked.ordered.as_deref().map(|o| day("ordered", Some(o))).transpose()?;
    let placed = if ordered.is_some() { None } else { Some(day("day", asked.day.as_deref())?) };
    Ok(Restoration {
        key: String::new(),
        patient,
        teeth: report.arch.units.iter().map(|u| u.tooth).collect(),
        construct: option.construct,
        material: option.material,
        build: option.build,
        grade: option.grade,
        dimensions: option.named_dimensions(),
        laboratory: asked.laboratory.clone(),
        cement: asked.cement.clone(),
        operator: asked.operator.clone(),
        planned: None,
        ordered,
        placed,
        option: Some(option.id.clone()),
        note: None,
    })
}

async fn try_in(State(app): State<App>, Json(asked): Json<TryIn>) -> Result<Json<Done>, Problem> {
    away(move || {
        let causes = asked.causes.iter().map(|c| word("causes", c, Misfit::ALL, Misfit::word));
        let record = register::TryIn {
            key: String::new(),
            restoration: asked.restoration.clone(),
            day: day("day", asked.day.as_deref())?,
            stage: asked.stage.as_deref().map_or(Ok(Stage::Finished), |s| word("stage", s, Stage::ALL, Stage::word))?,
            fit: word("outcome", &asked.outcome, Fit::ALL, Fit::word)?,
            causes: causes.collect::<Result<_, _>>()?,
            minutes: asked.minutes,
            note: None,
        };
        Open::of(&app)?.work().try_in(record).map(|d| Json(d.into())).map_err(not_done)
    })
    .await
}

async fn recall(State(app): State<App>, Json(asked): Json<Recall>) -> Result<Json<Done>, Problem> {
    if asked.restorations.is_empty() {
        return Err(Problem::wrong("restorations", "none is named", "at least one key", "choose from the list"));
    }
    away(move || {
        let on = day("day", asked.day.as_deref())?;
        let mut open = Open::of(&app)?;
        for key in &asked.restorations {
            open.work().seen(key, on, None, Vec::new()).map_err(not_done)?;
        }
        let done = format!("seen in place on {on}: {}", asked.restorations.join(", "));
        Ok(Json(Done { key: asked.restorations.join(" "), done }))
    })
    .await
}

async fn event(State(app): State<App>, Json(asked): Json<Event>) -> Result<Json<Done>, Problem> {
    away(move || {
        let record = register::Event {
            key: String::new(),
            restoration: asked.restoration.clone(),
            found: day("day", asked.day.as_deref())?,
            happened: None,
            kind: word("cause", &asked.cause, EventKind::ALL, EventKind::word)?,
            grade: asked.grade,
            consequence: word("consequence", &asked.consequence, Consequence::ALL, Consequence::word)?,
            note: None,
        };
        Open::of(&app)?.work().event(record).map(|d| Json(d.into())).map_err(not_done)
    })
    .await
}

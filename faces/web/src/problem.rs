//! What went wrong, said to the person at the page: what, where, what was expected, what to do.

use answer::Issue;
use axum::Json;
use axum::http::StatusCode;
use axum::response::{IntoResponse, Response};
use schemars::JsonSchema;
use serde::Serialize;
use serde_json::Value;

/// A request that was not done. Nothing was changed unless it says so.
#[derive(Debug, Clone, Serialize, JsonSchema)]
pub struct Problem {
    /// What happened.
    pub what: String,
    /// Where: a field, a header, an address; empty when none is meant.
    #[serde(rename = "where")]
    pub place: String,
    /// What was expected there.
    pub expected: String,
    /// What to do.
    #[serde(rename = "do")]
    pub remedy: String,
    /// More, where there is more to tell: the differences of a sheet that was changed elsewhere.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub detail: Option<Value>,
    #[serde(skip)]
    status: Status,
}

#[derive(Debug, Clone, Copy)]
struct Status(StatusCode);

impl Problem {
    /// A problem of this status.
    pub fn new(status: StatusCode, place: &str, what: impl Into<String>, expected: &str, remedy: &str) -> Self {
        Self {
            what: what.into(),
            place: place.to_owned(),
            expected: expected.to_owned(),
            remedy: remedy.to_owned(),
            detail: None,
            status: Status(status),
        }
    }

    /// Something that is not there.
    pub fn missing(what: &str, expected: &str, remedy: &str) -> Self {
        Self::new(StatusCode::NOT_FOUND, "address", what, expected, remedy)
    }

    /// Something asked in a way that cannot be answered.
    pub fn wrong(place: &str, what: impl Into<String>, expected: &str, remedy: &str) -> Self {
        Self::new(StatusCode::UNPROCESSABLE_ENTITY, place, what, expected, remedy)
    }

    /// A fault of this program or this machine.
    pub fn fault(what: impl Into<String>, remedy: &str) -> Self {
        Self::new(StatusCode::INTERNAL_SERVER_ERROR, "", what, "the server to do it", remedy)
    }

    /// Issues of an input: the first is told, all stand in the detail.
    pub fn of_issues(issues: &[Issue]) -> Self {
        let told: Vec<Fault> = issues.iter().map(Fault::from).collect();
        let mut problem = match issues.first() {
            Some(issue) => Self::wrong(&issue.place.to_string(), issue.found.clone(), &issue.expected, &issue.remedy),
            None => Self::wrong("", "the input has errors", "an input without errors", "correct it and send it again"),
        };
        problem.detail = serde_json::to_value(told).ok();
        problem
    }

    /// With more to tell.
    pub fn with(mut self, detail: Value) -> Self {
        self.detail = Some(detail);
        self
    }

    /// Its status.
    pub fn status(&self) -> StatusCode {
        self.status.0
    }
}

impl IntoResponse for Problem {
    fn into_response(self) -> Response {
        (self.status.0, Json(self)).into_response()
    }
}

/// One thing wrong in a sheet or file.
#[derive(Debug, Clone, Serialize, JsonSchema)]
pub struct Fault {
    /// `error` or `warning`.
    pub severity: answer::Severity,
    /// What was found.
    pub what: String,
    /// Field, or place in a file.
    #[serde(rename = "where")]
    pub place: String,
    /// What was expected.
    pub expected: String,
    /// What to do.
    #[serde(rename = "do")]
    pub remedy: String,
}

impl From<&Issue> for Fault {
    fn from(issue: &Issue) -> Self {
        let place = match (issue.place.field.is_empty(), issue.place.line) {
            (false, _) => issue.place.field.clone(),
            (true, Some(line)) => format!("line {line}"),
            (true, None) => String::new(),
        };
        Self {
            severity: issue.severity,
            what: issue.found.clone(),
            place,
            expected: issue.expected.clone(),
            remedy: issue.remedy.clone(),
        }
    }
}

/// Work that may take longer than a moment, away from the threads that answer.
///
/// # Errors
/// The work's own; a fault where it broke off.
pub async fn away<T: Send + 'static>(work: impl FnOnce() -> Result<T, Problem> + Send + 'static) -> Result<T, Problem> {
    match tokio::task::spawn_blocking(work).await {
        Ok(done) => done,
        Err(_) => Err(Problem::fault(
            "the work broke off: this is a defect of the program",
            "nothing you entered is lost; report what you asked for, without the patient's data",
        )),
    }
}

//! The router put together, and the server that runs it until it is asked to stop.

use crate::api::{Api, Operation};
use crate::app::{App, Settings};
use crate::guard::{LARGEST_BODY, guard};
use crate::problem::Problem;
use crate::{
    assets, body_routes, evidence_room, files, job_routes, paper_routes, plan_routes, register_room, sheet_routes,
    swatches,
};
use axum::extract::{DefaultBodyLimit, Request};
use axum::http::{Method, StatusCode};
use axum::middleware::from_fn_with_state;
use axum::response::{IntoResponse, Response};
use axum::routing::get;
use axum::{Json, Router};
use serde_json::{Value, json};
use std::io;
use std::net::SocketAddr;
use std::task::Poll;
use std::time::Duration;

fn api() -> Api {
    let api = Api::default().with(
        Operation::new("get", "/api/openapi.json", "This description").answers_media("application/json"),
        get(|| async { Json(openapi()) }),
    );
    let rooms = [
        sheet_routes::routes,
        plan_routes::routes,
        paper_routes::routes,
        body_routes::routes,
        swatches::routes,
        files::routes,
        job_routes::routes,
        evidence_room::routes,
        register_room::routes,
    ];
    rooms.into_iter().fold(api, |api, routes| routes(api))
}

/// The description of everything the server answers, OpenAPI 3.1.
pub fn openapi() -> Value {
    api().document(vec![("Draft", draft_schema())])
}

/// A case of which nothing needs to be answered yet: the schema of the case file without its demands.
fn draft_schema() -> Value {
    fn loosen(schema: &mut Value) {
        if let Some(fields) = schema.as_object_mut() {
            fields.remove("required");
            fields.remove("$schema");
            fields.values_mut().for_each(loosen);
        }
        if let Some(list) = schema.as_array_mut() {
            list.iter_mut().for_each(loosen);
        }
    }
    let mut schema = case::schema();
    loosen(&mut schema);
    schema["description"] = json!("The fields of the case file, as far as they were answered.");
    schema
}

/// Everything the server answers.
pub fn router(app: App) -> Router {
    api()
        .router()
        .fallback(get(file))
        .layer(DefaultBodyLimit::max(LARGEST_BODY))
        .layer(from_fn_with_state(app.clone(), guard))
        .layer(axum::middleware::from_fn(plain_refusals))
        .with_state(app)
}

async fn file(request: Request) -> Response {
    let path = request.uri().path().trim_start_matches('/');
    if path.starts_with("api/") {
        let expected = "an address of /api/openapi.json";
        return Problem::missing("nothing answers here", expected, "look the address up").into_response();
    }
    assets::answer(path, request.headers()).unwrap_or_else(|| {
        Problem::missing("there is no such page", "the address `/`", "open the first page").into_response()
    })
}

/// Refusals of the framework (a body that is no JSON, too large, of a wrong type) in the form of all others.
async fn plain_refusals(request: Request, next: axum::middleware::Next) -> Response {
    let asked_api = request.uri().path().starts_with("/api");
    let method = request.method().clone();
    let response = next.run(request).await;
    let status = response.status();
    let json = response.headers().get("content-type").is_some_and(|t| t.as_bytes().starts_with(b"application/json"));
    if !asked_api || json || !(status.is_client_error() || status.is_server_error()) || method == Method::HEAD {
        return response;
    }
    let (what, expected, remedy) = match status {
        StatusCode::PAYLOAD_TOO_LARGE => {
            ("too much was sent", "at most 1 MiB, or 200 MiB of a file or table", "send less, or in parts")
        }
        StatusCode::METHOD_NOT_ALLOWED => {
            ("this address is not asked that way", "a method of /api/openapi.json", "look it up")
        }
        _ => ("what was sent cannot be read", "what /api/openapi.json describes", "compare what you send with it"),
    };
    let mut problem = Problem::new(status, "request", what, expected, remedy);
    let heads = response.headers().clone();
    if let Ok(bytes) = axum::body::to_bytes(response.into_body(), 4096).await
        && status == StatusCode::UNPROCESSABLE_ENTITY
    {
        // The framework names the field; it repeats no value of the sender's.
        problem.what = format!("{what}: {}", String::from_utf8_lossy(&bytes));
    }
    let mut answer = problem.into_response();
    for (name, value) in &heads {
        if name != "content-type" && name != "content-length" {
            answer.headers_mut().insert(name.clone(), value.clone());
        }
    }
    answer
}

/// Why the server does not run.
#[derive(Debug, thiserror::Error)]
pub enum ServeError {
    /// It would listen beyond this machine without a password.
    #[error("{0} is not this machine alone: set a password with --password-file, or leave --host out")]
    NoPassword(SocketAddr),
    /// The address is taken or not ours.
    #[error("cannot listen at {0}: {1}; take another --port, or stop what listens there")]
    Listen(SocketAddr, io::Error),
    /// The folder of sheets cannot be opened.
    #[error(
        "cannot open the folder of sheets {0}: {1}; stop the server that has it open, or name another folder with --cases"
    )]
    Folder(std::path::PathBuf, io::Error),
    /// The machine gave no threads.
    #[error("the server cannot be started: {0}")]
    Runtime(io::Error),
}

/// Serves until it is asked to stop (interrupt or terminate); requests under way are finished first. `ready` is told the address
/// once it listens.
///
/// # Errors
/// [`ServeError`] when it does not come to serve.
pub fn serve(mut settings: Settings, ready: impl FnOnce(SocketAddr)) -> Result<(), ServeError> {
    if !settings.address.ip().is_loopback() && settings.password.is_none() {
        return Err(ServeError::NoPassword(settings.address));
    }
    let runtime = tokio::runtime::Builder::new_multi_thread()
        .worker_threads(2)
        .enable_all()
        .build()
        .map_err(ServeError::Runtime)?;
    let served = runtime.block_on(async move {
        let asked = settings.address;
        let listener = tokio::net::TcpListener::bind(asked).await.map_err(|e| ServeError::Listen(asked, e))?;
        settings.address = listener.local_addr().map_err(|e| ServeError::Listen(asked, e))?;
        let address = settings.address;
        let folder = settings.cases.clone();
        let app = App::open(settings).map_err(|e| ServeError::Folder(folder, e))?;
        // Facts and evidence are read while the page loads.
        let early = app.clone();
        drop(tokio::task::spawn_blocking(move || early.ground().get().map(drop)));
        // Work that was cut off is begun again.
        app.jobs().left_over().iter().for_each(|job| job_routes::start(&app, job));
        let asked_to_stop = asked_to_stop();
        ready(address);
        let (told, stopping) = tokio::sync::oneshot::channel();
        let stop = async move {
            asked_to_stop.await;
            // Nobody listens only when serving is over already.
            let _ = told.send(());
        };
        let serving = axum::serve(listener, router(app)).with_graceful_shutdown(stop).into_future();
        let patience = async move {
            if stopping.await.is_err() {
                std::future::pending::<()>().await;
            }
            tokio::time::sleep(PATIENCE).await;
            Ok(())
        };
        first(serving, patience).await.map_err(ServeError::Runtime)
    });
    // Long work under way is begun again by the next server.
    runtime.shutdown_timeout(Duration::from_millis(200));
    served
}

/// How long requests under way may take once the server is asked to stop; whoever follows a job would stay for its whole length.
const PATIENCE: Duration = Duration::from_secs(3);

/// The answer of whichever of two is there first.
async fn first<T>(one: impl Future<Output = T>, other: impl Future<Output = T>) -> T {
    let (mut one, mut other) = (std::pin::pin!(one), std::pin::pin!(other));
    std::future::poll_fn(|context| match one.as_mut().poll(context) {
        Poll::Pending => other.as_mut().poll(context),
        ready => ready,
    })
    .await
}

/// Comes when the person or the machine asks the server to stop; listened for from the call on, not from the first wait.
#[cfg(unix)]
fn asked_to_stop() -> impl Future<Output = ()> + Send + 'static {
    use tokio::signal::unix::{Signal, SignalKind, signal};
    async fn came(signal: Option<Signal>) {
        match signal {
            Some(mut signal) => {
                signal.recv().await;
            }
            // Without signals it runs until it is killed, which loses nothing acknowledged.
            None => std::future::pending().await,
        }
    }
    let [terminated, interrupted] = [SignalKind::terminate(), SignalKind::interrupt()].map(|kind| signal(kind).ok());
    first(came(terminated), came(interrupted))
}

#[cfg(not(unix))]
async fn asked_to_stop() {
    if tokio::signal::ctrl_c().await.is_err() {
        std::future::pending::<()>().await;
    }
}

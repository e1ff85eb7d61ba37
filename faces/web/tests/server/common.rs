//! A server of a test's own, and how it is asked.

use axum::Router;
use axum::body::Body;
use axum::http::{HeaderMap, Request, StatusCode};
use http_body_util::BodyExt;
use serde_json::Value;
use std::path::PathBuf;
use tower::ServiceExt;
use web::{App, Settings};

/// A server with an empty folder of its own.
pub struct Server {
    router: Router,
    pub folder: PathBuf,
}

/// An answer.
pub struct Answer {
    pub status: StatusCode,
    pub heads: HeaderMap,
    pub bytes: Vec<u8>,
}

impl Answer {
    pub fn json(&self) -> Value {
        serde_json::from_slice(&self.bytes).unwrap_or_else(|e| panic!("{e}: {}", self.text()))
    }

    pub fn text(&self) -> String {
        String::from_utf8_lossy(&self.bytes).into_owned()
    }

    pub fn head(&self, name: &str) -> String {
        self.heads.get(name).map(|v| v.to_str().unwrap().to_owned()).unwrap_or_default()
    }

    /// The JSON of a request that was done.
    pub fn done(self) -> Value {
        assert!(self.status.is_success(), "{}: {}", self.status, self.text());
        self.json()
    }
}

pub const HOST: &str = "127.0.0.1:7878";

pub fn settings(folder: &std::path::Path) -> Settings {
    Settings {
        address: HOST.parse().unwrap(),
        cases: folder.to_owned(),
        data: None,
        store: None,
        password: None,
        commands: None,
    }
}

impl Server {
    pub fn new(name: &str) -> Self {
        let folder = std::env::temp_dir().join(format!("web-{name}-{}", std::process::id()));
        let _ = std::fs::remove_dir_all(&folder);
        Self::with(settings(&folder))
    }

    pub fn with(settings: Settings) -> Self {
        let folder = settings.cases.clone();
        Self { router: web::router(App::open(settings).unwrap()), folder }
    }

    /// The same folder, served anew.
    pub fn again(self) -> Self {
        let folder = self.folder.clone();
        drop(self.router);
        // The folder is let go when the last request of the old server is; none is under way.
        for _ in 0..100 {
            if let Ok(app) = App::open(settings(&folder)) {
                return Self { router: web::router(app), folder };
            }
            std::thread::sleep(std::time::Duration::from_millis(10));
        }
        panic!("the folder is still held");
    }

    pub async fn send(&self, request: Request<Body>) -> Answer {
        let response = self.router.clone().oneshot(request).await.unwrap();
        let (status, heads) = (response.status(), response.headers().clone());
        let bytes = response.into_body().collect().await.unwrap().to_bytes().to_vec();
        Answer { status, heads, bytes }
    }

    pub async fn get(&self, path: &str) -> Answer {
        self.send(request("GET", path).body(Body::empty()).unwrap()).await
    }

    pub async fn post(&self, path: &str, body: &Value) -> Answer {
        self.change("POST", path, None, body).await
    }

    /// A change to a sheet seen at a revision.
    pub async fn change(&self, method: &str, path: &str, seen: Option<u64>, body: &Value) -> Answer {
        let mut request = request(method, path).header("content-type", "application/json");
        if let Some(seen) = seen {
            request = request.header("if-match", format!("\"{seen}\""));
        }
        self.send(request.body(Body::from(body.to_string())).unwrap()).await
    }

    /// A sheet of an example; its id.
    pub async fn example(&self, name: &str) -> String {
        let sheet = self.post("/api/sheets", &serde_json::json!({ "from": format!("example:{name}") })).await.done();
        sheet["id"].as_str().unwrap().to_owned()
    }
}

/// A request as the page makes it.
pub fn request(method: &str, path: &str) -> axum::http::request::Builder {
    Request::builder().method(method).uri(path).header("host", HOST).header("x-bisque", "1")
}

//! The page's files, carried inside the program.
//!
//! Names under `assets/` change with their contents and are kept for good; `index.html` is asked for anew each time, by its tag.

use axum::body::Body;
use axum::http::{HeaderMap, Response, StatusCode, header};
use sha2::{Digest, Sha256};

/// One file of the page.
pub struct Asset {
    /// Path under the root.
    pub path: &'static str,
    /// Its contents.
    pub plain: &'static [u8],
    /// Packed with brotli, where the page's build did.
    pub brotli: Option<&'static [u8]>,
    /// Packed with gzip, where the page's build did.
    pub gzip: Option<&'static [u8]>,
}

include!(concat!(env!("OUT_DIR"), "/assets.rs"));

const NO_PAGE: &str = "<!doctype html>\n<html lang=\"en-GB\"><head><meta charset=\"utf-8\"><title>Bisque</title></head><body>\n\
<h1>The page was not built into this program</h1>\n<p>The server runs and answers under <code>/api</code>; its description is \
at <a href=\"/api/openapi.json\">/api/openapi.json</a>. Build the page (<code>cargo xtask page</code>), then build the program \
again.</p>\n</body></html>\n";

/// The answer to a request for a file of the page; `None` where there is none of that name.
pub fn answer(path: &str, asked: &HeaderMap) -> Option<Response<Body>> {
    let path = if path.is_empty() { "index.html" } else { path };
    match ASSETS.iter().find(|a| a.path == path) {
        Some(asset) => Some(file(asset, asked)),
        None if path == "index.html" => Some(with(StatusCode::OK, &[("content-type", HTML)], NO_PAGE.as_bytes())),
        None => None,
    }
}

fn file(asset: &Asset, asked: &HeaderMap) -> Response<Body> {
    let tag = tag(asset.plain);
    let keep = if asset.path.starts_with("assets/") { "public, max-age=31536000, immutable" } else { "no-cache" };
    let same = asked.get(header::IF_NONE_MATCH).is_some_and(|t| t.as_bytes() == tag.as_bytes());
    if same {
        return with(StatusCode::NOT_MODIFIED, &[("etag", &tag), ("cache-control", keep)], &[]);
    }
    let takes = |way: &str| {
        let all = asked.get(header::ACCEPT_ENCODING).and_then(|v| v.to_str().ok()).unwrap_or_default();
        all.split(',').any(|one| one.trim().split(';').next() == Some(way))
    };
    let (bytes, way) = match (asset.brotli, asset.gzip) {
        (Some(packed), _) if takes("br") => (packed, Some("br")),
        (_, Some(packed)) if takes("gzip") => (packed, Some("gzip")),
        _ => (asset.plain, None),
    };
    let mut heads =
        vec![("content-type", media(asset.path)), ("etag", &tag), ("cache-control", keep), ("vary", "accept-encoding")];
    heads.extend(way.map(|way| ("content-encoding", way)));
    with(StatusCode::OK, &heads, bytes)
}

fn with(status: StatusCode, heads: &[(&str, &str)], bytes: &'static [u8]) -> Response<Body> {
    let mut response = Response::new(Body::from(bytes));
    *response.status_mut() = status;
    for (name, value) in heads {
        let name = header::HeaderName::from_bytes(name.as_bytes());
        if let (Ok(name), Ok(value)) = (name, header::HeaderValue::from_str(value)) {
            response.headers_mut().insert(name, value);
        }
    }
    response
}

fn tag(bytes: &[u8]) -> String {
    let sum = Sha256::digest(bytes);
    let hex: String = sum[..12].iter().map(|b| format!("{b:02x}")).collect();
    format!("\"{hex}\"")
}

const HTML: &str = "text/html; charset=utf-8";

fn media(path: &str) -> &'static str {
    match path.rsplit('.').next().unwrap_or_default() {
        "html" => HTML,
        "js" | "mjs" => "text/javascript; charset=utf-8",
        "css" => "text/css; charset=utf-8",
        "json" | "map" => "application/json",
        "svg" => "image/svg+xml",
        "png" => "image/png",
        "ico" => "image/x-icon",
        "woff2" => "font/woff2",
        "wasm" => "application/wasm",
        "webmanifest" => "application/manifest+json",
        "txt" => "text/plain; charset=utf-8",
        _ => "application/octet-stream",
    }
}

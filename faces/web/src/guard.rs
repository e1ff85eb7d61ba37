//! Who may ask: only the page this server itself gave out, on the machine (or the network) it was told to serve.
//!
//! | danger | refused by |
//! | --- | --- |
//! | a foreign page asks in the reader's name | `Origin` and `Sec-Fetch-Site` must be ours; whatever is not GET carries `x-bisque: 1` |
//! | a foreign name that leads to this machine (rebinding) | `Host` must be one we serve |
//! | script smuggled into a page | content-security policy without inline script; no framing by others; types are not guessed |
//! | strangers on the network | a password, once the server listens beyond this machine |
//! | too much sent | bounds on bodies, by route |

use crate::app::App;
use crate::problem::Problem;
use axum::extract::{Request, State};
use axum::http::{HeaderMap, HeaderName, HeaderValue, Method, StatusCode, header};
use axum::middleware::Next;
use axum::response::{IntoResponse, Response};
use sha2::{Digest, Sha256};

/// Largest body of a request, bytes; files have a bound of their own.
pub const LARGEST_BODY: usize = 1 << 20;

const POLICY: &str = "default-src 'self'; script-src 'self'; style-src 'self'; img-src 'self' data: blob:; font-src 'self'; \
connect-src 'self'; frame-src 'self'; object-src 'none'; base-uri 'none'; form-action 'none'; frame-ancestors 'none'";

/// A password that was set, kept as its checksum.
#[derive(Debug, Clone)]
pub struct Password([u8; 32]);

impl Password {
    /// Of these words.
    pub fn new(words: &str) -> Self {
        Self(Sha256::digest(words.as_bytes()).into())
    }

    /// Compared in the same time wherever they differ.
    fn fits(&self, words: &[u8]) -> bool {
        let given: [u8; 32] = Sha256::digest(words).into();
        self.0.iter().zip(given).fold(0, |all, (a, b)| all | (a ^ b)) == 0
    }
}

/// Lets through what may ask, and puts the heads of safety on every answer.
pub async fn guard(State(app): State<App>, request: Request, next: Next) -> Response {
    let refused = host(&app, request.headers())
        .and_then(|()| same_origin(&app, &request))
        .and_then(|()| password(&app, request.headers()));
    let mut response = match refused {
        Ok(()) => next.run(request).await,
        Err(problem) => {
            if problem.status() == StatusCode::UNAUTHORIZED {
                // Guessing takes its time.
                tokio::time::sleep(std::time::Duration::from_millis(500)).await;
            }
            problem.into_response()
        }
    };
    if response.status() == StatusCode::UNAUTHORIZED {
        let asks = HeaderValue::from_static("Basic realm=\"Bisque\", charset=\"UTF-8\"");
        response.headers_mut().insert(header::WWW_AUTHENTICATE, asks);
    }
    heads(response.headers_mut());
    response
}

fn heads(heads: &mut HeaderMap) {
    let set = [
        ("x-content-type-options", "nosniff"),
        ("referrer-policy", "no-referrer"),
        ("cross-origin-opener-policy", "same-origin"),
        ("cross-origin-resource-policy", "same-origin"),
        ("permissions-policy", "camera=(), microphone=(), geolocation=()"),
    ];
    for (name, value) in set {
        heads.insert(HeaderName::from_static(name), HeaderValue::from_static(value));
    }
    // A paper that is shown within the page brings a policy of its own, which lets the page frame it.
    let mut unless_set = |name: HeaderName, value: &'static str| {
        heads.entry(name).or_insert(HeaderValue::from_static(value));
    };
    unless_set(header::CONTENT_SECURITY_POLICY, POLICY);
    unless_set(header::X_FRAME_OPTIONS, "DENY");
    unless_set(header::CACHE_CONTROL, "no-store");
}

fn host(app: &App, heads: &HeaderMap) -> Result<(), Problem> {
    let host = heads.get(header::HOST).and_then(|h| h.to_str().ok()).unwrap_or_default();
    if app.serves(host) {
        return Ok(());
    }
    Err(Problem::new(
        StatusCode::MISDIRECTED_REQUEST,
        "Host",
        "this server is not asked by that name",
        "the address it printed when it was started",
        "open the address printed by `bisque serve`",
    ))
}

fn same_origin(app: &App, request: &Request) -> Result<(), Problem> {
    let heads = request.headers();
    let text = |name: &str| heads.get(name).map(|v| v.to_str().unwrap_or("?"));
    let foreign_site = text("sec-fetch-site").is_some_and(|site| !["same-origin", "none"].contains(&site));
    let foreign_origin = text("origin")
        .is_some_and(|o| !o.strip_prefix("http://").or(o.strip_prefix("https://")).is_some_and(|h| app.serves(h)));
    let refuse = |place: &str, what: &str, expected: &str| {
        Err(Problem::new(
            StatusCode::FORBIDDEN,
            place,
            what,
            expected,
            "ask from the page this server gave out, or from the command line",
        ))
    };
    // Following a link to the page from elsewhere is harmless: only the bare page is given out, never an answer.
    let opening_the_page = request.method() == Method::GET && !request.uri().path().starts_with("/api");
    if (foreign_site || foreign_origin) && !opening_the_page {
        return refuse("Origin", "a page from elsewhere asked", "a request of this server's own page");
    }
    let safe = [Method::GET, Method::HEAD].contains(request.method());
    if !safe && text("x-bisque") != Some("1") {
        return refuse("x-bisque", "the head `x-bisque: 1` is missing", "`x-bisque: 1` on all that changes something");
    }
    Ok(())
}

fn password(app: &App, heads: &HeaderMap) -> Result<(), Problem> {
    let Some(password) = app.password() else { return Ok(()) };
    let given = heads.get(header::AUTHORIZATION).and_then(|v| v.to_str().ok()).and_then(basic);
    if given.is_some_and(|words| password.fits(&words)) {
        return Ok(());
    }
    Err(Problem::new(
        StatusCode::UNAUTHORIZED,
        "Authorization",
        "the password is missing or wrong",
        "the password this server was started with",
        "give the password; the name beside it does not matter",
    ))
}

/// The password of `Basic` credentials (RFC 7617); the name before the colon is not looked at.
fn basic(value: &str) -> Option<Vec<u8>> {
    let bytes = base64(value.strip_prefix("Basic ")?.trim())?;
    let colon = bytes.iter().position(|b| *b == b':')?;
    Some(bytes[colon + 1..].to_vec())
}

/// Base 64 (RFC 4648), with or without padding.
fn base64(text: &str) -> Option<Vec<u8>> {
    let mut out = Vec::new();
    let (mut held, mut bits) = (0_u32, 0);
    for byte in text.trim_end_matches('=').bytes() {
        let six = match byte {
            b'A'..=b'Z' => byte - b'A',
            b'a'..=b'z' => byte - b'a' + 26,
            b'0'..=b'9' => byte - b'0' + 52,
            b'+' => 62,
            b'/' => 63,
            _ => return None,
        };
        held = (held << 6) | u32::from(six);
        bits += 6;
        if bits >= 8 {
            bits -= 8;
            out.push((held >> bits) as u8);
            held &= (1 << bits) - 1;
        }
    }
    Some(out)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn base64_of_the_standard() {
        // RFC 4648, section 10.
        for (plain, coded) in [("", ""), ("f", "Zg=="), ("fo", "Zm8="), ("foo", "Zm9v"), ("foobar", "Zm9vYmFy")] {
            assert_eq!(base64(coded).as_deref(), Some(plain.as_bytes()), "{coded}");
        }
        assert_eq!(base64("a b"), None);
    }

    #[test]
    fn the_password_stands_after_the_first_colon() {
        // RFC 7617, section 2: user `Aladdin`, password `open sesame`.
        assert_eq!(basic("Basic QWxhZGRpbjpvcGVuIHNlc2FtZQ==").as_deref(), Some(&b"open sesame"[..]));
        assert_eq!(basic("Bearer QWxhZGRpbjpvcGVuIHNlc2FtZQ=="), None);
    }
}

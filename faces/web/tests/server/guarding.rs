//! Who may ask, and what every answer carries.

use crate::common::{HOST, Server, request, settings};
use axum::body::Body;
use axum::http::{Request, StatusCode};
use serde_json::json;

fn empty() -> Body {
    Body::from(json!({ "from": "empty" }).to_string())
}

#[tokio::test]
async fn a_foreign_page_is_refused_by_origin_and_by_site() {
    let server = Server::new("foreign");
    for (name, value) in [
        ("origin", "http://elsewhere.example"),
        ("origin", "http://127.0.0.1:9999"),
        ("origin", "null"),
        ("sec-fetch-site", "cross-site"),
        ("sec-fetch-site", "same-site"),
    ] {
        let post = request("POST", "/api/sheets").header("content-type", "application/json").header(name, value);
        let answer = server.send(post.body(empty()).unwrap()).await;
        assert_eq!(answer.status, StatusCode::FORBIDDEN, "{name}: {value}");
        let get = request("GET", "/api/sheets").header(name, value).body(Body::empty()).unwrap();
        assert_eq!(server.send(get).await.status, StatusCode::FORBIDDEN, "{name}: {value}");
    }
    let own = request("POST", "/api/sheets").header("content-type", "application/json");
    let own = own.header("origin", format!("http://{HOST}")).header("sec-fetch-site", "same-origin");
    assert_eq!(server.send(own.body(empty()).unwrap()).await.status, StatusCode::OK);
    assert_eq!(server.get("/api/sheets").await.done().as_array().unwrap().len(), 1, "refused requests did nothing");
}

#[tokio::test]
async fn what_changes_something_carries_the_head_of_the_page() {
    let server = Server::new("head");
    let bare = Request::builder().method("POST").uri("/api/sheets").header("host", HOST);
    let answer = server.send(bare.header("content-type", "application/json").body(empty()).unwrap()).await;
    assert_eq!(answer.status, StatusCode::FORBIDDEN);
    assert_eq!(answer.json()["where"], "x-bisque");
}

#[tokio::test]
async fn a_name_that_is_not_ours_is_not_served() {
    let server = Server::new("host");
    for host in ["elsewhere.example:7878", "127.0.0.1:80", "localhost", "192.168.0.9:7878", "", "evil@127.0.0.1:7878"] {
        let get = Request::builder().uri("/").header("host", host).body(Body::empty()).unwrap();
        assert_eq!(server.send(get).await.status, StatusCode::MISDIRECTED_REQUEST, "{host}");
    }
    for host in [HOST, "localhost:7878", "[::1]:7878"] {
        let get = Request::builder().uri("/").header("host", host).body(Body::empty()).unwrap();
        assert_eq!(server.send(get).await.status, StatusCode::OK, "{host}");
    }
}

#[tokio::test]
async fn every_answer_carries_the_policy_and_no_script_may_stand_in_a_page() {
    let server = Server::new("policy");
    for path in ["/", "/api/words", "/api/nothing", "/nothing"] {
        let answer = server.get(path).await;
        let policy = answer.head("content-security-policy");
        assert!(policy.contains("default-src 'self'") && policy.contains("frame-ancestors 'none'"), "{path}: {policy}");
        assert!(!policy.contains("unsafe"), "{path}: {policy}");
        assert_eq!(answer.head("x-content-type-options"), "nosniff", "{path}");
        assert_eq!(answer.head("referrer-policy"), "no-referrer", "{path}");
        assert_eq!(answer.head("x-frame-options"), "DENY", "{path}");
    }
    let page = server.get("/").await.text();
    assert!(!page.contains("<script>") && !page.contains("<style") && !page.contains("onclick="), "{page}");
}

#[tokio::test]
async fn a_body_beyond_its_bound_is_refused_and_said_so() {
    let server = Server::new("body");
    let large = json!({ "from": "text", "text": "x".repeat(2 << 20) });
    let answer = server.post("/api/sheets", &large).await;
    assert_eq!(answer.status, StatusCode::PAYLOAD_TOO_LARGE);
    assert_eq!(answer.json()["what"], "too much was sent");
}

#[tokio::test]
async fn garbage_is_answered_in_the_form_of_all_refusals() {
    let server = Server::new("garbage");
    let bad = request("POST", "/api/sheets").header("content-type", "application/json");
    let answer = server.send(bad.body(Body::from("{\"from\": 7")).unwrap()).await;
    assert!(answer.status.is_client_error());
    for part in ["what", "where", "expected", "do"] {
        assert!(answer.json()[part].is_string(), "{part}");
    }
    for path in ["/api/sheets/..%2f..%2fetc%2fpasswd", "/api/sheets/zzzzzzzzzzzz", "/api/sheets/0123456789ab"] {
        assert_eq!(server.get(path).await.status, StatusCode::NOT_FOUND, "{path}");
    }
}

#[tokio::test]
async fn with_a_password_nobody_gets_in_without_it() {
    let folder = std::env::temp_dir().join(format!("web-password-{}", std::process::id()));
    let server = Server::with(web::Settings { password: Some("open sesame".into()), ..settings(&folder) });
    let answer = server.get("/api/sheets").await;
    assert_eq!(answer.status, StatusCode::UNAUTHORIZED);
    assert!(answer.head("www-authenticate").starts_with("Basic "), "{}", answer.head("www-authenticate"));
    // RFC 7617, section 2: user `Aladdin`, password `open sesame`.
    for (credentials, status) in
        [("QWxhZGRpbjpvcGVuIHNlc2FtZQ==", StatusCode::OK), ("QWxhZGRpbjpvcGVuIHNlc2FtZWU=", StatusCode::UNAUTHORIZED)]
    {
        let get = request("GET", "/api/sheets").header("authorization", format!("Basic {credentials}"));
        assert_eq!(server.send(get.body(Body::empty()).unwrap()).await.status, status);
    }
}

#[test]
fn beyond_this_machine_it_serves_only_with_a_password() {
    let folder = std::env::temp_dir().join(format!("web-open-{}", std::process::id()));
    let open = web::Settings { address: "0.0.0.0:0".parse().unwrap(), ..settings(&folder) };
    let refused = web::serve(open, |_| panic!("it listens")).unwrap_err();
    assert!(refused.to_string().contains("--password-file"), "{refused}");
}

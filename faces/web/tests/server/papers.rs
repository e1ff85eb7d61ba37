//! The paper tray.

use crate::common::Server;
use axum::http::StatusCode;

#[tokio::test]
async fn every_paper_is_listed_and_comes_as_a_page_that_only_ours_may_frame() {
    let server = Server::new("papers");
    let id = server.example("molar-crown-ordered").await;
    let list = server.get(&format!("/api/sheets/{id}/papers")).await.done();
    let list = list.as_array().unwrap();
    assert_eq!(list.len(), papers::PAPERS.len());
    for paper in list.iter().filter(|p| p["made"] == true) {
        let name = paper["name"].as_str().unwrap();
        let page = server.get(&format!("/api/sheets/{id}/papers/{name}.html")).await;
        assert_eq!(page.status, StatusCode::OK, "{name}: {}", page.text());
        let policy = page.head("content-security-policy");
        assert!(policy.contains("style-src 'sha256-") && policy.contains("frame-ancestors 'self'"), "{name}: {policy}");
        assert!(policy.starts_with("default-src 'none'") && !policy.contains("unsafe"), "{name}: {policy}");
        assert_eq!(page.head("x-frame-options"), "SAMEORIGIN", "{name}");
        assert!(!page.text().contains("<script"), "{name}");
        assert!(!page.text().contains(" style=\""), "{name}: a style the policy would refuse");
    }
    let note = server.get(&format!("/api/sheets/{id}/papers/record.txt")).await;
    assert!(note.head("content-type").starts_with("text/plain"));
    assert_eq!(server.get(&format!("/api/sheets/{id}/papers/letter.html")).await.status, StatusCode::NOT_FOUND);
}

#[tokio::test]
async fn figures_come_by_name() {
    let server = Server::new("figures");
    let id = server.example("bridge-45-47").await;
    let list = server.get(&format!("/api/sheets/{id}/figures")).await.done();
    let figures = list.as_array().unwrap();
    assert!(figures.len() > 3, "{list}");
    for figure in figures {
        let name = figure["name"].as_str().unwrap();
        let svg = server.get(&format!("/api/sheets/{id}/figure/{name}.svg")).await;
        assert!(svg.text().starts_with("<svg"), "{name}");
        assert_eq!(svg.head("content-type"), "image/svg+xml");
    }
}

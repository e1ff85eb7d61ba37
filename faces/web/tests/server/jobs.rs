//! Long work: begun, followed, stopped, remembered; files read beside the answer.

use crate::common::{Answer, Server, request};
use axum::body::Body;
use axum::http::StatusCode;
use serde_json::{Value, json};

/// A job once it is over.
pub async fn over(server: &Server, id: &str) -> Value {
    for _ in 0..4800 {
        let job = server.get(&format!("/api/jobs/{id}")).await.done();
        if !["waiting", "running"].contains(&job["state"].as_str().unwrap()) {
            return job;
        }
        tokio::time::sleep(std::time::Duration::from_millis(50)).await;
    }
    panic!("the job does not end");
}

async fn send(server: &Server, id: &str, query: &str, bytes: Vec<u8>) -> Answer {
    server.send(request("POST", &format!("/api/sheets/{id}/files?{query}")).body(Body::from(bytes)).unwrap()).await
}

/// A tetrahedron as binary STL.
fn tetrahedron() -> Vec<u8> {
    let corners = [[0.0_f32, 0.0, 0.0], [8.0, 0.0, 0.0], [0.0, 8.0, 0.0], [0.0, 0.0, 8.0]];
    let mut out = vec![b' '; 80];
    out.extend(4_u32.to_le_bytes());
    for facet in [[0, 2, 1], [0, 1, 3], [0, 3, 2], [1, 2, 3]] {
        out.extend([0; 12]);
        facet.iter().flat_map(|&i: &usize| corners[i]).for_each(|c| out.extend(c.to_le_bytes()));
        out.extend([0; 2]);
    }
    out
}

#[tokio::test]
async fn papers_are_written_by_a_job_that_is_remembered() {
    let server = Server::new("job");
    let sheet = server.example("worn-molar").await;
    let begun = server.post("/api/jobs", &json!({ "kind": "papers", "sheet": sheet })).await;
    assert_eq!(begun.status, StatusCode::ACCEPTED);
    let id = begun.json()["id"].as_str().unwrap().to_owned();
    let done = over(&server, &id).await;
    assert_eq!((&done["state"], &done["progress"]), (&json!("done"), &json!(1.0)), "{done}");
    assert!(server.folder.join(format!("{sheet}-papers/consent.html")).is_file());
    let told = server.get(&format!("/api/jobs/{id}/events")).await;
    assert!(told.text().starts_with("event: done\ndata: {"), "{}", told.text());
    let server = server.again();
    assert_eq!(server.get(&format!("/api/jobs/{id}")).await.done(), done);
}

#[tokio::test]
async fn a_job_cut_off_is_taken_up_and_given_up_after_three_times() {
    let folder = Server::new("cutoff").folder;
    let job = |id: &str, cut_off: u32| {
        let job = json!({
            "id": id, "kind": "refit", "state": "running", "progress": 0.4, "words": "under way", "begun": 1, "cut_off": cut_off
        });
        std::fs::write(folder.join(format!("jobs/{id}.json")), job.to_string()).unwrap();
    };
    job("aa", 0);
    job("bb", 2);
    let server = Server::with(crate::common::settings(&folder));
    let told = |list: &Value, id: &str| list.as_array().unwrap().iter().find(|j| j["id"] == id).unwrap().clone();
    let list = server.get("/api/jobs").await.done();
    assert_eq!((&told(&list, "aa")["state"], &told(&list, "aa")["cut_off"]), (&json!("waiting"), &json!(1)));
    assert_eq!(told(&list, "bb")["state"], "failed", "{list}");
}

#[tokio::test]
async fn a_job_that_is_stopped_keeps_nothing() {
    let server = Server::new("stop");
    let sheet = server.example("worn-molar").await;
    let job = server.post("/api/jobs", &json!({ "kind": "plan", "sheet": sheet })).await.json();
    let id = job["id"].as_str().unwrap();
    server.change("DELETE", &format!("/api/jobs/{id}"), None, &Value::Null).await.done();
    let job = over(&server, id).await;
    assert_eq!((&job["state"], &job["result"]), (&json!("cancelled"), &Value::Null));
}

#[tokio::test]
async fn a_scan_is_kept_under_its_contents_read_in_a_job_and_entered_so_that_it_can_be_undone() {
    let server = Server::new("scan");
    let sheet = server.example("worn-molar").await;
    let sent = send(&server, &sheet, "name=Miller%20upper.stl&kind=scan&tooth=36", tetrahedron()).await;
    assert_eq!(sent.status, StatusCode::ACCEPTED, "{}", sent.text());
    let sent = sent.json();
    let name = sent["file"]["name"].as_str().unwrap();
    assert!(name.starts_with(&sheet) && name.ends_with(".stl") && !name.contains("Miller"), "{name}");
    let job = over(&server, sent["job"]["id"].as_str().unwrap()).await;
    assert_eq!((&job["state"], &job["result"]["found"]["facets"]), (&json!("done"), &json!(4)), "{job}");
    let after = server.get(&format!("/api/sheets/{sheet}")).await.done();
    let tooth = after["case"]["abutment"].as_array().unwrap().iter().find(|a| a["tooth"] == 36).unwrap();
    assert_eq!((&tooth["scan"], &after["can_undo"]), (&json!(name), &json!(true)));
}

#[tokio::test]
async fn a_photograph_cut_off_is_refused_and_not_entered() {
    let server = Server::new("cutphoto");
    let sheet = server.example("worn-molar").await;
    let half = b"\x89PNG\r\n\x1a\n\0\0\0\rIHDR\0\0\x02\x80\0\0\x01\xe0".to_vec();
    let sent = send(&server, &sheet, "name=a.png&kind=photo", half).await.json();
    let job = over(&server, sent["job"]["id"].as_str().unwrap()).await;
    assert_eq!(job["state"], "failed", "{job}");
    assert!(job["words"].as_str().unwrap().contains("cut off"), "{job}");
    assert_eq!(server.get(&format!("/api/sheets/{sheet}")).await.done()["revision"], 1);
}

#[tokio::test]
async fn what_is_no_scan_is_refused_with_a_reason_and_changes_nothing() {
    let server = Server::new("noscan");
    let sheet = server.example("worn-molar").await;
    assert!(send(&server, &sheet, "name=a.exe&kind=scan", vec![1]).await.status.is_client_error());
    assert!(send(&server, &sheet, "name=a.stl&kind=scan", Vec::new()).await.status.is_client_error());
    let sent = send(&server, &sheet, "name=a.stl&kind=scan&tooth=36", b"solid nothing of it".to_vec()).await.json();
    let job = over(&server, sent["job"]["id"].as_str().unwrap()).await;
    assert_eq!(job["state"], "failed", "{job}");
    assert!(!job["error"]["do"].as_str().unwrap().is_empty());
    assert!(!server.folder.join(sent["file"]["name"].as_str().unwrap()).exists(), "what is refused is not kept");
    assert_eq!(server.get(&format!("/api/sheets/{sheet}")).await.done()["revision"], 1);
}

//! Sheets: revisions, undo and redo, two tabs, and what a crash leaves.

use crate::common::Server;
use axum::http::StatusCode;
use serde_json::{Value, json};

fn set(field: &str, value: Value) -> Value {
    json!({ "set": [{ "field": field, "value": value }] })
}

#[tokio::test]
async fn an_edit_is_kept_undone_and_done_again_each_as_a_revision() {
    let server = Server::new("undo");
    let sheet = server.post("/api/sheets", &json!({ "from": "empty" })).await.done();
    let path = format!("/api/sheets/{}", sheet["id"].as_str().unwrap());
    assert_eq!((&sheet["revision"], &sheet["can_undo"]), (&json!(1), &json!(false)));
    let edited = server.change("PATCH", &path, Some(1), &set("mouth.grinding", json!("none"))).await.done();
    assert_eq!(edited["case"]["mouth"]["grinding"], "none");
    let undone = server.change("POST", &format!("{path}/undo"), Some(2), &Value::Null).await.done();
    assert_eq!((&undone["revision"], &undone["case"], &undone["can_redo"]), (&json!(3), &sheet["case"], &json!(true)));
    let redone = server.change("POST", &format!("{path}/redo"), Some(3), &Value::Null).await.done();
    assert_eq!(redone["case"], edited["case"]);
    let nothing = server.change("POST", &format!("{path}/redo"), Some(4), &Value::Null).await;
    assert_eq!(nothing.status, StatusCode::CONFLICT);
}

#[tokio::test]
async fn two_tabs_do_not_write_over_each_other() {
    let server = Server::new("tabs");
    let id = server.example("bridge-45-47").await;
    let path = format!("/api/sheets/{id}");
    server.change("PATCH", &path, Some(1), &set("mouth.age", json!(60))).await.done();
    let late = server.change("PATCH", &path, Some(1), &set("mouth.age", json!(40))).await;
    assert_eq!(late.status, StatusCode::CONFLICT);
    let detail = &late.json()["detail"];
    assert_eq!(detail["revision"], 2);
    assert_eq!(detail["changed"], json!([{ "field": "mouth.age", "before": 52, "after": 60 }]));
    assert_eq!(detail["case"]["mouth"]["age"], 60);
    let blind = server.change("PUT", &path, None, &json!({})).await;
    assert_eq!(blind.status, StatusCode::PRECONDITION_REQUIRED);
}

#[tokio::test]
async fn a_restart_finds_every_acknowledged_edit_and_the_undo_of_it() {
    let server = Server::new("restart");
    let id = server.example("worn-molar").await;
    let path = format!("/api/sheets/{id}");
    for (seen, age) in (1..=20).zip(70..) {
        server.change("PATCH", &path, Some(seen), &set("mouth.age", json!(age))).await.done();
    }
    // What a crash in mid-write leaves: half a line that was never acknowledged, and a case file of an older revision.
    let journal = server.folder.join(format!("{id}.journal"));
    let mut bytes = std::fs::read(&journal).unwrap();
    bytes.extend(b"{\"revision\":22,\"at\":0,\"how\":\"ed");
    std::fs::write(&journal, bytes).unwrap();
    let server = server.again();
    let sheet = server.get(&path).await.done();
    assert_eq!((&sheet["revision"], &sheet["case"]["mouth"]["age"]), (&json!(21), &json!(89)));
    let undone = server.change("POST", &format!("{path}/undo"), Some(21), &Value::Null).await.done();
    assert_eq!(undone["case"]["mouth"]["age"], 88);
}

#[tokio::test]
async fn the_case_file_is_one_the_command_line_reads_and_an_edit_of_it_becomes_a_revision() {
    let server = Server::new("outside");
    let id = server.example("bridge-45-47").await;
    let file = server.folder.join(format!("{id}.toml"));
    let text = std::fs::read_to_string(&file).unwrap();
    let (case, _) = case::Case::parse("case", &text).unwrap();
    assert_eq!(case.abutments.len(), 2);
    std::fs::write(&file, text.replace("age = 52", "age = 53")).unwrap();
    let sheet = server.get(&format!("/api/sheets/{id}")).await.done();
    assert_eq!((&sheet["revision"], &sheet["case"]["mouth"]["age"]), (&json!(2), &json!(53)));
    assert_eq!(sheet["can_undo"], true);
}

#[tokio::test]
async fn a_deleted_sheet_comes_back_with_its_past() {
    let server = Server::new("delete");
    let id = server.example("worn-molar").await;
    let path = format!("/api/sheets/{id}");
    server.change("PATCH", &path, Some(1), &set("mouth.age", json!(33))).await.done();
    assert_eq!(server.change("DELETE", &path, None, &Value::Null).await.status, StatusCode::NO_CONTENT);
    assert_eq!(server.get(&path).await.status, StatusCode::NOT_FOUND);
    assert_eq!(server.get("/api/sheets").await.done(), json!([]));
    let back = server.post(&format!("{path}/restore"), &Value::Null).await.done();
    assert_eq!((&back["revision"], &back["can_undo"]), (&json!(2), &json!(true)));
}

#[tokio::test]
async fn what_is_wrong_is_kept_and_told_with_its_field() {
    let server = Server::new("wrong");
    let id = server.example("bridge-45-47").await;
    let path = format!("/api/sheets/{id}");
    let sheet = server.change("PATCH", &path, Some(1), &set("space.planned_mm", json!(99))).await.done();
    assert_eq!(sheet["plannable"], false);
    let issue = &sheet["issues"][0];
    assert_eq!(issue["where"], "space.planned_mm");
    assert_eq!(server.get(&path).await.done()["case"]["space"]["planned_mm"], 99);
    let unknown = server.change("PATCH", &path, Some(2), &set("space.colour", json!(1))).await;
    assert_eq!(unknown.status, StatusCode::UNPROCESSABLE_ENTITY);
}

#[tokio::test]
async fn a_name_of_a_patient_stands_in_no_address_and_no_file_name() {
    let server = Server::new("names");
    let text = "schema = 1\npseudonym = \"case-77\"\nmoment = \"plan\"\n[restoration]\nteeth = [36]\n";
    let sheet = server.post("/api/sheets", &json!({ "from": "text", "text": text })).await.done();
    let id = sheet["id"].as_str().unwrap();
    assert!(id.len() == 12 && id.bytes().all(|b| b.is_ascii_hexdigit()));
    let names: Vec<String> =
        std::fs::read_dir(&server.folder).unwrap().map(|e| e.unwrap().file_name().into_string().unwrap()).collect();
    assert!(names.iter().all(|n| !n.contains("case-77")), "{names:?}");
}

#[test]
fn one_folder_is_served_once() {
    let server = Server::new("once");
    let settings = crate::common::settings(&server.folder);
    assert!(web::App::open(settings).is_err());
}

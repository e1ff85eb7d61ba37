//! The register room in process: a day's work from an order to an event, and every refusal in its parts.

use crate::common::Server;
use crate::jobs::over;
use axum::http::StatusCode;
use serde_json::{Value, json};

#[tokio::test]
async fn a_restoration_is_ordered_tried_in_placed_seen_and_chips() {
    let server = Server::new("work");
    let none = server.get("/api/register/list").await;
    assert_eq!((none.status, none.json()["where"].as_str()), (StatusCode::NOT_FOUND, Some("register")));
    server.post("/api/register/init", &json!({})).await.done();
    let sheet = server.example("worn-molar").await;
    let plan = server.get(&format!("/api/sheets/{sheet}/plan")).await.done();
    let option = plan["report"]["options"][0].clone();
    let order = json!({ "sheet": sheet, "option": option["id"], "patient": "P0412", "ordered": "2026-06-01", "laboratory": "North" });
    let key = server.post("/api/register/place", &order).await.done()["key"].as_str().unwrap().to_owned();
    let waiting = server.get("/api/register/ordered").await.done();
    assert_eq!((&waiting[0]["restoration"], &waiting[0]["try_ins"]), (&json!(key), &json!(0)));
    assert_eq!(waiting[0]["material"], option["material"], "what was ordered is what was planned");
    let back = json!({ "restoration": key, "outcome": "sent_back", "causes": ["margin"], "day": "2026-06-20" });
    server.post("/api/register/tryin", &back).await.done();
    assert_eq!(server.get("/api/register/ordered").await.done()[0]["try_ins"], 1);
    let placed = json!({ "restoration": key, "day": "2026-07-01", "cement": "resin" });
    server.post("/api/register/place", &placed).await.done();
    assert_eq!(server.get("/api/register/ordered").await.done(), json!([]));
    let again = server.post("/api/register/place", &placed).await;
    assert_eq!(again.status, StatusCode::CONFLICT, "{}", again.text());
    server.post("/api/register/recall", &json!({ "restorations": [key], "day": "2026-09-01" })).await.done();
    assert_eq!(server.get("/api/register/list").await.done()[0]["last_seen"], "2026-09-01");
    let event =
        json!({ "restoration": key, "cause": "framework_fracture", "consequence": "remade", "day": "2026-10-01" });
    server.post("/api/register/event", &event).await.done();
    assert_eq!(server.get("/api/register/list").await.done(), json!([]), "what was remade stands no more");
    let audit = server.get("/api/register/audit?by=material").await.done();
    assert_eq!(audit["groups"].as_array().unwrap().len(), 1, "{audit}");
}

#[tokio::test]
async fn what_is_refused_says_what_where_expected_and_do() {
    let server = Server::new("refused");
    server.post("/api/register/init", &json!({ "invented": 40 })).await.done();
    let key = server.get("/api/register/list").await.done()[0]["restoration"].as_str().unwrap().to_owned();
    let refused = |path: &'static str, body: Value| {
        let server = &server;
        async move {
            let answer = server.post(path, &body).await;
            assert!(answer.status.is_client_error(), "{body}: {}", answer.text());
            let told = answer.json();
            for part in ["what", "where", "expected", "do"] {
                let text = told[part].as_str().unwrap_or_default();
                assert!(!text.is_empty() && !text.contains('\n'), "{part}: {told}");
            }
            told
        }
    };
    let event =
        |cause: &str, day: &str| json!({ "restoration": key, "cause": cause, "consequence": "watched", "day": day });
    let told = refused("/api/register/event", event("framework_fractur", "2026-01-01")).await;
    assert!(told["do"].as_str().unwrap().contains("framework_fracture"), "{told}");
    refused("/api/register/event", event("framework_fracture", "1950-01-01")).await;
    refused("/api/register/event", event("framework_fracture", "yesterday")).await;
    refused("/api/register/recall", json!({ "restorations": ["R0"] })).await;
    refused("/api/register/recall", json!({ "restorations": [] })).await;
    refused("/api/register/tryin", json!({ "restoration": key, "outcome": "fitted", "day": "2026-11-01" })).await;
    let sheet = server.example("worn-molar").await;
    refused("/api/register/place", json!({ "sheet": sheet })).await;
    refused("/api/register/place", json!({ "sheet": sheet, "patient": "Anna Miller" })).await;
    let watch = server.get("/api/register/watch").await;
    assert!(watch.status.is_success(), "{}", watch.text());
    let due = server.get("/api/register/overdue?months=6").await.done();
    assert!(due["all"].as_i64().unwrap() >= due["due"].as_array().unwrap().len() as i64);
}

const TABLE: &str = include_str!("../../../../examples/register/old-table.csv");
const LAYOUT: &str = include_str!("../../../../examples/register/layout.toml");

async fn imported(server: &Server, csv: &str, layout: &str, dry_run: bool) -> Value {
    let table = json!({ "csv": csv, "layout": layout, "dry_run": dry_run });
    let begun = server.post("/api/register/import", &table).await;
    assert_eq!(begun.status, StatusCode::ACCEPTED, "{}", begun.text());
    over(server, begun.json()["id"].as_str().unwrap()).await
}

#[tokio::test]
async fn a_table_is_taken_in_by_a_job_whose_rows_stay_in_memory() {
    let server = Server::new("import");
    let early = server.post("/api/register/import", &json!({ "csv": TABLE, "layout": LAYOUT, "dry_run": true })).await;
    assert_eq!(early.status, StatusCode::NOT_FOUND, "no register, told before any job: {}", early.text());
    server.post("/api/register/init", &json!({})).await.done();
    let dry = imported(&server, TABLE, LAYOUT, true).await;
    assert_eq!(
        (&dry["state"], &dry["result"]["rows"], &dry["result"]["dry_run"]),
        (&json!("done"), &json!(7), &json!(true)),
        "{dry}"
    );
    assert_eq!(server.get("/api/register/list").await.done(), json!([]), "a dry run writes nothing");
    let taken = imported(&server, TABLE, LAYOUT, false).await;
    assert_eq!(taken["result"]["added"], dry["result"]["added"], "what was foretold: {taken}");
    assert_eq!(taken["result"]["refused"].as_array().unwrap().len(), 3, "{taken}");
    assert!(!server.get("/api/register/list").await.done().as_array().unwrap().is_empty());
    let again = imported(&server, TABLE, LAYOUT, false).await;
    assert_eq!(again["result"]["added"], 0, "a table sent twice is entered once: {again}");
    let kept =
        std::fs::read_to_string(server.folder.join(format!("jobs/{}.json", taken["id"].as_str().unwrap()))).unwrap();
    let kept: Value = serde_json::from_str(&kept).unwrap();
    assert_eq!(
        (&kept["state"], &kept["result"]),
        (&json!("done"), &Value::Null),
        "rows of patients lie on no disk: {kept}"
    );
}

#[tokio::test]
async fn a_table_that_cannot_be_read_says_why_and_what_to_do() {
    let server = Server::new("badimport");
    server.post("/api/register/init", &json!({})).await.done();
    for (csv, layout) in [("a,b\n1,2", "dates = 3"), ("a,b\n1,2", LAYOUT), ("", LAYOUT), (TABLE, "")] {
        let job = imported(&server, csv, layout, false).await;
        assert_eq!(job["state"], "failed", "{job}");
        for part in ["what", "expected", "do"] {
            assert!(!job["error"][part].as_str().unwrap_or_default().is_empty(), "{part}: {job}");
        }
    }
    assert_eq!(server.get("/api/register/list").await.done(), json!([]));
}

#[tokio::test]
async fn an_import_cut_off_asks_for_its_table_again() {
    let folder = Server::new("cutimport").folder;
    let job = json!({
        "id": "cc", "kind": "import", "dry_run": false, "state": "running", "progress": 0.4, "words": "under way", "begun": 1
    });
    std::fs::write(folder.join("jobs/cc.json"), job.to_string()).unwrap();
    let server = Server::with(crate::common::settings(&folder));
    let told = over(&server, "cc").await;
    assert_eq!(told["state"], "failed", "{told}");
    assert!(told["words"].as_str().unwrap().contains("send it again"), "{told}");
}

#[tokio::test]
async fn the_words_of_the_register_are_told_with_their_labels() {
    let server = Server::new("regwords");
    let words = server.get("/api/words").await.done();
    for (list, one) in [
        ("tryin_outcomes", "sent_back"),
        ("tryin_causes", "margin"),
        ("tryin_stages", "bisque"),
        ("event_kinds", "veneer_chip"),
        ("event_consequences", "polished"),
        ("groupings", "laboratory"),
        ("languages", "de"),
    ] {
        let found = words[list].as_array().unwrap().iter().find(|w| w["value"] == one);
        assert!(found.is_some_and(|w| !w["label"].as_str().unwrap().is_empty()), "{list}: {}", words[list]);
    }
    let bridge = words["constructs"].as_array().unwrap().iter().find(|c| c["value"] == "bridge").unwrap();
    assert_eq!(
        (&bridge["drawn_gap"], &bridge["drawn_tooth"], &bridge["joined"]),
        (&json!("pontic"), &json!("crown"), &json!(true))
    );
}

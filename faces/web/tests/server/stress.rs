//! Stress of an option as a job: what cannot be solved says why, what is stopped keeps nothing, what was solved is found after a restart.

use crate::common::Server;
use crate::jobs::over;
use axum::http::StatusCode;
use serde_json::{Value, json};

const OPTION: &str = "crown.lithium_disilicate.monolithic";

async fn listed(server: &Server, sheet: &str) -> bool {
    let list = server.get(&format!("/api/sheets/{sheet}/meshes?option={OPTION}")).await.done();
    list.as_array().unwrap().iter().any(|m| m["what"] == "stress")
}

#[tokio::test]
async fn what_cannot_be_solved_says_why() {
    let server = Server::new("nostress");
    let sheet = server.example("cracked-molar").await;
    for (option, cell) in [("crown.wood.carved", 1.5), ("crown.metal.monolithic", 1.5), (OPTION, 0.1)] {
        let asked = json!({ "kind": "stress", "sheet": sheet, "option": option, "cell": cell });
        let job = server.post("/api/jobs", &asked).await.json();
        let job = over(&server, job["id"].as_str().unwrap()).await;
        assert_eq!(job["state"], "failed", "{job}");
        assert!(!job["error"]["what"].as_str().unwrap().is_empty() && !job["error"]["do"].as_str().unwrap().is_empty());
    }
    let none = server.get(&format!("/api/sheets/{sheet}/mesh/stress.bin?option={OPTION}")).await;
    assert_eq!(none.status, StatusCode::NOT_FOUND);
    assert!(none.json()["do"].as_str().unwrap().contains("stress"), "it says how to come by one");
}

#[tokio::test]
async fn a_solve_that_is_stopped_keeps_nothing() {
    let server = Server::new("stopstress");
    let sheet = server.example("cracked-molar").await;
    let asked = json!({ "kind": "stress", "sheet": sheet, "option": OPTION, "cell": 0.6 });
    let job = server.post("/api/jobs", &asked).await.json();
    let id = job["id"].as_str().unwrap();
    tokio::time::sleep(std::time::Duration::from_millis(300)).await;
    server.change("DELETE", &format!("/api/jobs/{id}"), None, &Value::Null).await.done();
    let job = over(&server, id).await;
    assert_eq!((&job["state"], &job["result"]), (&json!("cancelled"), &Value::Null), "{job}");
    assert!(!listed(&server, &sheet).await);
}

#[tokio::test]
async fn a_solved_stress_is_a_mesh_after_a_restart_and_gone_for_another_case() {
    let server = Server::new("stress");
    let sheet = server.example("cracked-molar").await;
    assert!(!listed(&server, &sheet).await);
    // The coarsest cells there are: what is asked here is the way of the mesh, not its figures.
    let asked = json!({ "kind": "stress", "sheet": sheet, "option": OPTION, "cell": 1.5 });
    let job = server.post("/api/jobs", &asked).await.json();
    let job = over(&server, job["id"].as_str().unwrap()).await;
    assert_eq!(job["state"], "done", "{job}");
    let result = &job["result"];
    assert_eq!((&result["mesh"], &result["option"]), (&json!("stress"), &json!(OPTION)));
    assert!(job["words"].as_str().unwrap().contains("Go by the plan"), "the plan's figure comes first");
    assert!(result["found"]["ratio"][1].as_f64().unwrap() > 0.0);
    let server = server.again();
    assert!(listed(&server, &sheet).await, "found after a restart");
    let answer = server.get(&format!("/api/sheets/{sheet}/mesh/stress.bin?option={OPTION}")).await;
    assert_eq!(answer.status, StatusCode::OK);
    let bytes = answer.bytes;
    let length = u32::from_le_bytes(bytes[..4].try_into().unwrap()) as usize;
    let head: Value = serde_json::from_slice(&bytes[4..4 + length]).unwrap();
    let (points, facets) = (head["vertices"].as_u64().unwrap() as usize, head["triangles"].as_u64().unwrap() as usize);
    assert_eq!(bytes.len(), (4 + length).next_multiple_of(4) + 16 * points + 12 * facets);
    let values: Vec<f32> =
        bytes[bytes.len() - 4 * points..].chunks(4).map(|b| f32::from_le_bytes(b.try_into().unwrap())).collect();
    assert!(values.iter().all(|v| v.is_finite() && *v >= 0.0) && values.iter().any(|v| *v > 0.0));
    assert_eq!((&head["scalar"]["unit"], &head["scalar"]["low"]), (&json!("MPa"), &json!(0.0)));
    assert!(head["scalar"]["name"].as_str().unwrap().contains("100 N"));
    assert!(head["text"].as_str().unwrap().contains("Go by the plan"), "{head}");
    let body = json!({ "set": [{ "field": "mouth.age", "value": 71 }] });
    let after = server.change("PATCH", &format!("/api/sheets/{sheet}"), Some(1), &body).await.done();
    assert!(!listed(&server, &sheet).await, "another case has another stress");
    let undo = format!("/api/sheets/{sheet}/undo");
    server.change("POST", &undo, after["revision"].as_u64(), &Value::Null).await.done();
    assert!(listed(&server, &sheet).await, "an edit taken back brings it back");
}

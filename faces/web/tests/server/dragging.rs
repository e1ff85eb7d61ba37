//! What a hand drags and an eye turns.

use crate::common::Server;
use axum::http::StatusCode;
use serde_json::{Value, json};

#[tokio::test]
async fn answers_and_section_follow_a_drag() {
    let server = Server::new("drag");
    let id = server.example("bridge-45-47").await;
    let plan = server.get(&format!("/api/sheets/{id}/plan")).await.done();
    let option = "bridge.zirconia_3y.monolithic";
    let section = server.get(&format!("/api/sheets/{id}/section/{option}")).await.done();
    let ids: Vec<&str> = section["handles"].as_array().unwrap().iter().map(|h| h["id"].as_str().unwrap()).collect();
    assert_eq!(ids, ["thickness", "taper", "connector_height", "connector_width"]);
    let has = |section: &Value, what: &str| section["outlines"].as_array().unwrap().iter().any(|o| o["what"] == what);
    for what in ["outer", "restoration", "stump", "pulp", "connector"] {
        assert!(has(&section, what), "{what}");
    }
    let tried = |values: Value| {
        let (server, id) = (&server, &id);
        async move { server.post(&format!("/api/sheets/{id}/try"), &json!({ "option": option, "values": values })).await }
    };
    let as_planned = tried(json!({})).await.done();
    let found = plan["report"]["options"].as_array().unwrap().iter().find(|o| o["id"] == option).unwrap();
    assert_eq!(as_planned["curve"], found["loss_curve"], "a trial of nothing is the plan");
    let breaks = |trial: &Value| trial["questions"][1]["value"]["mean"].as_f64().unwrap();
    let low = tried(json!({ "connector_height": 2.5 })).await.done();
    let high = tried(json!({ "connector_height": 5.0 })).await.done();
    assert!(breaks(&low) > breaks(&high), "{} {}", breaks(&low), breaks(&high));
    let high_of = |trial: &Value| {
        let outlines = trial["section"]["outlines"].as_array().unwrap().clone();
        let points = outlines.iter().find(|o| o["what"] == "connector").unwrap()["points"].as_array().unwrap().clone();
        points.iter().map(|p| p[1].as_f64().unwrap()).fold(f64::NEG_INFINITY, f64::max)
    };
    assert!(high_of(&high) > high_of(&low) + 1.0, "the drawing follows");
    assert_eq!(tried(json!({ "thickness": -1 })).await.status, StatusCode::UNPROCESSABLE_ENTITY);
    let nothing_kept = server.get(&format!("/api/sheets/{id}")).await.done();
    assert_eq!(nothing_kept["revision"], 1);
}

#[tokio::test]
async fn meshes_are_listed_and_packed_as_said() {
    let server = Server::new("mesh");
    let id = server.example("worn-molar").await;
    let option = "crown.zirconia_3y.monolithic";
    let list = server.get(&format!("/api/sheets/{id}/meshes?option={option}")).await.done();
    let list = list.as_array().unwrap();
    assert!(list.len() >= 4, "{list:?}");
    for mesh in list {
        let (what, tooth) = (mesh["what"].as_str().unwrap(), mesh["tooth"].as_u64().unwrap());
        let answer = server.get(&format!("/api/sheets/{id}/mesh/{what}.bin?tooth={tooth}&option={option}")).await;
        assert_eq!(answer.status, StatusCode::OK, "{what}: {}", answer.text());
        let bytes = answer.bytes;
        let length = u32::from_le_bytes(bytes[..4].try_into().unwrap()) as usize;
        let head: Value = serde_json::from_slice(&bytes[4..4 + length]).unwrap();
        let (points, facets) =
            (head["vertices"].as_u64().unwrap() as usize, head["triangles"].as_u64().unwrap() as usize);
        let scalars = if head["scalar"].is_null() { 0 } else { points };
        assert_eq!(bytes.len(), (4 + length).next_multiple_of(4) + 12 * points + 12 * facets + 4 * scalars, "{what}");
        assert!(points > 500 && head["text"].as_str().unwrap().contains("not to cut to"), "{what}: {head}");
    }
}

#[tokio::test]
async fn colours_of_a_screen_under_a_light() {
    let server = Server::new("light");
    // White and a mid grey of sRGB (IEC 61966-2-1) in CIELAB: L* 100, and L* 53.585 for #808080.
    let white = server.get("/api/colour/swatches?lab=100,0,0;53.585,0,0").await.done();
    assert_eq!(white["rgb"], json!(["#ffffff", "#808080"]));
    let lamp = server.get("/api/colour/swatches?lab=72,3,20&light=A").await.done();
    assert_ne!(lamp["rgb"], server.get("/api/colour/swatches?lab=72,3,20").await.done()["rgb"]);
    assert!(server.get("/api/colour/swatches?lab=x").await.status.is_client_error());
    assert!(server.get("/api/colour/swatches?lab=1,2,3&light=candle").await.status.is_client_error());
}

//! Plans and questions: a first ranking after the third answer, the count of answers, usual answers that complete their row.

use crate::common::Server;
use case::fields::SheetAnswer;
use serde_json::{Value, json};

/// Takes the first usual answer of the row that is shown; the row's name.
async fn answer_next(server: &Server, path: &str) -> Option<String> {
    let next = server.get(&format!("{path}/next?order=sheet")).await.done();
    let row = next["row"].as_object()?;
    let id = row["id"].as_str().unwrap().to_owned();
    let revision = server.get(path).await.done()["revision"].as_u64().unwrap();
    let set = &row["answers"].as_array().unwrap().first().unwrap_or_else(|| panic!("{id} has no usual answer"))["set"];
    server.change("PATCH", path, Some(revision), &json!({ "set": set })).await.done();
    Some(id)
}

/// A new sheet with its teeth chosen as on the arch; its address.
async fn begun(server: &Server, teeth: &[u8], missing: &[u8], kind: &str) -> String {
    let sheet = server.post("/api/sheets", &json!({ "from": "empty" })).await.done();
    let path = format!("/api/sheets/{}", sheet["id"].as_str().unwrap());
    let next = server.get(&format!("{path}/next")).await.done();
    assert_eq!(next["row"]["id"], "planned", "which teeth is asked first");
    let mut set = vec![
        json!({ "field": "restoration.teeth", "value": teeth }),
        json!({ "field": "restoration.kind", "value": kind }),
    ];
    if !missing.is_empty() {
        set.push(json!({ "field": "restoration.missing", "value": missing }));
    }
    server.change("PATCH", &path, Some(1), &json!({ "set": set })).await.done();
    path
}

#[tokio::test]
async fn the_first_ranking_stands_after_the_third_answer() {
    let server = Server::new("third");
    let empty = server.post("/api/sheets", &json!({ "from": "empty" })).await.done();
    let none = server.get(&format!("/api/sheets/{}/plan", empty["id"].as_str().unwrap())).await.done();
    assert_eq!(none["report"], Value::Null);
    assert!(none["needs"].as_array().unwrap().iter().any(|n| n["field"] == "restoration"), "{none}");
    let path = begun(&server, &[45, 46, 47], &[46], "open").await;
    assert_eq!(answer_next(&server, &path).await.as_deref(), Some("turn"));
    assert_eq!(answer_next(&server, &path).await.as_deref(), Some("moment"));
    let plan = server.get(&format!("{path}/plan")).await.done();
    let options = plan["report"]["options"].as_array().unwrap();
    assert!(options.len() > 5 && !plan["report"]["verdict"].as_str().unwrap().is_empty());
    let next = server.get(&format!("{path}/next")).await.done();
    assert_eq!(next["answered"], 3);
    assert!(next["row"]["change"].is_number() || next["row"]["change"].is_null());
}

#[tokio::test]
async fn no_sheet_asks_more_answers_than_promised_and_usual_answers_complete_it() {
    let server = Server::new("count");
    for (teeth, missing, kind, most) in [
        (&[36][..], &[][..], "crown", 14),
        (&[11][..], &[][..], "crown", 15),
        (&[45, 46, 47][..], &[46][..], "bridge", 17),
        (&[24][..], &[24][..], "implant_crown", 17),
        (&[32, 31, 41][..], &[31][..], "two_wings", 17),
    ] {
        let path = begun(&server, teeth, missing, kind).await;
        let mut given = vec!["planned".to_owned()];
        while let Some(row) = answer_next(&server, &path).await {
            assert!(!given.contains(&row), "{kind}: `{row}` is asked again after its answer");
            given.push(row);
        }
        assert!(given.len() <= most, "{kind} {teeth:?}: {} answers: {given:?}", given.len());
        let sheet = server.get(&path).await.done();
        assert_eq!(sheet["plannable"], true, "{kind}: {}", sheet["issues"]);
        let errors: Vec<&Value> =
            sheet["issues"].as_array().unwrap().iter().filter(|i| i["severity"] == "error").collect();
        assert!(errors.is_empty(), "{kind}: {errors:?}");
    }
}

#[tokio::test]
async fn every_usual_answer_answers_its_row_without_an_error() {
    let server = Server::new("usual");
    for (teeth, missing, kind) in [
        (&[36][..], &[][..], "crown"),
        (&[11][..], &[][..], "crown"),
        (&[45, 46, 47][..], &[46][..], "bridge"),
        (&[24][..], &[24][..], "implant_crown"),
    ] {
        let path = begun(&server, teeth, missing, kind).await;
        for row in SheetAnswer::ALL.iter().map(|a| a.word()).filter(|r| *r != "planned") {
            let form = server.get(&format!("{path}/next?order=sheet&row={row}")).await.done()["row"].clone();
            if form.is_null() {
                continue;
            }
            let answers = form["answers"].as_array().unwrap();
            assert!((2..=9).contains(&answers.len()), "{kind} {row}: {} answers", answers.len());
            for answer in answers {
                let revision = server.get(&path).await.done()["revision"].as_u64().unwrap();
                let sheet =
                    server.change("PATCH", &path, Some(revision), &json!({ "set": answer["set"] })).await.done();
                let bad: Vec<&Value> =
                    sheet["issues"].as_array().unwrap().iter().filter(|i| i["severity"] == "error").collect();
                // Without the moment nothing is a case yet.
                assert!(bad.iter().all(|i| i["where"] == "moment"), "{kind} {row} `{}`: {bad:?}", answer["label"]);
                let told = server.get(&format!("{path}/next?order=sheet")).await.done();
                let said = told["rows"].as_array().unwrap().iter().find(|r| r["id"] == row);
                assert_eq!(said.map(|s| &s["answered"]), Some(&json!(true)), "{kind} {row} `{}`", answer["label"]);
            }
        }
    }
}

#[tokio::test]
async fn a_plan_is_that_of_the_command_line_and_kept() {
    let server = Server::new("plan");
    let id = server.example("bridge-45-47").await;
    let first = server.get(&format!("/api/sheets/{id}/plan")).await.done();
    let again = server.get(&format!("/api/sheets/{id}/plan")).await.done();
    assert_eq!(first["report"], again["report"]);
    assert!(again["took_ms"].as_u64().unwrap() < 100, "{}", again["took_ms"]);
    let report: plan::Report = serde_json::from_value(first["report"].clone()).unwrap();
    assert_eq!(report.options.len(), first["report"]["options"].as_array().unwrap().len());
}

#[tokio::test]
async fn every_number_of_the_six_says_why() {
    let server = Server::new("why");
    let id = server.example("bridge-45-47").await;
    let plan = server.get(&format!("/api/sheets/{id}/plan")).await.done();
    let option = plan["report"]["options"][0]["id"].as_str().unwrap();
    for question in ["last", "break", "show", "lose", "hold", "cost"] {
        let why = server.get(&format!("/api/sheets/{id}/why?option={option}&question={question}")).await.done();
        assert!(!why["equation"].as_str().unwrap().is_empty() && !why["symbols"].as_array().unwrap().is_empty());
        let rests_on = why["sources"].as_array().unwrap().len() + why["rows"].as_array().unwrap().len();
        assert!(rests_on > 0 || question == "cost", "{question}: {why}");
    }
    let none = server.get(&format!("/api/sheets/{id}/why?option={option}&question=taste")).await;
    assert!(none.status.is_client_error());
}

#[tokio::test]
async fn at_the_stump_the_plan_before_preparation_is_told_to_any_window() {
    let server = Server::new("before");
    let id = server.example("worn-molar").await;
    let path = format!("/api/sheets/{id}");
    let now = server.get(&path).await.done();
    let set = |value: &str| json!({ "set": [{ "field": "moment", "value": value }] });
    let first = server.change("PATCH", &path, now["revision"].as_u64(), &set("plan")).await.done();
    let plan = server.get(&format!("{path}/plan")).await.done();
    let stump = server.change("PATCH", &path, first["revision"].as_u64(), &set("stump")).await.done();
    let then = server.get(&format!("{path}/before")).await.done();
    assert_eq!((&then["revision"], &then["report"]), (&first["revision"], &plan["report"]));
    let server = server.again();
    let again = server.get(&format!("{path}/before")).await.done();
    assert_eq!(again["report"]["options"], plan["report"]["options"], "after a restart too");
    assert!(stump["revision"].as_u64() > first["revision"].as_u64());
    // A sheet that was begun at the stump has no plan before it.
    let text = "moment = \"stump\"\n[restoration]\nteeth = [36]\nkind = \"crown\"\n";
    let begun = server.post("/api/sheets", &json!({ "from": "text", "text": text })).await.done();
    let none = server.get(&format!("/api/sheets/{}/before", begun["id"].as_str().unwrap())).await.done();
    assert_eq!(none["report"], Value::Null);
}

//! `bisque serve` as a process: it says where it is, keeps what it acknowledged when it is killed, and its rooms do what the commands do.
#![allow(clippy::unwrap_used)]

mod common;

use common::{bisque, folder, text};
use serde_json::{Value, json};
use std::io::{BufRead, BufReader, Read, Write};
use std::net::TcpStream;
use std::path::Path;
use std::process::{Child, Command, Stdio};
use std::sync::atomic::{AtomicUsize, Ordering};
use std::time::{Duration, Instant};

/// A server that ends with its test.
struct Running {
    child: Child,
    address: String,
}

impl Drop for Running {
    fn drop(&mut self) {
        let _ = self.child.kill();
        let _ = self.child.wait();
    }
}

impl Running {
    fn begin(cases: &Path) -> Self {
        let mut child = Command::new(env!("CARGO_BIN_EXE_bisque"))
            .args(["serve", "--port", "0", "--json", "--cases"])
            .arg(cases)
            .env("BISQUE_WHO", "test")
            .stdout(Stdio::piped())
            .spawn()
            .unwrap();
        let mut said = String::new();
        let mut lines = BufReader::new(child.stdout.take().unwrap());
        while !said.trim_end().ends_with('}') {
            assert!(lines.read_line(&mut said).unwrap() > 0, "it ended: {said}");
        }
        let told: Value = serde_json::from_str(&said).unwrap();
        let address = told["address"].as_str().unwrap().trim_start_matches("http://").trim_end_matches('/').to_owned();
        Self { child, address }
    }

    /// Status and body of a request; `None` where the server broke off.
    fn ask(&self, method: &str, path: &str, seen: Option<u64>, body: &str) -> Option<(u16, String)> {
        let mut stream = TcpStream::connect(&self.address).ok()?;
        stream.set_read_timeout(Some(Duration::from_secs(60))).ok()?;
        let seen = seen.map_or(String::new(), |r| format!("if-match: \"{r}\"\r\n"));
        let head = format!(
            "{method} {path} HTTP/1.1\r\nhost: {}\r\nx-bisque: 1\r\ncontent-type: application/json\r\n{seen}content-length: {}\r\n\
             connection: close\r\n\r\n{body}",
            self.address,
            body.len()
        );
        stream.write_all(head.as_bytes()).ok()?;
        let mut answer = Vec::new();
        stream.read_to_end(&mut answer).ok()?;
        let answer = String::from_utf8_lossy(&answer).into_owned();
        let (head, body) = answer.split_once("\r\n\r\n")?;
        let status = head.split(' ').nth(1)?.parse().ok()?;
        // An answer that was cut off is none.
        let whole =
            head.to_lowercase().lines().find_map(|l| l.strip_prefix("content-length: ")?.trim().parse::<usize>().ok());
        whole.is_none_or(|n| n == body.len()).then(|| (status, body.to_owned()))
    }

    fn done(&self, method: &str, path: &str, body: &Value) -> Value {
        let (status, body) = self.ask(method, path, None, &body.to_string()).unwrap();
        assert!((200..300).contains(&status), "{path}: {status} {body}");
        serde_json::from_str(&body).unwrap()
    }
}

#[test]
fn a_server_killed_in_mid_edit_loses_nothing_it_acknowledged() {
    let cases = folder("serve-killed");
    let server = Running::begin(&cases);
    let sheet = server.done("POST", "/api/sheets", &json!({ "from": "example:worn-molar" }));
    let path = format!("/api/sheets/{}", sheet["id"].as_str().unwrap());
    let mut acknowledged = (1, 0);
    let answered = AtomicUsize::new(0);
    let killed = std::thread::scope(|scope| {
        let edits = scope.spawn(|| {
            for age in 20..100_u64 {
                let body = json!({ "set": [{ "field": "mouth.age", "value": age }] }).to_string();
                match server.ask("PATCH", &path, Some(acknowledged.0), &body) {
                    Some((200, body)) => {
                        let after: Value = serde_json::from_str(&body).unwrap();
                        acknowledged = (after["revision"].as_u64().unwrap(), age);
                        answered.fetch_add(1, Ordering::Relaxed);
                    }
                    _ => return true,
                }
            }
            false
        });
        // In the midst of the edits, however fast they are answered.
        while answered.load(Ordering::Relaxed) < 10 && !edits.is_finished() {
            std::thread::sleep(Duration::from_millis(1));
        }
        // A kill that cannot be caught, as a power cut is.
        let _ = Command::new("kill").args(["-9", &server.child.id().to_string()]).status();
        edits.join().unwrap()
    });
    assert!(killed && acknowledged.0 > 1, "killed {killed} after revision {}", acknowledged.0);
    drop(server);
    let server = Running::begin(&cases);
    let after = server.done("GET", &path, &Value::Null);
    let (revision, age) = (after["revision"].as_u64().unwrap(), after["case"]["mouth"]["age"].as_u64().unwrap());
    // The edit under way may have been kept without its answer having come through.
    assert!(revision == acknowledged.0 || revision == acknowledged.0 + 1, "{revision} after {acknowledged:?}");
    assert_eq!(age, acknowledged.1 + revision - acknowledged.0);
    let undone = server.ask("POST", &format!("{path}/undo"), Some(revision), "null").unwrap();
    assert_eq!(undone.0, 200, "{}", undone.1);
}

#[test]
fn a_job_cut_off_by_a_kill_is_begun_again_and_ends() {
    let cases = folder("serve-job");
    let server = Running::begin(&cases);
    let sheet = server.done("POST", "/api/sheets", &json!({ "from": "example:bridge-45-47" }));
    let job = server.done("POST", "/api/jobs", &json!({ "kind": "plan", "sheet": sheet["id"] }));
    let path = format!("/api/jobs/{}", job["id"].as_str().unwrap());
    let state = |server: &Running| server.done("GET", &path, &Value::Null);
    let begun = Instant::now();
    while state(&server)["state"] == "waiting" {
        assert!(begun.elapsed() < Duration::from_secs(30), "it never begins");
        std::thread::sleep(Duration::from_millis(10));
    }
    let cut_off = state(&server);
    assert_eq!(cut_off["state"], "running", "killed in the midst of it: {cut_off}");
    let _ = Command::new("kill").args(["-9", &server.child.id().to_string()]).status();
    drop(server);
    let server = Running::begin(&cases);
    let begun = Instant::now();
    while !["done", "failed", "cancelled"].contains(&state(&server)["state"].as_str().unwrap()) {
        assert!(begun.elapsed() < Duration::from_secs(180), "it never ends: {}", state(&server));
        std::thread::sleep(Duration::from_millis(100));
    }
    let done = state(&server);
    assert_eq!((&done["state"], &done["cut_off"]), (&json!("done"), &json!(1)), "{}", done["words"]);
    assert!(done["result"]["report"]["options"].as_array().unwrap().len() > 10);
}

#[test]
fn it_stops_when_asked_and_says_so_by_its_exit_code() {
    let server = Running::begin(&folder("serve-stop"));
    let asked = Instant::now();
    assert!(Command::new("kill").args(["-TERM", &server.child.id().to_string()]).status().unwrap().success());
    let mut server = server;
    assert_eq!(server.child.wait().unwrap().code(), Some(0));
    assert!(asked.elapsed() < Duration::from_secs(5));
}

#[test]
fn a_sheet_is_planned_as_the_command_plans_its_file() {
    let cases = folder("serve-same");
    let server = Running::begin(&cases);
    let sheet = server.done("POST", "/api/sheets", &json!({ "from": "example:bridge-45-47" }));
    let id = sheet["id"].as_str().unwrap();
    let planned = server.done("GET", &format!("/api/sheets/{id}/plan"), &Value::Null);
    let file = cases.join(format!("{id}.toml"));
    let told = common::json(&bisque(&["plan", file.to_str().unwrap(), "--fidelity", "instant", "--json"]));
    for part in ["verdict", "options", "gates", "alternatives", "defaults"] {
        assert_eq!(planned["report"][part], told[part], "{part}");
    }
}

#[test]
fn the_rooms_do_what_the_commands_do() {
    let cases = folder("serve-rooms");
    let server = Running::begin(&cases);
    let (status, none) = server.ask("GET", "/api/register/audit", None, "").unwrap();
    assert_eq!(status, 404, "{none}");
    server.done("POST", "/api/register/init", &json!({}));
    let sheet = server.done("POST", "/api/sheets", &json!({ "from": "example:worn-molar" }));
    let placed = json!({ "sheet": sheet["id"], "patient": "P0412", "laboratory": "North", "day": "2026-01-05" });
    let key = server.done("POST", "/api/register/place", &placed)["key"].as_str().unwrap().to_owned();
    server.done(
        "POST",
        "/api/register/tryin",
        &json!({ "restoration": key, "outcome": "fitted", "day": "2026-01-05" }),
    );
    server.done("POST", "/api/register/recall", &json!({ "restorations": [key], "day": "2026-07-05" }));
    let list = server.done("GET", "/api/register/list", &Value::Null);
    assert_eq!((&list[0]["restoration"], &list[0]["last_seen"]), (&json!(key), &json!("2026-07-05")));
    let audit = server.done("GET", "/api/register/audit", &Value::Null);
    let store = format!("--store={}", cases.join("register.db").display());
    assert_eq!(audit, common::json(&bisque(&["register", "audit", "--json", &store])));
    let event = json!({ "restoration": key, "cause": "veneer_chip", "consequence": "polished", "day": "2026-08-01" });
    server.done("POST", "/api/register/event", &event);
    let (status, refused) = server
        .ask(
            "POST",
            "/api/register/event",
            None,
            &json!({ "restoration": key, "cause": "boredom", "consequence": "polished" }).to_string(),
        )
        .unwrap();
    assert!(status == 422 && refused.contains("boredom"), "{status} {refused}");

    let map = server.done("GET", "/api/evidence/map", &Value::Null);
    assert_eq!(map, common::json(&bisque(&["evidence", "map", "--json"])));
    let (status, forest) =
        server.ask("GET", "/api/evidence/picture/forest.svg?construct=crown&material=zirconia_3y", None, "").unwrap();
    assert!(status == 200 && forest.starts_with("<svg"), "{status} {forest}");
    let arms = server.done("GET", "/api/evidence/arms", &Value::Null);
    let pooled =
        arms.as_array().unwrap().iter().find(|a| a["use"] == "yes").unwrap()["id"].as_str().unwrap().to_owned();
    let (status, _) =
        server.ask("POST", "/api/evidence/retire", None, &json!({ "id": pooled, "reason": " " }).to_string()).unwrap();
    assert_eq!(status, 422, "no reason, no retirement");
    server.done("POST", "/api/evidence/retire", &json!({ "id": pooled, "reason": "its cohort is another's" }));
    let arms = server.done("GET", "/api/evidence/arms", &Value::Null);
    let retired = arms.as_array().unwrap().iter().find(|a| a["id"] == json!(pooled)).unwrap();
    assert_eq!((&retired["use"], &retired["own"]), (&json!("no"), &json!(true)), "the next plan reads it");
    let study = || {
        let studies = server.done("GET", "/api/evidence/studies", &Value::Null);
        studies.as_array().unwrap().iter().find(|a| a["id"] == json!(pooled)).unwrap().clone()
    };
    assert_eq!(study()["retired"], "its cohort is another's");
    server.done("POST", "/api/evidence/restore", &json!({ "id": pooled }));
    assert_eq!((&study()["retired"], &study()["own"]), (&Value::Null, &json!(false)), "as shipped");
    let (status, _) = server.ask("POST", "/api/evidence/restore", None, &json!({ "id": pooled }).to_string()).unwrap();
    assert_eq!(status, 422, "nothing is left to bring back");
    // An arm of the practice's own, with the figures of a shipped one.
    let arms = server.done("GET", "/api/evidence/arms", &Value::Null);
    let mut fields = arms.as_array().unwrap().iter().find(|a| a["id"] == json!(pooled)).unwrap().clone();
    let own = fields.as_object_mut().unwrap();
    own.remove("own");
    own.insert("id".to_owned(), json!("TEST1"));
    own.insert("cohort".to_owned(), json!("test1"));
    server.done("POST", "/api/evidence/add", &json!({ "fields": fields }));
    server.done("POST", "/api/evidence/retire", &json!({ "id": "TEST1", "reason": "a trial, no more" }));
    server.done("POST", "/api/evidence/restore", &json!({ "id": "TEST1" }));
    let arms = server.done("GET", "/api/evidence/arms", &Value::Null);
    let mut back = arms.as_array().unwrap().iter().find(|a| a["id"] == "TEST1").unwrap().clone();
    assert_eq!(back["own"], true);
    back.as_object_mut().unwrap().remove("own");
    assert_eq!(back, fields, "cell by cell as it was added");
}

#[test]
fn beyond_this_machine_it_wants_a_password_and_the_interface_is_described() {
    let refused =
        bisque(&["serve", "--host", "0.0.0.0", "--port", "0", "--cases", folder("serve-open").to_str().unwrap()]);
    assert_eq!(refused.status.code(), Some(2));
    assert!(text(&refused.stderr).contains("--password-file"), "{}", text(&refused.stderr));
    let described = common::json(&bisque(&["serve", "--openapi"]));
    assert_eq!(described["openapi"], "3.1.0");
}

#[test]
fn what_speaks_against_serving_is_told_with_what_to_do() {
    let cases = folder("serve-taken");
    let server = Running::begin(&cases);
    let port = server.address.rsplit(':').next().unwrap();
    let refused = |arguments: &[&str]| {
        let out = bisque(&[&["serve"], arguments].concat());
        (out.status.code(), String::from_utf8_lossy(&out.stderr).into_owned())
    };
    let other = folder("serve-taken-other");
    let (other, here) = (other.to_str().unwrap(), cases.to_str().unwrap());
    let (code, told) = refused(&["--port", port, "--cases", other]);
    assert!(code == Some(3) && told.contains("cannot listen at") && told.contains("another --port"), "{told}");
    let (code, told) = refused(&["--port", "0", "--cases", here]);
    assert!(code == Some(3) && told.contains("another server works in it") && told.contains("--cases"), "{told}");
    let (code, told) = refused(&["--host", "0.0.0.0", "--port", "0", "--cases", other]);
    assert!(code == Some(2) && told.contains("--password-file"), "{told}");
}

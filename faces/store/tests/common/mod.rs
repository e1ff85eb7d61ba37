//! Places to test on: a file of its own and, where a server can be had, a database of its own.
//!
//! The server is the one `cargo xtask test` starts and names in `BISQUE_TEST_POSTGRES`; without that, a private one is started from
//! Debian's package for this test program alone. Where neither can be had the tests of PostgreSQL say so loudly and count as nothing tested.
#![allow(dead_code, clippy::unwrap_used, clippy::panic, clippy::print_stderr)] // helpers of tests fail by panicking and speak to the tester

use register::words::{Consequence, EventKind, Fit, Misfit, Stage};
use register::{Author, Criteria, Day, Event, Kept, Recall, Record, Restoration, Rules, TryIn};
use std::path::PathBuf;
use std::process::Command;
use std::sync::OnceLock;
use std::sync::atomic::{AtomicU32, Ordering};
use store::Place;

static COUNTER: AtomicU32 = AtomicU32::new(0);

/// A number no other place of this machine has.
fn own_name() -> String {
    format!("bisque_{}_{}", std::process::id(), COUNTER.fetch_add(1, Ordering::Relaxed))
}

/// A file of its own in a folder of its own.
pub fn file() -> Place {
    let folder = std::env::temp_dir().join(own_name());
    std::fs::create_dir_all(&folder).unwrap();
    Place::File(folder.join("register.db"))
}

/// A database of its own on the server; none where there is no server.
pub fn server() -> Option<Place> {
    static ADDRESS: OnceLock<Option<String>> = OnceLock::new();
    let address = ADDRESS.get_or_init(|| std::env::var("BISQUE_TEST_POSTGRES").ok().or_else(private_server)).clone();
    let Some(address) = address else {
        eprintln!(
            "PostgreSQL IS NOT TESTED: no server. Install Debian's package `postgresql`, or name one in BISQUE_TEST_POSTGRES"
        );
        return None;
    };
    let name = own_name();
    let status = Command::new("psql").args([&address, "-qc", &format!("CREATE DATABASE {name}")]).status().unwrap();
    assert!(status.success(), "a database could not be made at {address}");
    let (head, tail) = address.rsplit_once('/').unwrap();
    let query = tail.split_once('?').map_or(String::new(), |(_, q)| format!("?{q}"));
    Some(Place::Server(format!("{head}/{name}{query}")))
}

/// Starts a private server that ends with this test program.
fn private_server() -> Option<String> {
    let bin = std::fs::read_dir("/usr/lib/postgresql").ok()?.flatten().map(|e| e.path().join("bin")).max()?;
    let folder = std::env::temp_dir().join(own_name());
    let user = std::env::var("USER").unwrap_or_default();
    let root = Command::new("id").arg("-u").output().ok()?.stdout.starts_with(b"0\n");
    std::fs::create_dir_all(&folder).ok()?;
    if root {
        Command::new("chown").args(["postgres", folder.to_str()?]).status().ok()?;
    }
    let run = |program: PathBuf, args: &[&str]| {
        let mut command = if root {
            let mut c = Command::new("runuser");
            c.args(["-u", "postgres", "--"]).arg(program);
            c
        } else {
            Command::new(program)
        };
        command.current_dir("/").args(args).stdout(std::process::Stdio::null());
        command.status().is_ok_and(|s| s.success())
    };
    let data = folder.join("data");
    let data = data.to_str()?;
    if !run(bin.join("initdb"), &["-D", data, "-A", "trust", "-U", "postgres", "-N", "-E", "UTF8"]) {
        eprintln!("initdb failed for {user}");
        return None;
    }
    let port = std::net::TcpListener::bind("127.0.0.1:0").ok()?.local_addr().ok()?.port();
    let options = format!("-p {port} -k {} -c listen_addresses=127.0.0.1 -c fsync=off", folder.to_str()?);
    let log = folder.join("log");
    if !run(bin.join("pg_ctl"), &["-D", data, "-w", "-l", log.to_str()?, "-o", &options, "start"]) {
        return None;
    }
    // It ends with this program: a shell waits for that, since tests have no last word.
    let stop = format!(
        "while kill -0 {} 2>/dev/null; do sleep 0.2; done; {} {} -D {data} -m immediate stop >/dev/null 2>&1; rm -rf {}",
        std::process::id(),
        if root { "runuser -u postgres --" } else { "" },
        bin.join("pg_ctl").display(),
        folder.display()
    );
    let quiet = std::process::Stdio::null;
    Command::new("setsid").args(["sh", "-c", &stop]).stdin(quiet()).stdout(quiet()).stderr(quiet()).spawn().ok()?;
    Some(format!("postgres://postgres@127.0.0.1:{port}/postgres"))
}

/// Both kinds of place, as far as they can be had.
pub fn places() -> Vec<Place> {
    std::iter::once(file()).chain(server()).collect()
}

/// A day.
pub fn day(text: &str) -> Day {
    Day::parse(text).unwrap()
}

/// The day of all these tests.
pub fn today() -> Day {
    day("2026-06-30")
}

/// The shipped criteria.
pub fn criteria() -> Criteria {
    Criteria::shipped().unwrap()
}

/// The rules of all these tests.
pub fn rules(criteria: &Criteria) -> Rules<'_> {
    Rules { criteria, today: today() }
}

/// Who writes here.
pub fn author() -> Author {
    Author { who: "tester".into(), at_ms: 1_782_777_600_000 }
}

/// A crown that was placed.
pub fn crown(key: &str, patient: &str, tooth: &str, placed: &str) -> Kept<Record> {
    use register::trade::{Build, Construct, Material};
    Kept::new(Record::Restoration(Restoration {
        key: key.into(),
        patient: patient.into(),
        teeth: vec![register::trade::tooth(tooth).unwrap()],
        construct: Construct::Crown,
        material: Material::LithiumDisilicate,
        build: Build::Monolithic,
        grade: None,
        dimensions: vec![("occlusal thickness".into(), 1.5)],
        laboratory: Some("North".into()),
        cement: Some("resin".into()),
        operator: Some("op1".into()),
        planned: None,
        ordered: Some(day(placed).plus(-14)),
        placed: Some(day(placed)),
        option: Some("crown.lithium_disilicate.monolithic".into()),
        note: Some("the patient wished it light".into()),
    }))
}

/// An uneventful recall.
pub fn recall(key: &str, restoration: &str, on: &str) -> Kept<Record> {
    Kept::new(Record::Recall(Recall {
        key: key.into(),
        restoration: restoration.into(),
        day: day(on),
        examiner: None,
        scheme: None,
        scores: Vec::new(),
        vital: Some(true),
        note: None,
    }))
}

/// An event found on a day.
pub fn event(key: &str, restoration: &str, on: &str, kind: EventKind, consequence: Consequence) -> Kept<Record> {
    Kept::new(Record::Event(Event {
        key: key.into(),
        restoration: restoration.into(),
        found: day(on),
        happened: None,
        kind,
        grade: None,
        consequence,
        note: Some("seen under the lamp".into()),
    }))
}

/// A try-in that was sent back for its margin.
pub fn sent_back(key: &str, restoration: &str, on: &str) -> Kept<Record> {
    Kept::new(Record::TryIn(TryIn {
        key: key.into(),
        restoration: restoration.into(),
        day: day(on),
        stage: Stage::Bisque,
        fit: Fit::SentBack,
        causes: vec![Misfit::Margin, Misfit::Contact],
        minutes: Some(4.5),
        note: None,
    }))
}

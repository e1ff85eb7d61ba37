//! Speed beside the fastest general packages, in one run on the same rows, one thread, processor seconds. `cargo bench -p survival -- [ROWS] [PEERS] [TASKS]`.
//!
//! Rows are simulated here (days over 15 years, three competing causes, clusters of two on average, nine covariates, late opening), written once to the
//! system's temporary folder, and read by the peers (`peers/survival.R`, `peers/survival.py`), which print `task seconds value`; values are compared, so that
//! speed is never that of a wrong answer. Reading is not timed on either side. A peer that is absent is passed over with a message. PEERS: `r`, `python`, `none`.
//! TASKS: some of ours by name, parted by commas; the peers do those of them that they know.
#![allow(clippy::unwrap_used, clippy::print_stdout)] // a report on the terminal; a broken bench may stop

use answer::World;
use std::fmt::Write as _;
use std::hint::black_box;
use std::process::Command;
use survival::cox::{Covariate, Cox, Ties};
use survival::*;

/// The simulated columns.
struct Register {
    entry: Vec<f64>,
    exit: Vec<f64>,
    cause: Vec<u32>,
    cluster: Vec<u32>,
    covariates: Vec<(String, Vec<f64>)>,
}

fn register(rows: usize) -> Register {
    let drawn = rows * 3 / 2;
    let world = World::with_draws(1, drawn);
    let u = |name: &str, k: usize| world.uniform_at(name, k);
    let yes = |hit: bool| f64::from(u8::from(hit));
    let names: Vec<String> =
        (1..5).map(|k| format!("kind{k}")).chain(["a", "b", "c", "age", "d"].map(str::to_owned)).collect();
    let mut out = Register {
        entry: vec![],
        exit: vec![],
        cause: vec![],
        cluster: vec![],
        covariates: names.into_iter().map(|n| (n, Vec::new())).collect(),
    };
    let effects = [0.4, -0.3, 0.2, 0.6, 0.25, -0.1, 0.45, 0.0, -0.15];
    for i in 0..drawn {
        let cluster = (u("cluster", i) * drawn as f64 / 2.2) as usize;
        let kind = (u("kind", i) * 5.0) as usize;
        let mut x: Vec<f64> = (1..5).map(|k| yes(kind == k)).collect();
        x.extend([yes(u("a", i) < 0.6), yes(u("b", i) < 0.66), yes(u("c", cluster) < 0.12)]);
        x.push((10.0 * (20.0 + 60.0 * u("age", cluster))).round() / 10.0);
        x.push(yes(u("d", i) < 0.4));
        let own = 0.6 * numerics::normal::quantile(u("own", cluster));
        let eta: f64 = x.iter().zip(effects).map(|(x, b)| x * b).sum::<f64>() + own;
        let times = [
            34.0 * (-u("t1", i).ln() * (-eta).exp()).powf(1.0 / 1.6),
            48.0 * (-u("t2", i).ln() * (-0.8 * own).exp()).powf(1.0 / 1.3),
            -70.0 * u("t3", i).ln(),
        ];
        let placed = 15.0 * u("placed", i);
        let entry = (7.0 - placed).max(0.0);
        let end = (15.0 - placed).min(entry - 28.0 * u("lost", i).ln());
        let first = (0..3).min_by(|&a, &b| times[a].total_cmp(&times[b])).unwrap();
        let exit = times[first].min(end);
        let (entry, days) = ((entry * 365.25).floor(), (exit * 365.25).ceil());
        if days <= entry || out.exit.len() == rows {
            continue;
        }
        out.entry.push(entry);
        out.exit.push(days);
        out.cause.push(if times[first] <= end { first as u32 + 1 } else { 0 });
        out.cluster.push(cluster as u32);
        for (column, x) in out.covariates.iter_mut().zip(x) {
            column.1.push(x);
        }
    }
    assert_eq!(out.exit.len(), rows, "draw more");
    out
}

fn csv(r: &Register) -> String {
    let names: Vec<&str> = r.covariates.iter().map(|c| c.0.as_str()).collect();
    let mut text = format!("entry,exit,cause,cluster,{}\n", names.join(","));
    for i in 0..r.exit.len() {
        write!(text, "{},{},{},{}", r.entry[i], r.exit[i], r.cause[i], r.cluster[i]).unwrap();
        r.covariates.iter().for_each(|c| write!(text, ",{}", c.1[i]).unwrap());
        text.push('\n');
    }
    text
}

/// Processor seconds of this thread.
fn clock() -> f64 {
    let text = std::fs::read_to_string("/proc/thread-self/schedstat").unwrap();
    text.split_whitespace().next().unwrap().parse::<f64>().unwrap() / 1e9
}

/// Least processor seconds of three rounds, each repeated to 0.1 s (the clock ticks in milliseconds), and the value.
fn timed(mut work: impl FnMut() -> f64) -> (f64, f64) {
    let mut best = (f64::INFINITY, f64::NAN);
    for _ in 0..3 {
        let (start, mut runs, mut value) = (clock(), 0.0, f64::NAN);
        while runs == 0.0 || clock() - start < 0.1 {
            value = black_box(work());
            runs += 1.0;
        }
        best = (best.0.min((clock() - start) / runs), value);
    }
    best
}

/// Tasks the peers know.
const IN_R: [&str; 7] = ["km", "km_late", "aj", "cox", "cox_breslow", "cox_late", "cox_clusters"];
const IN_PYTHON: [&str; 4] = ["km", "km_late", "cox", "cox_late"];

/// A task of ours.
type Work<'a> = Box<dyn FnMut() -> f64 + 'a>;

/// Task, seconds and value of a peer.
type Told = (String, f64, f64);

/// What a peer tells of the tasks.
fn peer(program: &str, script: &str, file: &str, tasks: &str) -> Vec<Told> {
    let path = format!("{}/benches/peers/{script}", env!("CARGO_MANIFEST_DIR"));
    let one = [("OMP_NUM_THREADS", "1"), ("OPENBLAS_NUM_THREADS", "1")];
    let Ok(out) = Command::new(program).args([path.as_str(), file, tasks]).envs(one).output() else {
        println!("{program} is not here: passed over");
        return Vec::new();
    };
    if !out.status.success() {
        println!("{program}: passed over: {}", String::from_utf8_lossy(&out.stderr).lines().last().unwrap_or(""));
    }
    String::from_utf8_lossy(&out.stdout)
        .lines()
        .filter_map(|l| {
            let mut w = l.split_whitespace();
            Some((w.next()?.to_owned(), w.next()?.parse().ok()?, w.next()?.parse().ok()?))
        })
        .collect()
}

fn main() {
    let words: Vec<String> = std::env::args().skip(1).filter(|a| !a.starts_with("--")).collect();
    let rows: usize = words.first().and_then(|w| w.parse::<f64>().ok()).unwrap_or(1e5) as usize;
    let peers = words.get(1).map_or("r,python", String::as_str);
    let r = register(rows);
    let own: Vec<u32> = r.cause.iter().map(|&c| u32::from(c == 1)).collect();
    let covariates: Vec<Covariate<'_>> = r.covariates.iter().map(|(name, values)| Covariate { name, values }).collect();
    let plain = || Observations::new(&r.exit, &own).unwrap();
    let late = || Observations::with_entry(&r.entry, &r.exit, &own).unwrap();
    let all = || Observations::new(&r.exit, &r.cause).unwrap();
    let cox = |seen: Observations<'_>, ties: Ties| {
        Cox::new(seen, &covariates).unwrap().with_ties(ties).fit().unwrap().coefficients[0]
    };
    // Times that are no whole numbers are sorted, not counted.
    let broken: Vec<f64> = r.exit.iter().zip(&r.covariates[7].1).map(|(t, a)| t + a / 1000.0).collect();
    let five = 1826.0;
    let mut tasks: Vec<(&str, Work<'_>)> = vec![
        ("km", Box::new(|| kaplan_meier(&plain()).at(five).survival)),
        ("km_broken_times", Box::new(|| kaplan_meier(&Observations::new(&broken, &own).unwrap()).at(five).survival)),
        ("km_clusters", Box::new(|| kaplan_meier(&plain().with_clusters(&r.cluster).unwrap()).at(five).se())),
        ("km_late", Box::new(|| kaplan_meier(&late()).at(five).survival)),
        ("aj", Box::new(|| aalen_johansen(&all())[0].at(five).incidence)),
        ("aj_clusters", Box::new(|| aalen_johansen(&all().with_clusters(&r.cluster).unwrap())[0].at(five).se)),
        ("cox", Box::new(|| cox(plain(), Ties::Efron))),
        ("cox_breslow", Box::new(|| cox(plain(), Ties::Breslow))),
        ("cox_late", Box::new(|| cox(late(), Ties::Efron))),
        ("cox_clusters", Box::new(|| cox(plain().with_clusters(&r.cluster).unwrap(), Ties::Efron))),
    ];
    if let Some(some) = words.get(2) {
        tasks.retain(|(name, _)| some.split(',').any(|s| s == *name));
    }
    let tasks: Vec<(&str, (f64, f64))> = tasks.into_iter().map(|(name, work)| (name, timed(work))).collect();
    let file = std::env::temp_dir().join(format!("survival-bench-{rows}-{}.csv", std::process::id()));
    std::fs::write(&file, csv(&r)).unwrap();
    let file_name = file.to_str().unwrap();
    let known = |names: &[&str]| {
        let theirs: Vec<&str> = tasks.iter().map(|t| t.0).filter(|t| names.contains(t)).collect();
        theirs.join(",")
    };
    let mut found: Vec<(&str, Vec<Told>)> = Vec::new();
    if peers.contains('r') {
        found.push(("R survival", peer("Rscript", "survival.R", file_name, &known(&IN_R))));
    }
    if peers.contains("python") {
        let python = std::env::var("PYTHON").unwrap_or_else(|_| "python3".to_owned());
        found.push(("lifelines", peer(&python, "survival.py", file_name, &known(&IN_PYTHON))));
    }
    println!("{rows} rows, {} events of the first cause, processor seconds", own.iter().sum::<u32>());
    for (task, (seconds, value)) in &tasks {
        println!("{task:>16}  {seconds:>9.4}  {value:.9}");
        for (name, theirs) in &found {
            for (_, s, v) in theirs.iter().filter(|t| t.0 == *task) {
                let gap = (v / value - 1.0).abs();
                println!("{:>16}  {s:>9.4}  ratio {:.1}, values differ by {gap:.1e}", name, s / seconds);
            }
        }
    }
    let _ = std::fs::remove_file(&file);
}

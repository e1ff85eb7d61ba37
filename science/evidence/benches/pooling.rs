//! Speed of pooling beside metafor in one run, one thread each; of reweighting by own arms; of pooling 10,000 arms. `cargo bench -p evidence`.
//!
//! The same simulated counts go to both; results are compared inside the run, so that speed is never that of a wrong answer. Data differ from
//! repeat to repeat. Without Rscript and metafor the peer is passed over with a message.
#![allow(clippy::unwrap_used, clippy::print_stdout)] // a report on the terminal; a broken bench may stop

use answer::{Basis, NoProgress, World};
use evidence::pool::{Between, Errors, Family, Zeros, glmm, log_rates, pool};
use evidence::{Arm, Cause, Cell, Exposure, Model, OwnGroup, fit};
use std::hint::black_box;
use std::process::Command;
use std::time::Instant;

const SETS: usize = 20;
const ARMS: usize = 100;

/// Counts of one simulated set: events and exposure.
fn counts(set: usize, arms: usize) -> (Vec<f64>, Vec<f64>) {
    let world = World::with_draws(set as u64 + 1, arms);
    let rate = world.normal("rate", 0.012f64.ln(), 0.6);
    let exposure = world.log_normal("exposure", 350.0, 0.8);
    let events = (0..arms).map(|i| {
        // Inverse of the Poisson distribution function at a uniform.
        let (mean, u) = (rate.get(i).exp() * exposure.get(i), world.uniform_at("events", i));
        let (mut x, mut p) = (0.0, (-mean).exp());
        let mut sum = p;
        while sum < u && x < 1e4 {
            x += 1.0;
            p *= mean / x;
            sum += p;
        }
        x
    });
    (events.collect(), exposure.iter().collect())
}

/// Median seconds of a piece of work over the sets, each repeated until 20 ms are reached.
fn median(mut work: impl FnMut(usize)) -> f64 {
    let mut times: Vec<f64> = (0..SETS)
        .map(|set| {
            let start = Instant::now();
            let mut runs = 0;
            while runs == 0 || start.elapsed().as_secs_f64() < 0.02 {
                work(set);
                runs += 1;
            }
            start.elapsed().as_secs_f64() / f64::from(runs)
        })
        .collect();
    times.sort_by(f64::total_cmp);
    times[times.len() / 2]
}

/// Peer: method, seconds, and the pooled value of each set.
fn peer(sets: &[(Vec<f64>, Vec<f64>)]) -> Option<Vec<(String, f64, Vec<f64>)>> {
    let path = std::env::temp_dir().join(format!("evidence-bench-{}.csv", std::process::id()));
    let mut text = String::from("set,x,t\n");
    for (s, (x, t)) in sets.iter().enumerate() {
        x.iter().zip(t).for_each(|(x, t)| text.push_str(&format!("{s},{x},{t:.17e}\n")));
    }
    std::fs::write(&path, text).unwrap();
    let script = concat!(env!("CARGO_MANIFEST_DIR"), "/benches/peers/pooling.R");
    let output = Command::new("Rscript")
        .arg(script)
        .arg(&path)
        .envs([("OMP_NUM_THREADS", "1"), ("OPENBLAS_NUM_THREADS", "1")])
        .output();
    let _ = std::fs::remove_file(&path);
    let output = output.ok().filter(|o| o.status.success())?;
    let text = String::from_utf8(output.stdout).ok()?;
    let rows = text.lines().filter_map(|line| {
        let mut cells = line.split(',');
        let (name, seconds) = (cells.next()?.to_owned(), cells.next()?.parse().ok()?);
        Some((name, seconds, cells.filter_map(|c| c.parse().ok()).collect()))
    });
    Some(rows.collect())
}

fn main() {
    // `cargo test` also starts benches without a harness: they are not tests.
    if std::env::args().any(|a| a == "--test") {
        return;
    }
    let sets: Vec<(Vec<f64>, Vec<f64>)> = (0..SETS).map(|s| counts(s, ARMS)).collect();
    let reml = |s: usize| {
        let (x, t) = &sets[s];
        pool(&log_rates(x, t, Zeros::AddHalfToThem).unwrap(), Between::Reml, Errors::Wald).unwrap().b[0]
    };
    let ones = vec![1.0; ARMS];
    let exact = |s: usize| glmm(Family::Poisson, &sets[s].0, &sets[s].1, &ones, 1, 25).unwrap().b[0];
    let ours = [
        (
            "reml",
            median(|s| {
                let _ = black_box(reml(s));
            }),
            (0..SETS).map(reml).collect::<Vec<f64>>(),
        ),
        (
            "glmm",
            median(|s| {
                let _ = black_box(exact(s));
            }),
            (0..SETS).map(exact).collect(),
        ),
    ];
    println!("{ARMS} arms, one thread, median of {SETS} sets");
    let peers = peer(&sets);
    if peers.is_none() {
        println!("Rscript with metafor is not here: the peer is passed over");
    }
    for (name, seconds, values) in &ours {
        let found = peers.iter().flatten().find(|p| p.0 == *name);
        match found {
            Some((_, theirs, expected)) => {
                let worst = values.iter().zip(expected).map(|(a, b)| (a - b).abs()).fold(0.0, f64::max);
                println!(
                    "{name:<8} {:>10.1} us   peer {:>10.1} us   ratio {:>7.0}   largest difference {worst:.1e}",
                    1e6 * seconds,
                    1e6 * theirs,
                    theirs / seconds
                );
                // The peer's exact model is fitted by an optimiser of its own precision.
                assert!(worst < 1e-3 && expected.len() == SETS, "{name} differs from the peer");
            }
            None => println!("{name:<8} {:>10.1} us", 1e6 * seconds),
        }
    }
    let many = counts(99, 10_000);
    let effects = log_rates(&many.0, &many.1, Zeros::AddHalfToThem).unwrap();
    let start = Instant::now();
    black_box(pool(&effects, Between::Reml, Errors::HartungKnapp).unwrap());
    println!("reml     {:>10.1} ms for 10,000 arms", 1e3 * start.elapsed().as_secs_f64());
    reweighting();
}

/// Ten own arms of one and of two laboratories into a posterior of 2048 draws.
fn reweighting() {
    let arm = |id: String, x: f64, t: f64| Arm {
        cohort: id.clone(),
        id,
        year: None,
        cell: Cell::new(["x", "y"]),
        mixture: Vec::new(),
        moderators: Default::default(),
        n: Some((t / 5.0).ceil() as u32),
        units_per_subject: None,
        follow_up_years: 5.0,
        exposure: Some(Exposure { years: t, computed: false }),
        losses: Some(x as u32),
        counts: Vec::new(),
        survival: Vec::new(),
        basis: Basis::Read,
        pooled: Ok(()),
    };
    let (x, t) = counts(7, 60);
    let arms: Vec<Arm> = (0..60).map(|i| arm(format!("a{i}"), x[i], t[i])).collect();
    let cause = Cause {
        name: "any".into(),
        prior_share: 1.0,
        prior_rate: 0.01,
        levels: vec![0],
        moderators: Vec::new(),
        alone: Default::default(),
    };
    let posterior = fit(&arms, &Model::new(vec![cause]), &NoProgress).unwrap();
    let world = World::new(1);
    for laboratories in [1, 2] {
        let mut times: Vec<f64> = (0..11)
            .map(|run| {
                let (x, t) = counts(200 + run, 10);
                let own: Vec<Arm> = (0..10).map(|i| arm(format!("o{i}"), x[i], t[i])).collect();
                let groups: Vec<OwnGroup> = own
                    .chunks(10 / laboratories)
                    .enumerate()
                    .map(|(l, arms)| OwnGroup { laboratory: format!("l{l}"), arms: arms.to_vec() })
                    .collect();
                let start = Instant::now();
                black_box(posterior.reweight_with(&world, &groups, &[]).unwrap());
                start.elapsed().as_secs_f64()
            })
            .collect();
        times.sort_by(f64::total_cmp);
        println!(
            "reweight {:>10.1} ms for 10 own arms of {laboratories} laboratories, {} draws, {} threads",
            1e3 * times[times.len() / 2],
            posterior.draws(),
            rayon::current_num_threads()
        );
    }
}

//! Small models for the checks of the solver.
#![allow(dead_code, clippy::unwrap_used, clippy::print_stdout)]

use answer::NoProgress;
use shape::{Block, Solid};
use std::sync::Arc;
use strength::solve::*;

pub fn solid(s: impl Solid + 'static) -> Arc<dyn Solid> {
    Arc::new(s)
}

pub fn block(centre: [f64; 3], size: [f64; 3]) -> Arc<dyn Solid> {
    solid(Block::new(centre, size, 0.0).unwrap())
}

pub fn body(name: &str, solid: Arc<dyn Solid>, young: f64, poisson: f64) -> Body {
    Body { name: name.into(), solid, material: Material { young, poisson }, initial_strain: 0.0 }
}

pub fn case(loads: Vec<Load>) -> LoadCase {
    LoadCase { name: "case".into(), loads, given: 1.0 }
}

pub fn load(region: Arc<dyn Solid>, push: Push) -> Load {
    Load { name: "load".into(), body: 0, region, push }
}

pub fn clamp(region: Arc<dyn Solid>) -> Support {
    Support {
        name: "clamp".into(),
        body: 0,
        region,
        given: Given::Displacement { offset: [0.0; 3], gradient: [[0.0; 3]; 3] },
    }
}

pub fn springs(region: Arc<dyn Solid>, normal: f64, tangential: f64) -> Support {
    Support { name: "springs".into(), body: 0, region, given: Given::Foundation { normal, tangential } }
}

/// A wall along which the body slides without opening: a plane of symmetry.
pub fn slide(region: Arc<dyn Solid>) -> Support {
    springs(region, f64::INFINITY, 0.0)
}

pub fn model(cell: f64, origin: [f64; 3], bodies: Vec<Body>, supports: Vec<Support>, loads: Vec<Load>) -> Model {
    Model { cell, origin, bodies, interfaces: vec![], supports, cases: vec![case(loads)] }
}

pub fn solve(m: Model) -> Solution {
    Prepared::new(m, &NoProgress).unwrap().solve(1e-8, &NoProgress).unwrap().remove(0)
}

pub fn group(region: Arc<dyn Solid>) -> Group {
    Group { name: "group".into(), body: 0, region, excluded: None, margin: 0.0 }
}

/// Mean of a stress over the surface points that count, weighted by area; how many there were.
pub fn mean(
    points: &[SurfacePoint],
    counts: impl Fn(&SurfacePoint) -> bool,
    value: impl Fn(&SurfacePoint) -> f64,
) -> f64 {
    let (mut sum, mut area) = (0.0, 0.0);
    for p in points.iter().filter(|p| counts(p)) {
        sum += p.area * value(p);
        area += p.area;
    }
    assert!(area > 0.0, "no surface there");
    sum / area
}

/// As [`report`] for stresses that may be near 0: the error as a share of `unit`.
pub fn report_share(claim: &str, source: &str, expected: f64, found: f64, unit: f64, limit: f64, remark: &str) {
    let off = (found - expected) / unit;
    let word = if off.abs() <= limit { "hit" } else { "miss" };
    println!(
        "validation | {claim} | {source} | {expected:.5} | {found:.5} | {word} | {:+.2} % of the stress applied, {remark}",
        100.0 * off
    );
}

/// A line of the validation page.
pub fn report(claim: &str, source: &str, expected: f64, found: f64, limit: f64, remark: &str) {
    let off = found / expected - 1.0;
    let word = if off.abs() <= limit { "hit" } else { "miss" };
    println!("validation | {claim} | {source} | {expected:.5} | {found:.5} | {word} | {:+.2} %, {remark}", 100.0 * off);
}

//! Times of what a case asks for, on as many threads as the pool has. Prints seconds; best of five.

#![allow(clippy::print_stdout, clippy::unwrap_used)]

use answer::{Draws, World};
use colour::{
    Backing, Coupling, Ensemble, Family, Goal, Ground, Instrument, Lab, LayerDraws, Limits, Metric, ModelError,
    Opacity, Optics, Readings, Reference, Spread, Viewing, backings, ciede2000, least_thickness,
};
use std::hint::black_box;
use std::sync::Arc;
use std::time::Instant;

fn best<T>(name: &str, mut f: impl FnMut() -> T) {
    let seconds = (0..5)
        .map(|_| {
            let start = Instant::now();
            black_box(f());
            start.elapsed().as_secs_f64()
        })
        .fold(f64::MAX, f64::min);
    println!("{name:<58} {:>9.2} ms", 1e3 * seconds);
}

fn family(name: &str, cr: f64, index: (f64, f64)) -> Family {
    let body = Spread::Normal { mean: Lab::new(72.0, 1.0, 16.0), sd: Lab::new(3.0, 1.0, 3.0) };
    let opacity = Opacity::ContrastRatio { low: cr - 0.05, high: cr + 0.05, thickness_mm: 1.0 };
    Family { name: name.into(), opacity, index, body, readings: Readings::default() }
}

fn main() {
    println!("threads {}", rayon::current_num_threads());
    let viewing = Viewing::daylight().unwrap();
    let world = World::new(1);
    let pairs: Vec<(Lab, Lab)> = (0..10_000_000u64)
        .map(|i| {
            let u = |m: u64| (i.wrapping_mul(m) >> 20 & 0xffff) as f64 / 65536.0;
            let a = Lab::new(
                100.0 * u(0x9e3779b97f4a7c15),
                40.0 * u(0xbf58476d1ce4e5b9) - 20.0,
                40.0 * u(0x94d049bb133111eb),
            );
            (a, Lab::new(a.l + 2.0, a.a - 1.0, a.b + 3.0))
        })
        .collect();
    best("CIEDE2000, 1e7 pairs, one thread", || pairs.iter().map(|(a, b)| ciede2000(*a, *b)).sum::<f64>());

    best("one family from contrast ratio, 2048 draws", || {
        family("core", 0.8, (2.1, 2.2)).draw(&world, &viewing).unwrap()
    });
    best("2048 backings from colour", || ground(&world, &viewing, 50.0));
    let optics = |name, cr, index| -> Arc<[Optics]> { family(name, cr, index).draw(&world, &viewing).unwrap().optics };
    let layer = |optics, mm| LayerDraws { optics, thickness_mm: Draws::constant(2048, mm) };
    let stack = Ensemble {
        layers: vec![
            layer(optics("body", 0.6, (1.5, 1.54)), 0.8),
            layer(optics("core", 0.8, (2.1, 2.2)), 0.5),
            layer(optics("film", 0.2, (1.48, 1.54)), 0.05),
        ],
        coupling: Coupling::Contact,
        backing: ground(&world, &viewing, 50.0),
        instrument: Instrument::BEAM,
        model_error: ModelError::USUAL,
    };
    best("prediction, 2048 draws x 3 layers x 41 bands", || stack.predict(&world, &viewing).unwrap());
    let million = World::with_draws(1, 1_000_000);
    let two = Ensemble { layers: stack.layers[..2].to_vec(), model_error: ModelError::NONE, ..stack.clone() };
    best("prediction, 1e6 stacks x 2 layers x 41 bands", || two.predict(&million, &viewing).unwrap());
    let light = ground(&world, &viewing, 72.0);
    let limit = Limits::BENCH.unacceptable(&world);
    let goal = Goal { reference: Reference::Over(&light), metric: Metric::Ciede2000, limit: &limit };
    best("least thickness of the core, 2048 draws", || {
        least_thickness(&stack, 1, (0.3, 2.0), goal, &world, &viewing).unwrap()
    });
    let wish = [Lab::new(72.0, 1.0, 16.0)];
    let goal = Goal { reference: Reference::Wish(&wish), metric: Metric::Ciede2000, limit: &limit };
    best("least thickness of the core against a wish, 2048 draws", || {
        least_thickness(&stack, 1, (0.3, 2.0), goal, &world, &viewing).unwrap()
    });
}

fn ground(world: &World, viewing: &Viewing, lightness: f64) -> Arc<[Backing]> {
    let colour = Spread::Normal { mean: Lab::new(lightness, 2.0, 14.0), sd: Lab::new(3.0, 1.0, 3.0) };
    backings(&colour, Ground::Body(1.54), Instrument::BEAM, world, &format!("ground {lightness}"), viewing).unwrap()
}

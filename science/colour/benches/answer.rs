//! Times of what a case asks for, on as many threads as the pool has. Prints milliseconds of all threads' own time (where the system
//! tells it, as Linux does: the machine is shared) and of the wall; best of five.

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
    let (mut own, mut wall) = (f64::MAX, f64::MAX);
    for _ in 0..5 {
        let (start, before) = (Instant::now(), threads());
        black_box(f());
        let seconds = start.elapsed().as_secs_f64();
        wall = wall.min(seconds);
        own = own.min(threads().zip(before).map_or(seconds, |(after, before)| after - before));
    }
    println!("{name:<58} {:>9.2} ms, wall {:>9.2} ms", 1e3 * own, 1e3 * wall);
}

/// Seconds all threads of this program have run.
fn threads() -> Option<f64> {
    let tasks = std::fs::read_dir("/proc/self/task").ok()?;
    let of = |task: std::fs::DirEntry| {
        let told = std::fs::read_to_string(task.path().join("schedstat")).ok()?;
        told.split(' ').next()?.parse::<f64>().ok()
    };
    tasks.map(|task| of(task.ok()?)).sum::<Option<f64>>().map(|ns| 1e-9 * ns)
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
    let search = Search { world: World::with_draws(1, 64), viewing: &viewing, over: &stack.backing, like: &light };
    let body = stack.layers[0].clone();
    let stacks: Vec<[LayerDraws; 2]> = [0.5, 0.6, 0.7, 0.8, 0.9]
        .map(|cr| {
            let core = family(&format!("core {cr}"), cr, (2.1, 2.2)).draw(&world, &viewing).unwrap();
            [body.clone(), layer(core.optics, 0.5)]
        })
        .into();
    best("masking search of a case: 5 grades, 2 helpers, 64 draws", || search.all(&stacks, &stack.layers[2]));
    let wish = [Lab::new(72.0, 1.0, 16.0)];
    let goal = Goal { reference: Reference::Wish(&wish), metric: Metric::Ciede2000, limit: &limit };
    best("least thickness of the core against a wish, 2048 draws", || {
        least_thickness(&stack, 1, (0.3, 2.0), goal, &world, &viewing).unwrap()
    });
}

/// What a case asks of its masking: least thickness and course of every grade, then whether either of two helpers hides.
struct Search<'a> {
    world: World,
    viewing: &'a Viewing,
    over: &'a Arc<[Backing]>,
    like: &'a Arc<[Backing]>,
}

impl Search<'_> {
    fn all(&self, grades: &[[LayerDraws; 2]], helper: &LayerDraws) -> (f64, f64) {
        let mut sums = (0.0, 0.0);
        for layers in grades {
            let stack = self.stack(layers.to_vec(), self.over);
            sums.0 += self.least(&stack, 1, (0.2, 3.0));
            for mm in [0.3, 0.5, 0.7, 0.9, 1.1, 1.4, 1.7, 2.0, 2.5] {
                let seen = [self.over, self.like].map(|backing| {
                    let mut one = self.stack(layers.to_vec(), backing);
                    one.layers[1].thickness_mm = Draws::constant(64, mm);
                    one.predict(&self.world, self.viewing).unwrap()
                });
                sums.1 += seen[0].iter().zip(&seen[1]).map(|(a, b)| ciede2000(*a, *b)).sum::<f64>();
            }
        }
        for mm in [0.1, 0.3] {
            let mut layers = grades[grades.len() - 1].to_vec();
            layers.push(LayerDraws { optics: helper.optics.clone(), thickness_mm: Draws::constant(64, mm) });
            sums.0 += self.least(&self.stack(layers, self.over), 2, (mm, mm));
        }
        sums
    }

    fn stack(&self, layers: Vec<LayerDraws>, backing: &Arc<[Backing]>) -> Ensemble {
        let (coupling, instrument, model_error) = (Coupling::Film(1.5), Instrument::BEAM, ModelError::NONE);
        Ensemble { layers, coupling, backing: backing.clone(), instrument, model_error }
    }

    fn least(&self, stack: &Ensemble, layer: usize, between: (f64, f64)) -> f64 {
        let limit = Limits::BENCH.unacceptable(&self.world);
        let goal = Goal { reference: Reference::Over(self.like), metric: Metric::Ciede2000, limit: &limit };
        least_thickness(stack, layer, between, goal, &self.world, self.viewing).unwrap().chance_at(0.5)
    }
}

fn ground(world: &World, viewing: &Viewing, lightness: f64) -> Arc<[Backing]> {
    let colour = Spread::Normal { mean: Lab::new(lightness, 2.0, 14.0), sd: Lab::new(3.0, 1.0, 3.0) };
    backings(&colour, Ground::Body(1.54), Instrument::BEAM, world, &format!("ground {lightness}"), viewing).unwrap()
}

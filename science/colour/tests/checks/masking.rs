//! Predictions as draws, chances, and the thickness that hides a backing.

use answer::{Draws, World};
use colour::{
    Backing, Coupling, Ensemble, Family, Goal, Instrument, Lab, LayerDraws, Limits, Metric, ModelError, Opacity,
    Readings, Reference, Spread, Viewing, backings, difference, least_thickness,
};
use std::sync::Arc;

fn world() -> World {
    World::with_draws(17, 512)
}

fn ground(lab: Lab, field: &str, world: &World, viewing: &Viewing) -> Arc<[Backing]> {
    let spread = Spread::Normal { mean: lab, sd: Lab::new(1.0, 0.3, 1.0) };
    backings(&spread, colour::Ground::Body(1.54), Instrument::BEAM, world, field, viewing).unwrap()
}

fn stack(low: f64, high: f64, thickness: f64, backing: Arc<[Backing]>, world: &World, viewing: &Viewing) -> Ensemble {
    let body = Spread::Normal { mean: Lab::new(72.0, 1.0, 16.0), sd: Lab::new(2.0, 0.5, 2.0) };
    let opacity = Opacity::ContrastRatio { low, high, thickness_mm: 1.0 };
    let family =
        Family { name: format!("medium {low}"), opacity, index: (1.52, 1.56), body, readings: Readings::default() };
    Ensemble {
        layers: vec![LayerDraws {
            optics: family.draw(world, viewing).unwrap().optics,
            thickness_mm: Draws::constant(world.draws(), thickness),
        }],
        coupling: Coupling::Film(1.5),
        backing,
        instrument: Instrument::BEAM,
        model_error: ModelError::USUAL,
    }
}

#[test]
fn a_dark_backing_shows_less_through_more_and_denser_material() {
    let (world, viewing) = (world(), Viewing::daylight().unwrap());
    let (light, dark) = (
        ground(Lab::new(70.0, 2.0, 18.0), "light", &world, &viewing),
        ground(Lab::new(40.0, 4.0, 12.0), "dark", &world, &viewing),
    );
    let mean_difference = |low: f64, high: f64, mm: f64| {
        let over =
            |b: &Arc<[Backing]>| stack(low, high, mm, b.clone(), &world, &viewing).predict(&world, &viewing).unwrap();
        difference(&over(&light), &over(&dark), Metric::Ciede2000).mean()
    };
    let (thin, thick, dense) =
        (mean_difference(0.5, 0.6, 0.8), mean_difference(0.5, 0.6, 1.6), mean_difference(0.8, 0.9, 0.8));
    assert!(thin > thick && thin > dense && dense > 0.0, "{thin} {thick} {dense}");
}

#[test]
fn the_least_thickness_hides_and_a_little_less_does_not() {
    let (world, viewing) = (world(), Viewing::daylight().unwrap());
    let (light, dark) = (
        ground(Lab::new(70.0, 2.0, 18.0), "light", &world, &viewing),
        ground(Lab::new(40.0, 4.0, 12.0), "dark", &world, &viewing),
    );
    let base = stack(0.7, 0.8, 1.0, dark, &world, &viewing);
    let limit = Limits::BENCH.unacceptable(&world);
    let goal = Goal { reference: Reference::Over(&light), metric: Metric::Ciede2000, limit: &limit };
    let least = least_thickness(&base, 0, (0.2, 4.0), goal, &world, &viewing).unwrap();
    let at = |mm: Vec<f64>| {
        let over = |backing: &Arc<[Backing]>| {
            let mut e = base.clone();
            e.backing = backing.clone();
            e.layers[0].thickness_mm = Draws::from_vec(mm.clone()).unwrap();
            e.predict(&world, &viewing).unwrap()
        };
        difference(&over(&base.backing), &over(&light), Metric::Ciede2000)
    };
    let found: Vec<f64> = least.per_draw().iter().map(|t| t.unwrap_or(4.0)).collect();
    let (at_least, thinner) = (at(found.clone()), at(found.iter().map(|t| (t - 0.02).max(0.2)).collect()));
    for k in 0..world.draws() {
        if least.per_draw()[k].is_some_and(|t| t > 0.23) {
            assert!(at_least.get(k) <= limit.get(k) && thinner.get(k) > limit.get(k), "draw {k}");
        }
    }
    let (half, most) = (least.for_chance(0.5).unwrap(), least.for_chance(0.9).unwrap());
    assert!(half < most && least.chance_at(most) >= 0.9 && least.chance_at(half) >= 0.5);
    // A denser medium hides in less.
    let denser = Ensemble { layers: stack(0.85, 0.92, 1.0, light.clone(), &world, &viewing).layers, ..base.clone() };
    let denser = least_thickness(&denser, 0, (0.2, 4.0), goal, &world, &viewing).unwrap();
    assert!(denser.for_chance(0.5).unwrap() < half);
}

#[test]
fn a_space_too_small_says_so() {
    let (world, viewing) = (world(), Viewing::daylight().unwrap());
    let dark = ground(Lab::new(30.0, 2.0, 6.0), "dark", &world, &viewing);
    let clear = stack(0.4, 0.45, 0.5, dark, &world, &viewing);
    let light = ground(Lab::new(75.0, 1.0, 16.0), "light", &world, &viewing);
    let limit = Limits::BENCH.unacceptable(&world);
    let goal = Goal { reference: Reference::Over(&light), metric: Metric::Ciede2000, limit: &limit };
    let least = least_thickness(&clear, 0, (0.2, 0.6), goal, &world, &viewing).unwrap();
    assert_eq!(least.for_chance(0.5), None);
    assert!(least_thickness(&clear, 1, (0.2, 0.6), goal, &world, &viewing).is_err());
    assert!(least_thickness(&clear, 0, (0.6, 0.2), goal, &world, &viewing).is_err());
}

#[test]
fn who_refuses_also_sees() {
    let world = world();
    let wish = vec![Lab::new(70.0, 1.0, 16.0)];
    for limits in [Limits::BENCH, Limits::IN_PLACE] {
        let near: Vec<Lab> = world.normal("near", 70.5, 2.0).iter().map(|l| Lab::new(l, 1.0, 16.0)).collect();
        let chances = limits.chances(&near, &wish, &world);
        assert!(chances.unacceptable < chances.seen && chances.unacceptable > 0.0);
        assert_eq!(limits.chances(&wish, &wish, &world).seen, 0.0);
        assert_eq!(chances.weighted(0.0).unacceptable, 0.0);
    }
}

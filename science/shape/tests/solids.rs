//! Bodies from outlines, heights, curves and lattices against closed forms.
#![allow(clippy::unwrap_used)]

use proptest::prelude::*;
use shape::*;
use std::f64::consts::PI;
use std::sync::Arc;

#[track_caller]
fn near(found: f64, expected: f64, share: f64) {
    assert!((found / expected - 1.0).abs() < share, "found {found}, expected {expected}");
}

fn regular(n: usize, radius: f64) -> Outline {
    let corner = |i: usize| {
        let t = 2.0 * PI * i as f64 / n as f64;
        [radius * t.cos(), radius * t.sin()]
    };
    Outline::new((0..n).map(corner).collect()).unwrap()
}

/// Area of a regular polygon in the unit circle.
fn round(n: u32) -> f64 {
    0.5 * f64::from(n) * (2.0 * PI / f64::from(n)).sin()
}

#[test]
fn a_torus_has_the_volume_and_area_of_pappus() {
    let m = measure(&Torus::new([1.0, 0.0, 2.0], 3.0, 0.8).unwrap(), 1e-3).unwrap();
    near(m.volume.value, 2.0 * PI * 3.0 * PI * 0.64, 1e-3);
    near(m.area.value, 2.0 * PI * 3.0 * 2.0 * PI * 0.8, 1e-3);
}

#[test]
fn prisms_and_turned_outlines_agree_with_the_bodies_they_are() {
    let square = Outline::new(vec![[1.0, -1.5], [1.0, 1.5], [-1.0, 1.5], [-1.0, -1.5]]).unwrap();
    let prism = Extruded::new(square, -2.0, 2.0).unwrap();
    let block = Block::new([0.0; 3], [2.0, 3.0, 4.0], 0.0).unwrap();
    let turned = Revolved::new(Outline::new(vec![[0.0, -1.0], [2.0, -1.0], [1.0, 2.0], [0.0, 2.0]]).unwrap()).unwrap();
    let frustum = Frustum::new([0.0, 0.0, 0.5], 2.0, 1.0, 3.0).unwrap();
    for i in 0..2000 {
        let at = |k: f64| ((f64::from(i) * k).fract() - 0.5) * 8.0;
        let p = [at(0.618034), at(0.754878), at(0.569840)];
        assert!((prism.distance(p) - block.distance(p)).abs() < 1e-12, "{p:?}");
        assert!((turned.distance(p) - frustum.distance(p)).abs() < 1e-9, "{p:?}");
    }
}

#[test]
fn wrong_outlines_are_refused_with_the_reason() {
    let bow = Outline::new(vec![[0.0, 0.0], [1.0, 1.0], [1.0, 0.0], [0.0, 1.0]]);
    assert!(matches!(bow, Err(ShapeError::Crossing(0, 2))), "{bow:?}");
    assert!(Outline::new(vec![[0.0, 0.0], [1.0, 1.0]]).is_err());
    assert!(Outline::new(vec![[0.0, 0.0], [1.0, f64::NAN], [1.0, 0.0]]).is_err());
    assert!(Outline::new(vec![[0.0, 0.0], [1.0, 1.0], [2.0, 2.0]]).is_err());
    let across_the_axis = Outline::new(vec![[-1.0, 0.0], [1.0, 0.0], [1.0, 1.0]]).unwrap();
    assert!(Revolved::new(across_the_axis).is_err());
    assert!(Heights::new([0.0; 2], 1.0, [2, 2], vec![1.0, 1.0, 1.0], 0.0).is_err());
    assert!(Heights::new([0.0; 2], 1.0, [2, 2], vec![1.0, 1.0, 1.0, -1.0], 0.0).is_err());
    assert!(Torus::new([0.0; 3], 1.0, 2.0).is_err() && HalfSpace::new([0.0; 3], [0.0; 3]).is_err());
    assert_eq!(measure(&HalfSpace::new([0.0; 3], [0.0, 0.0, 1.0]).unwrap(), 1e-3), Err(ShapeError::Unbounded));
    assert_eq!(
        Band::of(&HalfSpace::new([0.0; 3], [0.0, 0.0, 1.0]).unwrap(), 0.1, 0.1).err(),
        Some(ShapeError::Unbounded)
    );
}

#[test]
fn a_smooth_outline_goes_through_its_points() {
    let through = [[2.0, 0.0], [0.0, 1.0], [-2.0, 0.0], [0.0, -1.0]];
    let outline = Outline::smooth(&through, 16).unwrap();
    for p in through {
        assert!(outline.distance(p).abs() < 1e-12);
    }
    assert!(outline.distance([0.0, 0.0]) < -0.8);
}

#[test]
fn a_straight_sweep_of_one_size_is_a_prism_and_a_shrinking_one_a_cone() {
    let square = Outline::new(vec![[-1.0, -0.5], [1.0, -0.5], [1.0, 0.5], [-1.0, 0.5]]).unwrap();
    let station = |z: f64, s: f64| Station { place: [0.0, 0.0, z], scale: [s, s] };
    let sweep =
        Sweep::new(square.clone(), vec![station(0.0, 1.0), station(2.0, 1.0), station(4.0, 1.0)], [0.0, 1.0, 0.0])
            .unwrap();
    let block = Block::new([0.0, 0.0, 2.0], [2.0, 1.0, 4.0], 0.0).unwrap();
    for i in 0..500 {
        let at = |k: f64| ((f64::from(i) * k).fract() - 0.5) * 6.0;
        let p = [at(0.618034), at(0.754878), at(0.569840) + 2.0];
        assert!((sweep.distance(p) - block.distance(p)).abs() < 1e-9, "{p:?}");
    }
    let cone = Sweep::new(regular(120, 1.0), vec![station(0.0, 2.0), station(3.0, 1.0)], [0.0, 1.0, 0.0]).unwrap();
    let frustum = measure(&cone, 1e-3).unwrap();
    near(frustum.volume.value, round(120) * 3.0 / 3.0 * (4.0 + 2.0 + 1.0), 1e-3);
}

#[test]
fn a_round_profile_along_an_arc_is_a_bent_bar() {
    let ring = 5.0;
    let stations = (0..=12)
        .map(|i| {
            let t = PI * f64::from(i) / 12.0;
            Station { place: [ring * t.cos(), ring * t.sin(), 0.0], scale: [1.0, 1.0] }
        })
        .collect::<Vec<_>>();
    let bar = Sweep::new(regular(60, 0.8), stations.clone(), [0.0, 0.0, 1.0]).unwrap();
    // Pappus; the end spans of a spline through an arc's points are a little flatter than the arc.
    near(measure(&bar, 1e-2).unwrap().volume.value, PI * ring * round(60) * 0.64, 2e-3);
    let torus = Torus::new([0.0; 3], ring, 0.8).unwrap();
    for i in 3..9 {
        let t = PI * (f64::from(i) + 0.4) / 12.0;
        for r in [4.0, 4.5, 5.5, 6.5] {
            let p = [r * t.cos(), r * t.sin(), 0.4];
            assert!((bar.distance(p) - torus.distance(p)).abs() < 4e-3);
        }
    }
    assert!(Sweep::new(regular(60, 6.0), stations, [0.0, 0.0, 1.0]).is_err(), "a profile wider than the bend");
}

#[test]
fn heights_know_the_distance_to_a_slope_and_to_a_dome() {
    let lattice = |n: usize, cell: f64, h: &dyn Fn(f64, f64) -> f64| {
        let origin = -0.5 * cell * (n - 1) as f64;
        let heights = (0..n * n).map(|i| h(origin + cell * (i % n) as f64, origin + cell * (i / n) as f64)).collect();
        Heights::new([origin; 2], cell, [n, n], heights, -4.0).unwrap()
    };
    let slope = lattice(21, 0.5, &|x, y| 0.5 * x - 0.25 * y);
    let lean = (1.0 + 0.25 + 0.0625f64).sqrt();
    assert!((slope.distance([0.3, -0.2, 1.7]) - (1.7 - 0.2) / lean).abs() < 1e-9);
    let r = 12.0f64;
    let dome = lattice(61, 0.2, &|x, y| (r * r - x * x - y * y).sqrt() - r);
    for p in [[0.5, 1.0, 0.4], [-2.0, 1.0, 0.6], [1.0, 1.0, -1.0]] {
        let truth = (p[0] * p[0] + p[1] * p[1] + (p[2] + r) * (p[2] + r)).sqrt() - r;
        assert!((dome.distance(p) - truth).abs() < 1e-4, "{} instead of {truth}", dome.distance(p));
    }
    assert!(dome.distance([7.0, 0.0, -2.0]) > 0.99);
}

#[test]
fn a_shell_holds_what_lies_between_two_balls() {
    let shell = Shell::new(Ball::new([0.0; 3], 2.0).unwrap(), 0.3).unwrap();
    let m = measure(&shell, 1e-3).unwrap();
    near(m.volume.value, 4.0 / 3.0 * PI * (8.0 - 1.7f64.powi(3)), 1e-3);
    near(m.area.value, 4.0 * PI * (4.0 + 2.89), 1e-3);
}

#[test]
fn a_band_gives_the_distances_of_its_body_with_the_error_it_states_and_the_cube_of_the_cell() {
    let ball: Arc<dyn Solid> = Arc::new(Ball::new([0.1, 0.2, 0.3], 3.0).unwrap());
    let mut errors = Vec::new();
    for cell in [0.4, 0.2, 0.1] {
        let band = Band::of(&ball, cell, 0.6).unwrap();
        let (mut off, mut lean) = (0.0f64, 0.0f64);
        for i in 0..4000 {
            let t = f64::from(i);
            let (z, turn, r) = (
                2.0 * (t * 0.618034).fract() - 1.0,
                2.0 * PI * (t * 0.754878).fract(),
                2.4 + 1.2 * (t * 0.56984).fract(),
            );
            let flat = (1.0 - z * z).sqrt();
            let n = [flat * turn.cos(), flat * turn.sin(), z];
            let p = [0.1 + r * n[0], 0.2 + r * n[1], 0.3 + r * n[2]];
            off = off.max((band.distance(p) - (r - 3.0)).abs());
            let g = band.gradient(p);
            lean = lean.max((0..3).map(|a| (g[a] - n[a]).powi(2)).sum::<f64>().sqrt());
        }
        assert!(
            off < 1.5 * band.error() + 1e-6 && lean < 0.1 * cell,
            "off {off}, stated {}, gradient {lean}",
            band.error()
        );
        errors.push(off);
    }
    assert!(errors[0] / errors[1] > 5.0 && errors[1] / errors[2] > 5.0, "not third order: {errors:?}");
}

#[test]
fn a_band_measures_as_its_body() {
    let body =
        Union::new(Ball::new([0.0; 3], 1.5).unwrap(), Block::new([1.5, 0.0, 0.0], [2.0, 1.0, 1.0], 0.1).unwrap(), 0.3)
            .unwrap();
    let (plain, fast) = (measure(&body, 1e-3).unwrap(), measure(&Band::of(&body, 0.05, 0.3).unwrap(), 1e-3).unwrap());
    near(fast.volume.value, plain.volume.value, 1e-3);
    near(fast.area.value, plain.area.value, 2e-3);
}

#[test]
fn solids_cross_threads_and_are_shared() {
    fn shared<T: Send + Sync>(_: &T) {}
    let one: Arc<dyn Solid> = Arc::new(Ball::new([0.0; 3], 1.0).unwrap());
    shared(&one);
    let joined = Union::new(Arc::clone(&one), Offset::new(one, 0.5).unwrap(), 0.1).unwrap();
    assert!((joined.distance([3.0, 0.0, 0.0]) - 1.5).abs() < 1e-12);
}

proptest! {
    #[test]
    fn band_signs_are_those_of_the_body(p in prop::array::uniform3(-6.0f64..6.0)) {
        let body = Torus::new([0.0; 3], 2.5, 0.7).unwrap();
        static BAND: std::sync::OnceLock<Band> = std::sync::OnceLock::new();
        let band = BAND.get_or_init(|| Band::of(&body, 0.1, 0.3).unwrap());
        let (d, b) = (body.distance(p), band.distance(p));
        prop_assert!(d.abs() < 2e-3 || d.signum() == b.signum(), "{d} and {b}");
        prop_assert!(d.abs() > 0.3 || (d - b).abs() < 2e-3);
        prop_assert!((d - b).abs() < 14.0 * 0.1 || (b <= d && d < b * STEEPEST));
    }
}

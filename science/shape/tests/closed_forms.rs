//! Volumes, areas and sections of bodies against their closed forms within 0.1 %, wherever the body lies and however it is turned.
#![allow(clippy::unwrap_used, clippy::panic)]

use proptest::prelude::*;
use shape::*;
use std::f64::consts::PI;

const TENTH_OF_A_PERCENT: f64 = 1e-3;

#[track_caller]
fn near(found: f64, expected: f64) {
    let miss = (found / expected - 1.0).abs();
    assert!(miss < TENTH_OF_A_PERCENT, "found {found}, expected {expected}, miss {miss:e}");
}

#[track_caller]
fn measures(solid: &dyn Solid, volume: f64, area: f64) {
    let m = measure(solid, 1e-3).unwrap();
    near(m.volume.value, volume);
    near(m.area.value, area);
}

fn turned<S: Solid>(solid: S) -> Placed<S> {
    Placed::new(solid, Motion::turn([1.0, 2.0, 0.5], 0.7, [3.0, -1.0, 2.0]).unwrap())
}

#[test]
fn balls_blocks_and_capsules() {
    measures(&Ball::new([1.0, 2.0, 3.0], 2.0).unwrap(), 4.0 / 3.0 * PI * 8.0, 16.0 * PI);
    let (r, a) = (1.0, 4.0);
    measures(&Capsule::new([0.0; 3], [0.0, 0.0, a], r).unwrap(), PI * a + 4.0 / 3.0 * PI, 2.0 * PI * a + 4.0 * PI);
    // Steiner: core block, slabs, quarter cylinders, ball.
    let (e, c) = (0.5, [3.0, 2.0, 1.0]);
    let block = Block::new([0.0; 3], [4.0, 3.0, 2.0], e).unwrap();
    let core_area = 2.0 * (c[0] * c[1] + c[1] * c[2] + c[2] * c[0]);
    let edges = 4.0 * (c[0] + c[1] + c[2]);
    let volume = 6.0 + core_area * e + edges * PI * e * e / 4.0 + 4.0 / 3.0 * PI * e * e * e;
    let area = core_area + edges * PI * e / 2.0 + 4.0 * PI * e * e;
    measures(&block, volume, area);
    measures(&turned(block), volume, area);
}

#[test]
fn sharp_blocks_cylinders_and_frusta() {
    measures(&Block::new([0.0; 3], [4.0, 3.0, 2.0], 0.0).unwrap(), 24.0, 52.0);
    measures(&turned(Block::new([0.0; 3], [4.0, 3.0, 2.0], 0.0).unwrap()), 24.0, 52.0);
    measures(&turned(Cylinder::new([0.0; 3], 1.5, 4.0, 0.0).unwrap()), PI * 9.0, 2.0 * PI * 1.5 * 5.5);
    let (a, b, h) = (2.0f64, 1.0f64, 3.0f64);
    let slant = h.hypot(a - b);
    let volume = PI * h / 3.0 * (a * a + a * b + b * b);
    measures(&turned(Frustum::new([0.0; 3], a, b, h).unwrap()), volume, PI * (a * a + b * b + (a + b) * slant));
}

#[test]
fn a_spheroid() {
    // Prolate, semi-axes 1, 1, 2: area 2 pi a^2 (1 + c/(a e) asin e).
    let e = (1.0f64 - 0.25).sqrt();
    let solid = Ellipsoid::new([0.0; 3], [1.0, 1.0, 2.0]).unwrap();
    measures(&turned(solid), 4.0 / 3.0 * PI * 2.0, 2.0 * PI * (1.0 + 2.0 / e * e.asin()));
}

#[test]
fn a_lens_and_a_hollow() {
    // Two unit balls one apart: lens volume pi (4r + d)(2r - d)^2/12.
    let (a, b) = (Ball::new([0.0; 3], 1.0).unwrap(), Ball::new([1.0, 0.0, 0.0], 1.0).unwrap());
    let lens = PI * 5.0 / 12.0;
    near(measure(&Intersection::new(a, b).unwrap(), 1e-3).unwrap().volume.value, lens);
    near(measure(&Difference::new(a, b), 1e-3).unwrap().volume.value, 4.0 / 3.0 * PI - lens);
    near(measure(&Union::new(a, b, 0.0).unwrap(), 1e-3).unwrap().volume.value, 8.0 / 3.0 * PI - lens);
    let shell = Difference::new(Ball::new([0.0; 3], 2.0).unwrap(), Ball::new([0.0; 3], 1.5).unwrap());
    measures(&shell, 4.0 / 3.0 * PI * (8.0 - 3.375), 4.0 * PI * (4.0 + 2.25));
    measures(&Offset::new(Ball::new([0.0; 3], 2.0).unwrap(), -0.5).unwrap(), 4.0 / 3.0 * PI * 3.375, 9.0 * PI);
}

#[test]
fn a_fillet_lays_a_quarter_circle_into_a_right_angle() {
    // A post on a slab: the fillet adds the body of revolution of the corner r^2 (1 - pi/4) about the axis.
    let slab = Block::new([0.0, 0.0, -0.5], [4.0, 4.0, 1.0], 0.0).unwrap();
    let post = Cylinder::new([0.0, 0.0, 0.75], 1.0, 2.5, 0.0).unwrap();
    let r = 0.5;
    let volume = |fillet: f64| measure(&Union::new(slab, post, fillet).unwrap(), 5e-4).unwrap().volume.value;
    let profile = r * r * (1.0 - PI / 4.0);
    // Centroid of the spandrel from the wall: r (10 - 3 pi)/(12 - 3 pi).
    let at = 1.0 + r * (10.0 - 3.0 * PI) / (12.0 - 3.0 * PI);
    let added = volume(r) - volume(0.0);
    // 2 %: a difference of two volumes of about 22, each to a few 1e-4.
    assert!((added / (2.0 * PI * at * profile) - 1.0).abs() < 0.02, "{added} {}", 2.0 * PI * at * profile);
}

#[test]
fn sections_of_an_ellipsoid_a_block_and_a_tube() {
    let solid = Ellipsoid::new([0.0; 3], [2.0, 1.5, 5.0]).unwrap();
    let s = section(&solid, &Plane::new([0.0; 3], [0.0, 0.0, 1.0], [1.0, 0.0, 0.0]).unwrap()).unwrap();
    near(s.area, PI * 3.0);
    near(s.height, 4.0);
    near(s.width, 3.0);
    near(s.second_moment, PI / 4.0 * 1.5 * 8.0);
    near(s.modulus, PI / 4.0 * 1.5 * 4.0);
    let motion = Motion::turn([1.0, 2.0, 0.5], 0.7, [3.0, -1.0, 2.0]).unwrap();
    let block = Placed::new(Block::new([0.0; 3], [4.0, 3.0, 9.0], 0.0).unwrap(), motion);
    let (zero, z, x) = (motion.apply([0.0; 3]), motion.apply([0.0, 0.0, 1.0]), motion.apply([1.0, 0.0, 0.0]));
    let along = |p: [f64; 3]| std::array::from_fn(|i| p[i] - zero[i]);
    let s = section(&block, &Plane::new(zero, along(z), along(x)).unwrap()).unwrap();
    near(s.area, 12.0);
    near(s.height, 4.0);
    near(s.second_moment, 3.0 * 64.0 / 12.0);
    near(s.modulus, 3.0 * 16.0 / 6.0);
    let tube = Difference::new(
        Cylinder::new([0.0; 3], 2.0, 9.0, 0.0).unwrap(),
        Cylinder::new([0.0; 3], 1.0, 9.5, 0.0).unwrap(),
    );
    let s = section(&tube, &Plane::new([0.0; 3], [0.0, 0.0, 1.0], [0.0, 1.0, 0.0]).unwrap()).unwrap();
    near(s.area, 3.0 * PI);
    near(s.second_moment, PI / 4.0 * 15.0);
}

#[test]
fn what_cannot_be_is_refused_by_name() {
    assert!(Ball::new([0.0; 3], -1.0).unwrap_err().to_string().contains("radius of the ball"));
    assert!(Ball::new([f64::NAN, 0.0, 0.0], 1.0).is_err());
    assert!(Block::new([0.0; 3], [1.0, 1.0, 1.0], 0.6).unwrap_err().to_string().contains("half the shortest edge"));
    let (a, b) = (Ball::new([0.0; 3], 1.0).unwrap(), Ball::new([9.0, 0.0, 0.0], 1.0).unwrap());
    assert_eq!(Intersection::new(a, b).unwrap_err(), ShapeError::Apart);
    let far = Plane::new([5.0, 0.0, 0.0], [1.0, 0.0, 0.0], [0.0, 0.0, 1.0]).unwrap();
    assert_eq!(section(&a, &far).unwrap_err(), ShapeError::NoSection);
    assert!(Plane::new([0.0; 3], [0.0, 0.0, 1.0], [0.0, 0.0, 2.0]).is_err());
    assert_eq!(measure(&Offset::new(a, -2.0).unwrap(), 1e-3).unwrap_err(), ShapeError::Empty);
}

#[test]
fn an_ellipsoid_is_exact_on_its_axes_and_at_its_centre() {
    let e = Ellipsoid::new([0.0; 3], [3.0, 2.0, 1.0]).unwrap();
    for (p, d) in [
        ([0.0; 3], -1.0),
        ([5.0, 0.0, 0.0], 2.0),
        ([0.0, 0.0, 4.0], 3.0),
        ([0.0, 0.0, 0.5], -0.5),
        ([0.0, 2.5, 0.0], 0.5),
    ] {
        assert!((e.distance(p) - d).abs() < 1e-12, "{p:?} {}", e.distance(p));
    }
    let ball = Ellipsoid::new([0.0; 3], [2.0f64; 3]).unwrap();
    for p in [[0.0f64; 3], [1.0, 0.0, 0.0], [0.0, 3.0, 0.0], [1.0, 1.0, 1.0]] {
        let r = (p[0] * p[0] + p[1] * p[1] + p[2] * p[2]).sqrt();
        assert!((ball.distance(p) - (r - 2.0)).abs() < 1e-12, "{p:?} {}", ball.distance(p));
    }
}

fn point() -> impl Strategy<Value = [f64; 3]> {
    prop::array::uniform3(-6.0f64..6.0)
}

proptest! {
    #[test]
    fn no_distance_changes_faster_than_it_may(p in point(), q in point(), fillet in 0.0f64..3.0) {
        let a = Block::new([0.0; 3], [4.0, 3.0, 2.0], 0.3).unwrap();
        let b = Frustum::new([1.0, 1.0, 1.0], 1.5, 0.5, 4.0).unwrap();
        let e = Ellipsoid::new([0.0; 3], [1.0, 2.0, 3.0]).unwrap();
        let gap = (0..3).map(|i| (p[i] - q[i]).powi(2)).sum::<f64>().sqrt();
        for (solid, steepest) in [(&a as &dyn Solid, 1.0), (&b, 1.0), (&e, 1.0), (&Union::new(a, b, fillet).unwrap(), STEEPEST)] {
            prop_assert!((solid.distance(p) - solid.distance(q)).abs() <= steepest * gap + 1e-9);
        }
    }

    #[test]
    fn a_step_along_the_gradient_reaches_the_surface(p in point()) {
        let e = Ellipsoid::new([0.0; 3], [1.0, 2.0, 3.0]).unwrap();
        let f = Frustum::new([0.0; 3], 1.5, 0.5, 4.0).unwrap();
        for solid in [&e as &dyn Solid, &f] {
            let (d, g) = (solid.distance(p), solid.gradient(p));
            prop_assume!(d > 0.0);
            let foot: [f64; 3] = std::array::from_fn(|i| p[i] - d * g[i]);
            prop_assert!(solid.distance(foot).abs() < 1e-5);
        }
    }
}

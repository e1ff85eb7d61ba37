//! A fillet of radius r has radius r: in corners of every angle, and between round bodies, against the torus it is there.
#![allow(clippy::unwrap_used)]

use proptest::prelude::*;
use shape::*;
use std::f64::consts::PI;

/// Two half-spaces whose outer corner (air) opens by `angle`.
fn corner(angle: f64) -> (HalfSpace, HalfSpace) {
    let floor = HalfSpace::new([0.0; 3], [0.0, 0.0, 1.0]).unwrap();
    // The wall rises from the origin at `angle` over the floor; its normal points into the air between.
    let wall = HalfSpace::new([0.0; 3], [angle.sin(), 0.0, -angle.cos()]).unwrap();
    (floor, wall)
}

#[test]
fn the_fillet_of_a_plane_corner_is_an_arc_of_the_radius_asked_for() {
    for degrees in [35.0f64, 60.0, 90.0, 120.0, 150.0] {
        let (angle, r) = (degrees.to_radians(), 0.5);
        let (floor, wall) = corner(angle);
        let union = Union::new(floor, wall, r).unwrap();
        // Centre on the bisector of the air: at r from both planes.
        let half = 0.5 * angle;
        let reach = r / half.sin();
        let centre = [reach * half.cos(), reach * half.sin()];
        // The arc spans the directions from the centre to both planes.
        for step in 1..10 {
            let across = (0.5 * PI - half) * (f64::from(step) / 5.0 - 1.0);
            let towards = half + PI + across;
            let p = [centre[0] + r * towards.cos(), 0.3, centre[1] + r * towards.sin()];
            assert!(union.distance(p).abs() < 1e-9, "{degrees} degrees: {} on the arc", union.distance(p));
            let g = union.gradient(p);
            let expected = [-towards.cos(), 0.0, -towards.sin()];
            assert!(
                (0..3).all(|i| (g[i] - expected[i]).abs() < 1e-6),
                "{degrees}: normal {g:?}, expected {expected:?}"
            );
        }
    }
}

#[test]
fn between_two_balls_it_is_the_torus_that_touches_both() {
    let (big, r, half) = (2.0f64, 0.4, 1.7);
    let a = Ball::new([0.0, 0.0, -half], big).unwrap();
    let b = Ball::new([0.0, 0.0, half], big).unwrap();
    let union = Union::new(a, b, r).unwrap();
    // Ring of centres: at big + r from both centres.
    let ring = ((big + r).powi(2) - half * half).sqrt();
    let touch = (half / ring).atan();
    for step in 0..=8 {
        let lean = 0.95 * touch * (f64::from(step) / 4.0 - 1.0);
        let (radius, z) = (ring - r * lean.cos(), r * lean.sin());
        for turn in [0.0f64, 1.0, 2.5] {
            let d = union.distance([radius * turn.cos(), radius * turn.sin(), z]);
            assert!(d.abs() < 1e-8, "{d} at lean {lean}");
        }
    }
}

#[test]
fn a_post_on_a_plate_gains_the_volume_of_its_fillet() {
    // Cylinder of radius R on a plane: the fillet is a square r x r less a quarter disc, turned about the axis (Pappus).
    let (big, r) = (1.0, 0.5);
    let post = Cylinder::new([0.0, 0.0, 2.0], big, 5.0, 0.0).unwrap();
    let plate = Block::new([0.0, 0.0, -0.5], [6.0, 6.0, 1.0], 0.0).unwrap();
    let with = measure(&Union::new(post, plate, r).unwrap(), 1e-4).unwrap().volume.value;
    let without = 36.0 + PI * big * big * 4.5;
    let section = r * r * (1.0 - PI / 4.0);
    let from_corner = r * (10.0 - 3.0 * PI) / (12.0 - 3.0 * PI);
    let added = 2.0 * PI * (big + from_corner) * section;
    assert!((with - without - added).abs() < 1e-3 * without.min(with), "added {}, expected {added}", with - without);
    assert!(((with - without) / added - 1.0).abs() < 0.03, "added {}, expected {added}", with - without);
}

#[test]
fn an_edge_left_by_a_cut_or_shared_by_two_is_rounded_by_its_radius() {
    let r = 0.3;
    let (x, z) =
        (HalfSpace::new([0.0; 3], [1.0, 0.0, 0.0]).unwrap(), HalfSpace::new([0.0; 3], [0.0, 0.0, 1.0]).unwrap());
    let block = Block::new([0.0; 3], [8.0; 3], 0.0).unwrap();
    let shared = Intersection::rounded(Intersection::new(block, x).unwrap(), z, r).unwrap();
    let cutter = HalfSpace::new([0.0; 3], [0.0, 0.0, -1.0]).unwrap();
    let cut = Difference::rounded(x, cutter, r).unwrap();
    for step in 0..=10 {
        let t = 0.5 * PI * f64::from(step) / 10.0;
        let p = [-r + r * t.cos(), 0.7, -r + r * t.sin()];
        assert!(shared.distance(p).abs() < 1e-9 && cut.distance(p).abs() < 1e-9);
        let deeper = [-r + 0.1 * t.cos(), 0.7, -r + 0.1 * t.sin()];
        assert!((cut.distance(deeper) + 0.2).abs() < 1e-9);
    }
}

proptest! {
    /// The promise every measure rests on: a difference of distances is at most sqrt 2 times the way between outside and near the surface.
    #[test]
    fn distances_with_a_fillet_never_jump(
        p in prop::array::uniform3(-3.0f64..3.0), step in prop::array::uniform3(-0.02f64..0.02), r in 0.05f64..1.0, gap in 0.5f64..2.0,
    ) {
        let a = Ball::new([0.0, 0.0, -gap], 1.2).unwrap();
        let b = Cylinder::new([0.0, 0.0, gap], 0.8, 1.5, 0.0).unwrap();
        let union = Union::new(a, b, r).unwrap();
        let q = [p[0] + step[0], p[1] + step[1], p[2] + step[2]];
        let way = step.iter().map(|x| x * x).sum::<f64>().sqrt();
        let (dp, dq) = (union.distance(p), union.distance(q));
        prop_assert!(dp <= a.distance(p).min(b.distance(p)) + 1e-12);
        // Deep inside narrow gaps the value falls faster; there it is no surface's distance any more.
        if dp.min(dq) > -0.25 * r {
            prop_assert!((dp - dq).abs() <= 2.0 * way + 1e-9, "{dp} to {dq} over {way}");
        }
    }
}

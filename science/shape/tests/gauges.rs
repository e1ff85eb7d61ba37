//! Measures of triangle surfaces against closed forms within 0.1 %, wherever the body lies, however it is turned, in whatever order its facets come.
#![allow(clippy::unwrap_used)]

use proptest::prelude::*;
use shape::*;
use std::f64::consts::PI;

#[track_caller]
fn near(found: f64, expected: f64) {
    assert!((found / expected - 1.0).abs() < 1e-3, "found {found}, expected {expected}");
}

const ALL: Withdrawal = Withdrawal { floor: 0.0, least_depth: 0.0 };

/// A block by its six faces, each in `n` x `n` squares.
fn block_facets(
    low: [f64; 3],
    high: [f64; 3],
    n: usize,
    inward: bool,
    points: &mut Vec<[f64; 3]>,
    facets: &mut Vec<[u32; 3]>,
) {
    for axis in 0..3 {
        for side in 0..2 {
            let (b, c) = ((axis + 1) % 3, (axis + 2) % 3);
            let start = points.len() as u32;
            for j in 0..=n {
                for i in 0..=n {
                    let mut p = [0.0; 3];
                    p[axis] = if side == 1 { high[axis] } else { low[axis] };
                    p[b] = low[b] + (high[b] - low[b]) * i as f64 / n as f64;
                    p[c] = low[c] + (high[c] - low[c]) * j as f64 / n as f64;
                    points.push(p);
                }
            }
            for j in 0..n as u32 {
                for i in 0..n as u32 {
                    let at = |i: u32, j: u32| start + i + (n as u32 + 1) * j;
                    let q = [at(i, j), at(i + 1, j), at(i + 1, j + 1), at(i, j + 1)];
                    let flip = (side == 0) != inward;
                    for t in [[q[0], q[1], q[2]], [q[0], q[2], q[3]]] {
                        facets.push(if flip { [t[0], t[2], t[1]] } else { t });
                    }
                }
            }
        }
    }
}

/// Joins places that are the same.
fn welded(points: &[[f64; 3]], facets: &[[u32; 3]]) -> Surface {
    let mut seen = std::collections::HashMap::new();
    let mut kept = Vec::new();
    let to: Vec<u32> = points
        .iter()
        .map(|p| {
            *seen.entry(p.map(|x| (x * 1e9).round() as i64)).or_insert_with(|| {
                kept.push(*p);
                kept.len() as u32 - 1
            })
        })
        .collect();
    Surface::new(kept, facets.iter().map(|f| f.map(|v| to[v as usize])).collect()).unwrap()
}

fn hollow_block(n: usize) -> Surface {
    let (mut points, mut facets) = (Vec::new(), Vec::new());
    block_facets([0.0; 3], [10.0, 8.0, 6.0], n, false, &mut points, &mut facets);
    block_facets([1.0, 1.5, 0.7], [9.0, 6.5, 5.3], n, true, &mut points, &mut facets);
    welded(&points, &facets)
}

fn moved(s: &Surface, m: &Motion) -> Surface {
    Surface::new(s.points().iter().map(|p| m.apply(*p)).collect(), s.facets().to_vec()).unwrap()
}

fn a_motion() -> Motion {
    Motion::turn([1.0, -2.0, 0.7], 1.1, [12.0, -3.0, 40.0]).unwrap()
}

#[test]
fn walls_of_a_hollow_block_have_their_thickness_by_ray_and_by_ball() {
    let s = hollow_block(12);
    near(s.volume(), 480.0 - 8.0 * 5.0 * 4.6);
    near(s.area(), 2.0 * (80.0 + 60.0 + 48.0) + 2.0 * (40.0 + 36.8 + 23.0));
    let middles: Vec<[f64; 3]> = (0..s.facets().len() as u32).map(|f| s.middle(f)).collect();
    for s in [s.clone(), moved(&s, &a_motion())] {
        for (f, t) in thickness_at_facets(&s).iter().enumerate() {
            let p = middles[f];
            // Opposite the inner faces and away from their rims the wall is what was cut.
            let walls = [(0, 1.0), (1, 1.5), (2, 0.7)];
            for (axis, wall) in walls {
                let (b, c) = ((axis + 1) % 3, (axis + 2) % 3);
                let (low, high) = ([1.0, 1.5, 0.7], [9.0, 6.5, 5.3]);
                let on_face = [0.0, [10.0, 8.0, 6.0][axis]].iter().any(|x| (p[axis] - x).abs() < 1e-9);
                let over = |a: usize| p[a] > low[a] + wall && p[a] < high[a] - wall;
                if on_face && over(b) && over(c) {
                    near(t.ray.unwrap(), wall);
                    near(t.ball, wall);
                }
            }
            assert!(t.ball <= t.ray.unwrap() * (1.0 + 1e-9));
        }
    }
}

#[test]
fn a_ball_is_as_thick_as_its_diameter_and_a_tube_as_its_wall() {
    let ball = Surface::of(&Ball::new([0.0; 3], 2.0).unwrap(), 0.07).unwrap();
    let rays = ball.points().iter().zip(ball.point_normals());
    let rays: Vec<f64> = rays.map(|(p, n)| ball.ray(*p, n.map(|x| -x), 1e-6).unwrap().along).collect();
    near(rays.iter().sum::<f64>() / rays.len() as f64, 4.0);
    let tube = Difference::new(
        Cylinder::new([0.0; 3], 2.0, 3.0, 0.0).unwrap(),
        Cylinder::new([0.0; 3], 1.5, 9.0, 0.0).unwrap(),
    );
    let tube = Surface::of(&tube, 0.12).unwrap();
    let mut rays: Vec<f64> =
        thickness_at_facets(&tube).iter().filter(|t| t.place[2].abs() < 0.8).map(|t| t.ray.unwrap()).collect();
    rays.sort_by(f64::total_cmp);
    near(rays[rays.len() / 2], 0.5);
}

#[test]
fn thin_spots_are_listed_with_their_place() {
    let s = hollow_block(12);
    let rays: Vec<Option<f64>> = thickness_at_facets(&s).iter().map(|t| t.ray).collect();
    let spots = spots_below(&s, &rays, 0.8);
    // The wall of 0.7 on both z sides, seen from without and within: four spots.
    assert_eq!(spots.len(), 4);
    for spot in &spots {
        near(spot.least, 0.7);
        let z = spot.place[2];
        assert!([0.0, 0.7, 5.3, 6.0].iter().any(|h| (z - h).abs() < 1e-9), "{:?}", spot.place);
    }
    assert!(spots_below(&s, &rays, 0.5).is_empty());
}

#[test]
fn balls_in_one_another_lie_apart_by_the_difference_of_their_radii() {
    let inner = Surface::of(&Ball::new([0.0; 3], 2.0).unwrap(), 0.08).unwrap();
    let outer = Surface::of(&Ball::new([0.0; 3], 2.5).unwrap(), 0.08).unwrap();
    let d = between(&inner, &outer).unwrap().statistics;
    near(-d.mean, 0.5);
    near(d.rms, 0.5);
    let back = between(&outer, &inner).unwrap().statistics;
    near(back.mean, 0.5);
    near(back.quantiles[1], 0.5);
    let m = a_motion();
    let there = between(&moved(&inner, &m), &moved(&outer, &m)).unwrap().statistics;
    assert!((there.mean - d.mean).abs() < 1e-9 && (there.rms - d.rms).abs() < 1e-9);
}

#[test]
fn signed_distances_are_right_at_edges_and_corners() {
    let (mut points, mut facets) = (Vec::new(), Vec::new());
    block_facets([-2.0, -1.5, -1.0], [2.0, 1.5, 1.0], 3, false, &mut points, &mut facets);
    let s = welded(&points, &facets);
    let block = Block::new([0.0; 3], [4.0, 3.0, 2.0], 0.0).unwrap();
    for i in 0..3000 {
        let at = |k: f64| ((f64::from(i) * k).fract() - 0.5) * 8.0;
        let p = [at(0.618034), at(0.754878), at(0.569840)];
        assert!((s.signed(p).0 - block.distance(p)).abs() < 1e-9, "{p:?}");
    }
    assert_eq!(s.open_edges(), 0);
}

#[test]
fn sections_of_a_bar_are_those_of_the_handbook_on_surface_and_solid() {
    // Rectangle b x h: A = b h, I = b h^3/12, W = b h^2/6. Ellipse a, b: A = pi a b, I = pi a b^3/4, W = pi a b^2/4.
    let (mut points, mut facets) = (Vec::new(), Vec::new());
    block_facets([0.0; 3], [3.0, 4.0, 10.0], 1, false, &mut points, &mut facets);
    let m = a_motion();
    let bar = moved(&welded(&points, &facets), &m);
    let path = [m.apply([1.0, 1.0, 1.0]), m.apply([1.0, 1.0, 9.0])];
    let up = m.turned([0.0, 1.0, 0.0]);
    for stop in sections_along(&path, up, 5, |p| cut(&bar, p, None)).unwrap() {
        let s = stop.section.unwrap();
        near(s.area, 12.0);
        near(s.height, 4.0);
        near(s.width, 3.0);
        near(s.second_moment, 3.0 * 64.0 / 12.0);
        near(s.second_moment_across, 4.0 * 27.0 / 12.0);
        near(s.modulus, 3.0 * 16.0 / 6.0);
        near(s.modulus_across, 4.0 * 9.0 / 6.0);
        assert!(s.product_moment.abs() < 1e-9);
        let middle = m.inverse().apply(s.centroid);
        assert!((middle[0] - 1.5).abs() < 1e-9 && (middle[1] - 2.0).abs() < 1e-9);
    }
    let body = Ellipsoid::new([0.0; 3], [1.5, 1.0, 4.0]).unwrap();
    let s = section(&body, &Plane::new([0.0; 3], [0.0, 0.0, 1.0], [0.0, 1.0, 0.0]).unwrap()).unwrap();
    near(s.second_moment, PI * 1.5 / 4.0);
    near(s.second_moment_across, PI * 1.5f64.powi(3) / 4.0);
    near(s.modulus_across, PI * 1.5 * 1.5 / 4.0);
}

#[test]
fn the_smallest_section_of_a_waist_is_found_though_it_stands_askew() {
    // A hyperbolic waist: torus-filleted neck between two balls, lying along a direction askew to the path given.
    let waist =
        Union::new(Ball::new([0.0, 0.0, -2.2], 2.0).unwrap(), Ball::new([0.0, 0.0, 2.2], 2.0).unwrap(), 1.0).unwrap();
    let ring = (9.0f64 - 2.2 * 2.2).sqrt();
    let neck = ring - 1.0;
    let s = Surface::of(&waist, 0.15).unwrap();
    let lean = 0.25f64;
    let path = [[-lean.sin() * 3.0, 0.0, -lean.cos() * 3.0], [lean.sin() * 3.0, 0.0, lean.cos() * 3.0]];
    let least = smallest_section(&path, [0.0, 1.0, 0.0], 0.5, |s| s.area, |p| cut(&s, p, None)).unwrap();
    let off = least.section.area / (PI * neck * neck) - 1.0;
    assert!(off.abs() < 5e-3, "{} instead of {}", least.section.area, PI * neck * neck);
    assert!((least.along - 3.0).abs() < 0.1, "{}", least.along);
    let normal = least.plane.frame()[0];
    assert!(normal[2].abs() > 0.999, "{normal:?}");
}

#[test]
fn a_frustum_converges_by_twice_its_half_angle_and_has_no_undercut_from_above() {
    let half = 6f64.to_radians();
    let height = 4.0;
    let body = Frustum::new([0.0; 3], 3.0, 3.0 - height * half.tan(), height).unwrap();
    let m = a_motion();
    let s = moved(&Surface::of(&body, 0.25).unwrap(), &m);
    let up = m.turned([0.0, 0.0, 1.0]);
    let c = convergence(&s, up, 0.5).unwrap();
    near(c.mean, 2.0 * half);
    near(c.wall_height, height);
    let floor = &Withdrawal { floor: 0.6, least_depth: 0.02 };
    let none = undercut(&s, up, floor).unwrap();
    assert!(none.area < 1e-3 * s.area(), "{}", none.area);
    // Upside down the flank is undercut all round, at most by its own overhang.
    let all = undercut(&s, up.map(|x| -x), &Withdrawal { least_depth: 0.0, ..*floor }).unwrap();
    let slant = height / half.cos();
    assert!((all.area / (PI * (6.0 - height * half.tan()) * slant) - 1.0).abs() < 5e-3, "{}", all.area);
    assert!((all.depth / (height * half.tan()) - 1.0).abs() < 0.05, "{}", all.depth);
    let tilted = m.turned([0.2, 0.1, 1.0]);
    let best = best_direction(&s, tilted, 0.4, floor).unwrap();
    let turned = m.inverse().turned(best.direction);
    assert!(turned[2] > (1.5f64.to_radians()).cos(), "{turned:?}");
    assert!(best.area < 1e-3 * s.area());
}

#[test]
fn under_the_equator_of_a_ball_the_gauge_reads_the_versed_sine() {
    let r = 3.0;
    let s = Surface::of(&Ball::new([0.0; 3], r).unwrap(), 0.25).unwrap();
    let u = undercut(&s, [0.0, 0.0, 1.0], &ALL).unwrap();
    assert!((u.area / (2.0 * PI * r * r) - 1.0).abs() < 0.02, "{}", u.area);
    for (f, depth) in u.facets.iter().zip(&u.depths) {
        let p = s.middle(*f);
        let level = (-p[2] / r).clamp(-1.0, 1.0);
        if level > 0.1 && level < 0.9 {
            let expected = r * (1.0 - (1.0 - level * level).sqrt());
            assert!((depth - expected).abs() < 0.02, "{depth} at {level}, expected {expected}");
        }
    }
}

#[test]
fn a_shelf_hides_what_lies_under_it() {
    let post = Cylinder::new([0.0; 3], 1.0, 6.0, 0.0).unwrap();
    let cap = Cylinder::new([0.0, 0.0, 3.5], 2.0, 1.0, 0.0).unwrap();
    let s = Surface::of(&Union::new(post, cap, 0.0).unwrap(), 0.15).unwrap();
    let u = undercut(&s, [0.0, 0.0, 1.0], &Withdrawal { floor: 0.3, least_depth: 0.02 }).unwrap();
    // The post's wall stands straight, one deep in the cap's shadow; the underside of the cap lies over nothing and is floor.
    assert!((u.area / (2.0 * PI * 6.0) - 1.0).abs() < 0.03, "{}", u.area);
    assert!((u.depth - 1.0).abs() < 0.03, "{}", u.depth);
}

#[test]
fn a_hole_makes_an_error_not_a_section() {
    let s = hollow_block(2);
    let open = Surface::new(s.points().to_vec(), s.facets()[1..].to_vec()).unwrap();
    assert!(open.open_edges() > 0);
    let through = Plane::new(s.middle(0), [0.3, 1.0, 0.2], [0.0, 0.0, 1.0]).unwrap();
    assert_eq!(cut(&open, &through, None), Err(ShapeError::OpenSection));
    let past = Plane::new([100.0; 3], [0.3, 1.0, 0.2], [0.0, 0.0, 1.0]).unwrap();
    assert_eq!(cut(&s, &past, None), Err(ShapeError::NoSection));
}

#[test]
fn what_is_no_surface_is_refused() {
    assert_eq!(Surface::new(vec![], vec![]).err(), Some(ShapeError::Empty));
    assert!(Surface::new(vec![[0.0; 3]; 3], vec![[0, 1, 3]]).is_err());
    assert!(Surface::new(vec![[f64::NAN; 3]; 3], vec![[0, 1, 2]]).is_err());
    // A facet without area has no thickness, and does no harm.
    let flat = Surface::new(vec![[0.0; 3]; 3], vec![[0, 1, 2]]).unwrap();
    assert_eq!(thickness_at_facets(&flat)[0].ball, 0.0);
    assert!(between(&flat, &flat).is_err());
    assert!(undercut(&flat, [0.0; 3], &ALL).is_err());
    assert!(convergence(&flat, [0.0, 0.0, 1.0], 0.5).is_err());
}

#[test]
fn no_ray_is_lost_through_edges_and_corners() {
    let (mut points, mut facets) = (Vec::new(), Vec::new());
    block_facets([-1.0; 3], [1.0; 3], 8, false, &mut points, &mut facets);
    let s = moved(&welded(&points, &facets), &Motion::turn([1.0, 1.0, 0.3], 0.4, [0.0; 3]).unwrap());
    for p in s.points() {
        assert!(s.ray([0.0; 3], *p, 0.0).is_some(), "lost through {p:?}");
    }
    for f in s.facets() {
        for k in 0..3 {
            let (a, b) = (s.points()[f[k] as usize], s.points()[f[(k + 1) % 3] as usize]);
            let through: [f64; 3] = std::array::from_fn(|i| 0.7 * a[i] + 0.3 * b[i]);
            assert!(s.ray([0.1, 0.2, -0.1], std::array::from_fn(|i| through[i] - [0.1, 0.2, -0.1][i]), 0.0).is_some());
        }
    }
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(12))]
    /// Turning, shifting and shuffling change no measure.
    #[test]
    fn motion_and_order_change_nothing(
        axis in prop::array::uniform3(-1.0f64..1.0), angle in -3.0f64..3.0, shift in prop::array::uniform3(-50.0f64..50.0), seed in any::<u64>(),
    ) {
        prop_assume!(axis.iter().map(|x| x * x).sum::<f64>() > 0.01);
        let m = Motion::turn(axis, angle, shift).unwrap();
        let s = hollow_block(3);
        let mut order: Vec<usize> = (0..s.facets().len()).collect();
        order.sort_by_key(|i| (*i as u64).wrapping_mul(0x9E37_79B9_7F4A_7C15) ^ seed);
        let facets: Vec<[u32; 3]> = order.iter().map(|i| { let f = s.facets()[*i]; [f[1], f[2], f[0]] }).collect();
        let other = Surface::new(s.points().iter().map(|p| m.apply(*p)).collect(), facets).unwrap();
        let (a, b) = (thickness_at_facets(&s), thickness_at_facets(&other));
        for (k, i) in order.iter().enumerate() {
            prop_assert!((a[*i].ray.unwrap() - b[k].ray.unwrap()).abs() < 1e-6);
            prop_assert!((a[*i].ball - b[k].ball).abs() < 1e-5);
        }
        let plane = Plane::new([4.1, 4.2, 3.3], [0.2, 0.3, 1.0], [0.0, 1.0, 0.0]).unwrap();
        let there = Plane::new(m.apply([4.1, 4.2, 3.3]), m.turned([0.2, 0.3, 1.0]), m.turned([0.0, 1.0, 0.0])).unwrap();
        let (x, y) = (cut(&s, &plane, None).unwrap(), cut(&other, &there, None).unwrap());
        prop_assert!((x.modulus / y.modulus - 1.0).abs() < 1e-9 && (x.area / y.area - 1.0).abs() < 1e-9);
        let d = [0.1, -0.2, 1.0];
        let half = Withdrawal { floor: 0.5, least_depth: 0.0 };
        let (u, w) = (undercut(&s, d, &half).unwrap(), undercut(&other, m.turned(d), &half).unwrap());
        prop_assert!((u.area - w.area).abs() < 1e-6 && (u.depth - w.depth).abs() < 1e-5);
    }
}

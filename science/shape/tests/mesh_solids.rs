//! Triangle surfaces as bodies: the way from a body to a file and back to a body loses less than a thousandth.
#![allow(clippy::unwrap_used, reason = "tests")]

use proptest::prelude::*;
use shape::*;
use std::f64::consts::PI;

fn limits() -> ReadLimits {
    ReadLimits::default()
}

#[test]
fn a_ball_from_a_file_is_a_body_of_the_same_volume_and_gives_the_same_surface_again() {
    let first = Surface::of(&Ball::new([1.0, 2.0, 3.0], 2.0).unwrap(), 0.1).unwrap();
    let back = Surface::from_mesh(read(&first.to_stl(), "ball.stl", &limits()).unwrap().mesh).unwrap();
    let body = MeshSolid::new(back).unwrap();
    let exact = 4.0 / 3.0 * PI * 8.0;
    let m = measure(&body, 1e-3).unwrap();
    assert!((m.volume.value / exact - 1.0).abs() < 1e-3, "{m:?}");
    assert!((m.area.value / (16.0 * PI) - 1.0).abs() < 1e-3, "{m:?}");
    // Closing the loop: the body's own triangles.
    let again = Surface::of(&body, 0.1).unwrap();
    assert!(again.is_closed() && (again.volume() / exact - 1.0).abs() < 1e-3, "{}", again.volume());
    let band = Band::of(&body, 0.1, 0.3).unwrap();
    for k in 0..200 {
        let t = f64::from(k) * 0.1;
        let p = [1.0 + 1.9 * t.cos(), 2.0 + 1.9 * t.sin() * 0.8, 3.0 + 1.9 * t.sin() * 0.6];
        assert!((band.distance(p) - body.distance(p)).abs() <= band.error() + 1e-6);
        let (g, out) = (body.gradient(p), Ball::new([1.0, 2.0, 3.0], 2.0).unwrap().gradient(p));
        assert!((0..3).map(|i| g[i] * out[i]).sum::<f64>() > 0.99, "{g:?} {out:?}");
    }
}

#[test]
fn shells_within_and_across_each_other_have_the_right_inside() {
    let ball = |c: f64, r: f64| Surface::of(&Ball::new([c, 0.0, 0.0], r).unwrap(), 0.15).unwrap();
    let both = |a: &Surface, b: &Surface, turn: bool| {
        let (mut points, mut facets) = (a.points().to_vec(), a.facets().to_vec());
        let first = points.len() as u32;
        points.extend(b.points());
        facets.extend(b.facets().iter().map(|f| if turn { [f[0], f[2], f[1]] } else { *f }.map(|v| v + first)));
        MeshSolid::new(Surface::new(points, facets).unwrap()).unwrap()
    };
    let hollow = both(&ball(0.0, 2.0), &ball(0.0, 1.0), true);
    assert!(hollow.distance([0.0; 3]) > 0.9 && hollow.distance([1.5, 0.0, 0.0]) < 0.0);
    let joined = both(&ball(-0.5, 1.5), &ball(0.5, 1.5), false);
    // Inside both, nearest to a wall of the one that lies within the other.
    assert!(joined.distance([0.95, 0.0, 0.0]) < 0.0 && joined.distance([1.05, 0.0, 0.0]) < 0.0);
    assert!(joined.distance([2.1, 0.0, 0.0]) > 0.0 && joined.distance([0.0, 1.6, 0.0]) > 0.0);
}

#[test]
fn a_ball_with_a_hole_still_has_an_inside_and_a_sheet_has_none() {
    let whole = Surface::of(&Ball::new([0.0; 3], 2.0).unwrap(), 0.1).unwrap();
    let kept: Vec<[u32; 3]> =
        (0u32..).zip(whole.facets()).filter(|(n, _)| whole.middle(*n)[2] < 1.8).map(|x| *x.1).collect();
    let open = Surface::new(whole.points().to_vec(), kept).unwrap();
    assert!(!open.is_closed());
    for (p, inside) in [
        ([0.0, 0.0, 0.0], true),
        ([0.0, 0.0, 1.7], true),
        ([0.0, 0.0, 2.3], false),
        ([1.9, 0.0, 0.0], true),
        ([2.1, 0.0, 0.0], false),
    ] {
        assert_eq!(open.signed(p).0 < 0.0, inside, "{p:?}");
    }
    let body = MeshSolid::new(open).unwrap();
    assert!(body.distance([0.0; 3]) < -1.7 && body.distance([0.0, 0.0, 3.0]) > 0.9);
    let sheet = Surface::new(vec![[0.0; 3], [1.0, 0.0, 0.0], [0.0, 1.0, 0.0]], vec![[0, 1, 2]]).unwrap();
    assert!(sheet.signed([0.2, 0.2, -0.1]).0 < 0.0 && sheet.signed([0.2, 0.2, 0.1]).0 > 0.0);
    // Beside the rim the sheet's own plane still tells the side.
    assert!(sheet.signed([-0.5, -0.5, -0.1]).0 < 0.0 && sheet.signed([-0.5, -0.5, 0.1]).0 > 0.0);
    assert!(MeshSolid::new(sheet).is_err());
}

#[test]
fn the_winding_number_taken_together_is_that_of_all_facets() {
    let whole = Surface::of(&Torus::new([0.0; 3], 2.0, 0.7).unwrap(), 0.1).unwrap();
    let exact = |s: &Surface, p: [f64; 3]| -> f64 {
        let angle = |f: u32| {
            let [a, b, c] = s.corners(f).map(|x| [x[0] - p[0], x[1] - p[1], x[2] - p[2]]);
            let dot = |u: [f64; 3], v: [f64; 3]| u[0] * v[0] + u[1] * v[1] + u[2] * v[2];
            let cross = [b[1] * c[2] - b[2] * c[1], b[2] * c[0] - b[0] * c[2], b[0] * c[1] - b[1] * c[0]];
            let n = |u| dot(u, u).sqrt();
            2.0 * dot(a, cross).atan2(n(a) * n(b) * n(c) + dot(a, b) * n(c) + dot(b, c) * n(a) + dot(c, a) * n(b))
        };
        (0..s.facets().len() as u32).map(angle).sum::<f64>() / (4.0 * PI)
    };
    let half: Vec<[u32; 3]> =
        (0u32..).zip(whole.facets()).filter(|(n, _)| whole.middle(*n)[0] < 0.3).map(|x| *x.1).collect();
    let half = Surface::new(whole.points().to_vec(), half).unwrap();
    for k in 0..60 {
        let t = f64::from(k);
        let p = [2.9 * (1.7 * t).sin(), 2.9 * (2.3 * t).cos(), 0.9 * (0.9 * t).sin()];
        for s in [&whole, &half] {
            assert!((s.winding(p) - exact(s, p)).abs() < 0.01, "{p:?}: {} {}", s.winding(p), exact(s, p));
        }
        let inside = Torus::new([0.0; 3], 2.0, 0.7).unwrap().distance(p);
        if inside.abs() > 0.02 {
            assert_eq!(whole.winding(p) > 0.5, inside < 0.0, "{p:?}");
        }
    }
}

#[test]
fn neighbours_that_share_a_search_find_what_each_finds_alone_however_far_off() {
    let s = Surface::of(&Torus::new([0.3, -0.2, 0.1], 2.0, 0.7).unwrap(), 0.11).unwrap();
    let turn = |t: f64, by: f64| [(12.9898 * t).sin() * by, (78.233 * t).sin() * by, (37.719 * t).cos() * by];
    for by in [1e-9, 1e-3, 0.1, 1.0, 4.0, 1e3, 1e7, 1e30, 1e200] {
        let about = s.points()[77];
        let mut places: Vec<[f64; 3]> = (0..150)
            .map(|n| {
                let off = turn(f64::from(n), by);
                std::array::from_fn(|i| about[i] + off[i])
            })
            .collect();
        places[40][1] = f64::NAN;
        // Some far off among them.
        places.iter_mut().skip(80).step_by(3).for_each(|p| p[2] += 1e25);
        let (many, signed) = (s.closest_of_many(&places), s.signed_of_many(&places));
        for (n, p) in places.iter().enumerate().filter(|p| p.0 != 40) {
            assert_eq!(many[n], s.closest(*p), "{by}");
            assert_eq!(signed[n], s.signed(*p).0, "{by}");
        }
        assert_eq!(many[40].distance, f64::INFINITY);
        for p in places[..4].iter().filter(|_| by < 1e100) {
            let (found, expected) = (s.closest(*p).distance, by_hand(&s, *p));
            assert!((found - expected).abs() <= 1e-15 * (1.0 + expected), "{by}: {found} {expected}");
        }
    }
}

/// Distances of all facets, one by one.
fn by_hand(s: &Surface, p: [f64; 3]) -> f64 {
    let single = |f: u32| {
        let one = Surface::new(s.corners(f).to_vec(), vec![[0, 1, 2]]).unwrap();
        one.closest(p).distance
    };
    (0..s.facets().len() as u32).map(single).fold(f64::INFINITY, f64::min)
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(24))]

    #[test]
    fn the_tree_finds_what_a_look_at_every_facet_finds(
        points in prop::collection::vec(prop::array::uniform3(-1.0f64..1.0), 12..60),
        picks in prop::collection::vec(prop::array::uniform3(any::<prop::sample::Index>()), 8..120),
        places in prop::collection::vec(prop::array::uniform3(-3.0f64..3.0), 1..20), crowd in -4i32..1,
        size in -6i32..7, shift in -50.0f64..50.0, flat in prop::bool::ANY,
    ) {
        let k = 10f64.powi(size);
        let squash = if flat { 1e-4 } else { 1.0 };
        let to = |p: &[f64; 3]| [k * p[0] + k * shift, k * p[1] * squash, k * p[2]];
        let points: Vec<[f64; 3]> = points.iter().map(to).collect();
        let facets: Vec<[u32; 3]> = picks.iter().map(|f| f.map(|i| i.index(points.len()) as u32)).collect();
        let s = Surface::new(points, facets).unwrap();
        // Crowded or scattered: neighbours share the start of their searches.
        let places: Vec<[f64; 3]> = places.iter().map(|p| to(&p.map(|x| x * 10f64.powi(crowd)))).collect();
        let many = s.closest_of_many(&places);
        let along = [0.3, -0.5, 0.8];
        // Rays that are none lose no answer of their neighbours, however many are under way.
        let rays: Vec<_> = places.iter().flat_map(|p| [(*p, along), (*p, [0.0; 3]), ([f64::NAN; 3], along)]).collect();
        let met = s.rays(&rays, 0.0);
        prop_assert!(met.iter().enumerate().all(|(n, m)| n % 3 == 0 || m.is_none()));
        let met: Vec<_> = met.into_iter().step_by(3).collect();
        for (n, p) in places.iter().enumerate() {
            let alone = s.closest(*p);
            prop_assert_eq!(alone, many[n]);
            let expected = by_hand(&s, *p);
            prop_assert!((alone.distance - expected).abs() <= 1e-12 * k * (1.0 + shift.abs()), "{} {}", alone.distance, expected);
            prop_assert_eq!(s.ray(*p, along, 0.0), met[n]);
            let singles = (0..s.facets().len() as u32).filter_map(|f| {
                Surface::new(s.corners(f).to_vec(), vec![[0, 1, 2]]).unwrap().ray(*p, along, 0.0)
            });
            let first = singles.map(|m| m.along).fold(f64::INFINITY, f64::min);
            prop_assert_eq!(met[n].map_or(f64::INFINITY, |m| m.along), first);
        }
    }
}

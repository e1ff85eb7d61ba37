//! Surfaces out of solids: closed, manifold, edges kept, volume and area within 0.1 %.
#![allow(clippy::unwrap_used)]

use proptest::prelude::*;
use shape::*;
use std::collections::HashMap;
use std::f64::consts::PI;

fn minus(a: [f64; 3], b: [f64; 3]) -> [f64; 3] {
    std::array::from_fn(|i| a[i] - b[i])
}

fn cross(a: [f64; 3], b: [f64; 3]) -> [f64; 3] {
    [a[1] * b[2] - a[2] * b[1], a[2] * b[0] - a[0] * b[2], a[0] * b[1] - a[1] * b[0]]
}

fn dot(a: [f64; 3], b: [f64; 3]) -> f64 {
    (0..3).map(|i| a[i] * b[i]).sum()
}

fn volume_and_area(s: &Contour) -> (f64, f64) {
    s.facets.iter().fold((0.0, 0.0), |(v, a), f| {
        let [p, q, r] = f.map(|i| s.points[i as usize]);
        let n = cross(minus(q, p), minus(r, p));
        (v + dot(p, cross(q, r)) / 6.0, a + 0.5 * dot(n, n).sqrt())
    })
}

/// Every directed edge once and its opposite once; the facets at a vertex form one ring.
fn assert_closed_manifold(s: &Contour) {
    let mut after: HashMap<(u32, u32), u32> = HashMap::new();
    for f in &s.facets {
        for k in 0..3 {
            let (a, b, c) = (f[k], f[(k + 1) % 3], f[(k + 2) % 3]);
            assert!(after.insert((a, b), c).is_none(), "edge {a}-{b} is used twice in one direction");
        }
    }
    let mut at_vertex: HashMap<u32, Vec<u32>> = HashMap::new();
    for (a, b) in after.keys() {
        assert!(after.contains_key(&(*b, *a)), "edge {a}-{b} has one facet only");
        at_vertex.entry(*a).or_default().push(*b);
    }
    for (v, spokes) in at_vertex {
        let (start, mut at, mut turns) = (spokes[0], spokes[0], 0);
        loop {
            at = after[&(v, at)];
            turns += 1;
            if at == start {
                break;
            }
        }
        assert_eq!(turns, spokes.len(), "vertex {v} holds more than one ring of facets");
    }
}

#[test]
fn balls_and_tori_are_closed_and_have_their_volume_and_area() {
    let ball = contour(&Ball::new([0.3, 0.1, 0.2], 2.0).unwrap(), 0.06).unwrap();
    assert_closed_manifold(&ball);
    let (v, a) = volume_and_area(&ball);
    assert!((v / (32.0 * PI / 3.0) - 1.0).abs() < 1e-3, "volume {v}");
    assert!((a / (16.0 * PI) - 1.0).abs() < 1e-3, "area {a}");
    let torus = contour(&Torus::new([0.0; 3], 3.0, 1.0).unwrap(), 0.06).unwrap();
    assert_closed_manifold(&torus);
    let (v, a) = volume_and_area(&torus);
    assert!((v / (6.0 * PI * PI) - 1.0).abs() < 1e-3 && (a / (12.0 * PI * PI) - 1.0).abs() < 1e-3, "{v} {a}");
    assert_eq!(torus.points.len() * 2, torus.facets.len(), "a torus has Euler number 0");
}

#[test]
fn edges_and_corners_of_a_turned_block_are_kept() {
    let motion = Motion::turn([1.0, 2.0, 0.5], 0.7, [3.0, -1.0, 2.0]).unwrap();
    let block = Placed::new(Block::new([0.0; 3], [4.0, 3.0, 2.0], 0.0).unwrap(), motion);
    let s = contour(&block, 0.25).unwrap();
    assert_closed_manifold(&s);
    let (v, a) = volume_and_area(&s);
    assert!((v / 24.0 - 1.0).abs() < 1e-3 && (a / 52.0 - 1.0).abs() < 1e-3, "volume {v}, area {a}");
    // Every corner has a vertex within a fiftieth of a cell.
    let truth = Block::new([0.0; 3], [4.0, 3.0, 2.0], 0.0).unwrap().bound().corners().map(|c| motion.apply(c));
    for c in truth {
        let nearest = s.points.iter().map(|p| dot(minus(*p, c), minus(*p, c)).sqrt()).fold(f64::INFINITY, f64::min);
        assert!(nearest < 0.02 * 0.25, "corner {c:?} is missed by {nearest}");
    }
    let off = s.facets.iter().map(|f| {
        let [p, q, r] = f.map(|i| s.points[i as usize]);
        block.distance(std::array::from_fn(|i| (p[i] + q[i] + r[i]) / 3.0)).abs()
    });
    let off: Vec<f64> = off.collect();
    let cut = off.iter().filter(|d| **d > 1e-6).count();
    assert!(cut * 100 < off.len(), "{cut} of {} facets leave the faces", off.len());
    assert!(off.iter().all(|d| *d < 0.1 * 0.25), "worst {:?}", off.iter().copied().fold(0.0, f64::max));
}

#[test]
fn cylinders_unions_and_cuts_are_manifold_with_their_volume() {
    let post = Cylinder::new([0.0, 0.0, 1.0], 1.0, 3.0, 0.0).unwrap();
    let s = contour(&post, 0.08).unwrap();
    assert_closed_manifold(&s);
    let (v, _) = volume_and_area(&s);
    assert!((v / (3.0 * PI) - 1.0).abs() < 1e-3, "{v}");
    let plate = Block::new([0.0, 0.0, -0.5], [4.0, 4.0, 1.0], 0.0).unwrap();
    let body = Difference::new(
        Union::new(post, plate, 0.4).unwrap(),
        Placed::new(
            Cylinder::new([0.0; 3], 0.5, 9.0, 0.0).unwrap(),
            Motion::turn([0.0, 1.0, 0.0], 0.3, [0.0; 3]).unwrap(),
        ),
    );
    let s = contour(&body, 0.08).unwrap();
    assert_closed_manifold(&s);
    let exact = measure(&body, 1e-3).unwrap();
    let (v, a) = volume_and_area(&s);
    assert!((v / exact.volume.value - 1.0).abs() < 1e-3, "{v} {:?}", exact.volume);
    assert!((a / exact.area.value - 1.0).abs() < 2e-3, "{a} {:?}", exact.area);
}

#[test]
fn any_number_of_threads_makes_the_same_surface() {
    let body = Torus::new([0.0; 3], 2.0, 0.5).unwrap();
    let all = contour(&body, 0.1).unwrap();
    let one = rayon::ThreadPoolBuilder::new().num_threads(1).build().unwrap().install(|| contour(&body, 0.1)).unwrap();
    assert_eq!(all, one);
}

#[test]
fn what_cannot_be_a_surface_is_refused() {
    let ball = Ball::new([0.0; 3], 1.0).unwrap();
    assert!(contour(&ball, 0.0).is_err() && contour(&ball, f64::NAN).is_err() && contour(&ball, 1e-9).is_err());
    assert_eq!(contour(&HalfSpace::new([0.0; 3], [1.0, 0.0, 0.0]).unwrap(), 0.1), Err(ShapeError::Unbounded));
    let nothing = Offset::new(ball, -2.0).unwrap();
    assert_eq!(contour(&nothing, 0.1), Err(ShapeError::Empty));
}

/// No distance at all: inside or outside by lot, node by node. Every ambiguous pattern comes up.
struct Lot(u64);

impl Solid for Lot {
    fn distance(&self, p: [f64; 3]) -> f64 {
        let at = p.map(|x| (x / 0.1).round() as i64 as u64);
        let mut h = self.0
            ^ at[0].wrapping_mul(0x9E37_79B9_7F4A_7C15)
            ^ at[1].wrapping_mul(0xC2B2_AE3D_27D4_EB4F)
            ^ at[2].wrapping_mul(0x1656_67B1_9E37_79F9);
        h ^= h >> 31;
        h = h.wrapping_mul(0x94D0_49BB_1331_11EB);
        h ^= h >> 29;
        if h % 1000 < 450 { -0.05 } else { 0.05 }
    }
    fn bound(&self) -> Aabb {
        Aabb { low: [-1.0; 3], high: [1.0; 3] }
    }
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(24))]
    #[test]
    fn even_noise_gives_a_closed_manifold(seed in any::<u64>()) {
        assert_closed_manifold(&contour(&Lot(seed), 0.1).unwrap());
    }
}

//! Distances of ours and of parry3d-f64 in one run, asked of the same million places: one by one, as given and, since ours take them so, in the order of a
//! curve through space (without sides). `FACETS [PLACES]`.

#[path = "../../ball.rs"]
mod ball;

use ball::{geodesic, places, timed};
use parry3d_f64::math::Vector;
use parry3d_f64::query::PointQuery;
use parry3d_f64::shape::{TriMesh, TriMeshFlags};
use shape::Surface;

fn main() {
    let number = |n: usize| std::env::args().nth(n).and_then(|a| a.parse().ok());
    let (f, asked_for) = (number(1).unwrap_or(100), number(2).unwrap_or(1_000_000));
    rayon::ThreadPoolBuilder::new().num_threads(1).build_global().expect("threads");
    let (points, facets) = geodesic(f);
    println!("{} facets, 1 thread", facets.len());
    let ours = timed("tree and all", || Surface::new(points.clone(), facets.clone()).expect("sound"));
    let vectors: Vec<Vector> = points.iter().map(|p| Vector::new(p[0], p[1], p[2])).collect();
    let flags = TriMeshFlags::ORIENTED;
    let peer = timed("parry3d tree, sides told", || {
        TriMesh::with_flags(vectors.clone(), facets.clone(), flags).expect("sound")
    });
    let plain = TriMesh::new(vectors.clone(), facets.clone()).expect("sound");
    let (near, cube) = places(&ours);
    for (what, all) in [("near", near), ("cube", cube)] {
        let some = &all[..asked_for.min(all.len())];
        let own = timed(&format!("ours, {what}"), || ours.signed_of_many(some));
        let mut sorted = some.to_vec();
        sorted.sort_by_cached_key(curve);
        timed(&format!("parry3d, {what}, along a curve, without side"), || asked(&plain, &sorted));
        let others = timed(&format!("parry3d, {what}"), || asked(&peer, some));
        let apart = own.iter().zip(&others).map(|(a, b)| (a.abs() - b.abs()).abs()).fold(0.0, f64::max);
        let sides = own.iter().zip(&others).filter(|(a, b)| a.signum() != b.signum()).count();
        println!("distances differ by at most {apart:.1e}, {sides} sides differ");
    }
}

fn asked(mesh: &TriMesh, places: &[[f64; 3]]) -> Vec<f64> {
    places.iter().map(|p| mesh.distance_to_local_point(Vector::new(p[0], p[1], p[2]), false)).collect()
}

/// Place along Morton's curve.
fn curve(p: &[f64; 3]) -> u64 {
    let cell = |i: usize| ((p[i] + 6.5) / 13.0 * 1_048_575.0) as u64;
    (0..20).fold(0, |k, b| (0..3).fold(k, |k, i| k | (cell(i) >> b & 1) << (3 * b + i)))
}

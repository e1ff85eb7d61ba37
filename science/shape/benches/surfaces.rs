//! Reading, nearest places, signed distances, winding numbers and rays on a bumpy geodesic ball: the same body and questions as `peers/`.
//!
//! `cargo bench -p shape --bench surfaces -- F [THREADS]`: 20 F^2 facets (F = 224: 1,003,520), a million questions each.
#![allow(clippy::unwrap_used, clippy::print_stdout, missing_docs, reason = "a bench")]

#[path = "peers/ball.rs"]
mod ball;

use ball::{geodesic, inward, places, timed};
use shape::{ReadLimits, Surface, read};

fn main() {
    let numbers: Vec<usize> = std::env::args().filter_map(|a| a.parse().ok()).collect();
    let f = numbers.first().copied().unwrap_or(100);
    if let Some(threads) = numbers.get(1) {
        rayon::ThreadPoolBuilder::new().num_threads(*threads).build_global().unwrap();
    }
    let (points, facets) = geodesic(f);
    println!("{} facets, {} threads", facets.len(), rayon::current_num_threads());
    let s = timed("tree and all", || Surface::new(points.clone(), facets.clone()).unwrap());
    println!("tree holds {:.0} MB", s.tree_bytes() as f64 / 1e6);
    let bytes = s.to_stl();
    let again = timed("STL read", || read(&bytes, "bench", &ReadLimits::default()).unwrap());
    assert!(again.flaws.is_closed());
    let ply = s.to_ply();
    timed("PLY read", || read(&ply, "bench", &ReadLimits::default()).unwrap());

    let rays = inward(&s);
    let met = timed("rays", || s.rays(&rays, 0.0));
    let lost = met.iter().filter(|m| m.is_none()).count();
    println!("mean {:.6}, lost {lost}", met.iter().flatten().map(|m| m.along).sum::<f64>() / met.len() as f64);

    let (near, cube) = places(&s);
    for (what, places) in [("near", &near), ("cube", &cube)] {
        let d = timed(&format!("signed distance, {what}"), || s.signed_of_many(places));
        println!("mean {:.6}", d.iter().sum::<f64>() / d.len() as f64);
        let some = &places[..100_000];
        let w = timed(&format!("winding number, 100,000 {what}"), || s.winding_of_many(some));
        let wrong = w.iter().zip(&d).filter(|(w, d)| (**w > 0.5) != (**d < 0.0)).count();
        println!("{wrong} sides differ from those by normals");
    }
}

//! Reading, nearest places, signed distances, winding numbers and rays on a bumpy geodesic ball: the same body and questions as `peers/surfaces.py`.
//!
//! `cargo bench -p shape --bench surfaces -- F [THREADS]`: 20 F^2 facets (F = 224: 1,003,520), a million questions each.
#![allow(clippy::unwrap_used, clippy::print_stdout, missing_docs, reason = "a bench")]

use shape::{ReadLimits, Surface, read};
use std::collections::HashMap;
use std::time::Instant;

type V = [f64; 3];

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

    let rays: Vec<(V, V)> = (0..facets.len() as u32)
        .map(|f| {
            let (m, n) = (s.middle(f), s.normals()[f as usize]);
            (std::array::from_fn(|i| m[i] - 1e-4 * n[i]), n.map(|x| -x))
        })
        .collect();
    let met = timed("rays", || s.rays(&rays, 0.0));
    let lost = met.iter().filter(|m| m.is_none()).count();
    println!("mean {:.6}, lost {lost}", met.iter().flatten().map(|m| m.along).sum::<f64>() / met.len() as f64);

    let mut random = Random(1);
    let near: Vec<V> = (0..1_000_000)
        .map(|_| {
            let f = (random.next() * facets.len() as f64) as u32;
            let (m, n, off) = (s.middle(f), s.normals()[f as usize], 0.6 * random.next() - 0.3);
            std::array::from_fn(|i| m[i] + off * n[i])
        })
        .collect();
    let cube: Vec<V> = (0..1_000_000).map(|_| std::array::from_fn(|_| 12.0 * random.next() - 6.0)).collect();
    for (what, places) in [("near", &near), ("cube", &cube)] {
        let d = timed(&format!("signed distance, {what}"), || s.signed_of_many(places));
        println!("mean {:.6}", d.iter().sum::<f64>() / d.len() as f64);
        let some = &places[..100_000];
        let w = timed(&format!("winding number, 100,000 {what}"), || s.winding_of_many(some));
        let wrong = w.iter().zip(&d).filter(|(w, d)| (**w > 0.5) != (**d < 0.0)).count();
        println!("{wrong} sides differ from those by normals");
    }
}

/// Wall and processor time: the second is what to trust where other jobs run.
fn timed<T>(what: &str, work: impl Fn() -> T) -> T {
    let (mut walls, mut works) = (Vec::new(), Vec::new());
    let mut out = None;
    for _ in 0..3 {
        let (start, before) = (Instant::now(), processor());
        out = Some(work());
        walls.push(start.elapsed().as_secs_f64());
        works.push(processor() - before);
    }
    walls.sort_by(f64::total_cmp);
    works.sort_by(f64::total_cmp);
    println!("{what}: wall median {:.3} s, processor median {:.3} s, least {:.3} s of 3", walls[1], works[1], works[0]);
    out.unwrap()
}

/// Seconds that all threads have worked (Linux; 0 elsewhere).
fn processor() -> f64 {
    let Ok(tasks) = std::fs::read_dir("/proc/self/task") else { return 0.0 };
    let of = |path: std::path::PathBuf| -> f64 {
        let text = std::fs::read_to_string(path.join("schedstat")).unwrap_or_default();
        text.split_whitespace().next().and_then(|w| w.parse().ok()).unwrap_or(0.0)
    };
    tasks.flatten().map(|t| of(t.path())).sum::<f64>() * 1e-9
}

/// PCG of 32 bits (O'Neill 2014): the bench needs no more.
struct Random(u64);

impl Random {
    fn next(&mut self) -> f64 {
        self.0 = self.0.wrapping_mul(6364136223846793005).wrapping_add(1442695040888963407);
        let x = ((self.0 >> 18 ^ self.0) >> 27) as u32;
        f64::from(x.rotate_right((self.0 >> 59) as u32)) / 4294967296.0
    }
}

fn geodesic(f: usize) -> (Vec<V>, Vec<[u32; 3]>) {
    let p = (1.0 + 5f64.sqrt()) / 2.0;
    #[rustfmt::skip]
    let corners = [[-1.0,p,0.0],[1.0,p,0.0],[-1.0,-p,0.0],[1.0,-p,0.0],[0.0,-1.0,p],[0.0,1.0,p],[0.0,-1.0,-p],[0.0,1.0,-p],[p,0.0,-1.0],[p,0.0,1.0],[-p,0.0,-1.0],[-p,0.0,1.0]];
    #[rustfmt::skip]
    let sides = [[0,11,5],[0,5,1],[0,1,7],[0,7,10],[0,10,11],[1,5,9],[5,11,4],[11,10,2],[10,7,6],[7,1,8],[3,9,4],[3,4,2],[3,2,6],[3,6,8],[3,8,9],[4,9,5],[2,4,11],[6,2,10],[8,6,7],[9,8,1]];
    let (mut points, mut facets) = (Vec::new(), Vec::new());
    let mut seen: HashMap<[i64; 3], u32> = HashMap::new();
    for side in sides {
        let mut number = |i: usize, j: usize| {
            let w = [(f - i - j) as f64, i as f64, j as f64];
            let v: V = std::array::from_fn(|a| (0..3).map(|k| w[k] * corners[side[k]][a]).sum());
            let n = v.iter().map(|x| x * x).sum::<f64>().sqrt();
            let [x, y, z] = v.map(|x| x / n);
            *seen.entry([x, y, z].map(|x| (x * 1e7).round() as i64)).or_insert_with(|| {
                let r = 5.0
                    * (1.0
                        + 0.08 * (5.0 * x + 1.0).sin() * (7.0 * y).cos()
                        + 0.03 * (23.0 * z).sin() * (19.0 * x).cos());
                points.push([r * x, r * y, r * z]);
                points.len() as u32 - 1
            })
        };
        for i in 0..f {
            for j in 0..f - i {
                facets.push([number(i, j), number(i + 1, j), number(i, j + 1)]);
                if i + j + 1 < f {
                    facets.push([number(i + 1, j), number(i + 1, j + 1), number(i, j + 1)]);
                }
            }
        }
    }
    (points, facets)
}

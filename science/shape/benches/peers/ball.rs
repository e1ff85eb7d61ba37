//! The body and the questions of the bench and of its peers.

use shape::Surface;
use std::collections::HashMap;
use std::time::Instant;

type V = [f64; 3];

/// One ray a facet, from 1e-4 under its centroid inward.
pub fn inward(s: &Surface) -> Vec<(V, V)> {
    let under = |f: u32| {
        let (m, n) = (s.middle(f), s.normals()[f as usize]);
        (std::array::from_fn(|i| m[i] - 1e-4 * n[i]), n.map(|x| -x))
    };
    (0..s.facets().len() as u32).map(under).collect()
}

/// A million places within 0.3 of the surface, and a million in the cube from -6 to 6.
pub fn places(s: &Surface) -> (Vec<V>, Vec<V>) {
    let mut random = Random(1);
    let near = (0..1_000_000)
        .map(|_| {
            let f = (random.next() * s.facets().len() as f64) as u32;
            let (m, n, off) = (s.middle(f), s.normals()[f as usize], 0.6 * random.next() - 0.3);
            std::array::from_fn(|i| m[i] + off * n[i])
        })
        .collect();
    (near, (0..1_000_000).map(|_| std::array::from_fn(|_| 12.0 * random.next() - 6.0)).collect())
}

/// Wall and processor time: the second is what to trust where other jobs run.
pub fn timed<T>(what: &str, work: impl Fn() -> T) -> T {
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

/// Bumpy geodesic ball of 20 f^2 facets.
pub fn geodesic(f: usize) -> (Vec<V>, Vec<[u32; 3]>) {
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

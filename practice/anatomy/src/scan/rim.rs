//! Open rims of a surface: chains of edges with one facet only. The longest is where the scan ends; the others are holes.

use shape::Surface;
use std::collections::{HashMap, HashSet};

/// Rims of a surface.
#[derive(Debug, Clone)]
pub struct Rims {
    /// Length of each rim, mm, longest first.
    pub lengths: Vec<f64>,
    /// Facets that touch a rim.
    touching: HashSet<u32>,
}

impl Rims {
    /// Finds them.
    pub fn of(surface: &Surface) -> Self {
        let mut uses: HashMap<(u32, u32), u32> = HashMap::with_capacity(2 * surface.facets().len());
        let edges = |f: &[u32; 3]| [(f[0], f[1]), (f[1], f[2]), (f[2], f[0])].map(|(a, b)| (a.min(b), a.max(b)));
        for f in surface.facets() {
            for e in edges(f) {
                *uses.entry(e).or_default() += 1;
            }
        }
        let mut open: Vec<(u32, u32)> = uses.into_iter().filter(|(_, n)| *n == 1).map(|(e, _)| e).collect();
        open.sort_unstable();
        let on_rim: HashSet<u32> = open.iter().flat_map(|(a, b)| [*a, *b]).collect();
        let touching = (0u32..)
            .zip(surface.facets())
            .filter(|(_, f)| f.iter().any(|v| on_rim.contains(v)))
            .map(|(n, _)| n)
            .collect();
        Self { lengths: lengths(surface, &open), touching }
    }

    /// Holes beside the rim where the scan ends; smaller than `least` mm around do not count.
    pub fn holes(&self, least: f64) -> usize {
        self.lengths.iter().skip(1).filter(|l| **l >= least).count()
    }

    /// True where a facet lies at a rim: what is nearest to it may lie beyond the scan.
    pub fn touches(&self, facet: u32) -> bool {
        self.touching.contains(&facet)
    }
}

/// Lengths of chains of edges that hang together.
fn lengths(surface: &Surface, open: &[(u32, u32)]) -> Vec<f64> {
    let mut parent: HashMap<u32, u32> = HashMap::new();
    fn root(parent: &mut HashMap<u32, u32>, mut v: u32) -> u32 {
        while let Some(&up) = parent.get(&v).filter(|up| **up != v) {
            v = up;
        }
        parent.entry(v).or_insert(v);
        v
    }
    for (a, b) in open {
        let (ra, rb) = (root(&mut parent, *a), root(&mut parent, *b));
        parent.insert(ra.max(rb), ra.min(rb));
    }
    let mut sums: HashMap<u32, f64> = HashMap::new();
    for (a, b) in open {
        let (p, q) = (surface.points()[*a as usize], surface.points()[*b as usize]);
        let length = (0..3).map(|i| (p[i] - q[i]).powi(2)).sum::<f64>().sqrt();
        *sums.entry(root(&mut parent, *a)).or_default() += length;
    }
    let mut found: Vec<f64> = sums.into_values().collect();
    found.sort_by(|a, b| b.total_cmp(a));
    found
}

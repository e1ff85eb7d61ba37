//! Open rims of a surface: chains of edges with one facet only. The longest is where the scan ends; the others are holes.

use rayon::prelude::*;
use shape::Surface;
use std::collections::HashMap;

/// Rims of a surface.
#[derive(Debug, Clone)]
pub struct Rims {
    /// Length of each rim, mm, longest first.
    pub lengths: Vec<f64>,
    /// Edges that both their facets pass in the same direction: one of the two is flipped.
    pub wound_against: usize,
    /// Whether a facet touches a rim.
    touching: Vec<bool>,
}

impl Rims {
    /// Finds them.
    pub fn of(surface: &Surface) -> Self {
        // Sorted by their ends, uses of one edge lie together.
        let mut uses: Vec<(u32, u32, bool)> = surface
            .facets()
            .par_iter()
            .flat_map_iter(|f| [(f[0], f[1]), (f[1], f[2]), (f[2], f[0])].map(|(a, b)| (a.min(b), a.max(b), a < b)))
            .collect();
        uses.par_sort_unstable();
        let mut open = Vec::new();
        let mut wound_against = 0;
        for edge in uses.chunk_by(|x, y| (x.0, x.1) == (y.0, y.1)) {
            match edge {
                [(a, b, _)] => open.push((*a, *b)),
                [(.., one), (.., other)] => wound_against += usize::from(one == other),
                _ => {}
            }
        }
        let mut on_rim = vec![false; surface.points().len()];
        for (a, b) in &open {
            (on_rim[*a as usize], on_rim[*b as usize]) = (true, true);
        }
        let touching = surface.facets().iter().map(|f| f.iter().any(|v| on_rim[*v as usize])).collect();
        Self { lengths: lengths(surface, &open), wound_against, touching }
    }

    /// Holes beside the rim where the scan ends; smaller than `least` mm around do not count.
    pub fn holes(&self, least: f64) -> usize {
        self.lengths.iter().skip(1).filter(|l| **l >= least).count()
    }

    /// True where a facet lies at a rim: what is nearest to it may lie beyond the scan.
    pub fn touches(&self, facet: u32) -> bool {
        self.touching.get(facet as usize).copied().unwrap_or(false)
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

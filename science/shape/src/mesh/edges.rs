//! Which facets share which edges.
//!
//! Half-edge 3 f + k runs from corner k of facet f to corner k + 1. Half-edges are sorted into buckets by the lower number of their two places, so
//! that the whole is one counting sort and many short ones.

/// No partner.
pub(crate) const NONE: u32 = u32::MAX;

/// Half-edges by edge.
pub(crate) struct Edges {
    /// Where the bucket of a place begins.
    start: Vec<u32>,
    /// Higher place and half-edge, sorted within a bucket.
    halves: Vec<(u32, u32)>,
}

impl Edges {
    /// Facets that name one place twice have no edge there.
    pub(crate) fn new(places: usize, facets: &[[u32; 3]]) -> Self {
        let mut start = vec![0u32; places + 1];
        let sides = |f: &[u32; 3]| [(f[0], f[1]), (f[1], f[2]), (f[2], f[0])];
        for (a, b) in facets.iter().flat_map(sides).filter(|(a, b)| a != b) {
            start[a.min(b) as usize + 1] += 1;
        }
        for i in 0..places {
            start[i + 1] += start[i];
        }
        let mut fill = start.clone();
        let mut halves = vec![(0, 0); start[places] as usize];
        for (half, (a, b)) in (0u32..).zip(facets.iter().flat_map(sides)) {
            if a != b {
                let at = &mut fill[a.min(b) as usize];
                halves[*at as usize] = (a.max(b), half);
                *at += 1;
            }
        }
        for i in 0..places {
            halves[start[i] as usize..start[i + 1] as usize].sort_unstable();
        }
        Self { start, halves }
    }

    /// Every edge: its lower and higher place and its half-edges in order.
    pub(crate) fn each(&self, mut with: impl FnMut(u32, u32, &[(u32, u32)])) {
        for low in 0..self.start.len() - 1 {
            let bucket = &self.halves[self.start[low] as usize..self.start[low + 1] as usize];
            for edge in bucket.chunk_by(|a, b| a.0 == b.0) {
                with(low as u32, edge[0].0, edge);
            }
        }
    }

    /// Whether two places share an edge.
    pub(crate) fn joined(&self, a: u32, b: u32) -> bool {
        let low = a.min(b) as usize;
        let bucket = &self.halves[self.start[low] as usize..self.start[low + 1] as usize];
        bucket.binary_search_by_key(&a.max(b), |h| h.0).is_ok()
    }

    /// Partner of every half-edge: [`NONE`] at rims and where more than two facets meet.
    pub(crate) fn partners(&self, facets: usize) -> Vec<u32> {
        let mut partner = vec![NONE; 3 * facets];
        self.each(|_, _, edge| {
            if let [(_, a), (_, b)] = *edge {
                partner[a as usize] = b;
                partner[b as usize] = a;
            }
        });
        partner
    }
}

/// Ends of a half-edge.
pub(crate) fn ends(facets: &[[u32; 3]], half: u32) -> (u32, u32) {
    let (f, k) = (facets[half as usize / 3], half as usize % 3);
    (f[k], f[(k + 1) % 3])
}

//! What is wrong with a triangle surface.
//!
//! Counted on shared places only: a facet with the same three places as an earlier one is a duplicate; an edge of one facet is open, of more than
//! two branches; an edge that both its facets pass in the same direction is wound against itself. Shells are facets joined by edges. Not told:
//! facets that cut each other, and seams whose places are near but not the same.

use crate::surface::Surface;
use std::collections::{HashMap, HashSet};

/// Flaws of a surface; all zero but `shells` on a closed, consistently wound one.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub struct Flaws {
    /// Facets without area.
    pub without_area: usize,
    /// Facets with the same three places as an earlier one, whichever way round.
    pub duplicates: usize,
    /// Edges of one facet only (rims of holes and of open scans).
    pub open_edges: usize,
    /// Edges of more than two facets.
    pub branching_edges: usize,
    /// Edges that both their facets pass in the same direction: one of the two is flipped.
    pub wound_against: usize,
    /// Pieces that hang together by edges.
    pub shells: usize,
}

impl Flaws {
    /// Every edge has two facets and they agree which side is outside.
    pub fn is_closed(&self) -> bool {
        self.open_edges == 0 && self.branching_edges == 0 && self.wound_against == 0 && self.duplicates == 0
    }
}

impl Surface {
    /// What is wrong with the surface.
    pub fn flaws(&self) -> Flaws {
        let mut seen = HashSet::with_capacity(self.facets().len());
        let mut edges: HashMap<(u32, u32), Vec<(u32, bool)>> = HashMap::with_capacity(2 * self.facets().len());
        let mut flaws = Flaws::default();
        for (number, f) in (0u32..).zip(self.facets()) {
            let mut sorted = *f;
            sorted.sort_unstable();
            flaws.duplicates += usize::from(!seen.insert(sorted));
            flaws.without_area += usize::from(self.normals()[number as usize] == [0.0; 3]);
            for (a, b) in [(f[0], f[1]), (f[1], f[2]), (f[2], f[0])] {
                if a != b {
                    edges.entry((a.min(b), a.max(b))).or_default().push((number, a < b));
                }
            }
        }
        let mut piece: Vec<u32> = (0..self.facets().len() as u32).collect();
        for users in edges.values() {
            match users[..] {
                [_] => flaws.open_edges += 1,
                [(_, way), (_, other)] => flaws.wound_against += usize::from(way == other),
                _ => flaws.branching_edges += 1,
            }
            for pair in users.windows(2) {
                let (a, b) = (root(&mut piece, pair[0].0), root(&mut piece, pair[1].0));
                piece[a.max(b) as usize] = a.min(b);
            }
        }
        flaws.shells = (0u32..).zip(&piece).filter(|(number, of)| number == *of).count();
        flaws
    }
}

fn root(piece: &mut [u32], mut at: u32) -> u32 {
    while piece[at as usize] != at {
        piece[at as usize] = piece[piece[at as usize] as usize];
        at = piece[at as usize];
    }
    at
}

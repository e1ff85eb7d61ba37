//! What is wrong with how a triangle surface hangs together.
//!
//! Counted on shared places only: a facet with the same three places as an earlier one is a duplicate; an edge of one facet is open, of more than
//! two branches; an edge that both its facets pass in the same direction is wound against itself. Shells are facets joined by edges. Facets that
//! cut each other and seams whose places are near but not the same are told by [`crate::inspect`].

use super::edges::{Edges, ends};
use super::orient::{Pieces, root};
use crate::surface::Surface;

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
        self.open_edges == 0 && self.is_consistent()
    }

    /// Wherever facets meet, two meet and agree which side is outside; rims are allowed.
    pub fn is_consistent(&self) -> bool {
        self.branching_edges == 0 && self.wound_against == 0 && self.duplicates == 0
    }

    /// Flaws of facets whose edges are sorted; facets without area are those that name a place twice.
    pub(crate) fn of(facets: &[[u32; 3]], edges: &Edges) -> Self {
        let mut flaws = Self { duplicates: duplicates(facets, edges).len(), ..Self::default() };
        let mut pieces: Pieces = (0..facets.len() as u32).collect();
        edges.each(|_, _, edge| {
            match *edge {
                [_] => flaws.open_edges += 1,
                [(_, a), (_, b)] => flaws.wound_against += usize::from(ends(facets, a) == ends(facets, b)),
                _ => flaws.branching_edges += 1,
            }
            for pair in edge.windows(2) {
                let (a, b) = (root(&mut pieces, pair[0].1 / 3), root(&mut pieces, pair[1].1 / 3));
                pieces[a.max(b) as usize] = a.min(b);
            }
        });
        flaws.shells = (0u32..).zip(&pieces).filter(|(number, of)| number == *of).count();
        flaws.without_area = facets.iter().filter(|f| f[0] == f[1] || f[1] == f[2] || f[2] == f[0]).count();
        flaws
    }
}

/// Facets with the same three places as an earlier one: at each of their edges both have the same third place.
pub(super) fn duplicates(facets: &[[u32; 3]], edges: &Edges) -> Vec<u32> {
    let mut twice = Vec::new();
    let mut thirds = Vec::new();
    edges.each(|_, _, edge| match *edge {
        [_] => {}
        [(_, a), (_, b)] => twice.extend((third_of(facets, a) == third_of(facets, b)).then_some(a.max(b) / 3)),
        _ => {
            thirds.clear();
            thirds.extend(edge.iter().map(|(_, half)| (third_of(facets, *half), half / 3)));
            thirds.sort_unstable();
            twice.extend(thirds.windows(2).filter(|w| w[0].0 == w[1].0).map(|w| w[1].1));
        }
    });
    twice.sort_unstable();
    twice.dedup();
    twice
}

/// The place of a half-edge's facet that is not on it.
fn third_of(facets: &[[u32; 3]], half: u32) -> u32 {
    let (f, k) = (half as usize / 3, half as usize % 3);
    facets[f][(k + 2) % 3]
}

impl Surface {
    /// What is wrong with how the surface hangs together.
    pub fn flaws(&self) -> Flaws {
        let mut flaws = Flaws::of(self.facets(), &Edges::new(self.points().len(), self.facets()));
        flaws.without_area = self.normals().iter().filter(|n| **n == [0.0; 3]).count();
        flaws
    }
}

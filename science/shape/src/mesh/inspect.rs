//! Everything that is wrong with a surface, with places.

use super::Flaws;
use super::crossing;
use super::edges::Edges;
use super::holes::{Hole, holes};
use crate::surface::Surface;
use crate::vector::{norm, sub};

/// Facets whose height over their longest edge is less are needles.
const NEEDLE: f64 = 1e-2;

/// Two facets that cut each other.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Crossing {
    /// The two, lower number first.
    pub facets: [u32; 2],
    /// A place on both.
    pub place: [f64; 3],
}

/// What an inspection finds.
#[derive(Debug, Clone, PartialEq)]
pub struct Inspection {
    /// How the surface hangs together.
    pub flaws: Flaws,
    /// Rims, longest first.
    pub holes: Vec<Hole>,
    /// Facets and enclosed volume (with sign) of each shell, largest first.
    pub shells: Vec<(usize, f64)>,
    /// Facets flatter than a hundredth of their longest edge.
    pub needles: usize,
    /// Pairs of facets that cut each other.
    pub crossings: Vec<Crossing>,
}

/// Inspects a surface.
pub fn inspect(surface: &Surface) -> Inspection {
    let edges = Edges::new(surface.points().len(), surface.facets());
    let needles = (0..surface.facets().len() as u32).filter(|f| is_needle(surface, *f)).count();
    Inspection {
        flaws: surface.flaws(),
        holes: holes(surface.points(), surface.facets(), &edges),
        shells: shells(surface, &edges),
        needles,
        crossings: crossing::crossings(surface),
    }
}

fn is_needle(surface: &Surface, facet: u32) -> bool {
    let [a, b, c] = surface.corners(facet);
    let longest = [sub(b, a), sub(c, b), sub(a, c)].map(norm).into_iter().fold(0.0, f64::max);
    2.0 * surface.facet_area(facet) < NEEDLE * longest * longest
}

fn shells(surface: &Surface, edges: &Edges) -> Vec<(usize, f64)> {
    let mut pieces: super::orient::Pieces = (0..surface.facets().len() as u32).collect();
    edges.each(|_, _, edge| {
        for pair in edge.windows(2) {
            let (a, b) =
                (super::orient::root(&mut pieces, pair[0].1 / 3), super::orient::root(&mut pieces, pair[1].1 / 3));
            pieces[a.max(b) as usize] = a.min(b);
        }
    });
    let about = surface.bound().centre();
    let mut found: std::collections::BTreeMap<u32, (usize, f64)> = std::collections::BTreeMap::new();
    for f in 0..surface.facets().len() as u32 {
        let [a, b, c] = surface.corners(f).map(|p| sub(p, about));
        let entry = found.entry(super::orient::root(&mut pieces, f)).or_default();
        *entry = (entry.0 + 1, entry.1 + crate::vector::dot(a, crate::vector::cross(b, c)) / 6.0);
    }
    let mut shells: Vec<(usize, f64)> = found.into_values().collect();
    shells.sort_by(|a, b| b.0.cmp(&a.0).then(b.1.total_cmp(&a.1)));
    shells
}

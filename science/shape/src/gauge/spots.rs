//! Connected spots of a surface where a value is below what is needed.

use crate::surface::Surface;
use std::collections::HashMap;

/// A connected part of the surface below the need.
#[derive(Debug, Clone, PartialEq)]
pub struct Spot {
    /// Least value.
    pub least: f64,
    /// Where it is.
    pub place: [f64; 3],
    /// Facet of the least value.
    pub facet: u32,
    /// Area below the need.
    pub area: f64,
    /// Facets below the need.
    pub facets: Vec<u32>,
}

/// Spots where `values` (one a facet, `None` for unknown) fall below `need`, worst first.
pub fn spots_below(surface: &Surface, values: &[Option<f64>], need: f64) -> Vec<Spot> {
    let below = |f: usize| values.get(f).copied().flatten().is_some_and(|v| v < need);
    let mut at_edge: HashMap<(u32, u32), Vec<u32>> = HashMap::new();
    for (f, c) in surface.facets().iter().enumerate().filter(|(f, _)| below(*f)) {
        for k in 0..3 {
            let (a, b) = (c[k], c[(k + 1) % 3]);
            at_edge.entry((a.min(b), a.max(b))).or_default().push(f as u32);
        }
    }
    let mut seen = vec![false; surface.facets().len()];
    let mut spots = Vec::new();
    for start in (0..surface.facets().len()).filter(|f| below(*f)) {
        if seen[start] {
            continue;
        }
        seen[start] = true;
        let (mut facets, mut next) = (vec![start as u32], 0);
        while next < facets.len() {
            let c = surface.facets()[facets[next] as usize];
            next += 1;
            for k in 0..3 {
                let (a, b) = (c[k], c[(k + 1) % 3]);
                for f in at_edge.get(&(a.min(b), a.max(b))).into_iter().flatten() {
                    if !std::mem::replace(&mut seen[*f as usize], true) {
                        facets.push(*f);
                    }
                }
            }
        }
        let value = |f: &u32| values[*f as usize].unwrap_or(f64::INFINITY);
        let worst = facets.iter().copied().min_by(|a, b| value(a).total_cmp(&value(b))).unwrap_or(start as u32);
        let area = facets.iter().map(|f| surface.facet_area(*f)).sum();
        spots.push(Spot { least: value(&worst), place: surface.middle(worst), facet: worst, area, facets });
    }
    spots.sort_by(|a, b| a.least.total_cmp(&b.least).then(a.facet.cmp(&b.facet)));
    spots
}

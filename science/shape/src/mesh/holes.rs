//! Rims: closed chains of edges that have one facet only.

use super::edges::{Edges, ends};
use crate::vector::{V, add, norm, scale, sub};
use std::collections::HashMap;

/// A rim of a surface: of a hole, or of an open scan.
#[derive(Debug, Clone, PartialEq)]
pub struct Hole {
    /// Places along the rim, in the direction that a facet closing it would have.
    pub rim: Vec<u32>,
    /// Length of the rim.
    pub length: f64,
    /// Middle of the rim, by length.
    pub centre: [f64; 3],
}

/// Rims of a surface, longest first.
pub(crate) fn holes(points: &[V], facets: &[[u32; 3]], edges: &Edges) -> Vec<Hole> {
    let mut onwards: HashMap<u32, Vec<u32>> = HashMap::new();
    let mut starts = Vec::new();
    edges.each(|_, _, edge| {
        if let [(_, half)] = *edge {
            let (a, b) = ends(facets, half);
            onwards.entry(b).or_default().push(a);
            starts.push(b);
        }
    });
    starts.sort_unstable();
    let mut rims = Vec::new();
    for start in starts {
        // A chain that comes back to a place it has passed closes there, so that two rims that touch are told apart.
        let mut chain = vec![start];
        let mut at: HashMap<u32, usize> = HashMap::from([(start, 0)]);
        while let Some(next) = chain.last().and_then(|last| onwards.get_mut(last)).and_then(Vec::pop) {
            match at.get(&next) {
                Some(&from) => {
                    let rim = chain.split_off(from);
                    rim.iter().for_each(|p| {
                        at.remove(p);
                    });
                    rims.push(rim);
                    at.insert(next, chain.len());
                }
                None => {
                    at.insert(next, chain.len());
                }
            }
            chain.push(next);
        }
        if chain.len() > 1 {
            // Flipped neighbours break the chain: what is left is a rim all the same, if not one that can be closed.
            rims.push(chain);
        }
    }
    let mut holes: Vec<Hole> = rims.into_iter().map(|rim| measured(points, rim)).collect();
    holes.sort_by(|a, b| b.length.total_cmp(&a.length).then(a.rim.cmp(&b.rim)));
    holes
}

fn measured(points: &[V], rim: Vec<u32>) -> Hole {
    let (mut length, mut sum) = (0.0, [0.0; 3]);
    for (k, v) in rim.iter().enumerate() {
        let (a, b) = (points[*v as usize], points[rim[(k + 1) % rim.len()] as usize]);
        let step = norm(sub(b, a));
        length += step;
        sum = add(sum, scale(add(a, b), 0.5 * step));
    }
    let centre = if length > 0.0 { scale(sum, 1.0 / length) } else { points[rim[0] as usize] };
    Hole { rim, length, centre }
}

//! Pairs of facets that cut each other.
//!
//! Pairs whose boxes meet come from the tree; two facets cut each other where an edge of one passes through the inside of the other, told by signed
//! volumes of five tetrahedra. Facets that share a place are looked at by the edges that do not touch it, so that neighbours count only when
//! one folds through the other. Contacts within rounding (1e-10 of the extent cubed) and facets that overlap within one plane are not told.

use super::inspect::Crossing;
use crate::surface::Surface;
use crate::vector::{V, add, cross, dot, scale, sub};
use rayon::prelude::*;

/// Pairs in order of their numbers.
pub(super) fn crossings(surface: &Surface) -> Vec<Crossing> {
    let tiny = 1e-14 * surface.bound().diagonal().powi(3);
    let of = |f: u32| {
        let mut found = Vec::new();
        let corners = surface.corners(f);
        let low = std::array::from_fn(|i| corners.iter().fold(f64::INFINITY, |m, p| m.min(p[i])));
        let high = std::array::from_fn(|i| corners.iter().fold(f64::NEG_INFINITY, |m, p| m.max(p[i])));
        surface.facets_in_box(low, high, &mut |g| {
            if g > f
                && let Some(place) = meet(surface, f, g, tiny)
            {
                found.push(Crossing { facets: [f, g], place });
            }
        });
        found.sort_by_key(|c| c.facets);
        found
    };
    (0..surface.facets().len() as u32).into_par_iter().flat_map_iter(of).collect()
}

fn meet(surface: &Surface, f: u32, g: u32, tiny: f64) -> Option<V> {
    let (a, b) = (surface.facets()[f as usize], surface.facets()[g as usize]);
    if a.iter().filter(|v| b.contains(v)).count() >= 2 {
        return None;
    }
    let pierced = |edges: [u32; 3], by: [u32; 3]| {
        (0..3).find_map(|k| {
            let (p, q) = (edges[k], edges[(k + 1) % 3]);
            if by.contains(&p) || by.contains(&q) {
                return None;
            }
            let at = |v: u32| surface.points()[v as usize];
            through(at(p), at(q), by.map(at), tiny)
        })
    };
    pierced(a, b).or_else(|| pierced(b, a))
}

/// Where the edge from `p` to `q` passes through the inside of a triangle.
fn through(p: V, q: V, [a, b, c]: [V; 3], tiny: f64) -> Option<V> {
    let volume = |o: V, x: V, y: V, z: V| dot(sub(x, o), cross(sub(y, o), sub(z, o)));
    let (above, below) = (volume(p, a, b, c), volume(q, a, b, c));
    if above.abs() <= tiny || below.abs() <= tiny || (above > 0.0) == (below > 0.0) {
        return None;
    }
    let sides = [volume(p, q, a, b), volume(p, q, b, c), volume(p, q, c, a)];
    if sides.iter().any(|s| s.abs() <= tiny) || sides.iter().any(|s| (*s > 0.0) != (sides[0] > 0.0)) {
        return None;
    }
    Some(add(p, scale(sub(q, p), above / (above - below))))
}

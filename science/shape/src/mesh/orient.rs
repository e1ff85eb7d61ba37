//! Facets turned so that neighbours agree which side is outside, and closed shells so that it is the outer one.
//!
//! Neighbours across an edge of two facets are made to pass it in opposite directions, from facet to facet through each patch; of the two ways a
//! patch can lie the one that turns fewer facets is taken. A closed patch is then turned outwards by the sign of the volume it encloses, unless
//! it lies within another closed patch: whether that is a cavity or a body in a body only its maker knows.

use super::edges::{NONE, ends};
use crate::vector::{V, cross, dot, sub};

pub(crate) type Pieces = Vec<u32>;

/// Representative of a piece, with the path halved on the way.
pub(crate) fn root(pieces: &mut Pieces, mut at: u32) -> u32 {
    while pieces[at as usize] != at {
        pieces[at as usize] = pieces[pieces[at as usize] as usize];
        at = pieces[at as usize];
    }
    at
}

/// What was turned.
#[derive(Debug, Clone, Default, PartialEq)]
pub(crate) struct Oriented {
    /// Facets turned to agree with their neighbours.
    pub(crate) flipped: usize,
    /// Closed patches that were inside out.
    pub(crate) turned_shells: usize,
    /// Edges at which neighbours cannot agree (a band with one side only).
    pub(crate) one_sided: usize,
}

/// Orients in place; `partner` as of [`super::Edges::partners`].
pub(crate) fn orient(points: &[V], facets: &mut [[u32; 3]], partner: &[u32]) -> Oriented {
    let mut done = Oriented::default();
    let mut turn: Vec<Option<bool>> = vec![None; facets.len()];
    let mut patches: Vec<Vec<u32>> = Vec::new();
    let mut closed: Vec<bool> = Vec::new();
    for start in 0..facets.len() as u32 {
        if turn[start as usize].is_some() {
            continue;
        }
        turn[start as usize] = Some(false);
        let (mut patch, mut next, mut whole) = (vec![start], 0, true);
        while next < patch.len() {
            let f = patch[next];
            next += 1;
            let here = turn[f as usize] == Some(true);
            for half in 3 * f..3 * f + 3 {
                let other = partner[half as usize];
                if other == NONE {
                    whole = false;
                    continue;
                }
                let against = ends(facets, half) == ends(facets, other);
                let wanted = here ^ against;
                match turn[other as usize / 3] {
                    None => {
                        turn[other as usize / 3] = Some(wanted);
                        patch.push(other / 3);
                    }
                    Some(is) => done.one_sided += usize::from(is != wanted && half < other),
                }
            }
        }
        let turned = patch.iter().filter(|f| turn[**f as usize] == Some(true)).count();
        if 2 * turned > patch.len() {
            patch.iter().for_each(|f| turn[*f as usize] = turn[*f as usize].map(|t| !t));
        }
        done.flipped += turned.min(patch.len() - turned);
        closed.push(whole);
        patches.push(patch);
    }
    for (f, turn) in facets.iter_mut().zip(turn) {
        if turn == Some(true) {
            f.swap(1, 2);
        }
    }
    if done.one_sided == 0 {
        turn_outwards(points, facets, &patches, &closed, &mut done);
    }
    done
}

fn turn_outwards(points: &[V], facets: &mut [[u32; 3]], patches: &[Vec<u32>], closed: &[bool], done: &mut Oriented) {
    let bounds: Vec<Option<(V, V)>> =
        patches.iter().zip(closed).map(|(p, c)| c.then(|| bound(points, facets, p))).collect();
    for (n, patch) in patches.iter().enumerate() {
        let Some((low, high)) = bounds[n] else { continue };
        let about: V = std::array::from_fn(|i| 0.5 * (low[i] + high[i]));
        let six: f64 = patch
            .iter()
            .map(|f| {
                let [a, b, c] = facets[*f as usize].map(|v| sub(points[v as usize], about));
                dot(a, cross(b, c))
            })
            .sum();
        let within =
            |other: &Option<(V, V)>| other.is_some_and(|(l, h)| (0..3).all(|i| l[i] < low[i] && high[i] < h[i]));
        if six < 0.0 && !bounds.iter().any(within) {
            patch.iter().for_each(|f| facets[*f as usize].swap(1, 2));
            done.turned_shells += 1;
        }
    }
}

fn bound(points: &[V], facets: &[[u32; 3]], patch: &[u32]) -> (V, V) {
    let mut ends = ([f64::INFINITY; 3], [f64::NEG_INFINITY; 3]);
    for p in patch.iter().flat_map(|f| facets[*f as usize]).map(|v| points[v as usize]) {
        ends = (std::array::from_fn(|i| ends.0[i].min(p[i])), std::array::from_fn(|i| ends.1[i].max(p[i])));
    }
    ends
}

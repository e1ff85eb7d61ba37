//! Stiff material parted at its necks: pieces that touch by a corner, an edge or a thin bridge turn against one another at little energy.
//!
//! The depth of a node is the number of stiff cells between it and the nearest node that other material touches. Nodes are gathered from the deepest
//! outwards, first to the deepest corners of their cells; two basins that meet stay apart where the place they meet at is less than half as deep as the
//! shallower of them (floodings of a depth: Vincent, Soille 1991, IEEE Trans Pattern Anal Mach Intell 13(6):583-598, doi 10.1109/34.87344, memory). Each
//! node falls to one piece, and no more is needed for hinges: motions that agree at the nodes shared are sums of rigid motions of the pieces.

use std::collections::{BTreeMap, BTreeSet};

/// Nodes of each piece of the stiff cells (given by their corners, of `count` nodes), the largest first; where there would be more than `most`, the
/// smallest that touch others stay with the largest of those.
pub(super) fn parted(count: usize, cells: &[[u32; 8]], most: usize) -> Vec<Vec<u32>> {
    let depth = depths(count, cells);
    let mut owner = Owner::new(&depth);
    let by_deepest = by_deepest(&depth, cells);
    for level in (0..by_deepest.len() - 1).rev() {
        for (deepest, cell) in by_deepest[level + 1].iter().chain(&by_deepest[level]) {
            for corner in cell.iter().filter(|n| usize::from(depth[**n as usize]) == level) {
                owner.flood(*deepest, *corner, level as u8);
            }
        }
    }
    let mut pieces: BTreeMap<u32, Vec<u32>> = BTreeMap::new();
    for node in (0..count as u32).filter(|n| depth[*n as usize] < u8::MAX) {
        pieces.entry(owner.root(node)).or_default().push(node);
    }
    if pieces.len() > most {
        gather(&mut pieces, &mut owner, cells, most);
    }
    let mut pieces: Vec<Vec<u32>> = pieces.into_values().collect();
    pieces.sort_by_key(|p| (std::cmp::Reverse(p.len()), p[0]));
    pieces
}

/// Stiff cells between each node and other material; `u8::MAX` where no stiff cell touches it.
fn depths(count: usize, cells: &[[u32; 8]]) -> Vec<u8> {
    let mut touching = vec![0u8; count];
    cells.iter().flatten().for_each(|n| touching[*n as usize] += 1);
    let mut depth: Vec<u8> = touching.iter().map(|t| if (1..8).contains(t) { 0 } else { u8::MAX }).collect();
    let mut relax = |cell: &[u32; 8]| {
        let next = cell.iter().fold(u8::MAX, |m, n| m.min(depth[*n as usize])).saturating_add(1).min(u8::MAX - 1);
        let mut changed = false;
        for n in cell {
            let d = &mut depth[*n as usize];
            changed |= *d > next;
            *d = next.min(*d);
        }
        changed
    };
    loop {
        let down = cells.iter().fold(false, |changed, cell| relax(cell) | changed);
        let up = cells.iter().rev().fold(false, |changed, cell| relax(cell) | changed);
        if !(down | up) {
            return depth;
        }
    }
}

/// Cells, each with its deepest corner, by the depth of that; one empty list more.
fn by_deepest<'a>(depth: &[u8], cells: &'a [[u32; 8]]) -> Vec<Vec<(u32, &'a [u32; 8])>> {
    let mut all: Vec<Vec<(u32, &[u32; 8])>> = vec![Vec::new()];
    for cell in cells {
        let deepest = cell.iter().fold(cell[0], |m, n| if depth[*n as usize] > depth[m as usize] { *n } else { m });
        let at = usize::from(depth[deepest as usize]);
        all.resize_with(all.len().max(at + 2), Vec::new);
        all[at].push((deepest, cell));
    }
    all
}

/// Joins the smallest pieces to the largest piece they touch until no more than `most` are left, or none touches another.
fn gather(pieces: &mut BTreeMap<u32, Vec<u32>>, owner: &mut Owner, cells: &[[u32; 8]], most: usize) {
    let mut beside: BTreeMap<u32, BTreeSet<u32>> = BTreeMap::new();
    for cell in cells {
        let roots = cell.map(|n| owner.root(n));
        for a in roots {
            beside.entry(a).or_default().extend(roots.iter().filter(|b| **b != a));
        }
    }
    while pieces.len() > most {
        let size = |root: &u32| pieces.get(root).map_or(0, Vec::len);
        let smallest =
            beside.iter().filter(|(_, others)| !others.is_empty()).map(|(r, _)| *r).min_by_key(|r| (size(r), *r));
        let Some(small) = smallest else { return };
        let others = beside.remove(&small).unwrap_or_default();
        let Some(large) = others.iter().copied().max_by_key(|r| (size(r), *r)) else { return };
        for other in &others {
            if let Some(set) = beside.get_mut(other) {
                set.remove(&small);
                if *other != large {
                    set.insert(large);
                }
            }
        }
        beside.entry(large).or_default().extend(others.iter().filter(|r| **r != large));
        let moved = pieces.remove(&small).unwrap_or_default();
        pieces.entry(large).or_default().extend(moved);
    }
    pieces.values_mut().for_each(|piece| piece.sort_unstable());
}

/// Disjoint sets of nodes, each with the depth of its deepest node.
struct Owner {
    parent: Vec<u32>,
    deepest: Vec<u8>,
}

impl Owner {
    fn new(depth: &[u8]) -> Self {
        Self { parent: (0..depth.len() as u32).collect(), deepest: depth.to_vec() }
    }

    fn root(&mut self, node: u32) -> u32 {
        let mut at = node;
        while self.parent[at as usize] != at {
            let above = self.parent[self.parent[at as usize] as usize];
            self.parent[at as usize] = above;
            at = above;
        }
        at
    }

    /// Joins the basins of two neighbouring nodes unless they meet at a neck.
    fn flood(&mut self, a: u32, b: u32, level: u8) {
        let (a, b) = (self.root(a), self.root(b));
        if a == b {
            return;
        }
        let [deep, shallow] = [a, b].map(|r| self.deepest[r as usize]);
        if 2 * u16::from(level) < u16::from(deep.min(shallow)) {
            return;
        }
        let (low, high) = (a.min(b), a.max(b));
        self.parent[high as usize] = low;
        self.deepest[low as usize] = deep.max(shallow);
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Corners of the cells of an n x n x n lattice that are `stiff`, and the number of nodes.
    fn lattice(n: u32, stiff: impl Fn([u32; 3]) -> bool) -> (usize, Vec<[u32; 8]>) {
        let node = |x, y, z| x + (n + 1) * (y + (n + 1) * z);
        let cell = |k: u32| [k % n, k / n % n, k / n / n];
        let corners = |[x, y, z]: [u32; 3]| {
            std::array::from_fn(|c| node(x + (c as u32 & 1), y + (c as u32 >> 1 & 1), z + (c as u32 >> 2)))
        };
        ((n + 1).pow(3) as usize, (0..n.pow(3)).map(cell).filter(|at| stiff(*at)).map(corners).collect())
    }

    fn near([x, y, z]: [u32; 3], middle: [f64; 3], radius: f64) -> bool {
        let off = [x, y, z].into_iter().zip(middle).map(|(v, m)| (f64::from(v) + 0.5 - m).powi(2));
        off.sum::<f64>() < radius * radius
    }

    #[test]
    fn balls_on_a_thin_neck_part_and_one_ball_stays_whole() {
        let two = |at: [u32; 3]| near(at, [9.0, 18.0, 18.0], 8.0) || near(at, [25.3, 18.0, 18.0], 8.0);
        let (count, cells) = lattice(36, two);
        let pieces = parted(count, &cells, 64);
        assert_eq!(pieces.len(), 2);
        // Alike in size: neither has run over the other's skin.
        assert!(20 * pieces[1].len() > 19 * pieces[0].len(), "{} {}", pieces[0].len(), pieces[1].len());
        let (count, cells) = lattice(24, |at| near(at, [12.0; 3], 6.0) || near(at, [15.0, 12.0, 12.0], 6.0));
        assert_eq!(parted(count, &cells, 64).len(), 1);
    }

    #[test]
    fn cubes_part_at_a_shared_corner_and_plates_do_not() {
        let (count, cells) = lattice(8, |at| at.iter().all(|v| *v < 4) || at.iter().all(|v| *v >= 4));
        assert_eq!(parted(count, &cells, 64).iter().map(Vec::len).collect::<Vec<_>>(), [125, 124]);
        for thick in [1, 2, 3] {
            let (count, cells) = lattice(12, |at| at[2] < thick);
            assert_eq!(parted(count, &cells, 64).len(), 1, "{thick}");
        }
    }

    #[test]
    fn what_is_too_many_stays_with_what_it_touches() {
        let (count, cells) = lattice(12, |[x, y, z]| (x / 4 + y / 4 + z / 4) % 2 == 0);
        let all = parted(count, &cells, 64);
        let few = parted(count, &cells, 5);
        assert_eq!((all.len(), few.len()), (14, 5));
        let nodes = |pieces: &[Vec<u32>]| pieces.iter().flatten().copied().collect::<BTreeSet<u32>>();
        assert_eq!(nodes(&all), nodes(&few));
        assert_eq!(nodes(&all), cells.iter().flatten().copied().collect());
        assert_eq!(all.iter().map(Vec::len).sum::<usize>(), nodes(&all).len());
    }
}

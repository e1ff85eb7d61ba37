//! Where the surface passes through one cell: which crossed edges belong together.
//!
//! Corner c of a cell has x = c & 1, y = c >> 1 & 1, z = c >> 2. Edge along axis a at bits (b, c) of the two axes after it: 4 a + b + 2 c.
//! Face 2 a + side. On a face two or four edges are crossed; with four (two inside corners diagonally opposite) the edges are paired around
//! the inside corners, or, where the face is flipped, around the outside ones. Every crossed edge lies on two faces, so the pairs close
//! to cycles: one piece of surface each.

/// No cycle passes this edge.
pub(super) const NONE: u8 = u8::MAX;

/// The cycles of one cell.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) struct Cycles {
    /// Which cycle passes an edge.
    pub(super) of_edge: [u8; 12],
    /// How many.
    pub(super) count: u8,
}

/// Corners of a face in order around it.
fn loop_of(face: usize) -> [usize; 4] {
    let (a, side) = (face / 2, face % 2);
    let (b, c) = (1 << ((a + 1) % 3), 1 << ((a + 2) % 3));
    [0, b, b + c, c].map(|x| x + (side << a))
}

/// The edge between two neighbouring corners.
fn edge_between(p: usize, q: usize) -> usize {
    let axis = (p ^ q).trailing_zeros() as usize;
    let low = p & q;
    4 * axis + (low >> ((axis + 1) % 3) & 1) + 2 * (low >> ((axis + 2) % 3) & 1)
}

/// Whether two inside corners lie diagonally opposite on a face.
pub(super) fn ambiguous(config: u8, face: usize) -> bool {
    let inside = loop_of(face).map(|c| config >> c & 1 == 1);
    inside[0] != inside[1] && inside[0] == inside[2] && inside[1] == inside[3]
}

/// Pairs of crossed edges on a face.
pub(super) fn pairs(config: u8, face: usize, flipped: bool) -> impl Iterator<Item = (usize, usize)> {
    let corners = loop_of(face);
    let edges: [usize; 4] = std::array::from_fn(|i| edge_between(corners[i], corners[(i + 1) % 4]));
    let inside = corners.map(|c| config >> c & 1 == 1);
    let four = ambiguous(config, face);
    let crossed: [bool; 4] = std::array::from_fn(|i| inside[i] != inside[(i + 1) % 4]);
    let mut found = [None, None];
    if four {
        // Around corner i lie edges i-1 and i.
        let start = usize::from(inside[0] == flipped);
        found = [start, start + 2].map(|i| Some((edges[(i + 3) % 4], edges[i])));
    } else {
        let mut both = (0..4).filter(|&i| crossed[i]).map(|i| edges[i]);
        if let (Some(p), Some(q)) = (both.next(), both.next()) {
            found[0] = Some((p, q));
        }
    }
    found.into_iter().flatten()
}

/// The cycles of a cell: bit c of `config` says that corner c is inside, bit f of `flipped` that face f is flipped.
pub(super) fn trace(config: u8, flipped: u8) -> Cycles {
    let mut root: [usize; 12] = std::array::from_fn(|e| e);
    let mut crossed = [false; 12];
    let find = |root: &[usize; 12], mut e: usize| {
        while root[e] != e {
            e = root[e];
        }
        e
    };
    for face in 0..6 {
        for (p, q) in pairs(config, face, flipped >> face & 1 == 1) {
            (crossed[p], crossed[q]) = (true, true);
            let (rp, rq) = (find(&root, p), find(&root, q));
            root[rp.max(rq)] = rp.min(rq);
        }
    }
    let mut cycles = Cycles { of_edge: [NONE; 12], count: 0 };
    for e in (0..12).filter(|e| crossed[*e]) {
        let r = find(&root, e);
        if r == e {
            cycles.of_edge[e] = cycles.count;
            cycles.count += 1;
        } else {
            cycles.of_edge[e] = cycles.of_edge[r];
        }
    }
    cycles
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_pattern_of_corners_closes_to_cycles_of_three_edges_or_more() {
        for config in 0..=255u8 {
            for flipped in 0..64u8 {
                let cycles = trace(config, flipped);
                for cycle in 0..cycles.count {
                    let length = cycles.of_edge.iter().filter(|c| **c == cycle).count();
                    assert!(length >= 3, "{config:08b} {flipped:06b}: a cycle of {length}");
                }
                let crossed = (0..12).filter(|e| {
                    let (a, low) = (e / 4, ((e & 1) << ((e / 4 + 1) % 3)) | ((e >> 1 & 1) << ((e / 4 + 2) % 3)));
                    (config >> low & 1) != (config >> (low | 1 << a) & 1)
                });
                assert_eq!(crossed.count(), cycles.of_edge.iter().filter(|c| **c != NONE).count());
            }
        }
    }

    #[test]
    fn flipping_a_face_whose_pairs_share_a_cycle_splits_that_cycle() {
        for config in 0..=255u8 {
            for face in (0..6).filter(|f| ambiguous(config, *f)) {
                for flipped in 0..64u8 {
                    let cycles = trace(config, flipped);
                    let mut ends = pairs(config, face, flipped >> face & 1 == 1).map(|(e, _)| cycles.of_edge[e]);
                    if ends.next() == ends.next() {
                        assert_eq!(trace(config, flipped ^ 1 << face).count, cycles.count + 1);
                    }
                }
            }
        }
    }
}

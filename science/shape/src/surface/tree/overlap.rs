//! Facets whose boxes meet a box.

use super::{EMPTY, LEAF, Tree};
use crate::vector::V;

impl Tree {
    /// Every facet whose leaf meets the box; some facets just beside it are among them.
    pub(in crate::surface) fn in_box(&self, low: V, high: V, with: &mut dyn FnMut(u32)) {
        let (low, high) = (self.framed(low).low, self.framed(high).high);
        let mut stack = vec![0u32];
        while let Some(at) = stack.pop() {
            if at & LEAF != 0 {
                let leaf = &self.leaves[(at & !LEAF) as usize];
                for lane in (0..8).filter(|k| leaf.used >> k & 1 == 1) {
                    let apart = (0..3).any(|i| {
                        let a = leaf.corner[i][lane];
                        let (b, c) = (a + leaf.edges[0][i][lane], a + leaf.edges[1][i][lane]);
                        a.min(b).min(c) - 1e-6 > high[i] || a.max(b).max(c) + 1e-6 < low[i]
                    });
                    if !apart {
                        with(leaf.facet[lane]);
                    }
                }
                continue;
            }
            let node = &self.nodes[at as usize];
            for lane in 0..8 {
                let apart = (0..3).any(|i| node.sides[2 * i][lane] > high[i] || node.sides[2 * i + 1][lane] < low[i]);
                if node.child[lane] != EMPTY && !apart {
                    stack.push(node.child[lane]);
                }
            }
        }
    }
}

//! Where the searches of neighbouring places start: the deepest parts of the tree, up to eight, that hold whatever can be nearest to any of them.

use super::closest::Asked;
use super::lanes::Lanes;
use super::{Discs, EMPTY, LEAF, Node, Tree};

/// Up to eight parts of the tree, as if they were the children of one node.
pub(super) struct Fan {
    node: Node,
    discs: Discs,
}

impl Fan {
    /// All that lies within the root of `square` of a place.
    #[inline(always)]
    pub(super) fn within<L: Lanes>(l: L, tree: &Tree, asked: &Asked<L::F>, square: f32) -> Self {
        let (mut parts, mut count) = close(l, tree, 0, asked, square);
        let mut next = 0;
        while next < count {
            let (of, lane) = parts[next];
            let child = tree.nodes[of as usize].child[lane];
            if child & LEAF != 0 {
                next += 1;
                continue;
            }
            let (found, more) = close(l, tree, child, asked, square);
            if count - 1 + more > 8 {
                next += 1;
                continue;
            }
            count -= 1;
            parts[next] = parts[count];
            parts[count..count + more].copy_from_slice(&found[..more]);
            count += more;
        }
        let mut fan = Self { node: Node::NONE, discs: Discs::ANYWHERE };
        for (lane, (of, from)) in parts[..count].iter().enumerate() {
            fan.node.take(lane, &tree.nodes[*of as usize], *from);
            fan.discs.take(lane, &tree.discs[*of as usize], *from);
        }
        fan
    }

    /// As the children of a node.
    pub(super) fn parts(&self) -> (&Node, &Discs) {
        (&self.node, &self.discs)
    }
}

/// A part of the tree: its node and which child of that it is.
type Part = (u32, usize);

/// Children of a node that lie within the root of `square`, and how many.
#[inline(always)]
fn close<L: Lanes>(l: L, tree: &Tree, of: u32, asked: &Asked<L::F>, square: f32) -> ([Part; 8], usize) {
    let (node, discs) = (&tree.nodes[of as usize], &tree.discs[of as usize]);
    let mut hit = l.at_most(asked.bounds(l, (node, discs)), l.splat(square));
    let (mut found, mut count) = ([(of, 0); 8], 0);
    while hit != 0 {
        let lane = hit.trailing_zeros() as usize;
        hit &= hit - 1;
        if node.child[lane] != EMPTY {
            found[count] = (of, lane);
            count += 1;
        }
    }
    (found, count)
}

//! Nearest place of a surface: the tree searched nearer box first.

use super::Nearest;
use super::index::{Index, Node};
use crate::vector::{V, add, dot, norm, scale, sub};

/// Nearest place within `reach`.
pub(super) fn closest(index: &Index, p: V, reach: f64) -> Option<Nearest> {
    let mut best = reach * reach;
    let mut found = None;
    let mut stack: Vec<(f64, u32)> = Vec::with_capacity(64);
    stack.push((square_to(&index.nodes[0], p), 0));
    while let Some((square, at)) = stack.pop() {
        if square >= best {
            continue;
        }
        let node = &index.nodes[at as usize];
        if node.count > 0 {
            for slot in node.start as usize..(node.start + node.count) as usize {
                let place = nearest_of(index.corners[slot], p);
                let off = sub(p, place);
                let square = dot(off, off);
                if square < best {
                    best = square;
                    found = Some((place, index.numbers[slot]));
                }
            }
            continue;
        }
        let (a, b) = (at + 1, node.start);
        let (sa, sb) = (square_to(&index.nodes[a as usize], p), square_to(&index.nodes[b as usize], p));
        let (near, far) = if sa <= sb { ((sa, a), (sb, b)) } else { ((sb, b), (sa, a)) };
        stack.push(far);
        stack.push(near);
    }
    found.map(|(place, facet)| Nearest { place, distance: norm(sub(p, place)), facet })
}

fn square_to(node: &Node, p: V) -> f64 {
    (0..3)
        .map(|i| {
            let d = (node.low[i] - p[i]).max(p[i] - node.high[i]).max(0.0);
            d * d
        })
        .sum()
}

/// Nearest place of a triangle (Ericson 2005, Real-time collision detection, section 5.1.5, memory).
fn nearest_of([a, b, c]: [V; 3], p: V) -> V {
    let (ab, ac, ap) = (sub(b, a), sub(c, a), sub(p, a));
    let (d1, d2) = (dot(ab, ap), dot(ac, ap));
    if d1 <= 0.0 && d2 <= 0.0 {
        return a;
    }
    let bp = sub(p, b);
    let (d3, d4) = (dot(ab, bp), dot(ac, bp));
    if d3 >= 0.0 && d4 <= d3 {
        return b;
    }
    let vc = d1 * d4 - d3 * d2;
    if vc <= 0.0 && d1 >= 0.0 && d3 <= 0.0 {
        let t = if d1 > d3 { d1 / (d1 - d3) } else { 0.0 };
        return add(a, scale(ab, t));
    }
    let cp = sub(p, c);
    let (d5, d6) = (dot(ab, cp), dot(ac, cp));
    if d6 >= 0.0 && d5 <= d6 {
        return c;
    }
    let vb = d5 * d2 - d1 * d6;
    if vb <= 0.0 && d2 >= 0.0 && d6 <= 0.0 {
        let t = if d2 > d6 { d2 / (d2 - d6) } else { 0.0 };
        return add(a, scale(ac, t));
    }
    let va = d3 * d6 - d5 * d4;
    if va <= 0.0 && d4 - d3 >= 0.0 && d5 - d6 >= 0.0 {
        let whole = (d4 - d3) + (d5 - d6);
        let t = if whole > 0.0 { (d4 - d3) / whole } else { 0.0 };
        return add(b, scale(sub(c, b), t));
    }
    let whole = va + vb + vc;
    add(a, add(scale(ab, vb / whole), scale(ac, vc / whole)))
}

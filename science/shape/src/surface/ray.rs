//! Rays that pass no gap between neighbouring facets: signed edge areas in a frame along the ray (Woop, Benthin, Wald 2013, J Comput
//! Graph Tech 2:65-82).

use super::Met;
use super::index::{Index, Node};
use crate::vector::{V, sub};

/// First facet met later than `beyond`.
pub(super) fn first(index: &Index, from: V, direction: V, beyond: f64) -> Option<Met> {
    let size = direction.map(f64::abs);
    let kz = (0..3).fold(0, |a, i| if size[i] > size[a] { i } else { a });
    if !(size[kz] > 0.0 && size[kz].is_finite()) {
        return None;
    }
    let (mut kx, mut ky) = ((kz + 1) % 3, (kz + 2) % 3);
    if direction[kz] < 0.0 {
        std::mem::swap(&mut kx, &mut ky);
    }
    let frame = Frame {
        from,
        axes: [kx, ky, kz],
        shear: [direction[kx] / direction[kz], direction[ky] / direction[kz], 1.0 / direction[kz]],
    };
    let inverse = direction.map(|d| 1.0 / d);
    let mut best: Option<Met> = None;
    let mut limit = f64::INFINITY;
    let mut stack: Vec<(f64, u32)> = Vec::with_capacity(64);
    if let Some(t) = enters(&index.nodes[0], from, inverse, beyond, limit) {
        stack.push((t, 0));
    }
    while let Some((enter, at)) = stack.pop() {
        if enter > limit {
            continue;
        }
        let node = &index.nodes[at as usize];
        if node.count > 0 {
            for slot in node.start as usize..(node.start + node.count) as usize {
                if let Some(along) = frame.meets(&index.corners[slot])
                    && along > beyond
                    && along < limit
                {
                    limit = along;
                    best = Some(Met { along, facet: index.numbers[slot] });
                }
            }
            continue;
        }
        let child = |c: u32| enters(&index.nodes[c as usize], from, inverse, beyond, limit).map(|t| (t, c));
        match (child(at + 1), child(node.start)) {
            (Some(a), Some(b)) => {
                let (near, far) = if a.0 <= b.0 { (a, b) } else { (b, a) };
                stack.push(far);
                stack.push(near);
            }
            (Some(a), None) | (None, Some(a)) => stack.push(a),
            (None, None) => {}
        }
    }
    best
}

/// Where the ray enters a box, rounded outward.
fn enters(node: &Node, from: V, inverse: V, beyond: f64, limit: f64) -> Option<f64> {
    const WIDER: f64 = 1.0 + 4.0 * f64::EPSILON;
    let (mut enter, mut leave) = (beyond, limit);
    for i in 0..3 {
        if inverse[i].is_infinite() {
            if from[i] < node.low[i] || from[i] > node.high[i] {
                return None;
            }
            continue;
        }
        let (a, b) = ((node.low[i] - from[i]) * inverse[i], (node.high[i] - from[i]) * inverse[i]);
        enter = enter.max(a.min(b));
        leave = leave.min(a.max(b) * WIDER);
    }
    (enter <= leave * WIDER).then_some(enter)
}

struct Frame {
    from: V,
    axes: [usize; 3],
    shear: V,
}

impl Frame {
    fn meets(&self, corners: &[V; 3]) -> Option<f64> {
        let [kx, ky, kz] = self.axes;
        let [a, b, c] = corners.map(|p| {
            let d = sub(p, self.from);
            [d[kx] - self.shear[0] * d[kz], d[ky] - self.shear[1] * d[kz], self.shear[2] * d[kz]]
        });
        let u = c[0] * b[1] - c[1] * b[0];
        let v = a[0] * c[1] - a[1] * c[0];
        let w = b[0] * a[1] - b[1] * a[0];
        if (u < 0.0 || v < 0.0 || w < 0.0) && (u > 0.0 || v > 0.0 || w > 0.0) {
            return None;
        }
        let whole = u + v + w;
        (whole != 0.0).then(|| (u * a[2] + v * b[2] + w * c[2]) / whole)
    }
}

//! The nearest place of one facet, in 64 bits; and a lower bound of the distances of eight, in 32.

use super::Leaf;
use super::lanes::Lanes;
use crate::vector::{V, add, dot, scale, sub};

/// Nearest place of a facet, and whether it lies inside: each corner's share of it more than [`CLEAR`].
#[derive(Debug, Clone, Copy)]
pub(super) struct Foot {
    pub(super) place: V,
    pub(super) inside: bool,
}

/// Share of a corner below which a place counts as lying on the side across from it.
const CLEAR: f64 = 1e-9;

/// Nearest place of a triangle (Ericson 2005, Real-time collision detection, section 5.1.5, memory).
#[inline]
pub(super) fn nearest_of([a, b, c]: [V; 3], p: V) -> Foot {
    let at_rim = |place: V| Foot { place, inside: false };
    let (ab, ac, ap) = (sub(b, a), sub(c, a), sub(p, a));
    let (d1, d2) = (dot(ab, ap), dot(ac, ap));
    if d1 <= 0.0 && d2 <= 0.0 {
        return at_rim(a);
    }
    let bp = sub(p, b);
    let (d3, d4) = (dot(ab, bp), dot(ac, bp));
    if d3 >= 0.0 && d4 <= d3 {
        return at_rim(b);
    }
    let vc = d1 * d4 - d3 * d2;
    if vc <= 0.0 && d1 >= 0.0 && d3 <= 0.0 {
        let t = if d1 > d3 { d1 / (d1 - d3) } else { 0.0 };
        return at_rim(add(a, scale(ab, t)));
    }
    let cp = sub(p, c);
    let (d5, d6) = (dot(ab, cp), dot(ac, cp));
    if d6 >= 0.0 && d5 <= d6 {
        return at_rim(c);
    }
    let vb = d5 * d2 - d1 * d6;
    if vb <= 0.0 && d2 >= 0.0 && d6 <= 0.0 {
        let t = if d2 > d6 { d2 / (d2 - d6) } else { 0.0 };
        return at_rim(add(a, scale(ac, t)));
    }
    let va = d3 * d6 - d5 * d4;
    if va <= 0.0 && d4 - d3 >= 0.0 && d5 - d6 >= 0.0 {
        let whole = (d4 - d3) + (d5 - d6);
        let t = if whole > 0.0 { (d4 - d3) / whole } else { 0.0 };
        return at_rim(add(b, scale(sub(c, b), t)));
    }
    let whole = va + vb + vc;
    let (v, w) = (vb / whole, vc / whole);
    let inside = v > CLEAR && w > CLEAR && va > CLEAR * whole;
    Foot { place: add(a, add(scale(ab, v), scale(ac, w))), inside }
}

/// Squared distances of a place from eight facets: to the plane where the foot lies inside, else to the nearest side.
#[inline(always)]
pub(super) fn squares<L: Lanes>(l: L, leaf: &Leaf, p: [L::F; 3]) -> L::F {
    let (zero, one, tiny) = (l.splat(0.0), l.splat(1.0), l.splat(1e-30));
    let (e0, e1) = (l.load3(&leaf.edges[0]), l.load3(&leaf.edges[1]));
    let w = l.minus(p, l.load3(&leaf.corner));
    let (d00, d01, d11) = (l.dot(e0, e0), l.dot(e0, e1), l.dot(e1, e1));
    let (d0, d1) = (l.dot(e0, w), l.dot(e1, w));
    let clamp = |t: L::F| l.min(l.max(t, zero), one);
    let off = |e: [L::F; 3], w: [L::F; 3], t: L::F| {
        let minus = l.sub(zero, t);
        let r = [l.fma(minus, e[0], w[0]), l.fma(minus, e[1], w[1]), l.fma(minus, e[2], w[2])];
        l.dot(r, r)
    };
    let s0 = off(e0, w, clamp(l.div(d0, l.max(d00, tiny))));
    let s1 = off(e1, w, clamp(l.div(d1, l.max(d11, tiny))));
    let (e2, w2) = (l.minus(e1, e0), l.minus(w, e0));
    let s2 = off(e2, w2, clamp(l.div(l.dot(e2, w2), l.max(l.dot(e2, e2), tiny))));
    let sides = l.min(s0, l.min(s1, s2));
    let n = l.cross(e0, e1);
    let (nn, height) = (l.dot(n, n), l.dot(n, w));
    let plane = l.div(l.mul(height, height), l.max(nn, tiny));
    // Shares of the corners: all three above 0 inside.
    let v = l.sub(l.mul(d11, d0), l.mul(d01, d1));
    let u = l.sub(l.mul(d00, d1), l.mul(d01, d0));
    let rest = l.sub(l.sub(nn, v), u);
    let least = l.min(rest, l.min(u, v));
    l.pick(zero, least, plane, sides)
}

//! The ball of a chosen radius that rolls in the corner between two bodies.
//!
//! The union with fillet r is its closing by a ball of radius r (Serra 1982, Image analysis and mathematical morphology, Academic Press, memory):
//! all places that no ball of radius r reaches while it stays outside both bodies. With distances a, b and D' = {a >= r and b >= r}, where the
//! ball's centre may be, the signed distance of the closing is f(p) = r - |p - D'|,
//! exact inside, and exact outside up to the distance r. The nearest place of D' is found by projecting p on both linearised levels at once
//! (two constraints, active set) until it rests; for planes one step does. So the fillet has radius r in corners of every angle and between
//! curved bodies, as far as a and b are true distances there.
//!
//! Deeper inside than r the value passes over into min(a, b), a lower bound in size, so that no corner is searched for in vain.

use crate::solid::Solid;
use crate::vector::{V, add, dot, norm, scale, sub};

/// A body, or (`sign` -1) what is outside of it.
#[derive(Clone, Copy)]
pub(crate) struct Side<'a> {
    pub(crate) solid: &'a dyn Solid,
    pub(crate) sign: f64,
}

impl Side<'_> {
    fn distance(&self, p: V) -> f64 {
        self.sign * self.solid.distance(p)
    }
    fn gradient(&self, p: V) -> V {
        scale(self.solid.gradient(p), self.sign)
    }
}

/// Steps after which the place of the ball's centre counts as found; a step gains about a digit.
const STEPS: usize = 16;

/// Distance and gradient of the closing of two sides by a ball of radius `r`.
pub(crate) fn closing(a: Side, b: Side, r: f64, p: V) -> (f64, Lazy) {
    let at = [a.distance(p), b.distance(p)];
    let (nearer, nearest) = if at[0] <= at[1] { (0, at[0]) } else { (1, at[1]) };
    // The centre of a ball that touches both is r from either, and p in its reach at most 2 r.
    if r <= 0.0 || nearest >= r || at[0].max(at[1]) >= 2.0 * r || nearest <= -r {
        return (nearest, Lazy::Nearer(nearer));
    }
    let way = way_to_centre([a, b], at, r, p);
    let length = norm(way);
    let f = r - length;
    if length.is_nan() || f >= nearest || length == 0.0 {
        return (nearest, Lazy::Nearer(nearer));
    }
    let share = (1.0 + nearest / r).clamp(0.0, 1.0);
    (
        nearest + share * (f - nearest),
        Lazy::Mixed { nearer, towards: scale(way, 1.0 / length), share, gap: f - nearest },
    )
}

/// What the gradient is made of, so that callers who want none pay for none.
pub(crate) enum Lazy {
    Nearer(usize),
    Mixed { nearer: usize, towards: V, share: f64, gap: f64 },
}

impl Lazy {
    pub(crate) fn gradient(&self, a: Side, b: Side, r: f64, p: V) -> V {
        let of = |n: usize| if n == 0 { a.gradient(p) } else { b.gradient(p) };
        match *self {
            Self::Nearer(n) => of(n),
            Self::Mixed { nearer, towards, share, gap } => {
                if share >= 1.0 {
                    return towards;
                }
                add(scale(towards, share), scale(of(nearer), 1.0 - share + gap / r))
            }
        }
    }
}

/// From `p` to the nearest place where both distances are at least r; at most 4 r long.
fn way_to_centre(sides: [Side; 2], at_start: [f64; 2], r: f64, p: V) -> V {
    let (mut way, mut at) = ([0.0; 3], at_start);
    for _ in 0..STEPS {
        let q = add(p, way);
        let g = sides.map(|s| s.gradient(q));
        // How far along each gradient the linearised level r lies, seen from p.
        let need: [f64; 2] = std::array::from_fn(|i| r - at[i] + dot(g[i], way));
        let (g00, g01, g11) = (dot(g[0], g[0]), dot(g[0], g[1]), dot(g[1], g[1]));
        let det = g00 * g11 - g01 * g01;
        let alone = |i: usize, gg: f64| scale(g[i], need[i].max(0.0) / gg.max(1e-12));
        let mut next = if det > 1e-9 * g00 * g11 {
            let alpha = (g11 * need[0] - g01 * need[1]) / det;
            let beta = (g00 * need[1] - g01 * need[0]) / det;
            if alpha <= 0.0 {
                alone(1, g11)
            } else if beta <= 0.0 {
                alone(0, g00)
            } else {
                add(scale(g[0], alpha), scale(g[1], beta))
            }
        } else if need[0] >= need[1] {
            alone(0, g00)
        } else {
            alone(1, g11)
        };
        let length = norm(next);
        if length > 4.0 * r {
            next = scale(next, 4.0 * r / length);
        }
        let moved = norm(sub(next, way));
        way = next;
        if moved < 1e-9 * r {
            break;
        }
        at = sides.map(|s| s.distance(add(p, way)));
    }
    way
}

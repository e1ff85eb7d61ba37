//! Rough alignment.
//!
//! **By places**: the rotation and shift with the least sum of squares between paired places (Horn 1987, J Opt Soc Am A 4:629-642, doi
//! 10.1364/JOSAA.4.000629: the unit quaternion is the eigenvector of the greatest eigenvalue of a 4 x 4 matrix of the pairs' products).
//!
//! **By shape**: centres of area laid on each other; the moving surface turned by the 24 turns that lay its principal axes on those of the
//! other and by 48 more spread over all rotations; from each a short fine alignment on few samples; the best by trimmed distance goes on.
//! Limits: both surfaces must show much the same part of the body; a symmetric body has several equally good places.

use super::fine::{Fit, Sampled, refine};
use crate::eigen::symmetric;
use crate::motion::Motion;
use crate::solid::{ShapeError, finite};
use crate::surface::Surface;
use crate::vector::{V, add, cross, dot, norm, scale, sub};
use rayon::prelude::*;

/// The motion that lays places `moving` on their partners `fixed`, and the root mean square of what is left. Three pairs or more, not in a line.
pub fn by_places(moving: &[[f64; 3]], fixed: &[[f64; 3]]) -> Result<(Motion, f64), ShapeError> {
    let n = moving.len();
    if n != fixed.len() || n < 3 {
        let expected = "three pairs or more, as many places on one surface as on the other";
        return Err(ShapeError::OutOfRange { quantity: "picked places", found: n.min(fixed.len()) as f64, expected });
    }
    for p in moving.iter().chain(fixed) {
        finite("picked place", *p)?;
    }
    for (set, name) in [(moving, "the moving picked places"), (fixed, "the fixed picked places")] {
        let wide = spread(set);
        if wide[1] <= 1e-8 * wide[0] {
            return Err(ShapeError::NoDirection(name));
        }
    }
    let middle = |set: &[V]| scale(set.iter().fold([0.0; 3], |m, p| add(m, *p)), 1.0 / set.len() as f64);
    let (a, b) = (middle(moving), middle(fixed));
    let mut s = [[0.0; 3]; 3];
    for (p, q) in moving.iter().zip(fixed) {
        let (p, q) = (sub(*p, a), sub(*q, b));
        for (row, x) in s.iter_mut().zip(p) {
            *row = add(*row, scale(q, x));
        }
    }
    let (d, e) = (s[1][2] - s[2][1], s[2][0] - s[0][2]);
    let f = s[0][1] - s[1][0];
    let horn = [
        [s[0][0] + s[1][1] + s[2][2], d, e, f],
        [d, s[0][0] - s[1][1] - s[2][2], s[0][1] + s[1][0], s[2][0] + s[0][2]],
        [e, s[0][1] + s[1][0], s[1][1] - s[0][0] - s[2][2], s[1][2] + s[2][1]],
        [f, s[2][0] + s[0][2], s[1][2] + s[2][1], s[2][2] - s[0][0] - s[1][1]],
    ];
    let rows = rotation(symmetric(horn).1[0]);
    let turned = Motion::of_rows(rows, [0.0; 3]);
    let motion = Motion::of_rows(rows, sub(b, turned.apply(a)));
    let square: f64 = moving
        .iter()
        .zip(fixed)
        .map(|(p, q)| {
            let off = sub(motion.apply(*p), *q);
            dot(off, off)
        })
        .sum();
    Ok((motion, (square / n as f64).sqrt()))
}

/// Rotation of a unit quaternion (w, x, y, z).
pub(super) fn rotation([w, x, y, z]: [f64; 4]) -> [[f64; 3]; 3] {
    [
        [w * w + x * x - y * y - z * z, 2.0 * (x * y - w * z), 2.0 * (x * z + w * y)],
        [2.0 * (x * y + w * z), w * w - x * x + y * y - z * z, 2.0 * (y * z - w * x)],
        [2.0 * (x * z - w * y), 2.0 * (y * z + w * x), w * w - x * x - y * y + z * z],
    ]
}

/// Eigenvalues of the scatter of places.
fn spread(set: &[V]) -> [f64; 3] {
    scatter(set.iter().map(|p| (*p, 1.0))).1.0
}

type Axes = ([f64; 3], [V; 3]);

/// Centre and principal axes of weighted places.
fn scatter(set: impl Iterator<Item = (V, f64)> + Clone) -> (V, Axes) {
    let whole: f64 = set.clone().map(|x| x.1).sum();
    let centre = scale(set.clone().fold([0.0; 3], |m, (p, w)| add(m, scale(p, w))), 1.0 / whole);
    let mut m = [[0.0; 3]; 3];
    for (p, w) in set {
        let d = sub(p, centre);
        for (row, x) in m.iter_mut().zip(d) {
            *row = add(*row, scale(d, x * w));
        }
    }
    (centre, symmetric(m))
}

/// A motion that lays `moving` roughly on `fixed` by their shapes. Errors when a surface has no area.
pub fn by_shape(moving: &Surface, fixed: &Surface) -> Result<Motion, ShapeError> {
    let few = Sampled::of(moving, 250)?;
    let of = |s: &Surface| -> Result<(V, Axes), ShapeError> {
        let samples = Sampled::of(s, 4000)?;
        Ok(scatter(samples.places.into_iter().map(|p| (p, 1.0)).collect::<Vec<_>>().into_iter()))
    };
    let ((a, (_, from)), (b, (_, to))) = (of(moving)?, of(fixed)?);
    let mut turns = axis_turns(right_handed(from), right_handed(to));
    turns.extend(spread_turns(48));
    let tolerance = 0.02 * fixed.bound().diagonal();
    let short = Fit { tolerance, steps: 12, ..Fit::default() };
    let mut tried: Vec<(f64, Motion)> = turns
        .par_iter()
        .map(|rows| {
            let turned = Motion::of_rows(*rows, [0.0; 3]);
            let start = Motion::of_rows(*rows, sub(b, turned.apply(a)));
            let motion = refine(&few, fixed, start, &short);
            (few.trimmed(fixed, &motion), motion)
        })
        .collect();
    tried.sort_by(|x, y| x.0.total_cmp(&y.0));
    let more = Sampled::of(moving, 1500)?;
    let longer = Fit { steps: 40, ..short };
    let best = tried
        .par_iter()
        .take(4)
        .map(|(_, start)| {
            let motion = refine(&more, fixed, *start, &longer);
            (more.trimmed(fixed, &motion), motion)
        })
        .collect::<Vec<_>>()
        .into_iter()
        .min_by(|x, y| x.0.total_cmp(&y.0));
    Ok(best.map_or_else(Motion::none, |x| x.1))
}

fn right_handed(axes: [V; 3]) -> [V; 3] {
    [axes[0], axes[1], cross(axes[0], axes[1])]
}

/// The 24 rotations that lay one set of axes on another.
fn axis_turns(from: [V; 3], to: [V; 3]) -> Vec<[[f64; 3]; 3]> {
    let mut out = Vec::with_capacity(24);
    for order in [[0, 1, 2], [1, 2, 0], [2, 0, 1], [0, 2, 1], [2, 1, 0], [1, 0, 2]] {
        for signs in 0..4 {
            let one = if signs & 1 == 0 { 1.0 } else { -1.0 };
            let two = if signs & 2 == 0 { 1.0 } else { -1.0 };
            let (x, y) = (scale(to[order[0]], one), scale(to[order[1]], two));
            let new = [x, y, cross(x, y)];
            // Sum over axes of new x from^T.
            out.push(std::array::from_fn(|i| std::array::from_fn(|j| (0..3).map(|k| new[k][i] * from[k][j]).sum())));
        }
    }
    out
}

/// Rotations spread over all of them: a Weyl sequence through the map of Shoemake 1992 (Graphics gems III, 124-132, memory).
fn spread_turns(count: usize) -> Vec<[[f64; 3]; 3]> {
    let tau = 2.0 * std::f64::consts::PI;
    (1..=count)
        .map(|i| {
            let at = |k: f64| (i as f64 * k).fract();
            let (u, v, w) = (at(0.8191725134), at(0.6710436067), at(0.5497004779));
            let (r, s) = ((1.0 - u).sqrt(), u.sqrt());
            let q = [s * (tau * w).cos(), r * (tau * v).sin(), r * (tau * v).cos(), s * (tau * w).sin()];
            let n = (q.iter().map(|x| x * x).sum::<f64>()).sqrt();
            debug_assert!((n - 1.0).abs() < 1e-9 && norm([q[0], q[1], q[2]]) <= 1.0 + 1e-9);
            rotation(q.map(|x| x / n))
        })
        .collect()
}

//! A simple polygon in space parted into triangles.
//!
//! Seen along its vector area; corners whose triangle turns the right way and holds no other corner are cut off (ear clipping, Meisters 1975, Amer
//! Math Monthly 82:648-651, doi 10.1080/00029890.1975.11993898, memory), the one nearest to equal angles first. A polygon that crosses itself is fanned
//! from what is left.

use crate::vector::{V, add, cross, dot, norm, scale, sub, unit};

/// Triangles as numbers of corners, in the polygon's own direction.
pub(crate) fn triangulate(corners: &[V]) -> Vec<[usize; 3]> {
    match corners.len() {
        0..=2 => return Vec::new(),
        3 => return vec![[0, 1, 2]],
        _ => {}
    }
    let n = corners.len();
    let area = (1..n - 1)
        .fold([0.0; 3], |sum, k| add(sum, cross(sub(corners[k], corners[0]), sub(corners[k + 1], corners[0]))));
    let Some(normal) = unit(area) else { return (1..n - 1).map(|k| [0, k, k + 1]).collect() };
    let mut left: Vec<usize> = (0..n).collect();
    let mut triangles = Vec::with_capacity(n - 2);
    while left.len() > 3 {
        let m = left.len();
        let ear = |k: usize| [left[(k + m - 1) % m], left[k], left[(k + 1) % m]];
        let score = |k: usize| {
            let t = ear(k);
            quality(t.map(|i| corners[i]), normal).filter(|_| is_empty(corners, &left, t, normal))
        };
        let best =
            (0..m).filter_map(|k| score(k).map(|s| (s, k))).max_by(|a, b| a.0.total_cmp(&b.0).then(b.1.cmp(&a.1)));
        let at = best.map_or(0, |b| b.1);
        triangles.push(ear(at));
        left.remove(at);
    }
    triangles.push([left[0], left[1], left[2]]);
    triangles
}

/// Area over square of the longest edge; none if the corner turns the wrong way.
fn quality([a, b, c]: [V; 3], normal: V) -> Option<f64> {
    let twice = dot(cross(sub(b, a), sub(c, a)), normal);
    let longest = [sub(b, a), sub(c, b), sub(a, c)].map(norm).into_iter().fold(0.0, f64::max);
    (twice > 0.0 && longest > 0.0).then(|| twice / (longest * longest))
}

fn is_empty(corners: &[V], left: &[usize], [i, j, k]: [usize; 3], normal: V) -> bool {
    let side = |p: V, q: V, r: V| dot(cross(sub(q, p), sub(r, p)), normal);
    let (a, b, c) = (corners[i], corners[j], corners[k]);
    left.iter().filter(|n| ![i, j, k].contains(n)).all(|n| {
        let p = corners[*n];
        !(side(a, b, p) >= 0.0 && side(b, c, p) >= 0.0 && side(c, a, p) >= 0.0)
    })
}

/// Middle of places.
pub(super) fn middle(points: impl ExactSizeIterator<Item = V>) -> V {
    let n = points.len().max(1) as f64;
    scale(points.fold([0.0; 3], add), 1.0 / n)
}

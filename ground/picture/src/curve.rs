//! The smooth closed curve through places: uniform Catmull-Rom (Catmull and Rom 1974, Computer Aided Geometric Design,
//! 317-326, doi 10.1016/B978-0-12-079050-0.50020-5, from memory) as cubic Bezier pieces, whose inner control places lie one sixth of the
//! neighbours' distance from the corner.

use crate::Spot;

/// One cubic piece: first control place, second control place, end.
pub(crate) type Piece = [Spot; 3];

/// The pieces of the closed curve that starts at the first place.
pub(crate) fn pieces(points: &[Spot]) -> Vec<Piece> {
    let n = points.len();
    (0..n)
        .map(|i| {
            let [before, from, to, after] = [n + i - 1, i, i + 1, i + 2].map(|j| points[j % n]);
            let control = |p: Spot, a: Spot, b: Spot, sign: f64| {
                [p[0] + sign * (b[0] - a[0]) / 6.0, p[1] + sign * (b[1] - a[1]) / 6.0]
            };
            [control(from, before, to, 1.0), control(to, from, after, -1.0), to]
        })
        .collect()
}

/// Places along the closed curve, eight a piece.
pub(crate) fn flattened(points: &[Spot]) -> Vec<Spot> {
    let mut out = Vec::with_capacity(8 * points.len());
    let Some(mut from) = points.first().copied() else { return out };
    for [a, b, to] in pieces(points) {
        for i in 0..8 {
            let t = f64::from(i) / 8.0;
            let s = 1.0 - t;
            let at =
                |k: usize| s * s * s * from[k] + 3.0 * s * s * t * a[k] + 3.0 * s * t * t * b[k] + t * t * t * to[k];
            out.push([at(0), at(1)]);
        }
        from = to;
    }
    out
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_curve_runs_through_its_places() {
        let square = [[0.0, 0.0], [1.0, 0.0], [1.0, 1.0], [0.0, 1.0]];
        let line = flattened(&square);
        for (i, corner) in square.iter().enumerate() {
            assert_eq!(line[8 * i], *corner);
        }
    }
}

//! Interpolation by cubics that never overshoot their neighbours (Fritsch, Carlson 1980, SIAM J Numer Anal 17:238-246, doi
//! 10.1137/0717021; weighted harmonic mean of secants for the slopes).

/// A curve through points at rising places; end values held beyond the ends.
pub(crate) struct Curve<'a> {
    xs: &'a [f64],
    ys: &'a [f64],
    slopes: Vec<f64>,
}

impl<'a> Curve<'a> {
    /// Through as many places as values, at least two, places rising (held by the callers' checks).
    pub(crate) fn through(xs: &'a [f64], ys: &'a [f64]) -> Self {
        Self { xs, ys, slopes: monotone_slopes(xs, ys) }
    }

    pub(crate) fn at(&self, x: f64) -> f64 {
        let (xs, ys) = (self.xs, self.ys);
        let last = xs.len() - 1;
        if x <= xs[0] {
            return ys[0];
        }
        if x >= xs[last] {
            return ys[last];
        }
        let j = xs.partition_point(|v| *v <= x).clamp(1, last) - 1;
        let h = xs[j + 1] - xs[j];
        let t = (x - xs[j]) / h;
        let (t2, t3) = (t * t, t * t * t);
        (2.0 * t3 - 3.0 * t2 + 1.0) * ys[j]
            + (t3 - 2.0 * t2 + t) * h * self.slopes[j]
            + (3.0 * t2 - 2.0 * t3) * ys[j + 1]
            + (t3 - t2) * h * self.slopes[j + 1]
    }
}

/// Slopes: harmonic means of neighbouring secants, nought at a turn.
fn monotone_slopes(xs: &[f64], ys: &[f64]) -> Vec<f64> {
    let n = xs.len();
    let secant: Vec<f64> = (0..n - 1).map(|i| (ys[i + 1] - ys[i]) / (xs[i + 1] - xs[i])).collect();
    (0..n)
        .map(|i| match i {
            0 => secant[0],
            i if i == n - 1 => secant[n - 2],
            i if secant[i - 1] * secant[i] <= 0.0 => 0.0,
            i => {
                let (h0, h1) = (xs[i] - xs[i - 1], xs[i + 1] - xs[i]);
                let (w0, w1) = (2.0 * h1 + h0, h1 + 2.0 * h0);
                (w0 + w1) / (w0 / secant[i - 1] + w1 / secant[i])
            }
        })
        .collect()
}

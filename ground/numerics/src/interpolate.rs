//! Interpolation in a table.

/// Linear between the points (x ascending); beyond the ends the end values. `NaN` for an empty table.
pub fn linear(xs: &[f64], ys: &[f64], x: f64) -> f64 {
    let n = xs.len().min(ys.len());
    if n == 0 {
        return f64::NAN;
    }
    if x <= xs[0] {
        return ys[0];
    }
    if x >= xs[n - 1] {
        return ys[n - 1];
    }
    let upper = xs[..n].partition_point(|&v| v <= x);
    let (x0, x1) = (xs[upper - 1], xs[upper]);
    ys[upper - 1] + (x - x0) / (x1 - x0) * (ys[upper] - ys[upper - 1])
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn between_and_beyond() {
        let (xs, ys) = ([0.0, 1.0, 3.0], [0.0, 2.0, 4.0]);
        assert_eq!(linear(&xs, &ys, 2.0), 3.0);
        assert_eq!(linear(&xs, &ys, -1.0), 0.0);
        assert_eq!(linear(&xs, &ys, 9.0), 4.0);
        assert!(linear(&[], &[], 0.0).is_nan());
    }
}

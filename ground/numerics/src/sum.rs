//! Sums whose rounding does not grow with their length, in the order given.

/// Compensated sum in the order given (Neumaier 1974, ZAMM 54:39-51, doi 10.1002/zamm.19740540106).
pub fn compensated(values: impl IntoIterator<Item = f64>) -> f64 {
    let (mut total, mut lost) = (0.0_f64, 0.0_f64);
    for x in values {
        let next = total + x;
        lost += if total.abs() >= x.abs() { (total - next) + x } else { (x - next) + total };
        total = next;
    }
    // An infinite total makes its compensation meaningless.
    if lost.is_nan() { total } else { total + lost }
}

/// ln of the sum of exponentials, without overflow; minus infinity for no values.
pub fn log_sum_exp(values: &[f64]) -> f64 {
    let top = values.iter().copied().fold(f64::NEG_INFINITY, f64::max);
    if top.is_infinite() {
        return top;
    }
    top + compensated(values.iter().map(|v| (v - top).exp())).ln()
}

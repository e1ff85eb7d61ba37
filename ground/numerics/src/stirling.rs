//! Stirling's remainder and the deviance term: the two pieces from which gamma, Poisson, beta and binomial densities keep full
//! relative accuracy at any size.
//!
//! After Loader 2000, "saddle-point" evaluation of the binomial and Poisson probabilities, with a recurrence of our own below 10.

use crate::normal::LN_SQRT_2PI;

/// ln Gamma(z + 1) - (z + 1/2) ln z + z - ln sqrt(2 pi), z > 0. Absolute error below 2e-15.
pub(crate) fn remainder(z: f64) -> f64 {
    if z >= 10.0 {
        return series(z);
    }
    let mut shifted = z;
    let mut total = 0.0;
    while shifted < 10.0 {
        total += (shifted + 0.5) * shifted.recip().ln_1p() - 1.0;
        shifted += 1.0;
    }
    total + series(shifted)
}

/// The asymptotic series, z >= 10 (DLMF 5.11.1).
fn series(z: f64) -> f64 {
    const C: [f64; 9] = [
        1.0 / 12.0,
        -1.0 / 360.0,
        1.0 / 1260.0,
        -1.0 / 1680.0,
        1.0 / 1188.0,
        -691.0 / 360360.0,
        1.0 / 156.0,
        -3617.0 / 122400.0,
        43867.0 / 244188.0,
    ];
    let w = 1.0 / (z * z);
    C.iter().rev().fold(0.0, |s, &c| s * w + c) / z
}

/// x ln(x/m) + m - x for x >= 0, m > 0: half the unit deviance of a Poisson count. No cancellation near x = m.
pub(crate) fn deviance(x: f64, m: f64) -> f64 {
    if x == 0.0 {
        return m;
    }
    if (x - m).abs() < 0.3 * (x + m) {
        let v = (x - m) / (x + m);
        let mut s = (x - m) * v;
        let mut term = 2.0 * x * v;
        for j in 1..1000 {
            term *= v * v;
            let next = s + term / f64::from(2 * j + 1);
            if next == s {
                break;
            }
            s = next;
        }
        return s;
    }
    x * (x / m).ln() + m - x
}

/// ln of m^x e^-m / Gamma(x + 1), x >= 0, m >= 0.
pub(crate) fn ln_poisson(x: f64, m: f64) -> f64 {
    if m == 0.0 {
        return if x == 0.0 { 0.0 } else { f64::NEG_INFINITY };
    }
    if x == 0.0 {
        return -m;
    }
    -remainder(x) - deviance(x, m) - LN_SQRT_2PI - 0.5 * x.ln()
}

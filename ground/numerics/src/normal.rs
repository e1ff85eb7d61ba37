//! The standard normal distribution, tails included.
//!
//! cdf by erfc (`libm`); quantile by Wichura's rational functions (algorithm AS 241, PPND16, 1988, J R Stat Soc C 37:477-484,
//! doi 10.2307/2347330), relative error about 1e-16.

use std::f64::consts::{FRAC_1_SQRT_2, LN_2, PI};

/// Density at x.
pub fn pdf(x: f64) -> f64 {
    (-0.5 * x * x).exp() / (2.0 * PI).sqrt()
}

/// Chance of a value at most x.
pub fn cdf(x: f64) -> f64 {
    0.5 * libm::erfc(-x * FRAC_1_SQRT_2)
}

/// Chance of a value above x.
pub fn sf(x: f64) -> f64 {
    cdf(-x)
}

/// ln of [`cdf`]; below -35 by the asymptotic series of Mills' ratio (Abramowitz, Stegun 26.2.12).
pub fn log_cdf(x: f64) -> f64 {
    if x > -35.0 {
        return cdf(x).ln();
    }
    let z = 1.0 / (x * x);
    let series = 1.0 - z * (1.0 - 3.0 * z * (1.0 - 5.0 * z * (1.0 - 7.0 * z)));
    -0.5 * x * x - (-x).ln() - 0.5 * (2.0 * PI).ln() + series.ln()
}

/// ln of the density.
pub fn log_pdf(x: f64) -> f64 {
    -0.5 * (x * x + LN_2 + PI.ln())
}

/// The value below which a share `p` lies; minus and plus infinity at 0 and 1.
pub fn quantile(p: f64) -> f64 {
    if !(0.0..=1.0).contains(&p) {
        return f64::NAN;
    }
    let q = p - 0.5;
    if q.abs() <= 0.425 {
        let r = 0.180625 - q * q;
        return q * ratio(r, &CENTRE.0, &CENTRE.1);
    }
    let tail = p.min(1.0 - p);
    if tail == 0.0 {
        return q.signum() * f64::INFINITY;
    }
    let r = (-tail.ln()).sqrt();
    let x = if r <= 5.0 { ratio(r - 1.6, &MIDDLE.0, &MIDDLE.1) } else { ratio(r - 5.0, &FAR.0, &FAR.1) };
    q.signum() * x
}

/// Ratio of two polynomials, lowest coefficient first.
fn ratio(x: f64, numerator: &[f64; 8], denominator: &[f64; 8]) -> f64 {
    let horner = |c: &[f64; 8]| c.iter().rev().fold(0.0, |sum, a| sum * x + a);
    horner(numerator) / horner(denominator)
}

type Rational = ([f64; 8], [f64; 8]);

const CENTRE: Rational = (
    [
        3.3871328727963666080,
        133.14166789178437745,
        1971.5909503065514427,
        13731.693765509461125,
        45921.953931549871457,
        67265.770927008700853,
        33430.575583588128105,
        2509.0809287301226727,
    ],
    [
        1.0,
        42.313330701600911252,
        687.18700749205790830,
        5394.1960214247511077,
        21213.794301586595867,
        39307.895800092710610,
        28729.085735721942674,
        5226.4952788528545610,
    ],
);
const MIDDLE: Rational = (
    [
        1.42343711074968357734,
        4.63033784615654529590,
        5.76949722146069140550,
        3.64784832476320460504,
        1.27045825245236838258,
        0.241780725177450611770,
        0.0227238449892691845833,
        7.74545014278341407640e-4,
    ],
    [
        1.0,
        2.05319162663775882187,
        1.67638483018380384940,
        0.689767334985100004550,
        0.148103976427480074590,
        0.0151986665636164571966,
        5.47593808499534494600e-4,
        1.05075007164441684324e-9,
    ],
);
const FAR: Rational = (
    [
        6.65790464350110377720,
        5.46378491116411436990,
        1.78482653991729133580,
        0.296560571828504891230,
        0.0265321895265761230930,
        0.00124266094738807843860,
        2.71155556874348757815e-5,
        2.01033439929228813265e-7,
    ],
    [
        1.0,
        0.599832206555887937690,
        0.136929880922735805310,
        0.0148753612908506148525,
        7.86869131145613259100e-4,
        1.84631831751005468180e-5,
        1.42151175831644588870e-7,
        2.04426310338993978564e-15,
    ],
);

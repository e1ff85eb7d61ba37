//! The gamma function and its incomplete forms.
//!
//! ln Gamma from `libm`. Regularised P(a, x) by its series below x = a + 1 and Q(a, x) by the continued fraction above
//! (modified Lentz; Abramowitz, Stegun 6.5.29 and 6.5.31); for a > 1e4 and x near a by the uniform expansion of Temme (1979,
//! SIAM J Math Anal 10:757-766, doi 10.1137/0510071). Quantile by Halley steps on the better-conditioned of P and Q.

/// ln |Gamma(x)|.
pub fn ln_gamma(x: f64) -> f64 {
    libm::lgamma(x)
}

/// Derivative of ln Gamma, x > 0, by recurrence and the asymptotic series (Abramowitz, Stegun 6.3.18).
pub fn digamma(mut x: f64) -> f64 {
    if x <= 0.0 {
        return f64::NAN;
    }
    let mut shift = 0.0;
    while x < 10.0 {
        shift -= 1.0 / x;
        x += 1.0;
    }
    let z = 1.0 / (x * x);
    let series = z
        * (1.0 / 12.0
            - z * (1.0 / 120.0
                - z * (1.0 / 252.0 - z * (1.0 / 240.0 - z * (1.0 / 132.0 - z * (691.0 / 32760.0 - z / 12.0))))));
    shift + x.ln() - 0.5 / x - series
}

/// Regularised lower incomplete gamma function P(a, x): the chance of a gamma variable of shape a at most x.
pub fn p(a: f64, x: f64) -> f64 {
    pq(a, x).0
}

/// Regularised upper incomplete gamma function Q(a, x) = 1 - P(a, x), accurate where it is small.
pub fn q(a: f64, x: f64) -> f64 {
    pq(a, x).1
}

fn pq(a: f64, x: f64) -> (f64, f64) {
    if a.is_nan() || x.is_nan() || a <= 0.0 || x < 0.0 {
        return (f64::NAN, f64::NAN);
    }
    if x == 0.0 {
        return (0.0, 1.0);
    }
    if x.is_infinite() {
        return (1.0, 0.0);
    }
    if a > 1e4 && (x - a).abs() < 0.3 * a {
        return temme(a, x);
    }
    if x < a + 1.0 {
        let lower = series(a, x) * factor(a, x);
        (lower, 1.0 - lower)
    } else {
        let upper = fraction(a, x) * factor(a, x);
        (1.0 - upper, upper)
    }
}

/// x^a e^-x / Gamma(a), by Stirling's remainder for large a, where the plain form loses digits to cancellation.
fn factor(a: f64, x: f64) -> f64 {
    if a < 30.0 {
        return (a * x.ln() - x - ln_gamma(a)).exp();
    }
    let lambda = (x - a) / a;
    // mu = ln(1 + lambda) - lambda, small and negative near x = a.
    let mu = ln_1p_minus(lambda);
    (a * mu - stirling_remainder(a)).exp() * (a / (2.0 * std::f64::consts::PI)).sqrt()
}

/// ln(1 + x) - x without cancellation.
fn ln_1p_minus(x: f64) -> f64 {
    if x.abs() > 0.1 {
        return x.ln_1p() - x;
    }
    let mut term = x;
    let mut sum = 0.0;
    for k in 2..40 {
        term *= -x;
        sum += term / k as f64;
        if term.abs() < 1e-18 * sum.abs() {
            break;
        }
    }
    sum
}

/// ln Gamma(a) - [(a - 1/2) ln a - a + ln(2 pi)/2], a >= 30.
fn stirling_remainder(a: f64) -> f64 {
    let z = 1.0 / (a * a);
    (1.0 / 12.0 - z * (1.0 / 360.0 - z * (1.0 / 1260.0 - z / 1680.0))) / a
}

fn series(a: f64, x: f64) -> f64 {
    let (mut term, mut sum) = (1.0 / a, 1.0 / a);
    for n in 1..100_000 {
        term *= x / (a + n as f64);
        sum += term;
        if term < 1e-17 * sum {
            break;
        }
    }
    sum
}

fn fraction(a: f64, x: f64) -> f64 {
    const TINY: f64 = 1e-300;
    let mut b = x + 1.0 - a;
    let mut c = 1.0 / TINY;
    let mut d = 1.0 / if b.abs() < TINY { TINY } else { b };
    let mut h = d;
    for i in 1..100_000 {
        let an = -(i as f64) * (i as f64 - a);
        b += 2.0;
        d = an * d + b;
        d = 1.0 / if d.abs() < TINY { TINY } else { d };
        c = b + an / c;
        c = if c.abs() < TINY { TINY } else { c };
        let step = c * d;
        h *= step;
        if (step - 1.0).abs() < 1e-16 {
            break;
        }
    }
    h
}

/// Leading terms of Temme's uniform expansion; for a > 1e4 three terms leave a relative error below 1e-12.
fn temme(a: f64, x: f64) -> (f64, f64) {
    let lambda = (x - a) / a;
    let half = -ln_1p_minus(lambda);
    let eta = (2.0 * half).sqrt().copysign(lambda);
    let (c0, c1, c2) = if eta.abs() < 0.05 {
        let e = eta;
        (
            -1.0 / 3.0 + e * (1.0 / 12.0 + e * (-2.0 / 135.0 + e * (1.0 / 864.0 + e * (1.0 / 2835.0 - e * 139.0 / 777600.0)))),
            -1.0 / 540.0 + e * (-1.0 / 288.0 + e * (1.0 / 378.0 - e * 77.0 / 77760.0)),
            25.0 / 6048.0 - e * 139.0 / 51840.0,
        )
    } else {
        let (l, e) = (lambda, eta);
        (
            1.0 / l - 1.0 / e,
            1.0 / e.powi(3) - 1.0 / l.powi(3) - 1.0 / (l * l) - 1.0 / (12.0 * l),
            -3.0 / e.powi(5)
                + 3.0 / l.powi(5)
                + 5.0 / l.powi(4)
                + 25.0 / (12.0 * l.powi(3))
                + 1.0 / (12.0 * l * l)
                + 1.0 / (288.0 * l),
        )
    };
    let rest = (-a * half).exp() / (2.0 * std::f64::consts::PI * a).sqrt() * (c0 + (c1 + c2 / a) / a);
    let y = eta * (a / 2.0).sqrt();
    let upper = 0.5 * libm::erfc(y) + rest;
    let lower = 0.5 * libm::erfc(-y) - rest;
    (lower, upper)
}

/// The value below which a share `prob` of a gamma variable of the given shape (scale 1) lies.
pub fn quantile(shape: f64, prob: f64) -> f64 {
    if shape.is_nan() || shape <= 0.0 || !(0.0..=1.0).contains(&prob) {
        return f64::NAN;
    }
    if prob == 0.0 {
        return 0.0;
    }
    if prob == 1.0 {
        return f64::INFINITY;
    }
    // Start: Wilson-Hilferty (1931) for moderate shapes, the leading term of the series in the low tail.
    let z = crate::normal::quantile(prob);
    let wh = 1.0 - 1.0 / (9.0 * shape) + z / (3.0 * shape.sqrt());
    let low = ((prob.ln() + ln_gamma(shape + 1.0)) / shape).exp();
    let start = if wh > 0.2 && shape > 0.5 { shape * wh.powi(3) } else { low };
    crate::root::increasing(
        start.max(1e-300),
        0.0,
        f64::INFINITY,
        |x| if prob < 0.5 { p(shape, x) - prob } else { (1.0 - prob) - q(shape, x) },
        |x| ((shape - 1.0) * x.ln() - x - ln_gamma(shape)).exp(),
    )
}

//! Special functions against 50-digit values (`tests/reference/tables.py`, mpmath 1.3.0), tails included.
//!
//! Errors are relative, except where a function passes through zero at an inner point (said there). Tolerances are what the
//! method promises in its module head.

#![allow(clippy::unwrap_used)] // a helper of tests fails by panicking

use numerics::{beta, chi_square, erf, gamma, normal, student_t};

fn rows<const N: usize>(text: &str) -> Vec<[f64; N]> {
    let rows: Vec<[f64; N]> = text
        .lines()
        .skip(1)
        .map(|line| {
            let values: Vec<f64> = line.split(',').map(|v| v.parse().unwrap()).collect();
            values.try_into().unwrap()
        })
        .collect();
    assert!(rows.len() > 20, "the table is there");
    rows
}

#[track_caller]
fn close(what: &str, found: f64, expected: f64, tolerance: f64) {
    // Below 1e-305 doubles lose digits of their own.
    if expected.abs() < 1e-305 && found.abs() < 1e-304 {
        return;
    }
    if expected.is_infinite() || expected.abs() > 1e308 {
        assert!(found.abs() > 1e307, "{what}: {found} for {expected}");
        return;
    }
    let error = (found - expected).abs();
    assert!(
        error <= tolerance * expected.abs(),
        "{what}: {found:e} for {expected:e}, relative error {:e}",
        error / expected.abs()
    );
}

#[test]
fn error_functions() {
    for [x, e, c, cx] in rows(include_str!("reference/erf.csv")) {
        close(&format!("erf({x})"), erf::erf(x), e, 1e-15);
        close(&format!("erfc({x})"), erf::erfc(x), c, 2e-15);
        close(&format!("erfcx({x})"), erf::erfcx(x), cx, 2e-15);
    }
}

#[test]
fn normal_distribution() {
    for [x, c, s, l] in rows(include_str!("reference/normal.csv")) {
        close(&format!("cdf({x})"), normal::cdf(x), c, 2e-15);
        close(&format!("sf({x})"), normal::sf(x), s, 2e-15);
        close(&format!("log_cdf({x})"), normal::log_cdf(x), l, 3e-15);
    }
    for [p, x] in rows(include_str!("reference/normal_quantile.csv")) {
        // Relative to max(1, |x|): near p = 1/2 the quantile itself is near 0; near p = 1 the double p limits it.
        let error = (normal::quantile(p) - x).abs() / x.abs().max(1.0);
        assert!(error < 1e-15, "quantile({p}) = {}, not {x}", normal::quantile(p));
    }
}

#[test]
fn gamma_logarithm_and_derivatives() {
    for [x, l, d, t] in rows(include_str!("reference/ln_gamma.csv")) {
        // ln Gamma vanishes at 1 and 2; it keeps relative accuracy there, but not at the negative zeros.
        let tolerance = if x > 0.0 { 1e-15 } else { 1e-14 };
        close(&format!("ln_gamma({x})"), gamma::ln_gamma(x), l, tolerance);
        let error = (gamma::digamma(x) - d).abs() / d.abs().max(1.0);
        assert!(error < 3e-15, "digamma({x}) off by {error:e}");
        if x > 0.0 {
            close(&format!("trigamma({x})"), gamma::trigamma(x), t, 2e-15);
        }
    }
}

#[test]
fn incomplete_gamma() {
    for [a, x, p, q] in rows(include_str!("reference/gamma_pq.csv")) {
        // exp of a large exponent magnifies the rounding of the exponent.
        close(&format!("P({a}, {x})"), gamma::p(a, x), p, 2e-14_f64.max(5e-16 * p.ln().abs()));
        // For shapes as small as 1e-10 the tail is of that size itself and still keeps its digits.
        close(&format!("Q({a}, {x})"), gamma::q(a, x), q, 2e-14_f64.max(5e-16 * q.ln().abs()));
    }
}

#[test]
fn gamma_quantile_undoes_the_distribution() {
    for [a, x, p, q] in rows(include_str!("reference/gamma_pq.csv")) {
        // dx/x = dP / (x density): where P is flat the double P does not determine x, so the error is judged through P.
        if p <= 0.5 {
            let back = gamma::quantile(a, p);
            close(&format!("P of quantile({a}, {p})"), gamma::p(a, back), p, 1e-12 * a.max(1.0));
            if a > 0.05 && a < 1e3 {
                close(&format!("quantile({a}, {p})"), back, x, 2e-12);
            }
        } else {
            let back = gamma::quantile_upper(a, q);
            close(&format!("Q of quantile_upper({a}, {q})"), gamma::q(a, back), q, 1e-12 * a.max(1.0));
        }
    }
    close("chi-square 0.95 at 3 df", chi_square::quantile(0.95, 3.0), 7.8147279032511792, 1e-13);
}

#[test]
fn incomplete_beta() {
    for [a, b, x, lower, upper] in rows(include_str!("reference/beta.csv")) {
        let what = format!("({a}, {b}, {x})");
        close(&format!("I{what}"), beta::regularised(a, b, x), lower, 1e-12);
        close(&format!("1 - I{what}"), beta::complement(a, b, x), upper, 1e-12);
    }
}

#[test]
fn beta_quantile_undoes_the_distribution() {
    for [a, b, x, lower, upper] in rows(include_str!("reference/beta.csv")) {
        if lower <= 0.5 {
            close(&format!("quantile({a}, {b}, {lower})"), beta::quantile(a, b, lower), x, 3e-11);
        } else if upper > 1e-3 {
            // Beyond, the double nearest to p = 1 - upper no longer determines x.
            close(&format!("1 - quantile({a}, {b}, {lower})"), 1.0 - beta::quantile(a, b, lower), 1.0 - x, 1e-9);
        }
    }
}

#[test]
fn students_t() {
    for [df, t, c, s] in rows(include_str!("reference/student_t.csv")) {
        close(&format!("cdf({t}; {df})"), student_t::cdf(t, df), c, 1e-14);
        close(&format!("sf({t}; {df})"), student_t::sf(t, df), s, 1e-12);
        close(&format!("quantile({s}; {df})"), -student_t::quantile(s, df), t, 1e-11);
    }
}

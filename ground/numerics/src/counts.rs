//! Log-probabilities of counts: Poisson and binomial, full relative accuracy of the probability at any size (Loader's form, see
//! the source of `stirling`).

use crate::stirling;

/// ln of the Poisson probability of `count` at `mean` >= 0 (and its continuation to real counts).
pub fn ln_poisson(count: f64, mean: f64) -> f64 {
    if count < 0.0 || mean < 0.0 || count.is_nan() || mean.is_nan() {
        return f64::NAN;
    }
    stirling::ln_poisson(count, mean)
}

/// ln of the binomial probability of `count` in `trials` at success probability `p` (and its continuation to real counts).
pub fn ln_binomial(count: f64, trials: f64, p: f64) -> f64 {
    let failures = trials - count;
    if count.is_nan() || p.is_nan() || count < 0.0 || failures < 0.0 || !(0.0..=1.0).contains(&p) {
        return f64::NAN;
    }
    let certain = |holds: bool| if holds { 0.0 } else { f64::NEG_INFINITY };
    if p == 0.0 {
        return certain(count == 0.0);
    }
    if p == 1.0 {
        return certain(failures == 0.0);
    }
    if count == 0.0 {
        return trials * (-p).ln_1p();
    }
    if failures == 0.0 {
        return trials * p.ln();
    }
    stirling::remainder(trials)
        - stirling::remainder(count)
        - stirling::remainder(failures)
        - stirling::deviance(count, trials * p)
        - stirling::deviance(failures, trials * (1.0 - p))
        + 0.5 * (trials / count).ln()
        - 0.5 * failures.ln()
        - crate::normal::LN_SQRT_2PI
}

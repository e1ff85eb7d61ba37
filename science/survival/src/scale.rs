//! Intervals of a probability on a scale where its estimate is nearer to normal.
//!
//! For an estimate p with standard error s and z the normal quantile, with e = s/p the error of log p: `Plain` p -+ z s; `Log` p exp(-+ z e);
//! `LogLog` exp(-exp(log(-log p) -+ z e/log p)); `Logit` logit p -+ z e/(1-p); `Arcsine` sin^2(asin(sqrt p) -+ z e sqrt(p/(1-p))/2). All are cut to 0..1.
//! Sources: Kalbfleisch, Prentice 2002, The Statistical Analysis of Failure Time Data, 2nd ed., section 1.4; Borgan, Liestol 1990, Scand
//! J Stat 17:35-41. Where p is 0 or 1, or no error is known, there is no interval (`None`): zero width would claim certainty.

use serde::Serialize;

/// Scale on which an interval is symmetric.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum Scale {
    /// The probability itself.
    Plain,
    /// Its logarithm.
    Log,
    /// The complementary log-log of its complement: stays within 0..1 and suits small numbers best.
    #[default]
    LogLog,
    /// Its log odds.
    Logit,
    /// Arcsine of its square root.
    Arcsine,
}

/// Lower and upper limit.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct Limits {
    /// Lower.
    pub low: f64,
    /// Upper.
    pub high: f64,
}

impl Scale {
    /// Limits at a level (0.95 for 95 %) of a probability with its standard error.
    pub fn limits(self, p: f64, se: f64, level: f64) -> Option<Limits> {
        if !(p > 0.0 && p < 1.0 && se.is_finite() && se >= 0.0) {
            return None;
        }
        let z = numerics::normal::quantile(0.5 + level / 2.0);
        let e = se / p;
        let (low, high) = match self {
            Self::Plain => (p - z * se, p + z * se),
            Self::Log => (p * (-z * e).exp(), p * (z * e).exp()),
            Self::LogLog => {
                let (x, d) = ((-p.ln()).ln(), z * e / p.ln());
                ((-(x - d).exp()).exp(), (-(x + d).exp()).exp())
            }
            Self::Logit => {
                let (x, d) = ((p / (1.0 - p)).ln(), z * e / (1.0 - p));
                (1.0 / (1.0 + (d - x).exp()), 1.0 / (1.0 + (-x - d).exp()))
            }
            Self::Arcsine => {
                let (x, d) = (p.sqrt().asin(), 0.5 * z * e * (p / (1.0 - p)).sqrt());
                let quarter = std::f64::consts::FRAC_PI_2;
                ((x - d).max(0.0).sin().powi(2), (x + d).min(quarter).sin().powi(2))
            }
        };
        Some(Limits { low: low.max(0.0), high: high.min(1.0) })
    }
}

//! Laws of the standardised log time z = (log t - x'b)/s.

use super::Span;
use super::jet::Jet;
use numerics::normal;
use serde::Serialize;

/// Law of the time.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum Law {
    /// Weibull: shape 1/s, scale exp(x'b).
    Weibull,
    /// Exponential: Weibull of shape 1, s is not fitted.
    Exponential,
    /// Log-normal.
    LogNormal,
    /// Log-logistic.
    LogLogistic,
}

impl Law {
    /// Whether the scale s is fitted.
    pub fn has_scale(self) -> bool {
        self != Self::Exponential
    }

    /// Survival at z.
    pub fn survival(self, z: f64) -> f64 {
        self.log_survival(z).0.exp()
    }

    /// z by which a share has failed.
    pub fn quantile(self, share: f64) -> f64 {
        match self {
            Self::Weibull | Self::Exponential => (-(-share).ln_1p()).ln(),
            Self::LogNormal => normal::quantile(share),
            Self::LogLogistic => (share / (1.0 - share)).ln(),
        }
    }

    /// log S with first and second derivative.
    fn log_survival(self, z: f64) -> (f64, f64, f64) {
        match self {
            Self::Weibull | Self::Exponential => {
                let e = z.exp();
                (-e, -e, -e)
            }
            Self::LogNormal => {
                let log = normal::log_sf(z);
                let h = (normal::log_pdf(z) - log).exp();
                (log, -h, -h * (h - z))
            }
            Self::LogLogistic => {
                let p = 1.0 / (1.0 + (-z).exp());
                (-soft_plus(z), -p, -p * (1.0 - p))
            }
        }
    }

    /// log density of z with first and second derivative.
    fn log_density(self, z: f64) -> (f64, f64, f64) {
        match self {
            Self::Weibull | Self::Exponential => {
                let e = z.exp();
                (z - e, 1.0 - e, -e)
            }
            Self::LogNormal => (normal::log_pdf(z), -z, -1.0),
            Self::LogLogistic => {
                let p = 1.0 / (1.0 + (-z).exp());
                (z - 2.0 * soft_plus(z), 1.0 - 2.0 * p, -2.0 * p * (1.0 - p))
            }
        }
    }

    /// Log likelihood of a row with derivatives by x'b and log s.
    pub(super) fn log_likelihood(self, span: Span, entry: f64, eta: f64, log_scale: f64) -> Jet {
        let (eta, log_scale) = (Jet::variable(eta, 0), Jet::variable(log_scale, 1));
        let inverse = (-log_scale).exp();
        let z = |t: f64| (Jet::constant(t.ln()) - eta).times(inverse);
        let survival = |t: f64| {
            let z = z(t);
            z.through(self.log_survival(z.value))
        };
        let seen = match span {
            Span::At(t) => {
                let z = z(t);
                z.through(self.log_density(z.value)) - log_scale - Jet::constant(t.ln())
            }
            Span::After(t) if t <= 0.0 => Jet::constant(0.0),
            Span::After(t) => survival(t),
            Span::Before(t) => survival(t).log_one_less_exp(),
            Span::Between(a, b) => {
                let low = survival(a);
                low + (survival(b) - low).log_one_less_exp()
            }
        };
        if entry > 0.0 { seen - survival(entry) } else { seen }
    }
}

/// log(1 + e^z).
fn soft_plus(z: f64) -> f64 {
    if z > 0.0 { z + (-z).exp().ln_1p() } else { z.exp().ln_1p() }
}

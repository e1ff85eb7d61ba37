//! Proportional hazards regression.
//!
//! `h(t | x) = h_0(t) exp(x'b)`, h_0 free in each stratum. The partial likelihood at event time k with d tied events is `prod_l exp(sum x'b)/(S0 - (l/d) E0)`, l = 0..d-1 (Efron)
//! or with l/d = 0 (Breslow); S0 sums exp(x'b) over the units at risk, E0 over the tied events. Cox 1972, J R Stat Soc B 34:187-220, doi
//! 10.1111/j.2517-6161.1972.tb00899.x; Efron 1977, J Am Stat Assoc 72:557-565, doi 10.1080/01621459.1977.10480613; Breslow 1974, Biometrics 30:89-99, doi 10.2307/2529620.
//!
//! Errors over clusters: Lin, Wei 1989, J Am Stat Assoc 84:1074-1078, doi 10.1080/01621459.1989.10478874 (grouped score residuals between inverse informations).
//! Limits: hazards must be proportional (see [`CoxFit::proportionality`]); a covariate that parts events from non-events has no finite
//! estimate and is refused by name.

mod baseline;
mod concordance;
mod design;
mod fit;
mod lanes;
mod likelihood;
mod proportional;
mod robust;

pub use baseline::{BaselineStep, Predicted};
pub use fit::{CoxFit, CoxTest};
pub use proportional::{Proportionality, TimeScale};

use crate::observations::{DataError, Observations};
use serde::Serialize;
use thiserror::Error;

/// How ties are taken.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum Ties {
    /// Efron's approximation: near the exact value even with many ties.
    #[default]
    Efron,
    /// Breslow's: plainer, biased towards zero with many ties.
    Breslow,
}

/// A named covariate.
#[derive(Debug, Clone, Copy)]
pub struct Covariate<'a> {
    /// Name, for messages.
    pub name: &'a str,
    /// A value a row.
    pub values: &'a [f64],
}

/// Why a model cannot be fitted.
#[derive(Debug, Clone, PartialEq, Eq, Error)]
pub enum CoxError {
    /// Columns do not fit.
    #[error(transparent)]
    Data(#[from] DataError),
    /// A covariate is not a finite number somewhere.
    #[error("covariate {covariate} is not a finite number in row {row}")]
    NotFinite {
        /// Which.
        covariate: String,
        /// Row, from 0.
        row: usize,
    },
    /// No covariate.
    #[error("there is no covariate")]
    NoCovariate,
    /// Late entry is not provided for.
    #[error("this regression does not provide for delayed entry")]
    LateEntry,
    /// Nothing happened.
    #[error("no event happened while others were at risk: there is nothing to fit")]
    NoEvents,
    /// The covariate does not vary.
    #[error(
        "covariate {covariate} is the same in all rows (or follows from the others, or from the strata): leave it out"
    )]
    NoInformation {
        /// Which.
        covariate: String,
    },
    /// Events are parted by the covariate.
    #[error(
        "covariate {covariate} parts the units that fail from those that do not, so that its effect has no finite estimate: join its levels, leave it out, or get more events"
    )]
    Separated {
        /// Which.
        covariate: String,
    },
}

/// Rows with covariates, ready to fit.
#[derive(Debug, Clone)]
pub struct Cox<'a> {
    seen: Observations<'a>,
    covariates: Vec<Covariate<'a>>,
    strata: Option<&'a [u32]>,
    ties: Ties,
}

impl<'a> Cox<'a> {
    /// A model of rows (any cause is the event) on covariates; with clusters the errors are cluster-robust.
    ///
    /// # Errors
    /// [`CoxError`] where columns do not fit.
    pub fn new(seen: Observations<'a>, covariates: &[Covariate<'a>]) -> Result<Self, CoxError> {
        if covariates.is_empty() {
            return Err(CoxError::NoCovariate);
        }
        for c in covariates {
            crate::observations::same_length("covariate", c.values.len(), seen.len())?;
            if let Err(DataError::NotFinite { row, .. }) = crate::observations::all_finite("covariate", c.values) {
                return Err(CoxError::NotFinite { covariate: c.name.to_owned(), row });
            }
        }
        Ok(Self { seen, covariates: covariates.to_vec(), strata: None, ties: Ties::Efron })
    }

    /// With a baseline hazard a stratum.
    ///
    /// # Errors
    /// [`CoxError::Data`] for a column of another length.
    pub fn with_strata(self, strata: &'a [u32]) -> Result<Self, CoxError> {
        crate::observations::same_length("strata", strata.len(), self.seen.len())?;
        Ok(Self { strata: Some(strata), ..self })
    }

    /// With another way of taking ties.
    pub fn with_ties(self, ties: Ties) -> Self {
        Self { ties, ..self }
    }

    /// Score test of all coefficients 0 with covariance over clusters, without fitting: with groups as covariates the log-rank test for clustered
    /// rows. Every row is its own cluster where none are given.
    ///
    /// # Errors
    /// [`CoxError::NoEvents`] or [`CoxError::NoInformation`].
    pub fn robust_score_test(&self) -> Result<CoxTest, CoxError> {
        fit::robust_score_test(self)
    }

    /// Fits by Newton's method to full precision.
    ///
    /// # Errors
    /// [`CoxError::NoEvents`], [`CoxError::NoInformation`] or [`CoxError::Separated`].
    pub fn fit(&self) -> Result<CoxFit, CoxError> {
        fit::fit(self)
    }
}

//! Inverse-variance pooling and meta-regression: y_i = x_i' b + u_i + e_i, e_i ~ N(0, v_i), u_i ~ N(0, tau2).
//!
//! With weights w_i = 1/(v_i + tau2): b = (X'WX)^-1 X'Wy, and P = W - WX(X'WX)^-1X'W. tau2 by
//! DL: (Q - (k - p))/tr P at tau2 = 0 (DerSimonian, Laird 1986, Control Clin Trials 7:177-188, doi 10.1016/0197-2456(86)90046-2);
//! PM: y'P(tau2)y = k - p (Paule, Mandel 1982, J Res NBS 87:377-385, doi 10.6028/jres.087.022);
//! ML, REML: Fisher scoring (Viechtbauer 2005, J Educ Behav Stat 30:261-293, doi 10.3102/10769986030003261). Negative values are set to 0.
//! Hartung-Knapp: variance scaled by y'Py/(k - p), t with k - p degrees of freedom (Hartung, Knapp 2001, Stat Med 20:3875-3889, doi
//! 10.1002/sim.1009); never narrowed below the unscaled one when so asked. I2 = tau2/(tau2 + s2), s2 = (k - p)/tr P at tau2 = 0 (Higgins, Thompson 2002,
//! Stat Med 21:1539-1558, doi 10.1002/sim.1186); for a common effect I2 = (Q - df)/Q.
//! No matrix of k x k is formed: the work is k p^2.

use super::PoolError;
use super::effect::Effect;
use numerics::dense::{Cholesky, Matrix};
use numerics::{chi_square, normal, root, student_t};

/// How the variance between studies is found.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Between {
    /// None: one effect common to all.
    Common,
    /// DerSimonian-Laird.
    DerSimonianLaird,
    /// Paule-Mandel.
    PauleMandel,
    /// Maximum likelihood.
    MaximumLikelihood,
    /// Restricted maximum likelihood.
    Reml,
}

/// How the standard error and the interval are made.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Errors {
    /// Normal quantiles.
    Wald,
    /// Hartung-Knapp.
    HartungKnapp,
    /// Hartung-Knapp, never narrower than the unscaled error.
    HartungKnappNeverNarrower,
}

/// Which quantile a prediction interval uses.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Reference {
    /// Standard normal.
    Normal,
    /// Student's t with these degrees of freedom (k - 2 in Higgins, Thompson, Spiegelhalter 2009, J R Stat Soc A 172:137-159).
    T(f64),
}

/// Scatter beyond chance.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Heterogeneity {
    /// Cochran's Q (residual, for a regression).
    pub q: f64,
    /// Its degrees of freedom.
    pub df: f64,
    /// Its p value.
    pub p: f64,
    /// Share of the variance that is between studies (0..1).
    pub i2: f64,
    /// Total variance over sampling variance.
    pub h2: f64,
}

/// A fitted pool or regression.
#[derive(Debug, Clone, PartialEq)]
pub struct Regression {
    /// Coefficients, in the order of the columns.
    pub b: Vec<f64>,
    /// Their covariance, row-major.
    pub covariance: Vec<f64>,
    /// Variance between studies.
    pub tau2: f64,
    /// Scatter beyond chance.
    pub heterogeneity: Heterogeneity,
    /// Log-likelihood (restricted for [`Between::Reml`]).
    pub log_likelihood: f64,
    /// Degrees of freedom of t, with Hartung-Knapp.
    pub df: Option<f64>,
    /// Studies.
    pub k: usize,
}

impl Regression {
    /// Standard error of a coefficient.
    pub fn se(&self, j: usize) -> f64 {
        self.covariance[j * self.b.len() + j].sqrt()
    }

    /// Test statistic and two-sided p value of a coefficient.
    pub fn test(&self, j: usize) -> (f64, f64) {
        let z = self.b[j] / self.se(j);
        (z, 2.0 * self.df.map_or_else(|| normal::sf(z.abs()), |df| student_t::sf(z.abs(), df)))
    }

    /// Confidence interval of a coefficient at `level` (0.95 for 95 %).
    pub fn interval(&self, j: usize, level: f64) -> (f64, f64) {
        let half = self.quantile(level) * self.se(j);
        (self.b[j] - half, self.b[j] + half)
    }

    /// Estimate and standard error of the mean at a row of the design.
    pub fn at(&self, row: &[f64]) -> (f64, f64) {
        let p = self.b.len();
        let mean = row.iter().zip(&self.b).map(|(x, b)| x * b).sum();
        let variance: f64 =
            (0..p).map(|i| (0..p).map(|j| row[i] * row[j] * self.covariance[i * p + j]).sum::<f64>()).sum();
        (mean, variance.sqrt())
    }

    /// Interval for the effect of a new study at a row of the design.
    pub fn prediction_interval(&self, row: &[f64], level: f64, reference: Reference) -> (f64, f64) {
        let (mean, se) = self.at(row);
        let p = 0.5 + 0.5 * level;
        let quantile = match reference {
            Reference::Normal => normal::quantile(p),
            Reference::T(df) => student_t::quantile(p, df),
        };
        let half = quantile * (se * se + self.tau2).sqrt();
        (mean - half, mean + half)
    }

    fn quantile(&self, level: f64) -> f64 {
        let p = 0.5 + 0.5 * level;
        self.df.map_or_else(|| normal::quantile(p), |df| student_t::quantile(p, df))
    }
}

/// Pooled mean of effects.
pub fn pool(effects: &[Effect], between: Between, errors: Errors) -> Result<Regression, PoolError> {
    regress(effects, &vec![1.0; effects.len()], 1, between, errors)
}

/// Regression on a design of `p` columns, row-major (give a column of ones for the intercept).
pub fn regress(
    effects: &[Effect],
    design: &[f64],
    p: usize,
    between: Between,
    errors: Errors,
) -> Result<Regression, PoolError> {
    let data = Data::new(effects, design, p)?;
    let k = effects.len();
    let df = (k - p) as f64;
    let fixed = data.at(0.0)?;
    let tau2 = match between {
        Between::Common => 0.0,
        _ if k == p => 0.0,
        Between::DerSimonianLaird => ((fixed.rss - df) / fixed.trace_p).max(0.0),
        Between::PauleMandel => data.tau2_of_rss(df)?,
        Between::MaximumLikelihood => data.scored(false)?,
        Between::Reml => data.scored(true)?,
    };
    let fit = data.at(tau2)?;
    let scaled = if df > 0.0 { fit.rss / df } else { 1.0 };
    let (scale, t_df) = match errors {
        Errors::Wald => (1.0, None),
        Errors::HartungKnapp => (scaled, Some(df)),
        Errors::HartungKnappNeverNarrower => (scaled.max(1.0), Some(df)),
    };
    if t_df == Some(0.0) {
        return Err(PoolError::TooFew { k, needed: p + 1 });
    }
    let inverse = fit.information.inverse();
    let covariance = (0..p * p).map(|i| scale * inverse.get(i / p, i % p)).collect();
    Ok(Regression {
        log_likelihood: data.log_likelihood(&fit, tau2, between == Between::Reml)?,
        b: fit.b,
        covariance,
        tau2,
        heterogeneity: heterogeneity(&fixed, df, tau2, between),
        df: t_df,
        k,
    })
}

/// Two-sided p value of a standard normal deviate.
pub fn normal_p(z: f64) -> f64 {
    2.0 * normal::sf(z.abs())
}

/// Interval of tau2 by inverting the generalised Q statistic (Viechtbauer 2007, Stat Med 26:37-52, doi 10.1002/sim.2514).
pub fn q_profile(effects: &[Effect], design: &[f64], p: usize, level: f64) -> Result<(f64, f64), PoolError> {
    let data = Data::new(effects, design, p)?;
    let df = (effects.len() - p) as f64;
    if df < 1.0 {
        return Err(PoolError::TooFew { k: effects.len(), needed: p + 1 });
    }
    let low = data.tau2_of_rss(chi_square::quantile(0.5 + 0.5 * level, df))?;
    let high = data.tau2_of_rss(chi_square::quantile(0.5 - 0.5 * level, df))?;
    Ok((low, high))
}

fn heterogeneity(fixed: &Fit, df: f64, tau2: f64, between: Between) -> Heterogeneity {
    let q = fixed.rss;
    let (i2, h2) = if df <= 0.0 {
        (0.0, 1.0)
    } else if between == Between::Common {
        (((q - df) / q).max(0.0), q / df)
    } else {
        let typical = df / fixed.trace_p;
        (tau2 / (tau2 + typical), 1.0 + tau2 / typical)
    };
    let p = if df > 0.0 { chi_square::sf(q, df) } else { 1.0 };
    Heterogeneity { q, df, p, i2, h2 }
}

pub(crate) struct Data<'a> {
    effects: &'a [Effect],
    design: &'a [f64],
    p: usize,
}

/// The fit at one tau2.
pub(crate) struct Fit {
    pub b: Vec<f64>,
    pub information: Cholesky,
    /// y'Py.
    pub rss: f64,
    /// y'PPy.
    squares: f64,
    pub trace_p: f64,
    trace_pp: f64,
    trace_w: f64,
    trace_ww: f64,
}

impl<'a> Data<'a> {
    pub(crate) fn new(effects: &'a [Effect], design: &'a [f64], p: usize) -> Result<Self, PoolError> {
        let k = effects.len();
        if p == 0 || k < p {
            return Err(PoolError::TooFew { k, needed: p.max(1) });
        }
        if design.len() != k * p {
            return Err(PoolError::Lengths { effects: k, others: design.len() / p });
        }
        if let Some(study) = effects.iter().position(|e| !(e.y.is_finite() && e.v.is_finite() && e.v > 0.0)) {
            return Err(PoolError::Effect { study });
        }
        if let Some(at) = design.iter().position(|x| !x.is_finite()) {
            return Err(PoolError::Effect { study: at / p });
        }
        Ok(Self { effects, design, p })
    }

    fn row(&self, i: usize) -> &[f64] {
        &self.design[i * self.p..(i + 1) * self.p]
    }

    /// X' W^power X.
    fn cross(&self, tau2: f64, power: i32) -> Matrix {
        let p = self.p;
        let mut sums = vec![0.0; p * p];
        for (i, e) in self.effects.iter().enumerate() {
            let w = (e.v + tau2).recip().powi(power);
            let x = self.row(i);
            for a in 0..p {
                for b in 0..=a {
                    sums[a * p + b] += w * x[a] * x[b];
                }
            }
        }
        Matrix::from_fn(p, |a, b| sums[a.max(b) * p + a.min(b)])
    }

    pub(crate) fn at(&self, tau2: f64) -> Result<Fit, PoolError> {
        let p = self.p;
        let information = self.cross(tau2, 1).cholesky().map_err(|_| PoolError::Design)?;
        let mut xwy = vec![0.0; p];
        for (i, e) in self.effects.iter().enumerate() {
            let wy = e.y / (e.v + tau2);
            self.row(i).iter().zip(&mut xwy).for_each(|(x, s)| *s += wy * x);
        }
        let b = information.solve(&xwy);
        let (mut rss, mut squares, mut trace_w, mut trace_ww) = (0.0, 0.0, 0.0, 0.0);
        for (i, e) in self.effects.iter().enumerate() {
            let w = 1.0 / (e.v + tau2);
            let r = e.y - self.row(i).iter().zip(&b).map(|(x, b)| x * b).sum::<f64>();
            rss += w * r * r;
            squares += (w * r).powi(2);
            trace_w += w;
            trace_ww += w * w;
        }
        let m = information.inverse();
        let product =
            |a: &Matrix, b: &Matrix| Matrix::from_fn(p, |i, j| (0..p).map(|l| a.get(i, l) * b.get(l, j)).sum());
        let trace = |a: &Matrix| (0..p).map(|i| a.get(i, i)).sum::<f64>();
        let m2 = product(&m, &self.cross(tau2, 2));
        let m3 = product(&m, &self.cross(tau2, 3));
        Ok(Fit {
            trace_p: trace_w - trace(&m2),
            trace_pp: trace_ww - 2.0 * trace(&m3) + trace(&product(&m2, &m2)),
            b,
            information,
            rss,
            squares,
            trace_w,
            trace_ww,
        })
    }

    /// tau2 at which y'Py falls to `target`; 0 when it is below at once.
    fn tau2_of_rss(&self, target: f64) -> Result<f64, PoolError> {
        let value = |tau2: f64| self.at(tau2).map(|f| f.rss - target);
        if value(0.0)? <= 0.0 {
            return Ok(0.0);
        }
        let mut high = self.effects.iter().map(|e| e.v).fold(0.0, f64::max).max(1e-12);
        while value(high)? > 0.0 {
            high *= 4.0;
            if !high.is_finite() {
                return Err(PoolError::NotConverged);
            }
        }
        root::brent(|t| value(t).unwrap_or(f64::NAN), 0.0, high, 1e-15 * high).map_err(|_| PoolError::NotConverged)
    }

    /// Fisher scoring for ML or REML, with halved steps where a full one would pass 0 or not settle.
    fn scored(&self, restricted: bool) -> Result<f64, PoolError> {
        let start = self.at(0.0)?;
        let df = (self.effects.len() - self.p) as f64;
        let mut tau2 = ((start.rss - df) / start.trace_p).max(0.0);
        let mut last = f64::INFINITY;
        let mut damping = 1.0;
        for _ in 0..2000 {
            let fit = self.at(tau2)?;
            let (trace, information) =
                if restricted { (fit.trace_p, fit.trace_pp) } else { (fit.trace_w, fit.trace_ww) };
            let step = (fit.squares - trace) / information;
            if tau2 == 0.0 && step <= 0.0 {
                return Ok(0.0);
            }
            // Alternating steps that do not shrink are damped.
            if step.abs() > 0.9 * last.abs() && step * last < 0.0 {
                damping *= 0.5;
            }
            last = step;
            let next = (tau2 + damping * step).max(0.0);
            if (next - tau2).abs() <= 1e-15 * (1.0 + tau2) * 0.1 + 1e-14 * tau2 {
                return Ok(next);
            }
            tau2 = next;
        }
        // Steps that neither shrink nor grow are rounding: the root is then known to far more than is ever printed.
        let scale = tau2 + self.effects.iter().map(|e| e.v).fold(f64::INFINITY, f64::min);
        if last.abs() <= 1e-10 * scale { Ok(tau2) } else { Err(PoolError::NotConverged) }
    }

    fn log_likelihood(&self, fit: &Fit, tau2: f64, restricted: bool) -> Result<f64, PoolError> {
        let k = self.effects.len() as f64;
        let logs: f64 = self.effects.iter().map(|e| (e.v + tau2).ln()).sum();
        let ln_2pi = 2.0 * normal::LN_SQRT_2PI;
        if !restricted {
            return Ok(-0.5 * (k * ln_2pi + logs + fit.rss));
        }
        let p = self.p;
        let plain = Matrix::from_fn(p, |a, b| (0..self.effects.len()).map(|i| self.row(i)[a] * self.row(i)[b]).sum());
        let plain = plain.cholesky().map_err(|_| PoolError::Design)?.ln_determinant();
        let weighted = fit.information.ln_determinant();
        Ok(-0.5 * ((k - p as f64) * ln_2pi - plain + logs + weighted + fit.rss))
    }
}

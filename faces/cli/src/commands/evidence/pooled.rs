//! One pool: estimate, interval, prediction for a new study, scatter, groups, coefficients of a moderator.

use super::counts::{Counts, Kind, Moderator};
use crate::args::{Interval, PoolArgs, PoolModel, Transform};
use crate::failure::Failure;
use ::evidence::pool::{
    Between, Effect, Errors, Family, PoolError, Reference, Zeros, freeman_tukey_proportions, freeman_tukey_rates, glmm,
    harmonic_mean, log_rates, logits, normal_p, pool, proportion_of_freeman_tukey, q_profile, rate_of_freeman_tukey,
    regress,
};
use serde::Serialize;

/// A pooled value as shown, with its intervals and scatter.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Pooled {
    /// Studies.
    pub k: usize,
    /// Events.
    pub events: f64,
    /// Exposure or number.
    pub size: f64,
    /// Pooled value.
    pub estimate: f64,
    /// Lower end of its interval.
    pub low: f64,
    /// Upper end.
    pub high: f64,
    /// What a new study may find (t with k - 2 degrees of freedom for random effects); none for one common effect or fewer than three studies.
    pub new_low: Option<f64>,
    /// Upper end.
    pub new_high: Option<f64>,
    /// Variance between studies on the scale of analysis.
    pub tau2: f64,
    /// Its Q-profile interval.
    pub tau2_interval: Option<(f64, f64)>,
    /// Share of the variance between studies.
    pub i2: Option<f64>,
    /// Total over sampling variance.
    pub h2: Option<f64>,
    /// Cochran's Q.
    pub q: Option<f64>,
    /// Its degrees of freedom.
    pub q_df: Option<f64>,
    /// Its p value.
    pub q_p: Option<f64>,
}

/// One coefficient of a meta-regression, on the scale of analysis.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Coefficient {
    /// What it belongs to.
    pub name: String,
    /// Value.
    pub value: f64,
    /// Standard error.
    pub se: f64,
    /// Lower end.
    pub low: f64,
    /// Upper end.
    pub high: f64,
    /// Two-sided p value.
    pub p: f64,
}

/// The scale effects are pooled on, and back.
pub struct Analysis<'a> {
    /// The counts.
    pub counts: &'a Counts,
    /// How.
    pub args: &'a PoolArgs,
}

impl Analysis<'_> {
    /// Estimator of the variance between studies; the exact model's pictures use REML weights.
    pub fn between(&self) -> Between {
        match self.args.model {
            PoolModel::Common => Between::Common,
            PoolModel::Dl => Between::DerSimonianLaird,
            PoolModel::Pm => Between::PauleMandel,
            PoolModel::Ml => Between::MaximumLikelihood,
            PoolModel::Reml | PoolModel::Glmm => Between::Reml,
        }
    }

    fn errors(&self) -> Errors {
        match self.args.ci {
            Interval::Wald => Errors::Wald,
            Interval::Hk => Errors::HartungKnapp,
            Interval::HkNeverNarrower => Errors::HartungKnappNeverNarrower,
        }
    }

    fn level(&self) -> f64 {
        self.args.level / 100.0
    }

    /// Events and sizes of the chosen studies.
    fn columns(&self, chosen: &[usize]) -> (Vec<f64>, Vec<f64>) {
        chosen.iter().map(|&i| (self.counts.rows[i].events, self.counts.rows[i].size)).unzip()
    }

    /// Effects of the chosen studies on the scale of analysis.
    pub fn effects(&self, chosen: &[usize]) -> Result<Vec<Effect>, Failure> {
        let (events, sizes) = self.columns(chosen);
        let found = match (self.counts.kind, self.args.transform) {
            (Kind::Rate { .. }, Transform::Log) => log_rates(&events, &sizes, Zeros::AddHalfToThem),
            (Kind::Rate { .. }, Transform::FreemanTukey) => freeman_tukey_rates(&events, &sizes),
            (Kind::Proportion, Transform::Log) => logits(&events, &sizes, Zeros::AddHalfToThem),
            (Kind::Proportion, Transform::FreemanTukey) => freeman_tukey_proportions(&events, &sizes),
        };
        found.map_err(|e| self.refused(e, chosen))
    }

    /// A value on the scale of analysis as shown.
    pub fn back(&self, y: f64, chosen: &[usize]) -> f64 {
        let middle = || harmonic_mean(&self.columns(chosen).1);
        self.counts.shown(match (self.counts.kind, self.args.transform) {
            (Kind::Rate { .. }, Transform::Log) => y.exp(),
            (Kind::Rate { .. }, Transform::FreemanTukey) => rate_of_freeman_tukey(y, middle()),
            (Kind::Proportion, Transform::Log) => 1.0 / (1.0 + (-y).exp()),
            (Kind::Proportion, Transform::FreemanTukey) => proportion_of_freeman_tukey(y, middle()),
        })
    }

    /// Pools the chosen studies.
    pub fn pool(&self, chosen: &[usize]) -> Result<Pooled, Failure> {
        let (events, sizes) = self.columns(chosen);
        let totals = (events.iter().sum(), sizes.iter().sum());
        if self.args.model == PoolModel::Glmm {
            return self.exact(chosen, &events, &sizes, totals);
        }
        let effects = self.effects(chosen)?;
        let refused = |e| self.refused(e, chosen);
        // One study alone has no degrees of freedom for t.
        let errors = if effects.len() == 1 { Errors::Wald } else { self.errors() };
        let fit = pool(&effects, self.between(), errors).map_err(refused)?;
        let (low, high) = fit.interval(0, self.level());
        let k = effects.len();
        let random = self.between() != Between::Common && k >= 3;
        let new = random.then(|| fit.prediction_interval(&[1.0], self.level(), Reference::T(k as f64 - 2.0)));
        let h = fit.heterogeneity;
        let scatter = (k > 1).then_some(h);
        Ok(Pooled {
            k,
            events: totals.0,
            size: totals.1,
            estimate: self.back(fit.b[0], chosen),
            low: self.back(low, chosen),
            high: self.back(high, chosen),
            new_low: new.map(|n| self.back(n.0, chosen)),
            new_high: new.map(|n| self.back(n.1, chosen)),
            tau2: fit.tau2,
            tau2_interval: (k > 1).then(|| q_profile(&effects, &vec![1.0; k], 1, self.level()).ok()).flatten(),
            i2: scatter.map(|h| h.i2),
            h2: scatter.map(|h| h.h2),
            q: scatter.map(|h| h.q),
            q_df: scatter.map(|h| h.df),
            q_p: scatter.map(|h| h.p),
        })
    }

    fn family(&self) -> Family {
        if self.counts.kind == Kind::Proportion { Family::Binomial } else { Family::Poisson }
    }

    fn exact(&self, chosen: &[usize], events: &[f64], sizes: &[f64], totals: (f64, f64)) -> Result<Pooled, Failure> {
        if self.args.transform == Transform::FreemanTukey || self.args.ci != Interval::Wald {
            return Err(Failure::Usage(
                "the exact model works on log rates or logits with Wald intervals: leave --transform and --ci out"
                    .to_owned(),
            ));
        }
        let fit =
            glmm(self.family(), events, sizes, &vec![1.0; events.len()], 1, 25).map_err(|e| self.refused(e, chosen))?;
        let (low, high) = fit.interval(0, self.level());
        let new = (fit.k >= 3).then(|| fit.prediction_interval(&[1.0], self.level()));
        Ok(Pooled {
            k: fit.k,
            events: totals.0,
            size: totals.1,
            estimate: self.back(fit.b[0], chosen),
            low: self.back(low, chosen),
            high: self.back(high, chosen),
            new_low: new.map(|n| self.back(n.0, chosen)),
            new_high: new.map(|n| self.back(n.1, chosen)),
            tau2: fit.tau * fit.tau,
            tau2_interval: None,
            i2: None,
            h2: None,
            q: None,
            q_df: None,
            q_p: None,
        })
    }

    /// Meta-regression on the moderator: a number, or levels against the first by name.
    pub fn regression(&self) -> Result<Vec<Coefficient>, Failure> {
        let all: Vec<usize> = (0..self.counts.rows.len()).collect();
        let (names, design) = self.design()?;
        let p = names.len();
        let level = self.level();
        if self.args.model == PoolModel::Glmm {
            let (events, sizes) = self.columns(&all);
            let fit = glmm(self.family(), &events, &sizes, &design, p, 25).map_err(|e| self.refused(e, &all))?;
            let row = |(j, name)| {
                let (value, se, (low, high)) = (fit.b[j], fit.se(j), fit.interval(j, level));
                Coefficient { name, value, se, low, high, p: normal_p(value / se) }
            };
            return Ok(names.into_iter().enumerate().map(row).collect());
        }
        let fit = regress(&self.effects(&all)?, &design, p, self.between(), self.errors())
            .map_err(|e| self.refused(e, &all))?;
        let row = |(j, name)| {
            let (value, se, (low, high)) = (fit.b[j], fit.se(j), fit.interval(j, level));
            Coefficient { name, value, se, low, high, p: fit.test(j).1 }
        };
        Ok(names.into_iter().enumerate().map(row).collect())
    }

    fn design(&self) -> Result<(Vec<String>, Vec<f64>), Failure> {
        let column = self.args.moderator.clone().unwrap_or_default();
        let values: Vec<&Moderator> = self.counts.rows.iter().filter_map(|r| r.moderator.as_ref()).collect();
        let numbers: Vec<f64> =
            values.iter().filter_map(|m| if let Moderator::Number(x) = m { Some(*x) } else { None }).collect();
        if numbers.len() == values.len() {
            // About the mean, so that the intercept is the pool at the mean of the moderator.
            let mean = numbers.iter().sum::<f64>() / numbers.len().max(1) as f64;
            let names = vec![format!("at {column} {}", answer::six_figures(mean)), format!("{column}, per unit")];
            return Ok((names, numbers.iter().flat_map(|x| [1.0, x - mean]).collect()));
        }
        let words: Vec<String> = values
            .iter()
            .map(|m| match m {
                Moderator::Number(x) => x.to_string(),
                Moderator::Level(l) => l.clone(),
            })
            .collect();
        let mut levels: Vec<&String> = words.iter().collect();
        levels.sort();
        levels.dedup();
        if levels.len() < 2 {
            return Err(Failure::Usage(format!("`{column}` has one level only: there is nothing to compare")));
        }
        let names = std::iter::once(format!("{column} {}", levels[0]))
            .chain(levels[1..].iter().map(|l| format!("{l} against {}", levels[0])))
            .collect();
        let row = |w: &String| {
            let levels = levels.clone();
            let w = w.clone();
            std::iter::once(1.0).chain(levels.into_iter().skip(1).map(move |l| f64::from(u8::from(*l == w))))
        };
        Ok((names, words.iter().flat_map(row).collect()))
    }

    /// A refusal that names the study.
    pub fn refused(&self, error: PoolError, chosen: &[usize]) -> Failure {
        let named = match error {
            PoolError::Count { study, .. } | PoolError::NoEvents { study } | PoolError::Effect { study } => {
                chosen.get(study).map(|&i| format!(" (study `{}`)", self.counts.rows[i].label))
            }
            _ => None,
        };
        Failure::Usage(format!("{}: {error}{}", self.counts.what, named.unwrap_or_default()))
    }
}

//! The joint model's settings: which causes there are, at which levels they differ, and the priors.
//!
//! Every default stands here with its reason; nothing is hidden in the code.

use serde::{Deserialize, Serialize};
use std::collections::BTreeSet;

/// One cause of loss and complication.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Cause {
    /// Its label.
    pub name: String,
    /// Share of all losses expected before any arm of this set is seen (any positive scale), e.g. from published pools.
    pub prior_share: f64,
    /// Rate of complications a year expected before any arm is seen (median).
    pub prior_rate: f64,
    /// Levels of the cell (0 = coarsest) at which this cause differs; a cause that does not depend on a level is shared across it.
    pub levels: Vec<usize>,
    /// Moderators by which its share of the losses differs (a first-generation core breaks more often than it decays, say); in the rate
    /// every moderator counts anyway.
    pub moderators: Vec<String>,
    /// Labels that must not borrow this cause from others: without arms of their own the cause is not known there.
    pub alone: BTreeSet<String>,
}

/// Settings of the joint model.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Model {
    /// Causes, in the order of the answer.
    pub causes: Vec<Cause>,
    /// Median yearly loss rate expected before any arm is seen; its logarithm has SD 1.
    pub prior_loss_rate: f64,
    /// Scale of the half-normal priors of all standard deviations on the log-rate scale.
    pub spread: f64,
    /// SD of the effect of a moderator level on the log rate.
    pub moderator_sd: f64,
    /// SD of the logarithm of the common Weibull shape, and of a coarsest label's departure from it.
    pub shape_sd: (f64, f64),
    /// Iterations of each of the four chains before draws are kept.
    pub warm_up: usize,
    /// Draws kept of each of the four chains.
    pub kept: usize,
    /// Seed of the sampler.
    pub seed: u64,
}

impl Model {
    /// Number that changes whenever the likelihood or the priors do; part of the guard of a stored posterior.
    pub const VERSION: u32 = 2;

    /// Number of chains.
    pub const CHAINS: usize = 4;

    /// Reference time (years): a rate is the mean over this time.
    pub const REFERENCE_YEARS: f64 = 5.0;

    /// Least number of arms below which a cause is called little known.
    pub const LITTLE_KNOWN: usize = 3;

    /// The default priors for the given causes.
    pub fn new(causes: Vec<Cause>) -> Self {
        Self {
            causes,
            prior_loss_rate: 0.015,
            spread: 0.5,
            moderator_sd: 0.4,
            shape_sd: (0.3, 0.15),
            warm_up: 500,
            kept: 512,
            seed: 1,
        }
    }
}

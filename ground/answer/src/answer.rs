//! The answer to one question: a number with its uncertainty, a verdict, the reasons and where it comes from.

use crate::{Draws, Interval, Provenance, Unit};
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

/// What an answer says of an option.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "snake_case")]
pub enum Verdict {
    /// Nothing speaks against it.
    Suits,
    /// Possible under the conditions named.
    WithCare,
    /// Speaks against it.
    Unsuitable,
    /// Nobody knows enough to say.
    NotKnown,
}

impl Verdict {
    /// The words printed.
    pub fn words(self) -> &'static str {
        match self {
            Self::Suits => "suits",
            Self::WithCare => "with care",
            Self::Unsuitable => "unsuitable",
            Self::NotKnown => "not known",
        }
    }

    /// The graver of two verdicts; not knowing is graver than care, lighter than unsuitable.
    #[must_use]
    pub fn graver(self, other: Self) -> Self {
        let rank = |v: Self| match v {
            Self::Suits => 0,
            Self::WithCare => 1,
            Self::NotKnown => 2,
            Self::Unsuitable => 3,
        };
        if rank(other) > rank(self) { other } else { self }
    }
}

/// One reason in plain words with the facts it rests on.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
pub struct Reason {
    /// A whole sentence, without full stop.
    pub text: String,
    /// What it rests on.
    pub provenance: Provenance,
}

impl Reason {
    /// A reason with its facts.
    pub fn new(text: impl Into<String>, provenance: Provenance) -> Self {
        Self { text: text.into(), provenance }
    }
}

/// A mark on an answer that a reader must see beside the number.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "snake_case")]
pub enum Caveat {
    /// Rests on fewer than three groups of observations: mostly on what is usual for its kind.
    LittleKnown,
    /// Goes beyond the longest observation.
    Extrapolated,
    /// Computed by mechanics alone, without an anchor in what was observed.
    MechanicsOnly,
    /// Mechanics and observation disagree by more than their spread allows.
    Disagree,
    /// A measurement is needed before this can be said.
    Measure,
    /// Rests on a figure recalled and not checked.
    FromMemory,
    /// Rests on observations of something like it, not of itself.
    Borrowed,
    /// Not computed: only what is known is told.
    NotComputed,
}

impl Caveat {
    /// The words printed.
    pub fn words(self) -> &'static str {
        match self {
            Self::LittleKnown => "little known",
            Self::Extrapolated => "extrapolated",
            Self::MechanicsOnly => "mechanics only",
            Self::Disagree => "mechanics and observation disagree",
            Self::Measure => "measure first",
            Self::FromMemory => "rests on a figure from memory",
            Self::Borrowed => "borrowed from something like it",
            Self::NotComputed => "not computed",
        }
    }
}

/// The answer to one question about one option.
#[derive(Debug, Clone, PartialEq)]
pub struct Answer {
    /// What the number is, in words.
    pub quantity: String,
    /// Its unit.
    pub unit: Unit,
    /// Its value per draw of `World`; `None` when it is not known.
    pub value: Option<Draws>,
    /// What it says of the option.
    pub verdict: Verdict,
    /// Why, gravest first.
    pub reasons: Vec<Reason>,
    /// Marks to be shown beside the number.
    pub caveats: Vec<Caveat>,
    /// All facts used.
    pub provenance: Provenance,
}

impl Answer {
    /// An answer that only says that nothing is known, and why.
    pub fn not_known(quantity: impl Into<String>, unit: Unit, reason: Reason) -> Self {
        let provenance = reason.provenance.clone();
        Self {
            quantity: quantity.into(),
            unit,
            value: None,
            verdict: Verdict::NotKnown,
            reasons: vec![reason],
            caveats: Vec::new(),
            provenance,
        }
    }

    /// Mean and interval of the value.
    pub fn interval(&self) -> Option<Interval> {
        self.value.as_ref().map(Draws::interval)
    }

    /// Adds a reason and takes over its facts and the graver verdict.
    pub fn add(&mut self, verdict: Verdict, reason: Reason) {
        self.verdict = self.verdict.graver(verdict);
        self.provenance.merge(&reason.provenance);
        self.reasons.push(reason);
    }

    /// Adds a mark once.
    pub fn mark(&mut self, caveat: Caveat) {
        if !self.caveats.contains(&caveat) {
            self.caveats.push(caveat);
            self.caveats.sort();
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::Basis;

    #[test]
    fn a_graver_reason_makes_the_verdict_graver_and_is_traced() {
        let mut answer = Answer::not_known("x", Unit::One, Reason::new("no row", Provenance::default()));
        answer.verdict = Verdict::Suits;
        answer.add(Verdict::WithCare, Reason::new("thin", Provenance::of("row-1", Basis::Memory)));
        answer.add(Verdict::Suits, Reason::new("fine", Provenance::of("row-2", Basis::Read)));
        assert_eq!(answer.verdict, Verdict::WithCare);
        assert!(answer.provenance.rests_on_memory() && answer.provenance.ids.len() == 2);
    }
}

//! Where a number comes from and how far to trust it.

use schemars::JsonSchema;
use serde::{Deserialize, Serialize};
use std::collections::BTreeSet;
use std::fmt;

/// How a fact came into the data, strongest first; the order is that of trust.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "snake_case")]
pub enum Basis {
    /// Measured by the user (own stump reading, own figures).
    Own,
    /// Seen in the source named.
    Read,
    /// Computed from read figures by a stated formula.
    Computed,
    /// A habit of the trade without a published source.
    CommonPractice,
    /// Recalled, not seen; marks every output that rests on it.
    Memory,
}

impl Basis {
    /// The word printed beside a figure.
    pub fn word(self) -> &'static str {
        match self {
            Self::Own => "own measurement",
            Self::Read => "read",
            Self::Computed => "computed",
            Self::CommonPractice => "common practice, no source",
            Self::Memory => "from memory, not checked",
        }
    }

    /// The basis named by a data file's word; mixed entries take the weakest word they hold.
    pub fn parse(text: &str) -> Option<Self> {
        let text = text.trim().to_ascii_lowercase();
        [
            ("memory", Self::Memory),
            ("common practice", Self::CommonPractice),
            ("computed", Self::Computed),
            ("read", Self::Read),
            ("own", Self::Own),
        ]
        .into_iter()
        .find_map(|(word, basis)| text.contains(word).then_some(basis))
    }
}

impl fmt::Display for Basis {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(self.word())
    }
}

/// A publication, standard or own record; papers are cited without titles.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize, JsonSchema)]
pub struct Source {
    /// Key by which answers refer to it.
    pub id: String,
    /// Author, year, journal or body, as printed.
    pub citation: String,
    /// Digital object identifier, where seen.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub doi: Option<String>,
    /// How the figures taken from it came into the data.
    pub basis: Basis,
}

/// The source ids an answer rests on, and the weakest basis among its facts.
#[derive(Debug, Clone, PartialEq, Eq, Default, Serialize, Deserialize, JsonSchema)]
pub struct Provenance {
    /// Ids of sources or data rows.
    pub ids: BTreeSet<String>,
    /// Weakest basis among the facts used; `None` while nothing has been used.
    pub weakest: Option<Basis>,
}

impl Provenance {
    /// Of one fact.
    pub fn of(id: impl Into<String>, basis: Basis) -> Self {
        Self { ids: BTreeSet::from([id.into()]), weakest: Some(basis) }
    }

    /// Adds one fact.
    pub fn add(&mut self, id: impl Into<String>, basis: Basis) {
        self.ids.insert(id.into());
        self.weakest = self.weakest.max(Some(basis));
    }

    /// Adds all facts of another answer.
    pub fn merge(&mut self, other: &Self) {
        self.ids.extend(other.ids.iter().cloned());
        self.weakest = self.weakest.max(other.weakest);
    }

    /// Both together.
    #[must_use]
    pub fn and(mut self, other: &Self) -> Self {
        self.merge(other);
        self
    }

    /// True when something recalled and unchecked is among the facts.
    pub fn rests_on_memory(&self) -> bool {
        self.weakest == Some(Basis::Memory)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_weakest_fact_names_the_basis() {
        let mut p = Provenance::of("a", Basis::Read);
        p.add("b", Basis::Computed);
        assert_eq!(p.weakest, Some(Basis::Computed));
        assert!(p.clone().and(&Provenance::of("c", Basis::Memory)).rests_on_memory());
        assert!(!p.rests_on_memory());
    }

    #[test]
    fn mixed_words_take_the_weakest() {
        assert_eq!(Basis::parse("read (secondary), except root (memory)"), Some(Basis::Memory));
        assert_eq!(Basis::parse("Computed"), Some(Basis::Computed));
        assert_eq!(Basis::parse("heard"), None);
    }
}

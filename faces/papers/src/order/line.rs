//! One line of the order: what must or should be told, and what is told of it.

use crate::blocks::{Block, Words};

/// What is told.
#[derive(Debug, Clone, PartialEq)]
pub(super) enum Told {
    /// As it stands in case or plan.
    Given(Words),
    /// Not told yet; without it the order is not complete. Holds what to do.
    Missing(String),
    /// Written by hand: names, addresses, signatures.
    ByHand(String),
    /// Not told and not needed for completeness.
    Open,
}

/// A line.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Line {
    /// Rows of `data/work_order.csv` it answers.
    pub items: &'static [&'static str],
    /// Name.
    pub name: &'static str,
    /// What is told.
    pub told: Told,
}

impl Line {
    /// A line that holds words, or lacks them.
    pub fn needed(items: &'static [&'static str], name: &'static str, words: Option<Words>, ask: &str) -> Self {
        Self { items, name, told: words.map_or_else(|| Told::Missing(ask.to_owned()), Told::Given) }
    }

    /// A line that may stay open.
    pub fn open(items: &'static [&'static str], name: &'static str, words: Option<Words>) -> Self {
        Self { items, name, told: words.map_or(Told::Open, Told::Given) }
    }

    /// A line for the hand.
    pub fn by_hand(items: &'static [&'static str], name: &'static str, blank: &str) -> Self {
        Self { items, name, told: Told::ByHand(blank.to_owned()) }
    }

    /// What to do before the order is complete.
    pub fn lacks(&self) -> Option<String> {
        match &self.told {
            Told::Missing(ask) => Some(format!("{}: {ask}", self.name)),
            _ => None,
        }
    }

    fn printed(&self) -> Words {
        match &self.told {
            Told::Given(words) => words.clone(),
            Told::Missing(_) => Words::from("____ ").tag("missing"),
            Told::ByHand(blank) => blank.clone().into(),
            Told::Open => "____".into(),
        }
    }
}

/// Lines as names and values.
pub(super) fn facts(lines: &[Line]) -> Block {
    Block::Facts(lines.iter().map(|l| (l.name.to_owned(), l.printed())).collect())
}

//! Remakes, chair times and cost ratios as published. A practice's fees are never given here.

use crate::Catalogue;
use crate::fact::Fact;
use answer::Issue;
use table::Row;

/// A row of `economics.csv` with a figure.
#[derive(Debug, Clone, PartialEq)]
pub struct EconomicFact {
    /// `remake`, `time`, `visits`, `cost ratio` ...
    pub topic: String,
    /// What was counted or measured.
    pub item: String,
    /// Where and in whom.
    pub setting: String,
    /// Standard deviation, where given.
    pub sd: Option<f64>,
    /// The figure.
    pub fact: Fact,
}

impl EconomicFact {
    /// `None` for a row that says it in words only.
    pub(crate) fn read(row: &Row) -> Result<Option<Self>, Issue> {
        if row.maybe_figure()?.is_none() {
            return Ok(None);
        }
        Ok(Some(Self {
            topic: row.text("topic")?.to_owned(),
            item: row.text("item")?.to_owned(),
            setting: row.maybe("setting").unwrap_or("").to_owned(),
            sd: row.maybe_number("sd")?,
            fact: Fact::read(row)?,
        }))
    }
}

impl Catalogue {
    /// Published figures of one topic.
    pub fn economics<'a>(&'a self, topic: &'a str) -> impl Iterator<Item = &'a EconomicFact> {
        self.economics.iter().filter(move |e| e.topic == topic)
    }
}

//! What follows a failure, what holds a restoration, and what shifts a risk.

use crate::Catalogue;
use crate::fact::{Fact, basis, provenance};
use crate::words::{Cause, Consequence, Construct, Material, words_of};
use answer::{Issue, Provenance};
use table::Row;

/// A row of `consequences.csv`.
#[derive(Debug, Clone, PartialEq)]
pub struct ConsequenceRow {
    /// Construct.
    pub construct: Construct,
    /// Cause.
    pub cause: Cause,
    /// Share of each consequence, in the order of [`Consequence::ALL`].
    pub shares: [f64; 6],
    /// What is possible afterwards, in words.
    pub left_afterwards: String,
    /// Sources and basis.
    pub provenance: Provenance,
}

impl ConsequenceRow {
    pub(crate) fn read(row: &Row) -> Result<Self, Issue> {
        let mut shares = [0.0; 6];
        for (share, consequence) in shares.iter_mut().zip(Consequence::ALL) {
            *share = row.maybe_number(consequence.word())?.unwrap_or(0.0);
        }
        let sum: f64 = shares.iter().sum();
        if (sum - 1.0).abs() > 0.02 {
            return Err(row.complain(
                "remade",
                format!("the shares add up to {sum}"),
                "shares that add up to 1",
                "correct them",
            ));
        }
        Ok(Self {
            construct: row.word("construct", Construct::ALL, Construct::word)?,
            cause: row.word("cause", Cause::ALL, Cause::word)?,
            shares,
            left_afterwards: row.maybe("left_afterwards").unwrap_or("").to_owned(),
            provenance: provenance(&words_of(row, "source"), basis(row)?),
        })
    }

    /// The likeliest consequence.
    pub fn usual(&self) -> Consequence {
        let mut best = 0;
        for i in 1..self.shares.len() {
            if self.shares[i] > self.shares[best] {
                best = i;
            }
        }
        Consequence::ALL[best]
    }
}

/// A row of `hold_rules.csv` with a figure.
#[derive(Debug, Clone, PartialEq)]
pub struct HoldRule {
    /// What is ruled.
    pub quantity: String,
    /// `rule`, `achieved` (what practices reach), `factor`, `condition` or `evidence`.
    pub kind: String,
    /// Constructs; empty: all.
    pub constructs: Vec<Construct>,
    /// The figure; its id names the rule.
    pub fact: Fact,
}

impl HoldRule {
    /// `None` for a row without a figure.
    pub(crate) fn read(row: &Row) -> Result<Option<Self>, Issue> {
        if row.maybe_figure()?.is_none() {
            return Ok(None);
        }
        Ok(Some(Self {
            quantity: row.text("quantity")?.to_owned(),
            kind: row.text("kind")?.to_owned(),
            constructs: row.words("applies_to_construct", Construct::ALL, Construct::word)?,
            fact: Fact::read(row)?,
        }))
    }
}

/// A usable row of `risk_factors.csv`: a ratio with its interval.
#[derive(Debug, Clone, PartialEq)]
pub struct RiskFactor {
    /// Factor and level in words.
    pub factor: String,
    /// Level exposed.
    pub level: String,
    /// Constructs it was read for; empty: not told.
    pub constructs: Vec<Construct>,
    /// Materials it was read for; empty: not told.
    pub materials: Vec<Material>,
    /// Causes it acts on; empty: all.
    pub causes: Vec<Cause>,
    /// `HR`, `RR`, `OR` or `rate_ratio`.
    pub effect_type: String,
    /// The ratio with its 95 % interval as range.
    pub fact: Fact,
}

impl RiskFactor {
    /// `None` for a row that is not usable as a prior.
    pub(crate) fn read(row: &Row) -> Result<Option<Self>, Issue> {
        if row.maybe_yes("usable")? != Some(true) {
            return Ok(None);
        }
        // Words beyond the closed lists (study words) are no error, but a row that names only such words speaks of nothing an
        // option is made of; read as `not told` it would speak of everything.
        let constructs: Vec<Construct> =
            words_of(row, "construct").iter().filter_map(|w| Construct::parse(w)).collect();
        let materials: Vec<Material> = words_of(row, "material").iter().filter_map(|w| Material::parse(w)).collect();
        let foreign = |column: &str, known: bool| !known && row.list(column).iter().any(|w| *w != "any");
        if foreign("construct", !constructs.is_empty()) || foreign("material", !materials.is_empty()) {
            return Ok(None);
        }
        let causes = match row.maybe("cause") {
            None | Some("all") => Vec::new(),
            Some(_) => row.words("cause", Cause::ALL, Cause::word)?,
        };
        Ok(Some(Self {
            factor: row.text("factor")?.to_owned(),
            level: row.maybe("level").unwrap_or("").to_owned(),
            constructs,
            materials,
            causes,
            effect_type: row.text("effect_type")?.to_owned(),
            fact: Fact::read(row)?,
        }))
    }
}

impl Catalogue {
    /// What follows a cause in a construct.
    pub fn consequence(&self, construct: Construct, cause: Cause) -> Option<&ConsequenceRow> {
        self.consequences.iter().find(|c| c.construct == construct && c.cause == cause)
    }

    /// A rule of retention by its id.
    pub fn hold_rule(&self, id: &str) -> Option<&HoldRule> {
        self.hold_rules.iter().find(|r| r.fact.id == id)
    }

    /// Usable risk factors.
    pub fn risk_factors(&self) -> &[RiskFactor] {
        &self.risk_factors
    }
}

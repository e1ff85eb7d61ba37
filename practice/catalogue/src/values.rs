//! What counts how much: value scales, weights, visibility, consequences (`values.toml`).

use crate::words::{Consequence, Region, Tooth, ToothClass};
use answer::Issue;
use serde::Deserialize;
use std::collections::BTreeMap;
use table::toml_tree;

/// A criterion with its anchors and swing weight.
#[derive(Debug, Clone, PartialEq, Deserialize)]
pub struct Criterion {
    /// `harm`, `looks`, `tissue`, `money`.
    pub id: String,
    /// What its natural scale is.
    pub what: String,
    /// Unit in words.
    pub unit: String,
    /// Worth 1.
    pub best: f64,
    /// Worth 0.
    pub worst: f64,
    /// Swing weight and its range.
    pub swing: f64,
    /// Lower end.
    pub swing_low: f64,
    /// Upper end.
    pub swing_high: f64,
}

/// `values.toml`, read and checked.
#[derive(Debug, Clone, PartialEq)]
pub struct Values {
    criteria: Vec<Criterion>,
    visibility: BTreeMap<String, f64>,
    consequence: BTreeMap<String, f64>,
    tissue: BTreeMap<String, f64>,
    odds: BTreeMap<String, f64>,
}

impl Values {
    /// Reads and checks the file's text.
    pub(crate) fn read(file: &str, text: &str) -> Result<Self, Vec<Issue>> {
        let tree = toml_tree::parse(file, text)?;
        let one = |issue: Issue| vec![issue];
        let section = |name: &str| -> Result<BTreeMap<String, f64>, Vec<Issue>> {
            let node = tree.get(name).ok_or_else(|| {
                one(tree.complain(format!("a section [{name}]"), format!("add [{name}] as in the shipped file")))
            })?;
            node.entries().map_err(one)?.iter().map(|e| Ok((e.key.clone(), e.node.number().map_err(one)?))).collect()
        };
        let list = tree
            .get("criterion")
            .ok_or_else(|| one(tree.complain("[[criterion]] sections", "add the four criteria")))?;
        let criteria = list.items().map_err(one)?.iter().map(criterion).collect::<Result<Vec<_>, _>>().map_err(one)?;
        for id in ["harm", "looks", "tissue", "money"] {
            if !criteria.iter().any(|c| c.id == id) {
                return Err(one(list.complain(format!("a criterion `{id}`"), "add it as in the shipped file")));
            }
        }
        let values = Self {
            criteria,
            visibility: section("visibility")?,
            consequence: section("consequence")?,
            tissue: section("tissue")?,
            odds: section("odds")?,
        };
        for consequence in Consequence::ALL {
            if !values.consequence.contains_key(consequence.word()) {
                return Err(one(
                    tree.complain(format!("consequence.{}", consequence.word()), "add it to [consequence]")
                ));
            }
        }
        Ok(values)
    }

    /// A criterion by its id.
    pub fn criterion(&self, id: &str) -> Option<&Criterion> {
        self.criteria.iter().find(|c| c.id == id)
    }

    /// How visible a tooth is, 0..1, by the smile word `high`, `a_little` or `no`.
    pub fn visibility(&self, tooth: Tooth, smile: &str) -> f64 {
        let group = match (tooth.region(), tooth.class()) {
            (Region::Anterior, _) => "anterior",
            (_, ToothClass::Premolar) => "premolar",
            _ => "molar",
        };
        self.visibility.get(&format!("{group}_{smile}")).copied().unwrap_or(1.0)
    }

    /// Harm of one event, as a share of a restoration lost.
    pub fn consequence(&self, consequence: Consequence) -> f64 {
        self.consequence.get(consequence.word()).copied().unwrap_or(1.0)
    }

    /// How far a weight that was given may be off, as a share of it.
    pub fn weight_tolerance(&self) -> f64 {
        self.odds.get("weight_tolerance").copied().unwrap_or(0.0)
    }

    /// Weight of the chance of thin dentine beside the share removed.
    pub fn thin_dentine_weight(&self) -> f64 {
        self.tissue.get("thin_dentine_weight").copied().unwrap_or(0.0)
    }

    /// Difference of first shares below which two options are too close to call.
    pub fn too_close_below(&self) -> f64 {
        self.odds.get("too_close_below").copied().unwrap_or(0.0)
    }
}

fn criterion(node: &toml_tree::Node) -> Result<Criterion, Issue> {
    let need = |name: &str| {
        node.get(name).ok_or_else(|| node.complain(format!("a field `{name}`"), format!("add `{name} = ...`")))
    };
    let read = Criterion {
        id: need("id")?.text()?.to_owned(),
        what: need("what")?.text()?.to_owned(),
        unit: need("unit")?.text()?.to_owned(),
        best: need("best")?.number()?,
        worst: need("worst")?.number()?,
        swing: need("swing")?.number()?,
        swing_low: need("swing_low")?.number()?,
        swing_high: need("swing_high")?.number()?,
    };
    if read.best == read.worst {
        return Err(need("worst")?.complain("a worst anchor that differs from the best", "set the two anchors apart"));
    }
    if read.swing_low < 0.0 || read.swing_low > read.swing_high {
        return Err(need("swing_low")?.complain("0 or more, at most swing_high", "correct the range of the weight"));
    }
    Ok(read)
}

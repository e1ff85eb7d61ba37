//! A practice's own colours, named and measured once: its tabs and readings of stumps and abutments, in CIELAB. Shipped empty. Cases,
//! stacks and wishes refer to them by name; own media (`media.csv`) are spectra and stand beside them.

use crate::Catalogue;
use crate::words::words;
use answer::Issue;
use std::collections::BTreeSet;
use table::Row;

words! {
    /// What an own colour is of.
    OwnKind {
        /// A tab of the practice's own set.
        Tab = "tab", "tab";
        /// A stump, post or abutment.
        Stump = "stump", "stump";
    }
}

/// A row of `own_colours.csv`.
#[derive(Debug, Clone, PartialEq)]
pub struct OwnColour {
    /// What it is of.
    pub kind: OwnKind,
    /// Own name.
    pub name: String,
    /// L*, a*, b* (D65, 2 degrees).
    pub lab: [f64; 3],
    /// Standard deviation of repeated readings, as a CIELAB distance.
    pub spread: Option<f64>,
    /// What it was read with, in own words.
    pub instrument: Option<String>,
    /// Day of the reading, as written.
    pub read_on: Option<String>,
}

impl OwnColour {
    pub(crate) fn read(row: &Row) -> Result<Self, Issue> {
        let within = |column: &str, low: f64, high: f64| -> Result<f64, Issue> {
            let value = row.number(column)?;
            if (low..=high).contains(&value) {
                Ok(value)
            } else {
                Err(row.complain(column, format!("{value}"), format!("{low} to {high}"), "read it again"))
            }
        };
        let name = row.text("name")?.trim().to_owned();
        if name.is_empty() {
            return Err(row.complain("name", "no name", "the name it is called by", "give it one"));
        }
        let spread = match row.maybe_number("spread")? {
            Some(_) => Some(within("spread", 0.0, 50.0)?),
            None => None,
        };
        Ok(Self {
            kind: row
                .maybe_word("kind", OwnKind::ALL, OwnKind::word)?
                .ok_or_else(|| row.complain("kind", "no kind", "tab or stump", "write what it is the colour of"))?,
            name,
            lab: [within("L", 0.0, 100.0)?, within("a", -128.0, 127.0)?, within("b", -128.0, 127.0)?],
            spread,
            instrument: row.maybe("instrument").map(str::to_owned),
            read_on: row.maybe("read_on").map(str::to_owned),
        })
    }

    /// One issue for every name that stands twice, whatever it names: "measured once" would else be open to doubt.
    pub(crate) fn twice(rows: &[&Row]) -> Vec<Issue> {
        let mut seen = BTreeSet::new();
        rows.iter()
            .filter(|row| row.maybe("name").is_some_and(|name| !seen.insert(name.trim().to_owned())))
            .map(|row| {
                let found = format!("`{}` stands twice", row.maybe("name").unwrap_or_default());
                row.complain("name", found, "each name once", "rename one, or take the older reading out")
            })
            .collect()
    }
}

impl Catalogue {
    /// All own colours, in the order of the file.
    pub fn own_colours(&self) -> &[OwnColour] {
        &self.own_colours
    }

    /// The own colour of this name.
    pub fn own_colour(&self, name: &str) -> Option<&OwnColour> {
        self.own_colours.iter().find(|c| c.name == name)
    }
}

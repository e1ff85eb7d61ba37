//! What lies beneath on a tooth, and an alloy's own colour.

use super::wish::of_reading;
use answer::{Basis, Provenance, World};
use case::Case;
use case::words::Substrate;
use catalogue::Catalogue;
use catalogue::words::Tooth;
use colour::{Backing, Lab, Spread};
use std::sync::Arc;

/// What lies beneath on one tooth.
pub(super) struct Beneath {
    pub key: String,
    pub words: String,
    pub lab: Vec<Lab>,
    pub backing: Arc<[Backing]>,
    pub measured: bool,
    pub provenance: Provenance,
}

/// What is known of what lies beneath.
pub(super) struct Known {
    pub colour: Spread,
    pub words: String,
    pub measured: bool,
    pub provenance: Provenance,
}

/// What lies beneath on a tooth: its reading, else an own row of what was named, else the range of what was named.
pub(super) fn beneath(case: &Case, tooth: Tooth, catalogue: &Catalogue) -> Known {
    let reading = case
        .abutment(tooth)
        .and_then(|a| a.stump.as_ref())
        .or_else(|| case.implant.as_ref().and_then(|i| i.reading.as_ref()).filter(|_| case.missing().contains(&tooth)));
    let word = case.substrate(tooth).unwrap_or(Substrate::Unknown);
    if let Some(reading) = reading {
        return Known {
            colour: of_reading(reading),
            words: format!("{} (measured)", word.label()),
            measured: true,
            provenance: Provenance::of("own_reading", Basis::Own),
        };
    }
    match catalogue.substrate(word.word()).or_else(|| catalogue.substrate("unknown")) {
        Some(row) => Known {
            colour: between(row),
            words: format!("{} ({})", word.label(), if row.measured { "own row" } else { "not measured" }),
            measured: row.measured,
            provenance: row.provenance.clone(),
        },
        None => Known {
            colour: Spread::Between { low: Lab::new(28.0, -4.0, -3.0), high: Lab::new(90.0, 14.0, 36.0) },
            words: "not known".to_owned(),
            measured: false,
            provenance: Provenance::of("common_practice", Basis::CommonPractice),
        },
    }
}

/// An alloy's own colour.
pub(super) fn metal(world: &World, catalogue: &Catalogue, provenance: &mut Provenance) -> Vec<Lab> {
    let row = catalogue.substrate(Substrate::MetalPost.word());
    let spread = row.map_or(Spread::exactly(Lab::new(65.0, 1.0, 4.0)), |row| {
        provenance.merge(&row.provenance);
        between(row)
    });
    spread.draws(world, "colour/metal")
}

fn between(row: &catalogue::SubstrateRow) -> Spread {
    let corner = |f: fn(&catalogue::Range) -> f64| Lab::new(f(&row.lab[0]), f(&row.lab[1]), f(&row.lab[2]));
    Spread::Between { low: corner(|r| r.low), high: corner(|r| r.high) }
}

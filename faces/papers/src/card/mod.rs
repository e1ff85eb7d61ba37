//! Cards for the days: what to do at the chair, step by step, each with where it comes from.
//!
//! The steps are rows of `data/protocols.csv`; a place of a card for which no row speaks is printed as a line to be filled from the
//! cement's own instructions, never left out. What the material actually used says goes before every row.

mod fit;
mod origin;
mod places;
mod preparation;

pub(crate) use fit::fit;
pub(crate) use origin::{cited, origin, plain, sources};
pub(crate) use preparation::preparation;

use crate::Known;
use crate::blocks::{Block, Cell, Grid, Row, Words};
use catalogue::ProtocolStep;
use catalogue::words::{Construct, Material};
use places::Place;

/// What stands where no row speaks of a step at the fit.
pub(crate) const OWN_INSTRUCTIONS: &str = "follow the cement's own instructions ____";

/// A card's table of steps with the rows it was made from.
struct Steps<'a> {
    grid: Grid,
    rows: Vec<&'a ProtocolStep>,
}

/// The steps of some places for a construct and the materials that lie bare there, a row each; the place stands before its first step.
fn steps<'a>(
    known: &Known<'a>,
    construct: Construct,
    materials: impl Fn(&Place) -> Vec<Option<Material>>,
    places: &[Place],
) -> Steps<'a> {
    let mut rows = Vec::new();
    let mut used = Vec::new();
    for place in places {
        let mut steps: Vec<&ProtocolStep> = Vec::new();
        for material in materials(place) {
            for step in known.catalogue.card_steps(place.word, construct, material) {
                if !steps.iter().any(|s| s.id == step.id) {
                    steps.push(step);
                }
            }
        }
        if steps.is_empty() {
            let cells = [Cell::from(place.label), Cell::from(format!("\u{25a1} {}", place.gap)), Cell::from("no row")];
            rows.push(Row { cells: cells.into(), dimmed: false });
        }
        for (i, step) in steps.iter().enumerate() {
            let head = if i == 0 { Words::from(place.label) } else { Words::default() };
            let told = Words::from(format!("\u{25a1} {}", plain(&step.instruction)));
            let cells = [Cell::from(head), Cell::from(told), Cell::from(origin(known.catalogue, &step.provenance))];
            rows.push(Row { cells: cells.into(), dimmed: false });
        }
        used.extend(steps);
    }
    let heads = ["", "Step", "From"].map(str::to_owned).into();
    Steps { grid: Grid { caption: String::new(), heads, rows }, rows: used }
}

/// The teeth of the work by their role, e.g. `45, 47; pontic 46`.
pub(crate) fn teeth(known: &Known<'_>) -> String {
    let list =
        |teeth: Vec<catalogue::words::Tooth>| teeth.iter().map(ToString::to_string).collect::<Vec<_>>().join(", ");
    let (standing, missing) = (list(known.carriers()), list(known.case.missing()));
    if known.chosen.construct() == Some(Construct::ImplantCrown) {
        return format!("implant {missing}");
    }
    match (standing.is_empty(), missing.is_empty()) {
        (_, true) => standing,
        (true, false) => format!("pontic {missing}"),
        (false, false) => format!("{standing}; pontic {missing}"),
    }
}

/// What every card ends with.
fn closing(known: &Known<'_>) -> Vec<Block> {
    vec![
        Block::Paragraph(crate::said::LIMITS_OF_USE.into()),
        Block::Paragraph(format!("Case {}; {}; by {}.", known.report.case, known.date, known.report.program).into()),
    ]
}

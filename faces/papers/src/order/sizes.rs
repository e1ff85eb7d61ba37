//! Thickness by zone and least sections of connectors.

use super::colour::carriers;
use crate::Known;
use crate::blocks::{Cell, Grid, Row};
use crate::card::origin;
use answer::{Provenance, Unit};
use case::Abutment;
use case::words::Moment;
use catalogue::words::Surface;
use picture::axis::figure;
use plan::Dimension;

/// Every dimension of the option: working, least tested, what there is.
pub(super) fn table(known: &Known<'_>) -> Option<Grid> {
    let option = known.chosen.option()?;
    if option.dimensions.is_empty() {
        return None;
    }
    let rows = option.dimensions.iter().map(|d| {
        let unit = if d.unit == Unit::SquareMillimetres { "mm\u{b2}" } else { "mm" };
        let provenance = Provenance { ids: d.sources.iter().cloned().collect(), weakest: Some(d.basis) };
        let cells = [
            Cell::from(name(d)),
            format!("{} {unit}", figure(d.working, 2)).into(),
            format!("{} {unit}", figure(d.tested_minimum, 2)).into(),
            there_is(known, d).into(),
            origin(known.catalogue, &provenance).into(),
        ];
        Row { cells: cells.into(), dimmed: false }
    });
    Some(Grid {
        caption: "Not thinner, not smaller than the least tested anywhere; call if the room does not give it"
            .to_owned(),
        heads: ["Zone", "Working", "Least tested", "There is", "From"].map(str::to_owned).into(),
        rows: rows.collect(),
    })
}

fn name(d: &Dimension) -> String {
    match d.surface {
        Some(surface) => format!("{}, thickness", surface.label()),
        None => d.what.clone(),
    }
}

/// Room told by the case, and depths measured at the stump, tooth by tooth.
fn there_is(known: &Known<'_>, d: &Dimension) -> String {
    let mut told: Vec<String> = d.available.map(|a| format!("{} mm", figure(a, 1))).into_iter().collect();
    if known.case.moment == Moment::Stump
        && let Some(surface) = d.surface
    {
        for tooth in carriers(known) {
            let depth = known.case.abutment(tooth).and_then(|a| measured(a, surface));
            told.extend(depth.map(|mm| format!("{tooth}: {} mm cut", figure(mm, 1))));
        }
    }
    if told.is_empty() { "____".to_owned() } else { told.join("; ") }
}

fn measured(abutment: &Abutment, surface: Surface) -> Option<f64> {
    match surface {
        Surface::Occlusal => abutment.occlusal_depth_mm,
        Surface::Facial => abutment.facial_depth_mm,
        Surface::Margin => abutment.margin_depth_mm,
        _ => None,
    }
}

/// What is still missing of the depths: only the stump tells them.
pub(super) fn lacks(known: &Known<'_>) -> Vec<String> {
    let Some(option) = known.chosen.option() else { return Vec::new() };
    let cut = |d: &Dimension, s: Surface| d.surface == Some(s);
    let mut lacks = Vec::new();
    for tooth in known.carriers() {
        let Some(abutment) = known.case.abutment(tooth) else {
            lacks.push(format!("Tooth {tooth}: nothing is told of it"));
            continue;
        };
        for surface in [Surface::Occlusal, Surface::Facial, Surface::Margin] {
            if option.dimensions.iter().any(|d| cut(d, surface)) && measured(abutment, surface).is_none() {
                lacks.push(format!("Depth at {tooth}, {}: measure it at the stump", surface.label()));
            }
        }
    }
    lacks
}

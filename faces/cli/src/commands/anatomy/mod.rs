//! `bisque anatomy`: forms of teeth, preparations, units, the least preparation, planned against achieved.
//!
//! Depths and shares are shown; no shape is written out as safe to cut to.

mod built;
mod check;
mod design;
mod dossier;
mod least;
mod preparation;
mod scans;
mod show;
mod tooth;
mod unit;

pub use dossier::scenes as tissue_scenes;
pub use scans::of_case as teeth_as_shown;

use super::facts;
use crate::args::{AnatomyCommand, NeedsArgs};
use crate::failure::Failure;
use ::anatomy::{CutMeasures, Needs, ToothForm};
use ::catalogue::Catalogue;
use ::catalogue::words::Tooth;
use answer::six_figures;
use std::path::Path;

/// Runs an `anatomy` command.
pub fn run(command: AnatomyCommand, data: Option<&Path>) -> Result<(), Failure> {
    let catalogue = facts(data)?;
    match command {
        AnatomyCommand::Tooth(args) => tooth::run(&args, &catalogue),
        AnatomyCommand::Preparation(args) => preparation::run(&args, &catalogue),
        AnatomyCommand::Unit(args) => unit::run(&args, &catalogue),
        AnatomyCommand::Endocrown(args) => built::endocrown(&args, &catalogue),
        AnatomyCommand::Implant(args) => built::implant(&args, &catalogue),
        AnatomyCommand::Least(args) => least::run(&args, &catalogue),
        AnatomyCommand::Check(args) => check::run(&args, &catalogue),
        AnatomyCommand::Design(args) => design::run(&args, &catalogue),
    }
}

fn the_tooth(code: u8) -> Result<Tooth, Failure> {
    Tooth::new(code).map_err(show::wrong)
}

fn form(code: u8, catalogue: &Catalogue) -> Result<ToothForm, Failure> {
    ToothForm::of(catalogue, the_tooth(code)?).map_err(show::wrong)
}

fn length(name: &str, value: f64, low: f64, high: f64) -> Result<(), Failure> {
    if (low..=high).contains(&value) {
        Ok(())
    } else {
        Err(Failure::Usage(format!("{name} is {value} mm: expected {low} to {high} mm")))
    }
}

fn age(years: Option<f64>) -> Result<(), Failure> {
    match years.filter(|a| !(11.0..=110.0).contains(a)) {
        Some(age) => Err(Failure::Usage(format!("the age is {age} years: expected 11 to 110"))),
        None => Ok(()),
    }
}

fn needs(args: &NeedsArgs) -> Result<Needs, Failure> {
    let NeedsArgs { occlusal, facial, lingual, proximal, margin } = *args;
    let named = [("occlusal", occlusal), ("facial", facial), ("lingual", lingual), ("proximal", proximal)];
    for (name, value) in named {
        length(&format!("the {name} need"), value, 0.0, 5.0)?;
    }
    length("the margin", margin, 0.0, 5.0)?;
    Ok(Needs { occlusal, facial, lingual, proximal, margin })
}

/// Numbers given as a list: none, or as many as there must be.
fn listed<const N: usize>(name: &str, given: &[f64]) -> Result<Option<[f64; N]>, Failure> {
    if given.is_empty() {
        return Ok(None);
    }
    match <[f64; N]>::try_from(given) {
        Ok(numbers) if numbers.iter().all(|x| x.is_finite()) => Ok(Some(numbers)),
        Ok(_) => Err(Failure::Usage(format!("{name} holds a number that is none: expected {N} finite ones"))),
        Err(_) => Err(Failure::Usage(format!("{name} has {} numbers: expected {N}, parted by commas", given.len()))),
    }
}

/// Tilt of a path as given, none given: along the tooth.
fn path(given: &[f64]) -> Result<[f64; 2], Failure> {
    let path = listed("--path", given)?.unwrap_or([0.0; 2]);
    match path.iter().find(|t| !(-45.0..=45.0).contains(*t)) {
        Some(t) => Err(Failure::Usage(format!("the path is tilted by {t} degrees: expected -45 to 45"))),
        None => Ok(path),
    }
}

/// What a preparation took and left, in words.
fn in_words(m: &CutMeasures) -> String {
    let mut lines = vec![format!(
        "{:.0} % of the crown is removed ({:.0} of {:.0} mm³); {:.0} mm² are prepared, {:.0} % of that in enamel.",
        100.0 * m.share(),
        m.removed,
        m.crown,
        m.area,
        100.0 * m.enamel_left
    )];
    for d in &m.depths {
        lines.push(format!(
            "  {:<20} {:.2} mm (5 to 95 %: {:.2} to {:.2})",
            d.zone.label(),
            d.mean,
            d.range[0],
            d.range[1]
        ));
    }
    if let Some((least, _)) = m.dentine {
        lines.push(format!("Least dentine over the pulp {least:.2} mm (average pulp: measure on a radiograph)."));
    }
    let walls = match m.convergence {
        Some([mean, low, high]) => {
            format!("walls converge by {mean:.0} degrees ({low:.0} to {high:.0}) and are {:.1} mm high", m.wall_height)
        }
        None => "no opposite walls".to_owned(),
    };
    let undercut = if m.undercut[0] > 0.5 && m.undercut[1] > 0.1 {
        format!("undercut {:.1} mm², {:.2} mm deep", m.undercut[0], m.undercut[1])
    } else {
        "no undercut along the path".to_owned()
    };
    let margin = if m.margin_above_edge >= 0.0 {
        format!("{:.1} mm above the enamel's edge", m.margin_above_edge)
    } else {
        format!("{:.1} mm below the enamel's edge, on root", -m.margin_above_edge)
    };
    lines.push(format!("The margin lies {margin}; {walls}; {undercut}."));
    lines.join("\n")
}

/// The same as JSON.
fn as_json(m: &CutMeasures) -> serde_json::Value {
    let depths: serde_json::Map<_, _> = m
        .depths
        .iter()
        .map(|d| {
            let value = serde_json::json!({
                "mean": six_figures(d.mean), "low": six_figures(d.range[0]), "high": six_figures(d.range[1]), "area_mm2": six_figures(d.area),
            });
            (d.zone.word().to_owned(), value)
        })
        .collect();
    serde_json::json!({
        "crown_mm3": six_figures(m.crown), "removed_mm3": six_figures(m.removed), "share_removed": six_figures(m.share()),
        "depth_mm": depths, "prepared_area_mm2": six_figures(m.area), "enamel_left": six_figures(m.enamel_left),
        "dentine_over_pulp_mm": m.dentine.map(|d| six_figures(d.0)), "dentine_least_at": m.dentine.map(|d| d.1.map(six_figures)),
        "margin_above_enamel_edge_mm": six_figures(m.margin_above_edge),
        "convergence_degrees": m.convergence.map(|c| c.map(six_figures)), "wall_height_mm": six_figures(m.wall_height),
        "undercut_mm2": six_figures(m.undercut[0]), "undercut_depth_mm": six_figures(m.undercut[1]),
    })
}

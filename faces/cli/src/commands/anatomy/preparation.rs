//! `bisque anatomy preparation`.

use super::scans::{self, Given};
use super::show::{File, Values, all_sides, cuts, mesh, surface_of, wrong};
use super::{as_json, in_words, length, needs, path, the_tooth};
use crate::args::CutArgs;
use crate::commands::{print_json, say};
use crate::failure::Failure;
use crate::files;
use ::anatomy::{CutMeasures, Design, Part, Preparation, retainer};
use ::catalogue::Catalogue;
use answer::six_figures;
use papers::tissue::Tissue;
use picture::{MarkedSpot, Steps};
use shape::{Offset, Solid, Surface};
use std::sync::Arc;

pub fn run(args: &CutArgs, catalogue: &Catalogue) -> Result<(), Failure> {
    length("the cell", args.cell, 0.1, 0.5)?;
    length("what the wax-up adds", args.added, 0.0, 3.0)?;
    super::age(Some(args.age))?;
    let tooth = the_tooth(args.tooth)?;
    let mut given = scans::given(&args.scans, tooth, None, args.age, args.cell, catalogue)?;
    if args.added > 0.0 {
        given.shown.wanted = Arc::new(Offset::new(given.shown.present.clone(), args.added).map_err(wrong)?);
    }
    let needs = needs(&args.needs)?;
    let design = Design { needs, convergence: args.convergence, path: path(&args.path)?, finish: args.finish };
    let made =
        Preparation::within(&given.parts, given.shown.present.clone(), given.shown.wanted.clone(), &design, args.cell)
            .map_err(wrong)?;
    let found = made.measures(&given.parts).map_err(wrong)?;
    let crown = retainer(&made, &given.parts, args.gap).ok();
    let surface = surface_of(&made.stump, args.cell)?;
    let clearance = given.antagonist.as_ref().map(|a| clearance(&surface, a, &given));
    if let Some(out) = &args.shown.out {
        files::write_all(out, &drawn(args, &given, &made, &found, crown.as_ref(), &surface)?)?;
    }
    if args.shown.json {
        let mut json = as_json(&found);
        if let Some(map) = json.as_object_mut() {
            map.insert("tooth".into(), args.tooth.into());
            map.insert("remarks".into(), given.remarks.clone().into());
            map.insert("clearance_mm".into(), clearance.map(six_figures).into());
        }
        return print_json(&json);
    }
    say(&in_words(&found));
    if let Some(least) = clearance {
        say(&format!("Least way to the opposing teeth from the chewing surface of the stump: {least:.2} mm."));
    }
    given.remarks.iter().for_each(|r| say(&format!("Note: {r}.")));
    say("To look at and measure; nothing here is a shape to cut to.");
    Ok(())
}

/// Least distance from the stump's chewing surface to the opposing teeth, mm.
pub fn clearance(stump: &Surface, antagonist: &Surface, given: &Given) -> f64 {
    let floor = 0.4 * given.parts.form.size().crown_height;
    let upward = |p: &[f64; 3], n: &[f64; 3]| p[2] > floor && n[2] > 0.5;
    let chewing = stump.points().iter().zip(stump.point_normals()).filter(|(p, n)| upward(p, n));
    chewing.map(|(p, _)| antagonist.closest(*p).distance).fold(f64::INFINITY, f64::min)
}

fn drawn(
    args: &CutArgs,
    given: &Given,
    made: &Preparation,
    found: &CutMeasures,
    crown: Option<&Part>,
    surface: &Surface,
) -> Result<Vec<File>, Failure> {
    let name = format!("preparation-{}", args.tooth);
    let depth: Vec<Option<f64>> =
        surface.points().iter().map(|p| Some((-made.present.distance(*p)).max(0.0))).collect();
    let deepest = depth.iter().flatten().fold(0.2f64, |m, d| m.max(*d));
    let spot = found.dentine.map(|(d, place)| MarkedSpot { place, label: format!("{d:.1} mm") });
    let values = Values {
        at_points: Some(&depth),
        quantity: "depth taken away",
        unit: "mm",
        steps: Some(Steps::nice([0.0, deepest], 8)),
        both_ways: false,
        spots: spot.into_iter().collect(),
    };
    let mut all = all_sides(&name, surface, &values)?;
    let title = format!(
        "Tooth {}: {:.0} % of the crown is removed, {:.0} % of the prepared surface stays in enamel.",
        args.tooth,
        100.0 * found.share(),
        100.0 * found.enamel_left
    );
    let mut layers: Vec<(Tissue, Part)> = Vec::new();
    layers.extend(crown.map(|c| (Tissue::Restoration, c.clone())));
    layers.push((Tissue::Enamel, made.stump.clone()));
    let core = shape::Intersection::new(made.stump.clone(), given.parts.core.clone()).map_err(wrong)?;
    layers.push((Tissue::Dentine, Arc::new(core)));
    layers.push((Tissue::Pulp, given.parts.pulp.clone()));
    layers.push((Tissue::Before, made.present.clone()));
    let data: Vec<(String, String)> = found
        .depths
        .iter()
        .map(|d| (format!("{} depth", d.zone.label()), format!("{:.2} mm", d.mean)))
        .chain([("share removed".to_owned(), format!("{:.0} %", 100.0 * found.share()))])
        .collect();
    all.extend(cuts(&name, &title, &layers, &data)?);
    if args.shown.meshes {
        all.push(mesh(&format!("{name}-stump"), surface));
        if let Some(crown) = crown {
            all.push(mesh(&format!("{name}-restoration"), &surface_of(crown, args.cell)?));
        }
    }
    Ok(all)
}

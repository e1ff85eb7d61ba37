//! `bisque anatomy endocrown` and `bisque anatomy implant`: what is built where no stump of the usual kind stands.

use super::show::{File, Values, all_sides, cuts, mesh, surface_of, wrong};
use super::{form, length};
use crate::args::{EndocrownArgs, ImplantArgs, OutArgs};
use crate::commands::{print_json, say};
use crate::failure::Failure;
use crate::files;
use ::anatomy::{
    Abutment, DesignNeeds, Needs, Part, Recess, ToothParts, ZoneThickness, crown_thickness, endocrown as built_crown,
    endocrown_preparation, implant_crown, wall_left,
};
use ::catalogue::Catalogue;
use answer::six_figures;
use papers::tissue::Tissue;
use picture::{MarkedSpot, Steps};
use shape::{Surface, thickness_at_points};
use std::sync::Arc;

/// Age of the average tooth its parts are drawn at, years.
const AGE: f64 = 45.0;

pub fn endocrown(args: &EndocrownArgs, catalogue: &Catalogue) -> Result<(), Failure> {
    length("the cell", args.cell, 0.1, 0.5)?;
    let parts = ToothParts::new(&form(args.tooth, catalogue)?, AGE, args.cell).map_err(wrong)?;
    let recess = Recess { height: args.height, depth: args.depth, opening: args.opening };
    let made = endocrown_preparation(&parts, &recess, args.cell).map_err(wrong)?;
    let crown = built_crown(&made, &recess, args.gap).map_err(wrong)?;
    let share = made.measures(&parts).map_err(wrong)?.share();
    let (wall, place) = wall_left(&parts, &made, &recess, args.cell).map_err(wrong)?;
    let made_of = Built { surface: surface_of(&crown, args.cell)?, crown, below: made.stump.clone() };
    let zones = thickness(&made_of.surface);
    let title = format!(
        "Tooth {}: an endocrown on a butt {:.1} mm high, its recess {:.1} mm deep; {wall:.1} mm of wall are left at the thinnest.",
        args.tooth, args.height, args.depth
    );
    let core: Part = Arc::new(shape::Intersection::new(made.stump.clone(), parts.core.clone()).map_err(wrong)?);
    let layers = [
        (Tissue::Restoration, made_of.crown.clone()),
        (Tissue::Enamel, made.stump.clone()),
        (Tissue::Dentine, core),
        (Tissue::Before, made.present.clone()),
    ];
    let spot = MarkedSpot { place, label: format!("{wall:.1} mm") };
    let data = [("share removed", format!("{:.0} %", 100.0 * share)), ("wall left", format!("{wall:.1} mm"))];
    let name = format!("endocrown-{}", args.tooth);
    written(&args.shown, &name, &title, &made_of, &layers, &data, vec![spot], args.cell)?;
    if args.shown.json {
        return print_json(&serde_json::json!({
            "tooth": args.tooth, "share_removed": six_figures(share), "wall_left_mm": six_figures(wall),
            "wall_left_at": place.map(six_figures), "surfaces": as_json(&zones),
        }));
    }
    say(&title);
    say(&format!("{:.0} % of the average crown is removed.", 100.0 * share));
    said(&zones);
    say("The pulp chamber is an average one: measure it on a radiograph. Nothing here is a shape to cut to.");
    Ok(())
}

pub fn implant(args: &ImplantArgs, catalogue: &Catalogue) -> Result<(), Failure> {
    length("the cell", args.cell, 0.1, 0.5)?;
    let parts = ToothParts::new(&form(args.tooth, catalogue)?, AGE, args.cell).map_err(wrong)?;
    let ImplantArgs { radius, height, convergence, shoulder, level, channel, .. } = *args;
    let asked = Abutment { radius, height, convergence, shoulder, level, channel };
    let (crown, abutment) = implant_crown(&parts, &asked, args.gap).map_err(wrong)?;
    let made_of = Built { surface: surface_of(&crown, args.cell)?, crown, below: abutment };
    let zones = thickness(&made_of.surface);
    let over = parts.form.size().crown_height - level;
    let title = format!(
        "Tooth {}: a crown {over:.1} mm high over the shoulder of an abutment of {height:.1} mm, {}.",
        args.tooth,
        if channel > 0.0 { "held by its screw" } else { "cemented" }
    );
    let layers = [(Tissue::Restoration, made_of.crown.clone()), (Tissue::Abutment, made_of.below.clone())];
    let data =
        [("crown over shoulder", format!("{over:.1} mm")), ("volume", format!("{:.0} mm³", made_of.surface.volume()))];
    written(&args.shown, &format!("implant-{}", args.tooth), &title, &made_of, &layers, &data, Vec::new(), args.cell)?;
    if args.shown.json {
        return print_json(&serde_json::json!({
            "tooth": args.tooth, "crown_over_shoulder_mm": six_figures(over), "crown_mm3": six_figures(made_of.surface.volume()),
            "surfaces": as_json(&zones),
        }));
    }
    say(&title);
    said(&zones);
    say(
        "An average form over middle measures of abutments (common practice, no source); the implant's own parts come first. Nothing here is a shape to cut to.",
    );
    Ok(())
}

/// A crown and what it sits on.
struct Built {
    surface: Surface,
    crown: Part,
    below: Part,
}

fn thickness(surface: &Surface) -> Vec<ZoneThickness> {
    crown_thickness(surface, &DesignNeeds { working: Needs::default(), tested: Needs::default() })
}

fn label(zone: &ZoneThickness) -> &'static str {
    zone.zone.map_or("walls", |z| z.label())
}

fn said(zones: &[ZoneThickness]) {
    for z in zones {
        say(&format!("  {:<20} usually {:.2} mm, least {:.2} mm over {:.0} mm²", label(z), z.usual, z.least, z.area));
    }
}

fn as_json(zones: &[ZoneThickness]) -> Vec<serde_json::Value> {
    let one = |z: &ZoneThickness| {
        serde_json::json!({
            "surface": z.zone.map_or("walls", |s| s.word()), "area_mm2": six_figures(z.area), "usual_mm": six_figures(z.usual),
            "least_mm": six_figures(z.least),
        })
    };
    zones.iter().map(one).collect()
}

/// Thickness from all sides, two cuts, and the meshes asked for.
#[allow(clippy::too_many_arguments)] // one picture's inputs, used twice
fn written(
    shown: &OutArgs,
    name: &str,
    title: &str,
    built: &Built,
    layers: &[(Tissue, Part)],
    data: &[(&str, String)],
    spots: Vec<MarkedSpot>,
    cell: f64,
) -> Result<(), Failure> {
    let Some(out) = &shown.out else { return Ok(()) };
    let thick: Vec<Option<f64>> = thickness_at_points(&built.surface).iter().map(|t| Some(t.ball.min(4.0))).collect();
    let values = Values {
        at_points: Some(&thick),
        quantity: "thickness, up to 4",
        unit: "mm",
        steps: Some(Steps::nice([0.0, 4.0], 8)),
        both_ways: false,
        spots,
    };
    let mut all: Vec<File> = all_sides(name, &built.surface, &values)?;
    let data: Vec<(String, String)> = data.iter().map(|(n, v)| ((*n).to_owned(), v.clone())).collect();
    all.extend(cuts(name, title, layers, &data)?);
    if shown.meshes {
        all.push(mesh(&format!("{name}-crown"), &built.surface));
        all.push(mesh(&format!("{name}-below"), &surface_of(&built.below, cell)?));
    }
    files::write_all(out, &all)
}

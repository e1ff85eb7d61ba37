//! `bisque anatomy design`: a restoration as designed against what its material needs.

use super::scans;
use super::show::{File, SIDES, Values, side, wrong};
use super::the_tooth;
use crate::args::DesignArgs;
use crate::commands::shape::read_surface;
use crate::commands::{print_json, say};
use crate::failure::Failure;
use crate::files;
use ::anatomy::{DesignNeeds, Needs, ThinSpot, ZoneThickness, connectors, crown_thickness, fit_scan, unit_thickness};
use ::catalogue::words::{Build, Construct, Material, Region, Tooth};
use ::catalogue::{Catalogue, Need};
use answer::six_figures;
use picture::{MarkedSpot, Steps};
use shape::{Section, Surface, thickness_at_points};

/// What was measured.
struct Found {
    surface: Surface,
    zones: Vec<ZoneThickness>,
    sections: Vec<Section>,
    clearance: Option<f64>,
    remarks: Vec<String>,
}

pub fn run(args: &DesignArgs, catalogue: &Catalogue) -> Result<(), Failure> {
    let teeth: Vec<Tooth> = args.teeth.iter().map(|t| the_tooth(*t)).collect::<Result<_, _>>()?;
    if let Some(stray) = args.missing.iter().find(|m| !args.teeth.contains(m)) {
        return Err(Failure::Usage(format!("--missing {stray}: it is none of the teeth named")));
    }
    let needs = needed(args, &teeth, catalogue)?;
    let found = found(args, &teeth, &needs, catalogue)?;
    if let Some(out) = &args.out {
        files::write_all(out, &drawn(&found)?)?;
    }
    if args.json {
        return print_json(&as_json(&found, &needs));
    }
    said(&found, &needs);
    Ok(())
}

/// Rows of needs for the material, build and construct named.
fn needed<'a>(args: &DesignArgs, teeth: &[Tooth], catalogue: &'a Catalogue) -> Result<Vec<&'a Need>, Failure> {
    let word = |what: &str, given: &str| {
        Failure::Usage(format!("--{what} {given}: no such word; see `bisque catalogue show needs`"))
    };
    let material = Material::parse(&args.material).ok_or_else(|| word("material", &args.material))?;
    let build = Build::parse(&args.build).ok_or_else(|| word("build", &args.build))?;
    let construct = match &args.construct {
        Some(given) => Construct::parse(given).ok_or_else(|| word("construct", given))?,
        None if teeth.len() > 1 && !args.missing.is_empty() => Construct::Bridge,
        None => Construct::Crown,
    };
    let front = teeth.iter().all(|t| t.region() == Region::Anterior);
    let region = if front { Region::Anterior } else { Region::Posterior };
    let rows = catalogue.needs(construct, material, build, region, args.missing.len() as u32);
    if rows.is_empty() {
        return Err(Failure::Usage(format!(
            "no thickness is on record for a {} of {}, {}; expected a row of data/needs.csv: add one to a folder of your own (--data)",
            construct.label(),
            material.label(),
            build.label()
        )));
    }
    Ok(rows)
}

fn found(args: &DesignArgs, teeth: &[Tooth], needs: &[&Need], catalogue: &Catalogue) -> Result<Found, Failure> {
    let mut surface = read_surface(&args.design)?;
    let mut remarks = Vec::new();
    if !surface.is_closed() {
        remarks.push("the surface does not close: thickness beside its holes is not to be trusted".to_owned());
    }
    let by_surface =
        |value: fn(&Need) -> f64| Needs::from_surfaces(needs.iter().filter_map(|n| n.surface().map(|s| (s, value(n)))));
    let limits = DesignNeeds { working: by_surface(|n| n.working), tested: by_surface(Need::tested_minimum) };
    let mut antagonist = args.antagonist.as_ref().map(|f| read_surface(f)).transpose()?;
    let zones = match teeth {
        [tooth] => match fit_scan(catalogue, *tooth, &surface, None) {
            Ok(fitted) => {
                remarks.push(format!("laid on the form of {tooth}, {:.2} mm off it (root mean square)", fitted.rms));
                antagonist = antagonist.map(|a| fitted.carried(&a).map_err(wrong)).transpose()?;
                surface = (*fitted.surface).clone();
                crown_thickness(&surface, &limits)
            }
            Err(fault) => {
                remarks.push(format!(
                    "{}: {fault}; z is taken to point to the opposing jaw, and lip and tongue are not told apart",
                    scans::name(&args.design)
                ));
                unit_thickness(&surface, &limits)
            }
        },
        _ => unit_thickness(&surface, &limits),
    };
    if zones.is_empty() {
        remarks.push(
            "its inside cannot be told from its outside (a veneer, an onlay without walls): use `bisque shape thickness`".to_owned(),
        );
    }
    let sections = connectors(&surface, teeth.len()).map_err(wrong)?;
    if sections.len() + 1 < teeth.len() {
        remarks.push(format!("{} connectors were found, {} expected", sections.len(), teeth.len() - 1));
    }
    let clearance = antagonist.as_ref().map(|a| least_way(&surface, a));
    Ok(Found { surface, zones, sections, clearance, remarks })
}

/// Least way from upward facing places to the opposing teeth, mm; below 0 where they lie in one another.
fn least_way(surface: &Surface, antagonist: &Surface) -> f64 {
    let upward = surface.points().iter().zip(surface.point_normals()).filter(|(_, n)| n[2] > 0.3);
    upward.map(|(p, _)| antagonist.signed(*p).0).fold(f64::INFINITY, f64::min)
}

fn label(zone: &ZoneThickness) -> &'static str {
    zone.zone.map_or("walls", |z| z.label())
}

fn said(found: &Found, needs: &[&Need]) {
    let below = found.zones.iter().any(|z| !z.below_tested.is_empty());
    let short = found.zones.iter().any(|z| !z.below_working.is_empty());
    say(match (found.zones.is_empty(), below, short) {
        (true, ..) => "Its thickness could not be judged.",
        (_, true, _) => "It is thinner than the tested minimum: send it back, or accept it in writing.",
        (_, _, true) => {
            "It keeps the tested minimum, and is thinner than the working thickness in places: little is left for adjusting."
        }
        _ => "It is as thick as it should be.",
    });
    for z in &found.zones {
        say(&format!("  {:<20} usually {:.2} mm, least {:.2} mm over {:.0} mm²", label(z), z.usual, z.least, z.area));
        for (spots, what) in [(&z.below_tested, "tested minimum"), (&z.below_working, "working thickness")] {
            for s in spots.iter().take(3) {
                say(&format!("    {:.2} mm at ({}), {:.1} mm² below the {what}", s.least, place(s), s.area));
            }
        }
    }
    let need = |word: &str| needs.iter().find(|n| n.dimension == word);
    for (i, s) in found.sections.iter().enumerate() {
        let least = need("connector_area").map(|n| n.tested_minimum());
        let verdict = match least {
            Some(least) if s.height * s.width < least => {
                format!("height times width is below the tested minimum of {least} mm²")
            }
            Some(least) => format!("tested minimum of height times width {least} mm²"),
            None => "no minimum on record".to_owned(),
        };
        say(&format!(
            "  connector {}: {:.1} mm high, {:.1} mm wide, {:.1} mm² ({verdict})",
            i + 1,
            s.height,
            s.width,
            s.area
        ));
    }
    if let Some(least) = found.clearance {
        say(&format!(
            "Least way to the opposing teeth: {least:.2} mm{}.",
            if least < 0.0 { ": they lie in one another" } else { "" }
        ));
    }
    found.remarks.iter().for_each(|r| say(&format!("Note: {r}.")));
    say("A millimetre next to the rim is not judged. The instructions of the material actually used come first.");
}

fn place(spot: &ThinSpot) -> String {
    spot.place.map(|x| format!("{x:.1}")).join(", ")
}

fn as_json(found: &Found, needs: &[&Need]) -> serde_json::Value {
    let spots = |list: &[ThinSpot]| -> Vec<serde_json::Value> {
        let one = |s: &ThinSpot| serde_json::json!({ "least_mm": six_figures(s.least), "area_mm2": six_figures(s.area), "place": s.place.map(six_figures) });
        list.iter().map(one).collect()
    };
    serde_json::json!({
        "surfaces": found.zones.iter().map(|z| serde_json::json!({
            "surface": z.zone.map_or("walls", |s| s.word()), "area_mm2": six_figures(z.area), "usual_mm": six_figures(z.usual), "least_mm": six_figures(z.least),
            "below_working": spots(&z.below_working), "below_tested": spots(&z.below_tested),
        })).collect::<Vec<_>>(),
        "connectors": found.sections.iter().map(|s| serde_json::json!({
            "area_mm2": six_figures(s.area), "height_mm": six_figures(s.height), "width_mm": six_figures(s.width), "place": s.centroid.map(six_figures),
        })).collect::<Vec<_>>(),
        "needs": needs.iter().map(|n| serde_json::json!({
            "dimension": n.dimension, "working": n.working, "tested_minimum": n.tested_minimum(), "sources": n.sources,
        })).collect::<Vec<_>>(),
        "clearance_mm": found.clearance.map(six_figures),
        "remarks": found.remarks,
    })
}

/// Thickness seen from the chewing surface and from below.
fn drawn(found: &Found) -> Result<Vec<File>, Failure> {
    let thick: Vec<Option<f64>> = thickness_at_points(&found.surface).iter().map(|t| Some(t.ball.min(3.0))).collect();
    let spots = found.zones.iter().flat_map(|z| z.below_tested.iter().chain(&z.below_working).take(1));
    let values = Values {
        at_points: Some(&thick),
        quantity: "thickness, up to 3",
        unit: "mm",
        steps: Some(Steps::nice([0.0, 3.0], 10)),
        both_ways: false,
        spots: spots.map(|s| MarkedSpot { place: s.place, label: format!("{:.1} mm", s.least) }).collect(),
    };
    let below = ("below", [0.0, 0.0, -1.0], [0.0, 1.0, 0.0]);
    let views = SIDES.iter().filter(|s| s.0 == "chewing" || s.0 == "facial").chain([&below]);
    views
        .map(|(name, from, up)| side(&format!("design-{name}"), &found.surface, *from, *up, &values, [760, 560]))
        .collect()
}

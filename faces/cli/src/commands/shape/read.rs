//! `bisque shape read` and `bisque shape repair`.

use super::{in_words, read_file, rounded, usage, write_surface};
use crate::args::{ReadArgs, RepairArgs};
use crate::commands::{print_json, say};
use crate::complaint;
use crate::failure::Failure;
use ::shape::{Hole, Inspection, LengthUnit, Read, Repair, Surface, inspect, repair};
use answer::{Issue, six_figures};
use serde_json::{Value, json};

/// Rims, shells and crossings listed by name on the terminal.
const LISTED: usize = 10;

pub fn read(args: &ReadArgs) -> Result<(), Failure> {
    let read = in_unit(read_file(&args.file)?, args.unit)?;
    let surface = Surface::from_mesh(read.mesh.clone()).map_err(usage)?;
    let found = inspect(&surface);
    if args.json {
        let mut value = inspection_json(&surface, &found);
        value["format"] = json!(read.format.to_string());
        value["unit"] = json!(args.unit.or(read.unit).map(|u| u.to_string()));
        value["issues"] = json!(read.issues);
        return print_json(&value);
    }
    complaint::print_warnings(&read.issues, "");
    let unit = match (args.unit, read.unit) {
        (Some(u), _) => format!("as told in {u}s"),
        (None, Some(u)) => format!("it names the {u}"),
        (None, None) => "it names no unit, millimetres assumed".to_owned(),
    };
    say(&format!("{}; {unit}", read.format));
    say_inspection(&surface, &found);
    Ok(())
}

pub fn mend(args: &RepairArgs) -> Result<(), Failure> {
    let read = in_unit(read_file(&args.file)?, args.unit)?;
    let (mesh, actions) = repair(&read.mesh, &Repair { weld: args.weld, fill: args.fill }).map_err(usage)?;
    let surface = Surface::from_mesh(mesh).map_err(usage)?;
    write_surface(&args.out, &surface)?;
    let found = inspect(&surface);
    let actions: Vec<String> = actions.iter().map(ToString::to_string).collect();
    if args.json {
        let mut value = inspection_json(&surface, &found);
        value["issues"] = json!(read.issues);
        value["actions"] = json!(actions);
        value["weld_mm"] = json!(args.weld);
        value["fill_mm"] = json!(args.fill);
        return print_json(&value);
    }
    complaint::print_warnings(&read.issues, "");
    if actions.is_empty() {
        say("nothing to mend");
    }
    actions.iter().for_each(|a| say(a));
    say_inspection(&surface, &found);
    Ok(())
}

/// The surface in millimetres, with what was said of its unit taken back if the person told it.
fn in_unit(mut read: Read, unit: Option<LengthUnit>) -> Result<Read, Failure> {
    let Some(unit) = unit else { return Ok(read) };
    if read.unit.is_some_and(|named| named != unit) {
        return Err(Failure::Usage("the file names its unit itself: leave --unit out".to_owned()));
    }
    if read.unit.is_none() {
        let factor = unit.millimetres();
        read.mesh = read.mesh.scaled(factor);
        for hole in &mut read.holes {
            *hole =
                Hole { length: hole.length * factor, centre: hole.centre.map(|x| x * factor), rim: hole.rim.clone() };
        }
        let of_unit = |i: &Issue| i.expected == "millimetres";
        read.issues.retain(|i| !of_unit(i));
    }
    Ok(read)
}

fn inspection_json(surface: &Surface, found: &Inspection) -> Value {
    let bound = surface.bound();
    let f = found.flaws;
    json!({
        "points": surface.points().len(), "facets": surface.facets().len(), "closed": surface.is_closed(),
        "size_mm": rounded(bound.size()), "low": rounded(bound.low), "high": rounded(bound.high),
        "area_mm2": six_figures(surface.area()),
        "volume_mm3": surface.is_closed().then(|| six_figures(surface.volume())),
        "shells": found.shells.iter().map(|(facets, volume)| json!({ "facets": facets, "volume_mm3": six_figures(*volume) })).collect::<Vec<_>>(),
        "holes": found.holes.iter().map(|h| json!({
            "length_mm": six_figures(h.length), "centre": rounded(h.centre), "edges": h.rim.len(),
        })).collect::<Vec<_>>(),
        "crossings": found.crossings.iter().map(|c| json!({ "facets": c.facets, "at": rounded(c.place) })).collect::<Vec<_>>(),
        "needles": found.needles, "without_area": f.without_area, "duplicates": f.duplicates, "open_edges": f.open_edges,
        "branching_edges": f.branching_edges, "flipped_edges": f.wound_against,
    })
}

fn say_inspection(surface: &Surface, found: &Inspection) {
    let [x, y, z] = surface.bound().size();
    let f = found.flaws;
    let closed =
        if surface.is_closed() { format!("closed, volume {:.4} mm³", surface.volume()) } else { "open".to_owned() };
    say(&format!(
        "{} facets, {} places, {x:.3} x {y:.3} x {z:.3} mm, area {:.4} mm²; {closed}",
        surface.facets().len(),
        surface.points().len(),
        surface.area()
    ));
    let many = found.shells.len();
    say(&format!("shells: {many}"));
    if many > 1 {
        for (facets, volume) in found.shells.iter().take(LISTED) {
            say(&format!("  {facets} facets, volume {volume:.4} mm³"));
        }
    }
    for (count, what) in [
        (found.holes.len(), "rims"),
        (f.branching_edges, "edges of more than two facets"),
        (f.wound_against, "edges where a neighbour is flipped"),
        (f.duplicates, "facets there twice"),
        (f.without_area, "facets without area"),
        (found.needles, "needles (height under a hundredth of their length)"),
        (found.crossings.len(), "pairs of facets that cut each other"),
    ] {
        if count > 0 {
            say(&format!("{what}: {count}"));
        }
        if what == "rims" {
            for h in found.holes.iter().take(LISTED) {
                say(&format!("  {:.3} mm long, {} edges, about {}", h.length, h.rim.len(), in_words(h.centre)));
            }
        }
    }
    for c in found.crossings.iter().take(LISTED) {
        say(&format!("  facets {} and {} at {}", c.facets[0], c.facets[1], in_words(c.place)));
    }
}

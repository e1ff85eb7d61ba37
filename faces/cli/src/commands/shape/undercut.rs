//! `bisque shape undercut`.

use super::{Drawn, draw, in_words, read_surface, rounded, usage};
use crate::args::UndercutArgs;
use crate::commands::{print_json, say};
use crate::failure::Failure;
use ::shape::{Withdrawal, best_direction, convergence, undercut};
use answer::six_figures;
use picture::MarkedSpot;

pub fn run(args: &UndercutArgs) -> Result<(), Failure> {
    if !(0.0 < args.wall && args.wall < 90.0) {
        return Err(Failure::Usage(format!(
            "the lean of a wall is {} degrees: expected above 0 and below 90",
            args.wall
        )));
    }
    let surface = read_surface(&args.file)?;
    let what = Withdrawal { floor: args.floor.to_radians(), least_depth: args.least };
    let found = match args.search {
        Some(cone) => best_direction(&surface, args.direction, cone.to_radians(), &what),
        None => undercut(&surface, args.direction, &what),
    }
    .map_err(usage)?;
    let walls = convergence(&surface, found.direction, args.wall.to_radians()).ok();
    let mut values = vec![Some(0.0); surface.facets().len()];
    for (f, depth) in found.facets.iter().zip(&found.depths) {
        values[*f as usize] = Some(*depth);
    }
    let label = format!("{:.2} mm", found.depth);
    let drawn = Drawn {
        values: &values,
        at_points: false,
        quantity: "undercut depth",
        unit: "mm",
        spots: found.deepest.map(|place| MarkedSpot { place, label }).into_iter().collect(),
        either_side: false,
    };
    draw(&surface, &args.picture, drawn)?;
    if args.json {
        return print_json(&serde_json::json!({
            "direction": rounded(found.direction), "facets": found.facets.len(), "area_mm2": six_figures(found.area.max(0.0)),
            "depth_mm": six_figures(found.depth), "deepest_at": found.deepest.map(rounded),
            "least_depth_mm": args.least, "floor_degrees": args.floor,
            "convergence": walls.as_ref().map(|c| serde_json::json!({
                "mean_degrees": six_figures(c.mean.to_degrees()), "range_degrees": c.range.map(|x| six_figures(x.to_degrees())),
                "widest_across": rounded(c.widest), "wall_area_mm2": six_figures(c.wall_area), "wall_height_mm": six_figures(c.wall_height),
            })),
        }));
    }
    say(&format!("withdrawn along {}", in_words(found.direction)));
    match found.deepest {
        None => say(&format!("no undercut deeper than {} mm", args.least)),
        Some(place) => say(&format!(
            "undercut {:.3} mm² in {} facets, at most {:.3} mm deep, at {}",
            found.area,
            found.facets.len(),
            found.depth,
            in_words(place)
        )),
    }
    match walls {
        Some(c) => say(&format!(
            "walls converge by {:.2} degrees (opposite sectors {:.2} to {:.2}), {:.2} mm² and {:.2} mm high",
            c.mean.to_degrees(),
            c.range[0].to_degrees(),
            c.range[1].to_degrees(),
            c.wall_area,
            c.wall_height
        )),
        None => say("no opposite walls: no convergence"),
    }
    Ok(())
}

//! `bisque shape align`.

use super::{Drawn, bad, draw, read_surface, rounded, usage, write_surface};
use crate::args::AlignArgs;
use crate::commands::{print_json, say};
use crate::failure::Failure;
use ::shape::{Fit, Motion, ShapeError, Surface, align, between, by_places, by_shape};
use answer::six_figures;

pub fn run(args: &AlignArgs) -> Result<(), Failure> {
    if !(0.0..=100.0).contains(&args.overlap) {
        return Err(Failure::Usage(format!("the least overlap is {} %: expected 0 to 100", args.overlap)));
    }
    let (moving, fixed) = (read_surface(&args.moving)?, read_surface(&args.fixed)?);
    let start = if args.near {
        Motion::none()
    } else if args.pick.is_empty() && args.partner.is_empty() {
        by_shape(&moving, &fixed).map_err(usage)?
    } else {
        by_places(&args.pick, &args.partner).map_err(usage)?.0
    };
    let fit = Fit { tolerance: args.tolerance, least_overlap: 0.01 * args.overlap, ..Fit::default() };
    let found = align(&moving, &fixed, start, &fit).map_err(|e| match e {
        ShapeError::DoNotBelong { .. } => bad(&args.moving, "surface", &e),
        other => usage(other),
    })?;
    let points = moving.points().iter().map(|p| found.motion.apply(*p)).collect();
    let moved = Surface::new(points, moving.facets().to_vec()).map_err(usage)?;
    if let Some(path) = &args.out {
        write_surface(path, &moved)?;
    }
    if args.picture.picture.is_some() {
        let off = between(&moved, &fixed).map_err(usage)?;
        let values: Vec<Option<f64>> = off.values.iter().map(|v| Some(*v)).collect();
        let (quantity, unit) = ("distance", "mm");
        let drawn = Drawn { values: &values, at_points: true, quantity, unit, spots: vec![], either_side: true };
        draw(&moved, &args.picture, drawn)?;
    }
    let freedoms: Vec<String> = found.freedoms.iter().map(ToString::to_string).collect();
    if args.json {
        return print_json(&serde_json::json!({
            "rotation": found.motion.rows().map(rounded), "shift_mm": rounded(found.motion.shift_after()),
            "angle_degrees": six_figures(found.motion.angle().to_degrees()), "rms_mm": six_figures(found.rms),
            "overlap": six_figures(found.overlap), "tolerance_mm": args.tolerance,
            "conditioning": six_figures(found.conditioning), "not_fixed": freedoms,
        }));
    }
    let [x, y, z] = found.motion.shift_after();
    say(&format!("turned by {:.3} degrees, shifted by ({x:.4}, {y:.4}, {z:.4}) mm", found.motion.angle().to_degrees()));
    say(&format!(
        "{:.1} % of the moving surface lies within {} mm of the fixed one, rms {:.4} mm",
        100.0 * found.overlap,
        args.tolerance,
        found.rms
    ));
    for f in freedoms {
        say(&format!("not fixed by the surfaces: {f}"));
    }
    Ok(())
}

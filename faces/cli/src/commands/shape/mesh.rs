//! `bisque shape mesh`.

use super::{model, usage, write_surface};
use crate::args::MeshArgs;
use crate::commands::{print_json, say};
use crate::failure::Failure;
use ::shape::Surface;
use answer::six_figures;

pub fn run(args: &MeshArgs) -> Result<(), Failure> {
    let solid = model::read(&args.model)?;
    let surface = Surface::of(&solid, args.cell).map_err(usage)?;
    write_surface(&args.out, &surface)?;
    let (points, facets, open) = (surface.points().len(), surface.facets().len(), surface.open_edges());
    let (volume, area) = (surface.volume(), surface.area());
    if args.json {
        return print_json(&serde_json::json!({
            "points": points, "facets": facets, "open_edges": open, "volume_mm3": six_figures(volume),
            "area_mm2": six_figures(area), "cell_mm": args.cell,
        }));
    }
    say(&format!("{facets} facets, {open} open edges, volume {volume:.4} mm³, area {area:.4} mm²"));
    Ok(())
}

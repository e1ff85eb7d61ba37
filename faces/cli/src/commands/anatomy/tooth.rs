//! `bisque anatomy tooth`.

use super::show::{Values, all_sides, cuts, mesh, side, surface_of, wrong};
use super::{age, form, length};
use crate::args::ToothArgs;
use crate::commands::{print_json, say};
use crate::failure::Failure;
use crate::files;
use ::anatomy::{Part, ToothParts};
use ::catalogue::Catalogue;
use answer::six_figures;
use papers::tissue::Tissue;
use picture::Steps;

pub fn run(args: &ToothArgs, catalogue: &Catalogue) -> Result<(), Failure> {
    length("the cell", args.cell, 0.1, 0.5)?;
    age(Some(args.age))?;
    let form = form(args.tooth, catalogue)?;
    let parts = ToothParts::new(&form, args.age, args.cell).map_err(wrong)?;
    let field = parts.outer.field();
    let nodes = field.nodes();
    let height = |n: usize| field.place([0, 0, n / (nodes[0] * nodes[1])])[2];
    let (volume, area) = (field.volume_where(|n| height(n) > 0.0), field.area_where(|n| height(n) > 0.0));
    let [enamel, dentine, pulp] = parts.volumes();
    let size = form.size();
    if let Some(out) = &args.shown.out {
        files::write_all(out, &drawn(args, &parts)?)?;
    }
    if args.shown.json {
        return print_json(&serde_json::json!({
            "tooth": args.tooth, "age": args.age,
            "mesiodistal_mm": size.mesiodistal, "faciolingual_mm": size.faciolingual, "crown_height_mm": size.crown_height,
            "volume_above_facial_enamel_edge_mm3": six_figures(volume), "area_above_facial_enamel_edge_mm2": six_figures(area),
            "enamel_mm3": six_figures(enamel), "dentine_of_the_crown_mm3": six_figures(dentine), "pulp_of_the_crown_mm3": six_figures(pulp),
            "sources": form.provenance().ids,
        }));
    }
    say(&format!(
        "Tooth {}, average form: {} mm from side to side, {} mm from lip to tongue, crown {} mm high.\n\
         Above the facial enamel edge {volume:.0} mm³ and {area:.0} mm² of surface; of the crown {enamel:.0} mm³ are enamel, {dentine:.0} mm³ dentine, \
         {pulp:.0} mm³ pulp at {} years.\nTeeth differ from it by 6 % in width and 8 % in height (one SD). \
         The shape is common practice without a source; sizes and the angle at the neck are published.",
        args.tooth, size.mesiodistal, size.faciolingual, size.crown_height, args.age
    ));
    Ok(())
}

fn drawn(args: &ToothArgs, parts: &ToothParts) -> Result<Vec<super::show::File>, Failure> {
    let name = format!("tooth-{}", args.tooth);
    let outer: Part = parts.outer.clone();
    let surface = surface_of(&outer, args.cell)?;
    let mut all = all_sides(&name, &surface, &Values::none())?;
    // Seen from the top a crown has little relief of its own: steps of height show its cusps and grooves.
    let heights: Vec<Option<f64>> = surface.points().iter().map(|p| Some(p[2])).collect();
    let top = surface.bound().high[2];
    let steps = Steps::nice([top - 3.5, top], 8);
    let relief = Values {
        at_points: Some(&heights),
        quantity: "height above the enamel edge",
        steps: Some(steps),
        ..Values::none()
    };
    all.retain(|(n, _)| !n.ends_with("chewing.png"));
    all.push(side(&format!("{name}-chewing"), &surface, [0.0, 0.0, 1.0], [0.0, 1.0, 0.0], &relief, [560, 420])?);
    let title = format!("Tooth {} at {} years: enamel, dentine and pulp of the average form.", args.tooth, args.age);
    let layers: [(Tissue, Part); 3] =
        [(Tissue::Enamel, outer), (Tissue::Dentine, parts.core.clone()), (Tissue::Pulp, parts.pulp.clone())];
    let [enamel, dentine, pulp] = parts.volumes();
    let data = [("enamel", enamel), ("dentine of the crown", dentine), ("pulp of the crown", pulp)];
    let data: Vec<(String, String)> = data.map(|(n, v)| (n.to_owned(), format!("{v:.0} mm³"))).into();
    all.extend(cuts(&name, &title, &layers, &data)?);
    if args.shown.meshes {
        let bodies: [(&str, Part); 4] = [
            ("outer", parts.outer.clone()),
            ("enamel", parts.enamel.clone()),
            ("dentine", parts.dentine.clone()),
            ("pulp", parts.pulp.clone()),
        ];
        for (part, body) in bodies {
            all.push(mesh(&format!("{name}-{part}"), &surface_of(&body, args.cell)?));
        }
    }
    Ok(all)
}

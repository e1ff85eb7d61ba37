//! `bisque anatomy`: forms of teeth, and the least preparation.
//!
//! Depths and shares are shown; no shape is written out as safe to cut to.

use super::{facts, print_json, say};
use crate::args::{AnatomyCommand, LeastArgs, ToothArgs};
use crate::failure::Failure;
use crate::files;
use ::anatomy::{Needs, Seen, StandingTooth, ToothForm};
use ::catalogue::Catalogue;
use ::catalogue::words::Tooth;
use answer::{Draws, World, six_figures};
use picture::{ColourMap, SurfacePicture, SurfaceValues, View, surface_picture};
use shape::{Field, Solid, contour};
use std::path::Path;

/// Runs an `anatomy` command.
pub fn run(command: AnatomyCommand, data: Option<&Path>) -> Result<(), Failure> {
    let catalogue = facts(data)?;
    match command {
        AnatomyCommand::Tooth(args) => tooth(&args, &catalogue),
        AnatomyCommand::Least(args) => least(&args, &catalogue),
    }
}

fn form(code: u8, catalogue: &Catalogue) -> Result<ToothForm, Failure> {
    let tooth = Tooth::new(code).map_err(|e| Failure::Usage(e.to_string()))?;
    ToothForm::of(catalogue, tooth).map_err(|e| Failure::Usage(e.to_string()))
}

fn length(name: &str, value: f64, low: f64, high: f64) -> Result<(), Failure> {
    if (low..=high).contains(&value) {
        Ok(())
    } else {
        Err(Failure::Usage(format!("{name} is {value} mm: expected {low} to {high} mm")))
    }
}

fn tooth(args: &ToothArgs, catalogue: &Catalogue) -> Result<(), Failure> {
    length("the cell", args.cell, 0.05, 0.5)?;
    let form = form(args.tooth, catalogue)?;
    let bound = form.bound();
    let field = Field::of_columns(&bound, args.cell, |x, y| form.top(x, y), |top, p| form.field(p, *top));
    let field = field.map_err(|e| Failure::Usage(e.to_string()))?.redistanced();
    let nodes = field.nodes();
    let height = |n: usize| field.place([0, 0, n / (nodes[0] * nodes[1])])[2];
    let (volume, area) = (field.volume_where(|n| height(n) > 0.0), field.area_where(|n| height(n) > 0.0));
    if let Some(out) = &args.out {
        files::write_all(out, &pictures(&form, args)?)?;
    }
    let size = form.size();
    if args.json {
        return print_json(&serde_json::json!({
            "tooth": args.tooth,
            "mesiodistal_mm": size.mesiodistal, "faciolingual_mm": size.faciolingual, "crown_height_mm": size.crown_height,
            "volume_above_facial_enamel_edge_mm3": six_figures(volume), "area_above_facial_enamel_edge_mm2": six_figures(area),
            "sources": form.provenance().ids,
        }));
    }
    say(&format!(
        "Tooth {}, average form: {} mm from side to side, {} mm from lip to tongue, crown {} mm high.\n\
         Above the facial enamel edge {volume:.0} mm³ and {area:.0} mm² of surface. Teeth differ from it by 6 % in width and 8 % in height (one SD).\n\
         The shape is common practice without a source; sizes and the angle at the neck are published.",
        args.tooth, size.mesiodistal, size.faciolingual, size.crown_height
    ));
    Ok(())
}

/// The tooth from four sides.
fn pictures(form: &ToothForm, args: &ToothArgs) -> Result<Vec<(String, Vec<u8>)>, Failure> {
    let surface = contour(form, args.cell).map_err(|e| Failure::Usage(e.to_string()))?;
    let heights: Vec<Option<f64>> = surface.points.iter().map(|p| Some(p[2])).collect();
    let sides = [
        ("facial", [0.0, 1.0, 0.0], [0.0, 0.0, 1.0]),
        ("lingual", [0.0, -1.0, 0.0], [0.0, 0.0, 1.0]),
        ("mesial", [1.0, 0.0, 0.0], [0.0, 0.0, 1.0]),
        ("chewing", [0.0, 0.0, 1.0], [0.0, 1.0, 0.0]),
    ];
    sides
        .into_iter()
        .map(|(name, from, up)| {
            let how = SurfacePicture {
                size: [480, 420],
                view: View { from, up },
                map: ColourMap::OneWay,
                steps: None,
                quantity: "height above the enamel edge".to_owned(),
                unit: "mm".to_owned(),
                spots: Vec::new(),
            };
            // Seen from the top a crown has little relief of its own: steps of height show its cusps and grooves.
            let values = if name == "chewing" { SurfaceValues::AtPoints(&heights) } else { SurfaceValues::Plain };
            let drawn = surface_picture(&surface.points, &surface.facets, values, &how)
                .map_err(|e| Failure::Usage(e.to_string()))?;
            let png = drawn.png().map_err(|e| Failure::Usage(e.to_string()))?;
            Ok((format!("tooth-{}-{name}.png", args.tooth), png))
        })
        .collect()
}

fn least(args: &LeastArgs, catalogue: &Catalogue) -> Result<(), Failure> {
    for (name, value) in [
        ("the occlusal need", args.occlusal),
        ("the facial need", args.facial),
        ("the lingual need", args.lingual),
        ("the proximal need", args.proximal),
        ("the margin", args.margin),
        ("the space", args.space),
    ] {
        length(name, value, 0.0, 5.0)?;
    }
    if let Some(crown) = args.crown {
        length("the crown", crown, 1.0, 16.0)?;
    }
    if let Some(age) = args.age.filter(|a| !(11.0..=110.0).contains(a)) {
        return Err(Failure::Usage(format!("the age is {age} years: expected 11 to 110")));
    }
    if !(8..=4096).contains(&args.draws) {
        return Err(Failure::Usage(format!("{} draws: expected 8 to 4096", args.draws)));
    }
    let form = form(args.tooth, catalogue)?;
    let seen = Seen { clinical_crown: args.crown, age: args.age.map(|a| (a, a)), occlusal_to_pulp: None };
    let standing = StandingTooth::new(&World::with_draws(args.seed, args.draws), &form, &seen)
        .map_err(|e| Failure::Usage(e.to_string()))?;
    let needs = Needs {
        occlusal: args.occlusal,
        facial: args.facial,
        lingual: args.lingual,
        proximal: args.proximal,
        margin: args.margin,
    };
    let cut = standing.reduction(&needs.with_space(Some(args.space)));
    if args.json {
        let depths: serde_json::Map<_, _> =
            cut.depths.iter().map(|(s, d)| (s.word().to_owned(), interval(d))).collect();
        return print_json(&serde_json::json!({
            "tooth": args.tooth, "draws": args.draws, "seed": args.seed,
            "share_removed": interval(&cut.volume_share), "depth_mm": depths,
            "dentine_over_pulp_mm": interval(&cut.dentine_over_pulp),
            "chance_below_2_mm": six_figures(cut.chance_below(2.0)), "chance_below_1_mm": six_figures(cut.chance_below(1.0)),
            "enamel_left": interval(&cut.enamel_left), "margin_in_enamel": interval(&cut.margin_in_enamel),
            "wall_height_mm": interval(&cut.wall_height), "prepared_area_mm2": interval(&cut.bonding_area),
            "sources": cut.provenance.ids,
        }));
    }
    let words = |d: &Draws| d.interval().in_words();
    say(&format!(
        "{} of the crown is removed (share; mean, 5 to 95 %).\nDentine over the pulp {} mm; less than 1 mm in {:.0} of 100, less than 2 mm in {:.0}.\n\
         Walls {} mm high; {} of the prepared surface stays in enamel.",
        words(&cut.volume_share),
        words(&cut.dentine_over_pulp),
        100.0 * cut.chance_below(1.0),
        100.0 * cut.chance_below(2.0),
        words(&cut.wall_height),
        words(&cut.enamel_left)
    ));
    for (surface, depth) in &cut.depths {
        say(&format!("  {:<9} {} mm", surface.word(), words(depth)));
    }
    say(
        "An average tooth, not this one: a radiograph decides how near the pulp lies. Nothing here is a shape to cut to.",
    );
    Ok(())
}

fn interval(draws: &Draws) -> serde_json::Value {
    let i = draws.interval();
    serde_json::json!({ "mean": six_figures(i.mean), "low": six_figures(i.low), "high": six_figures(i.high) })
}

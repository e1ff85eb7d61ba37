//! `bisque shape sections`.

use super::{bad, in_words, read_surface, rounded, usage};
use crate::args::{SectionsArgs, SmallestBy};
use crate::commands::{print_json, say};
use crate::failure::Failure;
use ::shape::{Plane, Section, ShapeError, cut, sections_along, smallest_section};
use answer::six_figures;
use serde_json::{Value, json};

pub fn run(args: &SectionsArgs) -> Result<(), Failure> {
    if args.through.len() < 2 {
        return Err(Failure::Usage("a path needs two places or more: give --through twice".to_owned()));
    }
    if !(0.0..=60.0).contains(&args.tilt) || !(2..=10_000).contains(&args.count) {
        return Err(Failure::Usage("give a tilt of 0 to 60 degrees and a count of 2 to 10000".to_owned()));
    }
    let surface = read_surface(&args.file)?;
    let slice = |p: &Plane| cut(&surface, p, args.around_path.then(|| p.point()));
    let fault = |e: ShapeError| if e == ShapeError::OpenSection { bad(&args.file, "surface", &e) } else { usage(e) };
    let stops = sections_along(&args.through, args.up, args.count, slice).map_err(fault)?;
    let size = |s: &Section| match args.smallest {
        SmallestBy::Area => s.area,
        SmallestBy::Modulus => s.modulus,
    };
    let least = smallest_section(&args.through, args.up, args.tilt.to_radians(), size, slice).map_err(fault)?;
    if args.json {
        let stops: Vec<Value> = stops
            .iter()
            .map(|s| json!({ "along_mm": six_figures(s.along), "section": s.section.map(|x| section_json(&x)) }))
            .collect();
        return print_json(&json!({
            "sections": stops,
            "smallest": {
                "by": format!("{:?}", args.smallest).to_lowercase(),
                "along_mm": six_figures(least.along),
                "tilt_degrees": least.tilt.map(|t| six_figures(t.to_degrees())),
                "normal": rounded(least.plane.frame()[0]),
                "section": section_json(&least.section),
            },
        }));
    }
    say("along mm   area mm²   height mm   width mm   I mm⁴      W mm³");
    for s in &stops {
        match &s.section {
            Some(x) => say(&format!(
                "{:8.3} {:10.4} {:11.4} {:10.4} {:10.4} {:10.4}",
                s.along, x.area, x.height, x.width, x.second_moment, x.modulus
            )),
            None => say(&format!("{:8.3}   nothing there", s.along)),
        }
    }
    let x = least.section;
    say(&format!(
        "smallest {}: {:.4} mm², modulus {:.4} mm³, at {:.3} mm along the path, tilted {:.1} and {:.1} degrees, about {}",
        if args.smallest == SmallestBy::Area { "area" } else { "modulus" },
        x.area,
        x.modulus,
        least.along,
        least.tilt[0].to_degrees(),
        least.tilt[1].to_degrees(),
        in_words(x.centroid)
    ));
    Ok(())
}

fn section_json(s: &Section) -> Value {
    json!({
        "area_mm2": six_figures(s.area), "centroid": rounded(s.centroid), "height_mm": six_figures(s.height),
        "width_mm": six_figures(s.width), "second_moment_mm4": six_figures(s.second_moment),
        "second_moment_across_mm4": six_figures(s.second_moment_across), "product_moment_mm4": six_figures(s.product_moment),
        "modulus_mm3": six_figures(s.modulus), "modulus_across_mm3": six_figures(s.modulus_across),
    })
}

//! `bisque shape thickness` and `distance`.

use super::{Drawn, bad, draw, in_words, read_surface, rounded, write};
use crate::args::{DistanceArgs, ThicknessArgs, ThicknessBy};
use crate::commands::{print_json, say};
use crate::failure::Failure;
use ::shape::{Thickness, between, spots_below, thickness_at_facets};
use answer::six_figures;
use picture::MarkedSpot;
use std::fmt::Write;

pub fn thickness(args: &ThicknessArgs) -> Result<(), Failure> {
    if let Some(need) = args.need.filter(|n| !(n.is_finite() && *n > 0.0)) {
        return Err(Failure::Usage(format!("the thickness needed is {need}: expected a number of mm above 0")));
    }
    let surface = read_surface(&args.file)?;
    let found = thickness_at_facets(&surface);
    let pick = |t: &Thickness| match args.by {
        ThicknessBy::Ray => t.ray,
        ThicknessBy::Ball => Some(t.ball).filter(|b| *b > 0.0),
    };
    let values: Vec<Option<f64>> = found.iter().map(pick).collect();
    let least = values.iter().enumerate().filter_map(|(f, v)| Some((f, (*v)?))).min_by(|a, b| a.1.total_cmp(&b.1));
    let spots = args.need.map(|need| spots_below(&surface, &values, need));
    if let Some(path) = &args.values {
        let mut text = String::from("x,y,z,ray,ball\n");
        for t in &found {
            let ray = t.ray.map_or(String::new(), |r| format!("{r:.6}"));
            let [x, y, z] = t.place;
            // Writing to a string cannot fail.
            let _ = writeln!(text, "{x:.6},{y:.6},{z:.6},{ray},{:.6}", t.ball);
        }
        write(path, text.as_bytes())?;
    }
    let marked = least.map(|(f, v)| MarkedSpot { place: found[f].place, label: format!("{v:.2} mm") });
    let drawn = Drawn {
        values: &values,
        at_points: false,
        quantity: "thickness",
        unit: "mm",
        spots: marked.into_iter().collect(),
        either_side: false,
    };
    draw(&surface, &args.picture, drawn)?;
    let unknown = found.iter().filter(|t| t.ray.is_none()).count();
    if args.json {
        let place = |f: usize| rounded(found[f].place);
        return print_json(&serde_json::json!({
            "facets": found.len(),
            "open_edges": surface.open_edges(),
            "volume_mm3": six_figures(surface.volume()),
            "area_mm2": six_figures(surface.area()),
            "by": format!("{:?}", args.by).to_lowercase(),
            "least_mm": least.map(|l| six_figures(l.1)),
            "least_at": least.map(|l| place(l.0)),
            "facets_without_ray": unknown,
            "need_mm": args.need,
            "spots": spots.iter().flatten().map(|s| serde_json::json!({
                "least_mm": six_figures(s.least), "at": rounded(s.place), "area_mm2": six_figures(s.area), "facets": s.facets.len(),
            })).collect::<Vec<_>>(),
        }));
    }
    let open = surface.open_edges();
    if open > 0 {
        say(&format!("{open} edges are open: thickness beside a hole is not to be trusted"));
    }
    match least {
        Some((f, v)) => {
            say(&format!("least thickness {v:.3} mm at {} ({} facets)", in_words(found[f].place), found.len()))
        }
        None => say("no thickness anywhere: nothing lies behind any facet"),
    }
    if let (Some(need), Some(spots)) = (args.need, &spots) {
        say(&format!("{} spots below {need} mm", spots.len()));
        for s in spots.iter().take(20) {
            say(&format!("  {:.3} mm at {}, {:.2} mm² below the need", s.least, in_words(s.place), s.area));
        }
    }
    Ok(())
}

pub fn distance(args: &DistanceArgs) -> Result<(), Failure> {
    let (measured, reference) = (read_surface(&args.measured)?, read_surface(&args.reference)?);
    let found = between(&measured, &reference).map_err(|e| bad(&args.measured, "surface", &e))?;
    let s = found.statistics;
    let values: Vec<Option<f64>> = found.values.iter().map(|v| Some(*v)).collect();
    let label = if s.range[1].abs() > s.range[0].abs() { s.range[1] } else { s.range[0] };
    let drawn = Drawn {
        values: &values,
        at_points: true,
        quantity: "distance",
        unit: "mm",
        spots: vec![MarkedSpot { place: s.furthest, label: format!("{label:.2} mm") }],
        either_side: true,
    };
    draw(&measured, &args.picture, drawn)?;
    if args.json {
        return print_json(&serde_json::json!({
            "mean_mm": six_figures(s.mean), "mean_size_mm": six_figures(s.mean_size), "rms_mm": six_figures(s.rms),
            "quantiles_5_50_95_mm": s.quantiles.map(six_figures), "least_mm": six_figures(s.range[0]),
            "greatest_mm": six_figures(s.range[1]), "furthest_at": rounded(s.furthest),
        }));
    }
    say(&format!(
        "distance mean {:.4} mm, rms {:.4} mm; 5 to 95 % {:.4} to {:.4} mm; from {:.4} to {:.4} mm, furthest at {}",
        s.mean,
        s.rms,
        s.quantiles[0],
        s.quantiles[2],
        s.range[0],
        s.range[1],
        in_words(s.furthest)
    ));
    Ok(())
}

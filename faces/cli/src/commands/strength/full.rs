//! `bisque strength full`: stress of one option by finite elements of its own form.

use super::surface::Drawn;
use crate::args::FullArgs;
use crate::commands::planning::sheet;
use crate::commands::{print_json, say};
use crate::failure::Failure;
use crate::meter::Meter;
use ::plan::{BiteStress, FullAsked, FullError, FullFound, FullWork, colours_end, full};
use answer::{Interval, World};
use picture::{ColourMap, Steps, SurfacePicture, SurfaceValues, View, surface_picture};
use std::path::Path;

pub fn run(args: &FullArgs, data: Option<&Path>) -> Result<(), Failure> {
    check(args)?;
    let (case, catalogue, posterior) = sheet(&args.case, data)?;
    let asked =
        FullAsked { cell: args.cell, zoom: (args.zoom > 0.0).then_some(args.zoom), year: f64::from(args.years) };
    let world = World::with_draws(args.seed, args.draws);
    let meter = Meter::new("solving");
    let work = full(&world, &case, &catalogue, &posterior, args.option.as_deref(), &asked, &meter).map_err(failed)?;
    drop(meter);
    if let Some(path) = &args.picture {
        std::fs::write(path, picture(args, &work)?).map_err(|source| Failure::Write { path: path.clone(), source })?;
    }
    if args.json {
        return print_json(&work.found);
    }
    told(args, &work.found);
    Ok(())
}

fn check(args: &FullArgs) -> Result<(), Failure> {
    if !(0.3..=1.5).contains(&args.cell) {
        return Err(Failure::Usage(format!("--cell {}: expected 0.3 to 1.5 mm", args.cell)));
    }
    if args.zoom != 0.0 && !(0.08..=args.cell).contains(&args.zoom) {
        return Err(Failure::Usage(format!("--zoom {}: expected 0, or 0.08 mm to the cell's edge", args.zoom)));
    }
    if ![5, 10, 15].contains(&args.years) {
        return Err(Failure::Usage(format!("--years {}: expected 5, 10 or 15", args.years)));
    }
    if !(8..=4096).contains(&args.draws) {
        return Err(Failure::Usage(format!("--draws {}: expected 8 to 4096", args.draws)));
    }
    Ok(())
}

fn failed(e: FullError) -> Failure {
    match e {
        FullError::Interrupted(i) => Failure::Interrupted(i),
        other => Failure::Usage(other.to_string()),
    }
}

fn told(args: &FullArgs, f: &FullFound) {
    say(CAUTION);
    say(&format!("{}: {} unknowns, at most {} iterations.", f.title, f.size.0, f.size.1));
    for [height, width] in &f.connectors {
        say(&format!("  A connector of {height:.1} x {width:.1} mm as built."));
    }
    let line = |s: &BiteStress| {
        format!(
            "  {}, {}: {:.4} MPa/N (m = 10), greatest {:.4} at {}",
            s.bite,
            s.group,
            s.equivalent,
            s.peak,
            place(s.at)
        )
    };
    f.stress.iter().for_each(|s| say(&line(s)));
    if !f.zoomed.is_empty() {
        say("  Looked at more closely:");
        f.zoomed.iter().for_each(|s| say(&line(s)));
    }
    let by_these = f.ratio.0.map_or(String::new(), |ratio| format!("{ratio:.2} by these solves, "));
    say(&format!("  Stress over that of the studies' size: {by_these}{:.2} as the plan has it.", f.ratio.1));
    match &f.risk {
        Some((solved, planned)) => say(&format!(
            "  Framework fracture by year {}: {} in 100 with these solves, {} as the plan has it.",
            args.years,
            hundred(solved),
            hundred(planned)
        )),
        None => say("  No risk of framework fracture is told:"),
    }
    f.remarks.iter().for_each(|r| say(&format!("  {r}")));
    say("Average tooth forms; decision support, the dentist's judgement comes first.");
}

/// Most steps of the colours.
const STEPS: usize = 8;

/// Said first: why the plan's figure comes before this one.
const CAUTION: &str = "Go by the plan: solves of whole teeth are not checked against experiments yet, and where the two figures differ nobody knows which is right.";

fn place([x, y, z]: [f64; 3]) -> String {
    format!("({x:.1}, {y:.1}, {z:.1})")
}

fn hundred(risk: &Interval) -> String {
    format!("{:.1} ({:.1} to {:.1})", 100.0 * risk.mean, 100.0 * risk.low, 100.0 * risk.high)
}

/// The framework, or all of a restoration of one material, with its greatest principal stress under the first bite, seen so that the tension side shows.
fn picture(args: &FullArgs, work: &FullWork) -> Result<Vec<u8>, Failure> {
    let wrong = |e: &dyn std::fmt::Display| Failure::Usage(format!("the picture: {e}"));
    let solution = work.planned.first().ok_or_else(|| wrong(&"nothing was solved"))?;
    let drawn = Drawn::of(solution, work.framework).map_err(|e| wrong(&e))?;
    let values: Vec<f64> = drawn.greatest().map(|s| 100.0 * s.max(0.0)).collect();
    let steps = colours_end(&values).map(|end| Steps::nice([0.0, end], STEPS));
    let values: Vec<Option<f64>> = values.into_iter().map(Some).collect();
    let how = SurfacePicture {
        size: [900, 640],
        view: View { from: args.eye, up: [0.0, 0.0, 1.0] },
        map: ColourMap::OneWay,
        steps,
        quantity: "greatest principal stress under 100 N (more in 1 of 100 places)".into(),
        unit: "MPa".into(),
        spots: vec![],
    };
    let canvas =
        surface_picture(drawn.surface.points(), drawn.surface.facets(), SurfaceValues::AtPoints(&values), &how)
            .map_err(|e| wrong(&e))?;
    canvas.png().map_err(|e| wrong(&e))
}

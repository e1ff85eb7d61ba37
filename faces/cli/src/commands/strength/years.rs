//! `bisque strength years`: risk of framework fracture over the years, with its band.

use crate::args::YearsArgs;
use crate::commands::planning::sheet;
use crate::commands::{print_json, say};
use crate::failure::Failure;
use ::catalogue::words::{Construct, Material};
use ::plan::{Breaking, FractureTried, Tried};
use answer::World;
use picture::Theme;
use picture::forms::{CurveLine, CurvePoint, Curves, curves};
use std::path::Path;

/// Lines a picture holds.
const DRAWN: usize = 5;

pub fn run(args: &YearsArgs, data: Option<&Path>) -> Result<(), Failure> {
    if !(8..=4096).contains(&args.draws) {
        return Err(Failure::Usage(format!("--draws {}: expected 8 to 4096", args.draws)));
    }
    let (case, catalogue, posterior) = sheet(&args.case, data)?;
    let (world, fewer) = (World::with_draws(args.seed, args.draws), posterior.thinned(args.draws));
    let breaking = Breaking::of(&world, &case, &catalogue, &fewer);
    let (found, without) = asked(&breaking, case.restoration.construct(), args)?;
    if let Some(path) = &args.picture {
        let scene = curves(&drawn(&found)).map_err(|e| Failure::Usage(e.to_string()))?;
        std::fs::write(path, picture::svg(&scene, Theme::Light))
            .map_err(|source| Failure::Write { path: path.clone(), source })?;
    }
    if args.json {
        let without: Vec<_> =
            without.iter().map(|(id, why)| serde_json::json!({ "option": id, "not_known": why })).collect();
        return print_json(&serde_json::json!({
            "draws": args.draws, "seed": args.seed, "options": found, "without": without,
        }));
    }
    found.iter().for_each(said);
    without.iter().for_each(|(id, why)| say(&format!("{id}: not known, {why}.")));
    say(
        "Risk of framework fracture of this patient's restoration: what patients showed sets the level, mechanics the change.",
    );
    say("Decision support; the instructions of the material actually used and the dentist's judgement come first.");
    Ok(())
}

/// An option without a number, and why.
type Without = (String, String);

/// The options asked for, or the best of each construct and material (of the construct the case asks for); what has no number with the reason.
fn asked(
    breaking: &Breaking<'_>,
    construct: Option<Construct>,
    args: &YearsArgs,
) -> Result<(Vec<FractureTried>, Vec<Without>), Failure> {
    let tried = Tried {
        thickness: args.thickness,
        taper: None,
        connector_height: args.height,
        connector_width: args.width,
        connector_radius: args.radius,
    };
    let all: Vec<String> = breaking.options().collect();
    if let Some(stray) = args.options.iter().find(|o| !all.contains(o)) {
        let near = answer::nearest_name(stray, all.iter().map(String::as_str));
        let near = near.map_or(String::new(), |n| format!("; did you mean {n}?"));
        return Err(Failure::Usage(format!("--option {stray}: the case has no such option{near}")));
    }
    let wanted = if args.options.is_empty() { &all } else { &args.options };
    let (mut found, mut without) = (Vec::new(), Vec::new());
    for id in wanted {
        match breaking.tried(id, &tried) {
            Some(Ok(one)) => found.push(one),
            Some(Err(why)) => without.push((id.clone(), why)),
            None => {}
        }
    }
    found.sort_by(|a, b| a.ten_years.mean.total_cmp(&b.ten_years.mean));
    if args.options.is_empty() {
        found.retain(|one| construct.is_none_or(|c| one.option.split('.').next() == Some(c.word())));
        found = best_of_each(found);
        // What cannot be asked of any is an error of the one who asked; else the rest is only left out.
        if !found.is_empty() {
            without.clear();
        }
    }
    match without.first() {
        Some((id, why)) if found.is_empty() => Err(Failure::Usage(format!("{id}: {why}"))),
        _ => Ok((found, without)),
    }
}

fn best_of_each(sorted: Vec<FractureTried>) -> Vec<FractureTried> {
    let mut best: Vec<FractureTried> = Vec::new();
    for one in sorted {
        if best.len() < DRAWN && best.iter().all(|b| made_of(b) != made_of(&one)) {
            best.push(one);
        }
    }
    best
}

/// Construct and material of an option in words.
fn made_of(one: &FractureTried) -> String {
    let mut words = one.option.split('.');
    let (construct, material) = (words.next().unwrap_or_default(), words.next().unwrap_or_default());
    format!(
        "{}, {}",
        Construct::parse(construct).map_or(construct, |c| c.label()),
        Material::parse(material).map_or(material, |m| m.label())
    )
}

fn said(one: &FractureTried) {
    let ten = one.ten_years;
    say(&format!(
        "{}: {:.1} in 100 break by ten years ({:.1} to {:.1}).",
        one.option,
        100.0 * ten.mean,
        100.0 * ten.low,
        100.0 * ten.high
    ));
    let years: Vec<String> = one
        .curve
        .points
        .iter()
        .filter(|p| [1.0, 5.0, 10.0, 15.0].contains(&p.year))
        .map(|p| format!("year {}: {:.1} ({:.1} to {:.1})", p.year, 100.0 * p.median, 100.0 * p.low, 100.0 * p.high))
        .collect();
    say(&format!("  Middle and nine in ten, {}.", years.join("; ")));
    if let Some(ratio) = one.stress_ratio {
        say(&format!(
            "  Stress {:.2} ({:.2} to {:.2}) times that of the studies' restorations, by {}.",
            ratio.median, ratio.low, ratio.high, one.by
        ));
    }
    let curve = &one.curve;
    say(&format!(
        "  {} study arms, {:.0} restoration-years; beyond year {:.0} it is extrapolated.",
        curve.arms, curve.restoration_years, curve.observed_until
    ));
}

fn drawn(found: &[FractureTried]) -> Curves {
    let line = |one: &FractureTried| CurveLine {
        label: made_of(one),
        points: one
            .curve
            .points
            .iter()
            .map(|p| CurvePoint { x: p.year, low: 100.0 * p.low, middle: 100.0 * p.median, high: 100.0 * p.high })
            .collect(),
    };
    Curves {
        title: match found.first() {
            Some(best) => {
                format!("{} breaks least: {:.1} in 100 by ten years", made_of(best), 100.0 * best.ten_years.mean)
            }
            None => "No risk is known".to_owned(),
        },
        across: "years in the mouth".to_owned(),
        upright: "framework fracture, in 100 (band: nine in ten)".to_owned(),
        lines: found.iter().take(DRAWN).map(line).collect(),
        limits: Vec::new(),
        mark: None,
        decimals: [0, 1],
    }
}

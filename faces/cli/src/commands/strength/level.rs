//! `bisque strength connector` and `wall`: the smallest dimension that keeps the risk of fracture under a level, for each material.

use crate::args::LevelArgs;
use crate::commands::planning::sheet;
use crate::commands::{print_json, say};
use crate::failure::Failure;
use ::catalogue::words::Material;
use ::plan::{SmallestAsked, SmallestFound, Varied, smallest};
use answer::World;
use picture::Theme;
use picture::forms::{CurveLine, CurvePoint, Curves, Threshold, curves};
use std::path::Path;

/// Lines a picture holds.
const DRAWN: usize = 5;

pub fn run(args: &LevelArgs, varied: Varied, data: Option<&Path>) -> Result<(), Failure> {
    if !(args.level > 0.0 && args.level < 100.0) {
        return Err(Failure::Usage(format!("--level {}: expected a risk above 0 and below 100, in 100", args.level)));
    }
    if ![5, 10, 15].contains(&args.years) {
        return Err(Failure::Usage(format!("--years {}: expected 5, 10 or 15", args.years)));
    }
    if !(8..=4096).contains(&args.draws) {
        return Err(Failure::Usage(format!("--draws {}: expected 8 to 4096", args.draws)));
    }
    if let Some(stray) = args.materials.iter().find(|m| Material::parse(m).is_none()) {
        let known = Material::ALL.iter().map(|m| m.word());
        let near = answer::nearest_name(stray, known).map_or(String::new(), |n| format!("; did you mean {n}?"));
        return Err(Failure::Usage(format!("--materials {stray}: there is no such material{near}")));
    }
    let (case, catalogue, posterior) = sheet(&args.case, data)?;
    let asked = SmallestAsked { varied, level: args.level / 100.0, year: f64::from(args.years) };
    let world = World::with_draws(args.seed, args.draws);
    let mut found = smallest(&world, &case, &catalogue, &posterior, &asked);
    let named = |f: &SmallestFound| args.materials.iter().any(|m| f.id.split('.').nth(1) == Some(m));
    found.retain(|f| args.materials.is_empty() || named(f));
    if found.is_empty() {
        let what = if varied == Varied::ConnectorHeight { "connector" } else { "chewing wall" };
        return Err(Failure::Usage(format!("no option of this case has a {what} of these materials")));
    }
    if let Some(path) = &args.picture {
        let scene = curves(&drawn(args, varied, &found)).map_err(|e| Failure::Usage(e.to_string()))?;
        std::fs::write(path, picture::svg(&scene, Theme::Light))
            .map_err(|source| Failure::Write { path: path.clone(), source })?;
    }
    if args.json {
        return print_json(&serde_json::json!({
            "varied": varied, "level": asked.level, "years": args.years, "draws": args.draws, "seed": args.seed, "options": found,
        }));
    }
    found.iter().for_each(|f| said(args, varied, f));
    say(
        "Risk of framework fracture of this patient's restoration, as the plan has it: what patients showed sets the level, mechanics the change.",
    );
    say("Decision support; the instructions of the material actually used and the dentist's judgement come first.");
    Ok(())
}

fn said(args: &LevelArgs, varied: Varied, f: &SmallestFound) {
    if let Some(why) = &f.not_known {
        say(&format!("{}: not known, {why}.", f.title));
        return;
    }
    let size = if varied == Varied::ConnectorHeight { "high" } else { "thick" };
    let verdict = match f.smallest {
        Some(mm) if f.below_ladder => format!("{mm:.1} mm {size} or less keeps"),
        Some(mm) => format!("{mm:.1} mm {size} keeps"),
        None => format!("no size up to {:.1} mm keeps", f.ladder.last().map_or(0.0, |l| l.0)),
    };
    say(&format!("{}: {verdict} the risk under {} in 100 by year {}.", f.title, args.level, args.years));
    if let Some(minimum) = f.tested_minimum.filter(|m| f.smallest.is_some_and(|s| s < *m)) {
        say(&format!("  The tested minimum is {minimum} mm: below it nothing was tested, whatever is computed."));
    }
    if let Some(risk) = f.risk {
        say(&format!("  As planned, {:.1} mm: {} in 100.", f.planned, in_hundred(risk)));
    }
    let worth: Vec<String> =
        f.worth.iter().skip(1).map(|(what, risk)| format!("{what}: {:.1}", 100.0 * risk)).collect();
    say(&format!("  In 100 with {}.", worth.join("; ")));
    if let Some(spread) = f.spread_bite {
        let ([near, far], [low, high]) = (spread.from_middle, spread.times);
        say(&format!(
            "  Bitten at {} places {near} to {far} mm around its middle in place of the middle itself it bears {low:.1} to {high:.1} times as much before it cracks (moves no odds above).",
            if spread.contacts == 2 { "two" } else { "three" }
        ));
    }
    for d in &f.drivers {
        let share = 100.0 * d.share;
        say(&format!(
            "  Driven by {}: {:.1} to {:.1} in 100, {share:.0} of 100 of what is not known.",
            d.what,
            100.0 * d.low,
            100.0 * d.high
        ));
    }
}

fn in_hundred(risk: answer::Interval) -> String {
    format!("{:.1} ({:.1} to {:.1})", 100.0 * risk.mean, 100.0 * risk.low, 100.0 * risk.high)
}

fn mean(f: &SmallestFound) -> f64 {
    f.risk.map_or(1.0, |r| r.mean)
}

/// Label of an option's material.
fn material(f: &SmallestFound) -> &str {
    let word = f.id.split('.').nth(1).unwrap_or_default();
    Material::parse(word).map_or(word, |m| m.label())
}

fn drawn(args: &LevelArgs, varied: Varied, found: &[SmallestFound]) -> Curves {
    // The build of each material that breaks least.
    let mut known: Vec<&SmallestFound> = found.iter().filter(|f| f.risk.is_some()).collect();
    known.sort_by(|a, b| mean(a).total_cmp(&mean(b)));
    let mut drawn: Vec<&SmallestFound> = Vec::new();
    for f in known {
        if drawn.len() < DRAWN && drawn.iter().all(|d| material(d) != material(f)) {
            drawn.push(f);
        }
    }
    let line = |f: &&SmallestFound| CurveLine {
        label: material(f).to_owned(),
        points: f
            .ladder
            .iter()
            .map(|(x, r)| CurvePoint { x: *x, low: 100.0 * r.low, middle: 100.0 * r.mean, high: 100.0 * r.high })
            .collect(),
    };
    let lines: Vec<CurveLine> = drawn.iter().map(line).collect();
    let best = found.iter().filter_map(|f| Some((f.smallest?, f.title.as_str()))).min_by(|a, b| a.0.total_cmp(&b.0));
    let what =
        if varied == Varied::ConnectorHeight { "height of the connector" } else { "thickness of the chewing wall" };
    Curves {
        title: match best {
            Some((mm, title)) => format!("{title} keeps the risk under {} in 100 from {mm:.1} mm", args.level),
            None => format!("Nothing tried keeps the risk under {} in 100", args.level),
        },
        across: format!("{what}, mm"),
        upright: format!("framework fracture by year {}, in 100", args.years),
        lines,
        limits: vec![Threshold { at: args.level, label: "accepted".to_owned() }],
        mark: found.iter().find(|f| f.risk.is_some()).map(|f| Threshold { at: f.planned, label: "planned".to_owned() }),
        decimals: [1, 1],
    }
}

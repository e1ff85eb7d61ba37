//! `bisque colour mask`: the least thickness of a layer that hides what lies beneath.

use super::mask_ways::{self, Way};
use super::predict::{ensemble, limits};
use super::stack_file::{Described, Workshop};
use super::{pictures, stack_rows, usage, viewing, world};
use crate::args::{MaskArgs, ObserverArg};
use crate::commands::{facts, print_json, say};
use crate::failure::Failure;
use ::colour::{Ensemble, Goal, Instrument, LeastThickness, Metric, Reference, Viewing, difference, least_thickness};
use answer::{Draws, World, six_figures};
use picture::forms::{CurveLine, CurvePoint};
use serde_json::json;
use std::path::Path;

/// Finds what hides.
pub fn run(args: &MaskArgs, data: Option<&Path>) -> Result<(), Failure> {
    let (rows, text) = stack_rows::read(&args.stack)?;
    let catalogue = facts(data)?;
    let world = world(args.draw);
    let light = viewing("D65", ObserverArg::Two)?;
    let workshop = Workshop { world: &world, read_under: &light, catalogue: &catalogue };
    let stack = workshop.build(&rows).map_err(|issues| Failure::Input { issues, text: Some(text) })?;
    let layer = match args.layer {
        Some(n) if (1..=stack.layers.len()).contains(&n) => n - 1,
        Some(n) => return Err(Failure::Usage(format!("--layer {n}: the stack has {} layers", stack.layers.len()))),
        None => stack.layers.len() - 1,
    };
    let wish = stack.wish.as_ref().map(|w| w.draws(&world, "colour/wish"));
    let reference = match (&stack.reference, &wish) {
        (Some(backing), _) => Reference::Over(backing),
        (None, Some(wish)) => Reference::Wish(wish),
        _ => {
            return Err(Failure::Usage(
                "nothing says what it is to look like; add a row `reference` (a backing to be like) or `wish` (a colour)".to_owned(),
            ));
        }
    };
    let stack_of = ensemble(&stack, Instrument::BEAM);
    let bench = limits(&catalogue, "bench")?;
    let (from, to) = (args.between[0], args.between[1]);
    let find = |stack: &Ensemble, limit: &Draws, between: (f64, f64)| {
        let goal = Goal { reference, metric: Metric::Ciede2000, limit };
        least_thickness(stack, layer, between, goal, &world, &light).map_err(usage)
    };
    let (unacceptable, visible) = (bench.unacceptable(&world), bench.seen(&world));
    let (refused, seen) = (find(&stack_of, &unacceptable, (from, to))?, find(&stack_of, &visible, (from, to))?);
    let (name, given) = &stack.names[layer];
    let ways = mask_ways::ways(&workshop, &rows, layer, *given, (from, to), |one, between| {
        find(&ensemble(one, Instrument::BEAM), &unacceptable, between)
    })?;
    if let Some(folder) = &args.out {
        let line = |label: &str, stack: &Ensemble| {
            let points = course(stack, layer, (from, to), &reference, &world, &light)?;
            Ok::<_, Failure>(CurveLine { label: label.to_owned(), points })
        };
        // The grade of the stack as given comes first: the picture is about it.
        let mut grades: Vec<&Way> = ways.iter().filter(|w| !w.helped).collect();
        grades.sort_by_key(|w| !w.as_given);
        let lines: Vec<CurveLine> = if grades.is_empty() {
            vec![line(name, &stack_of)?]
        } else {
            grades.iter().map(|w| line(w.grade.word(), &w.stack)).collect::<Result<_, _>>()?
        };
        let title = match refused.for_chance(0.5) {
            Some(mm) => format!("{name} hides {} from {mm:.1} mm on, to half of those who look.", stack.beneath),
            None => format!("{name} does not hide {} within {to} mm.", stack.beneath),
        };
        let scene = pictures::against_thickness(&title, name, lines, (bench.seen, bench.unacceptable), *given);
        pictures::write(folder, vec![("mask", scene)])?;
    }
    if args.json {
        let of = |least: &LeastThickness| {
            json!({
                "chance_as_given": six_figures(least.chance_at(*given)),
                "thickness_mm": CHANCES.map(|c| json!({ "chance": c, "mm": least.for_chance(c).map(six_figures) })),
            })
        };
        return print_json(&json!({
            "layer": name,
            "given_mm": given,
            "looked_at_mm": [from, to],
            "not_refused": of(&refused),
            "not_seen": of(&seen),
            "ways": mask_ways::as_json(&ways),
            "verdict": (!ways.is_empty()).then(|| mask_ways::verdict(&ways, *given)),
            "measure_the_stump": stack.measure,
            "taken_as_given": stack.defaults,
        }));
    }
    in_words(&stack, name, *given, to, [&refused, &seen], &ways);
    Ok(())
}

const CHANCES: [f64; 4] = [0.5, 0.8, 0.9, 0.95];

fn in_words(stack: &Described, name: &str, given: f64, to: f64, [refused, seen]: [&LeastThickness; 2], ways: &[Way]) {
    say(&format!("{name} over {}", stack.beneath));
    for (what, least) in [("not refused", refused), ("not even seen", seen)] {
        let list: Vec<String> = CHANCES
            .iter()
            .map(|c| {
                let mm = least.for_chance(*c).map_or("not within reach".to_owned(), |mm| format!("{mm:.2} mm"));
                format!("{mm} ({:.0} of 100)", 100.0 * c)
            })
            .collect();
        say(&format!("{what:<14} {}", list.join(", ")));
        say(&format!("{:<14} at {given} mm: {:.0} of 100", "", 100.0 * least.chance_at(given)));
    }
    if !ways.is_empty() {
        say("What would mask, not refused in 90 of 100:");
        let widest = ways.iter().map(|w| w.words.chars().count()).max().unwrap_or(0);
        for way in ways {
            let least = match way.least.for_chance(0.9) {
                _ if way.helped => String::new(),
                Some(mm) => format!(", from {mm:.2} mm on"),
                None => format!(", not within {to} mm"),
            };
            say(&format!("  {:<widest$}  at {given} mm: {:.0} of 100{least}", way.words, 100.0 * way.chance));
        }
        say(&format!("{}.", mask_ways::verdict(ways, given)));
    } else if refused.for_chance(0.9).is_none() {
        say(&format!("Nothing up to {to} mm hides it in 90 of 100: take a denser grade, or opaque the core first."));
    }
    if stack.measure {
        say("The backing was named, not read: measure the stump.");
    }
    if !stack.defaults.is_empty() {
        say(&format!("Taken as given: {}.", stack.defaults.join("; ")));
    }
}

/// Difference against thickness in 25 steps.
fn course(
    stack: &Ensemble,
    layer: usize,
    (from, to): (f64, f64),
    reference: &Reference<'_>,
    world: &World,
    light: &Viewing,
) -> Result<Vec<CurvePoint>, Failure> {
    const STEPS: usize = 24;
    (0..=STEPS)
        .map(|i| {
            let mm = from + (to - from) * i as f64 / STEPS as f64;
            let mut one = stack.clone();
            one.layers[layer].thickness_mm = Draws::constant(world.draws(), mm);
            let seen = one.predict(world, light).map_err(usage)?;
            let other = match reference {
                Reference::Wish(wish) => wish.to_vec(),
                Reference::Over(backings) => {
                    one.backing = (*backings).into();
                    one.predict(world, light).map_err(usage)?
                }
            };
            let at = difference(&seen, &other, Metric::Ciede2000).interval();
            Ok(CurvePoint { x: mm, low: at.low, middle: at.median, high: at.high })
        })
        .collect()
}

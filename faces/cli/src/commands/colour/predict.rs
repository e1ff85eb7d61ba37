//! `bisque colour predict`: what a stack shows under each light, how it differs from the wish, how likely that is seen and refused.

use super::stack_file::{Described, Workshop};
use super::{instrument, lab_json, lab_words, pictures, stack_rows, usage, viewing, world};
use crate::args::{ObserverArg, PredictArgs};
use crate::commands::{facts, print_json, say};
use crate::failure::Failure;
use ::catalogue::Catalogue;
use ::colour::{
    Chances, Ensemble, Lab, Limits, Metric, ModelError, Spread, Viewing, contrast_ratio, difference, disc_reading,
    translucency, translucency00,
};
use answer::{Draws, Interval, World, six_figures};
use serde_json::{Value, json};
use std::path::Path;

/// What is seen under one light.
struct Seen {
    light: String,
    colours: Vec<Lab>,
    /// What it is compared with: the same over the reference, or the wish.
    like: Option<Vec<Lab>>,
    difference: Option<Draws>,
    chances: Option<[Chances; 2]>,
}

/// Predicts a stack.
pub fn run(args: &PredictArgs, data: Option<&Path>) -> Result<(), Failure> {
    if !(0.0..=1.0).contains(&args.visibility) {
        return Err(Failure::Usage(format!("--visibility {}: expected 0 to 1", args.visibility)));
    }
    let (rows, text) = stack_rows::read(&args.stack)?;
    let catalogue = facts(data)?;
    let world = world(args.draw);
    let read_under = viewing("D65", ObserverArg::Two)?;
    let workshop = Workshop { world: &world, read_under: &read_under, catalogue: &catalogue };
    let stack = workshop.build(&rows).map_err(|issues| Failure::Input { issues, text: Some(text) })?;
    let ensemble = ensemble(&stack, instrument(args.instrument));
    let limits = [limits(&catalogue, "bench")?, limits(&catalogue, "in_mouth")?];
    let mut all = Vec::new();
    for light in &args.light {
        let viewing = viewing(light, args.observer)?;
        // A wish is a colour in daylight to the 2 degree observer; elsewhere only a reference backing can be compared with.
        let wish = stack.wish.filter(|_| light == "D65" && args.observer == ObserverArg::Two);
        all.push(seen(light, &stack, wish, &ensemble, &viewing, &limits, &world, args.visibility)?);
    }
    if let Some(folder) = &args.out {
        draw(folder, &stack, &all[0], &ensemble, &read_under)?;
    }
    let opacity = opacity(&ensemble, &read_under);
    if args.json { print_json(&as_json(&stack, &all, &opacity)) } else { in_words(&stack, &all, &opacity, args) }
}

/// The stack as an ensemble.
pub fn ensemble(stack: &Described, instrument: ::colour::Instrument) -> Ensemble {
    Ensemble {
        layers: stack.layers.clone(),
        coupling: stack.coupling,
        backing: stack.backing.clone(),
        instrument,
        model_error: ModelError::USUAL,
    }
}

/// Where people see and refuse, from the data.
pub fn limits(catalogue: &Catalogue, setting: &str) -> Result<Limits, Failure> {
    let (formula, metric) =
        if setting == "bench" { ("CIEDE2000", Metric::Ciede2000) } else { ("CIELAB", Metric::Cie76) };
    let found = catalogue.colour_limits(setting, formula).ok_or_else(|| {
        Failure::Usage(format!("the data hold no limits of colour difference for `{setting}` (thresholds.csv)"))
    })?;
    Ok(Limits { metric, seen: found.seen, unacceptable: found.unacceptable, sd_log: found.sd_log })
}

#[allow(clippy::too_many_arguments)] // one stack: which, like what, by which light, to whom
fn seen(
    light: &str,
    stack: &Described,
    wish: Option<Spread>,
    ensemble: &Ensemble,
    viewing: &Viewing,
    limits: &[Limits; 2],
    world: &World,
    visibility: f64,
) -> Result<Seen, Failure> {
    let colours = ensemble.predict(world, viewing).map_err(usage)?;
    let wish = match (&wish, &stack.reference) {
        (_, Some(reference)) => {
            let other = Ensemble { backing: reference.clone(), ..ensemble.clone() };
            Some(other.predict(world, viewing).map_err(usage)?)
        }
        (Some(spread), None) => Some(spread.draws(world, "colour/wish")),
        (None, None) => None,
    };
    let chances = wish.as_ref().map(|w| limits.map(|l| l.chances(&colours, w, world).weighted(visibility)));
    let difference = wish.as_ref().map(|w| difference(&colours, w, Metric::Ciede2000));
    Ok(Seen { light: light.to_owned(), colours, like: wish, difference, chances })
}

/// Mean over the draws.
pub fn mean(colours: &[Lab]) -> Lab {
    let n = colours.len().max(1) as f64;
    let of = |f: fn(&Lab) -> f64| colours.iter().map(f).sum::<f64>() / n;
    Lab::new(of(|c| c.l), of(|c| c.a), of(|c| c.b))
}

fn intervals(colours: &[Lab]) -> [Interval; 3] {
    let of = |f: fn(&Lab) -> f64| Draws::from_fn(colours.len(), |k| f(&colours[k])).interval().rounded();
    [of(|c| c.l), of(|c| c.a), of(|c| c.b)]
}

/// Contrast ratio, TP and TP00 of the best known stack: means over the draws of the layers alone over black and white.
fn opacity(ensemble: &Ensemble, viewing: &Viewing) -> [f64; 3] {
    let tiles = [0.04, 0.88].map(|r| ::colour::Backing::Surface(::colour::Spectrum::flat(r)));
    let n = ensemble.layers[0].thickness_mm.len();
    let mut sums = [0.0; 3];
    for k in 0..n {
        let over = |tile| {
            let mut backing = tile;
            for layer in ensemble.layers.iter().skip(1).rev() {
                let optics = &layer.optics[k % layer.optics.len()];
                let inside = disc_reading(
                    optics,
                    layer.thickness_mm.get(k),
                    backing,
                    ::colour::Coupling::Contact,
                    ensemble.instrument,
                );
                backing = ::colour::Backing::read_in_air(&inside, optics.index, ensemble.instrument);
            }
            let top = &ensemble.layers[0];
            disc_reading(
                &top.optics[k % top.optics.len()],
                top.thickness_mm.get(k),
                backing,
                ::colour::Coupling::Contact,
                ensemble.instrument,
            )
        };
        let [black, white] = tiles.map(over);
        let (b, w) = (viewing.lab(&black), viewing.lab(&white));
        sums[0] += contrast_ratio(&black, &white, viewing);
        sums[1] += translucency(b, w);
        sums[2] += translucency00(b, w);
    }
    sums.map(|s| s / n as f64)
}

fn as_json(stack: &Described, all: &[Seen], opacity: &[f64; 3]) -> Value {
    let lights: Vec<Value> = all
        .iter()
        .map(|s| {
            let [l, a, b] = intervals(&s.colours);
            let mut one = json!({ "light": s.light, "lab": lab_json(mean(&s.colours)), "L": l, "a": a, "b": b });
            if let (Some(d), Some([bench, mouth])) = (&s.difference, &s.chances) {
                one["difference_ciede2000"] = json!(d.interval().rounded());
                one["seen_side_by_side"] =
                    json!({ "bench": six_figures(bench.seen), "in_mouth": six_figures(mouth.seen) });
                one["would_be_remade"] =
                    json!({ "bench": six_figures(bench.unacceptable), "in_mouth": six_figures(mouth.unacceptable) });
            }
            one
        })
        .collect();
    let layers: Vec<Value> = stack.names.iter().map(|(n, mm)| json!({ "name": n, "thickness_mm": mm })).collect();
    json!({
        "layers": layers,
        "beneath": stack.beneath,
        "measure_the_stump": stack.measure,
        "lights": lights,
        "stack_alone": { "contrast_ratio": six_figures(opacity[0]), "TP": six_figures(opacity[1]), "TP00": six_figures(opacity[2]) },
        "taken_as_given": stack.defaults,
        "opacity_out_of_reach": stack.out_of_reach,
    })
}

fn in_words(stack: &Described, all: &[Seen], opacity: &[f64; 3], args: &PredictArgs) -> Result<(), Failure> {
    let layers: Vec<String> = stack.names.iter().map(|(n, mm)| format!("{n} {mm} mm")).collect();
    say(&format!("{} over {}", layers.join(", "), stack.beneath));
    for s in all {
        let [l, a, b] = intervals(&s.colours);
        say(&format!("{:<8} L* {}, a* {}, b* {}", s.light, l.in_words(), a.in_words(), b.in_words()));
        if let (Some(d), Some([bench, mouth])) = (&s.difference, &s.chances) {
            say(&format!("         differs from {} by \u{394}E00 {}", compared(stack), d.interval().in_words()));
            let hundred = |v: f64| format!("{:.0} of 100", 100.0 * v);
            say(&format!(
                "         seen side by side: {} on the bench, {} in the mouth; would be remade: {}, {}",
                hundred(bench.seen),
                hundred(mouth.seen),
                hundred(bench.unacceptable),
                hundred(mouth.unacceptable)
            ));
        }
    }
    say(&format!("alone: contrast ratio {:.2}, TP {:.1}, TP00 {:.1}", opacity[0], opacity[1], opacity[2]));
    if stack.measure {
        say("The backing was named, not read: measure the stump.");
    }
    if !stack.defaults.is_empty() {
        say(&format!("Taken as given: {}.", stack.defaults.join("; ")));
    }
    for (name, share) in &stack.out_of_reach {
        say(&format!(
            "{name}: in {:.0} of 100 draws no layer of that colour reaches the opacity asked for.",
            100.0 * share
        ));
    }
    if let Some(folder) = &args.out {
        say(&format!("Pictures: {}", folder.display()));
    }
    Ok(())
}

/// What the prediction is compared with, in words.
fn compared(stack: &Described) -> &'static str {
    if stack.reference.is_some() { "the same over the reference" } else { "the wish" }
}

fn draw(folder: &Path, stack: &Described, seen: &Seen, ensemble: &Ensemble, viewing: &Viewing) -> Result<(), Failure> {
    let predicted = mean(&seen.colours);
    let (title, shown, words) = match (&seen.difference, &seen.like) {
        (Some(d), Some(like)) => (
            format!(
                "Over {} the prediction differs from {} by \u{394}E00 {}.",
                stack.beneath,
                compared(stack),
                d.interval().in_words()
            ),
            mean(like),
            if stack.reference.is_some() {
                format!("{} {}", compared(stack), lab_words(mean(like)))
            } else {
                lab_words(mean(like))
            },
        ),
        _ => (
            format!("Over {} it shows {}.", stack.beneath, lab_words(predicted)),
            predicted,
            "mean of the draws".to_owned(),
        ),
    };
    let notes =
        vec![format!("Light {}.", seen.light), "Screens differ: judge by the figures, not by this screen.".to_owned()];
    let swatches = pictures::field(&title, (shown, &words), &seen.colours, &lab_words(predicted), notes);
    // Each layer in the colour of an endless thickness of itself, as read in air.
    let layers: Vec<(String, f64, Lab)> = stack
        .names
        .iter()
        .zip(&ensemble.layers)
        .map(|((name, mm), layer)| {
            let optics = &layer.optics[0];
            let surface = ensemble.instrument.corrections(optics.index);
            (name.clone(), *mm, viewing.lab(&surface.measured_spectrum(&optics.endless())))
        })
        .collect();
    let beneath = match stack.backing[0] {
        ::colour::Backing::Surface(r) | ::colour::Backing::Metal { in_air: r, .. } => viewing.lab(&r),
        ::colour::Backing::Body { inside, index } => {
            viewing.lab(&ensemble.instrument.corrections(index).measured_spectrum(&inside))
        }
    };
    let whole: f64 = stack.names.iter().map(|(_, mm)| mm).sum();
    let title = format!("{} layers, {whole:.2} mm, over {}.", layers.len(), stack.beneath);
    let section = pictures::section(&title, &layers, (&stack.beneath, beneath));
    pictures::write(folder, vec![("swatches", swatches), ("stack", section)])
}

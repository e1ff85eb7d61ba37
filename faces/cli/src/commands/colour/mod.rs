//! `bisque colour`: colour science and layered colour by the line.

mod characterise;
mod difference;
mod image;
mod keep;
mod light;
mod mask;
mod mask_ways;
mod photo;
mod pictures;
mod predict;
mod series;
mod stack_cells;
mod stack_file;
mod stack_rows;

use crate::args::{ColourCommand, CouplingArg, DrawArgs, InstrumentArg, ObserverArg};
use crate::failure::Failure;
use ::colour::{Coupling, Illuminant, Instrument, Lab, Observer, Viewing, Weighting};
use answer::{World, six_figures};
use serde_json::{Value, json};
use std::path::Path;

/// Runs a `colour` command.
pub fn run(command: ColourCommand, data: Option<&Path>) -> Result<(), Failure> {
    match command {
        ColourCommand::Difference { lab, json } => difference::run(&lab, json),
        ColourCommand::Predict(args) => predict::run(&args, data),
        ColourCommand::Mask(args) => mask::run(&args, data),
        ColourCommand::Characterise(args) => characterise::run(&args),
        ColourCommand::Series(args) => series::run(&args),
        ColourCommand::Photo(args) => photo::run(&args, data),
        ColourCommand::Keep(args) => keep::run(&args, data),
        ColourCommand::Own { json } => keep::list(data, json),
        ColourCommand::Light(args) => light::run(&args),
    }
}

fn usage(e: impl std::fmt::Display) -> Failure {
    Failure::Usage(e.to_string())
}

fn viewing(light: &str, observer: ObserverArg) -> Result<Viewing, Failure> {
    let observer = match observer {
        ObserverArg::Two => Observer::TwoDegrees,
        ObserverArg::Ten => Observer::TenDegrees,
    };
    Viewing::new(&Illuminant::named(light).map_err(usage)?, observer, Weighting::Interpolated).map_err(usage)
}

fn world(draw: DrawArgs) -> World {
    World::with_draws(draw.seed, draw.draws as usize)
}

fn instrument(arg: InstrumentArg) -> Instrument {
    match arg {
        InstrumentArg::Beam => Instrument::BEAM,
        InstrumentArg::SphereWithoutGloss => Instrument::SPHERE_WITHOUT_SPECULAR,
        InstrumentArg::SphereWithGloss => Instrument::SPHERE_WITH_SPECULAR,
    }
}

fn coupling(arg: CouplingArg) -> Coupling {
    match arg {
        CouplingArg::Dry => Coupling::Dry,
        CouplingArg::Wet => Coupling::Wet,
        CouplingArg::Film => Coupling::Film(1.5),
        CouplingArg::Contact => Coupling::Contact,
    }
}

fn lab_json(lab: Lab) -> Value {
    json!({ "L": six_figures(lab.l), "a": six_figures(lab.a), "b": six_figures(lab.b) })
}

fn lab_words(lab: Lab) -> String {
    format!("L* {:.1} a* {:.1} b* {:.1}", lab.l, lab.a, lab.b)
}

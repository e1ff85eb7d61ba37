//! Pictures of predict and mask, as SVG.

use crate::failure::Failure;
use crate::files;
use ::colour::{Lab, srgb};
use picture::forms::{
    CurveLine, Curves, StackLayer, StackSection, Swatches, Threshold, curves, stack_section, swatches,
};
use picture::{Rgb, Scene, Undrawable};
use std::path::Path;

/// What every picture rests on.
const RESTS_ON: &str = concat!(
    "bisque ",
    env!("CARGO_PKG_VERSION"),
    "; two-flux layers over draws of what is not known; wide layers, no edge loss, gloss or texture. For judgement by licensed professionals."
);

/// Writes scenes by name into a folder, each under its finding.
pub fn write(folder: &Path, scenes: Vec<(&str, Result<Scene, Undrawable>)>) -> Result<(), Failure> {
    let drawn: Vec<(String, Vec<u8>)> = scenes
        .into_iter()
        .map(|(name, scene)| {
            let scene = scene.map_err(|e| Failure::Usage(format!("{name} cannot be drawn: {e}")))?;
            let figure = ::papers::Figure { name: name.to_owned(), scene, sources: RESTS_ON.to_owned() };
            Ok((format!("{name}.svg"), ::papers::standalone(&figure).into_bytes()))
        })
        .collect::<Result<_, Failure>>()?;
    files::write_all(folder, &drawn)
}

/// Bytes of a colour on a screen.
pub fn rgb(lab: Lab) -> Rgb {
    let ([r, g, b], _) = srgb::screen(lab);
    Rgb(r, g, b)
}

/// The wish (or the mean, where there is none) beside 25 draws.
pub fn field(
    title: &str,
    wish: (Lab, &str),
    draws: &[Lab],
    words: &str,
    notes: Vec<String>,
) -> Result<Scene, Undrawable> {
    let step = (draws.len() / 25).max(1);
    swatches(&Swatches {
        title: title.to_owned(),
        wish: rgb(wish.0),
        wish_words: wish.1.to_owned(),
        draws: draws.iter().step_by(step).take(25).map(|l| rgb(*l)).collect(),
        draws_words: words.to_owned(),
        notes,
    })
}

/// The stack in section.
pub fn section(title: &str, layers: &[(String, f64, Lab)], backing: (&str, Lab)) -> Result<Scene, Undrawable> {
    stack_section(&StackSection {
        title: title.to_owned(),
        unit: "mm".to_owned(),
        layers: layers
            .iter()
            .map(|(label, mm, lab)| StackLayer { label: label.clone(), thickness: *mm, colour: rgb(*lab) })
            .collect(),
        backing: (backing.0.to_owned(), rgb(backing.1)),
        decimals: 2,
    })
}

/// Difference against thickness, a line a grade, with the limits of seeing and refusing.
pub fn against_thickness(
    title: &str,
    layer: &str,
    lines: Vec<CurveLine>,
    (seen, refused): (f64, f64),
    room: f64,
) -> Result<Scene, Undrawable> {
    curves(&Curves {
        title: title.to_owned(),
        across: format!("thickness of {layer}, mm"),
        upright: "difference, \u{394}E00".to_owned(),
        lines,
        limits: vec![
            Threshold { at: refused, label: "half refuse".to_owned() },
            Threshold { at: seen, label: "half see".to_owned() },
        ],
        mark: Some(Threshold { at: room, label: "as given".to_owned() }),
        decimals: [2, 1],
    })
}

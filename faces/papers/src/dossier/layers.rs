//! The layers over an abutment in section, and what hides a dark one: difference against thickness by grade.

use crate::said;
use picture::axis::figure;
use picture::forms::{CurveLine, CurvePoint, Curves, StackLayer, StackSection, Threshold, curves, stack_section};
use picture::{Scene, Undrawable};
use plan::ColourAnswer;

type Drawn = Result<Scene, Undrawable>;

/// The stack to scale, layers in the wished colour (their own stands in no figure of the report), beneath in its own.
pub(super) fn section(colour: &ColourAnswer) -> Option<Drawn> {
    let whole: f64 = colour.stack.iter().map(|(_, mm)| mm).sum();
    if colour.stack.is_empty() || whole <= 0.0 {
        return None;
    }
    let title = format!("Over {} lie {} mm of ceramic", colour.tooth.code(), figure(whole, 2));
    let layers = colour.stack.iter().map(|(name, mm)| StackLayer {
        label: name.clone(),
        thickness: *mm,
        colour: picture::screen_colour(colour.wish_lab),
    });
    Some(stack_section(&StackSection {
        title: said::sentence(&title),
        unit: "mm".to_owned(),
        layers: layers.collect(),
        backing: (colour.substrate.clone(), picture::screen_colour(colour.substrate_lab)),
        decimals: 2,
    }))
}

/// What a difference means on the bench.
fn limits(&[seen, refused]: &[f64; 2]) -> [Threshold; 2] {
    [(seen, "seen side by side"), (refused, "refused")].map(|(at, label)| Threshold { at, label: label.to_owned() })
}

/// Difference to the same over ordinary dentine against the thickness of the core, one line a grade.
pub(super) fn hiding(colour: &ColourAnswer) -> Option<Drawn> {
    let ways: Vec<_> = colour.detail.masking.iter().filter(|w| w.course.len() >= 2).collect();
    let first = ways.first()?;
    let lines = ways.iter().map(|w| CurveLine {
        label: w.way.clone(),
        points: w
            .course
            .iter()
            .map(|[x, low, middle, high]| CurvePoint { x: *x, low: *low, middle: *middle, high: *high })
            .collect(),
    });
    let title = format!("Over {}: {}", colour.tooth.code(), colour.masking);
    Some(curves(&Curves {
        title: said::sentence(&title),
        across: "thickness of the core, mm".to_owned(),
        upright: "difference to the same over ordinary dentine, \u{394}E00".to_owned(),
        lines: lines.collect(),
        limits: colour.detail.bench_limits.iter().flat_map(limits).collect(),
        mark: Some(Threshold { at: first.room_mm, label: "as planned".to_owned() }),
        decimals: [1, 1],
    }))
}

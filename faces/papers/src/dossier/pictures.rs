//! The pictures of an option, each with a title that states its finding; nothing where there is nothing to draw.

use crate::{Facts, said};
use answer::Unit;
use catalogue::words::{Process, Question};
use picture::axis::{figure, round_end};
use picture::forms::{
    Bar, Bars, FanYear, QuantileDots, SurvivalFan, Swatches, Threshold, bars, quantile_dots, survival_fan, swatches,
};
use picture::{Scene, Undrawable, quantile};
use plan::{ColourAnswer, Curve, PlannedOption, PreparationAnswer, QuestionAnswer, Report, odds};

type Drawn = Result<Scene, Undrawable>;

/// All pictures of an option, each with the question it answers.
pub(super) fn all(report: &Report, option: &PlannedOption, facts: &Facts) -> Vec<(Question, Drawn)> {
    let mut drawn = Vec::new();
    let mut add = |question: Question, scene: Option<Drawn>| drawn.extend(scene.map(|s| (question, s)));
    add(Question::Last, option.answers.first().and_then(|a| dots(report, option, facts, a)));
    add(Question::Last, fan(&option.loss_curve, "still in place", "are still in place"));
    add(Question::Last, fan(&option.complication_curve, "nothing done again", "have needed nothing more"));
    add(Question::Break, causes(option));
    for section in [colour, super::layers::section, super::layers::hiding] {
        option.colour.iter().for_each(|c| add(Question::Show, section(c)));
    }
    let several = option.preparation.len() > 1;
    option.preparation.iter().for_each(|p| add(Question::Lose, reduction(p, several)));
    let tissue = facts.tissue.get(&option.id).into_iter().flatten();
    tissue.for_each(|scene| add(Question::Lose, Some(Ok(scene.clone()))));
    drawn
}

/// A risk turned into the share that stays free of it.
fn fan(curve: &Curve, quantity: &str, said_so: &str) -> Option<Drawn> {
    let last = curve.points.last()?;
    let years: Vec<FanYear> = curve
        .points
        .iter()
        .map(|p| {
            let [low90, low50, median, high50, high90] =
                [p.high, p.upper, p.median, p.lower, p.low].map(|risk| 100.0 * (1.0 - risk));
            FanYear { year: p.year, low90, low50, median, high50, high90 }
        })
        .collect();
    let lowest = years.iter().map(|y| y.low90).fold(100.0, f64::min);
    let title = format!("{} {said_so} after {} years", odds::of_hundred(1.0 - last.median), figure(last.year, 0));
    Some(survival_fan(&SurvivalFan {
        title: said::sentence(&title),
        quantity: format!("{quantity}, of 100"),
        years,
        observed_to: (curve.observed_until < last.year).then_some(curve.observed_until),
        at_risk: Vec::new(),
        own: Vec::new(),
        floor: if lowest >= 50.0 { 50.0 } else { 0.0 },
    }))
}

/// The answer to whether it lasts as quantile dots, on one scale for all options, with the limits of the verdict.
fn dots(report: &Report, option: &PlannedOption, facts: &Facts, answer: &QuestionAnswer) -> Option<Drawn> {
    if answer.quantiles.is_empty() {
        return None;
    }
    let factor = if answer.unit == Unit::Share { 100.0 } else { 1.0 };
    let mut sorted: Vec<f64> = answer.quantiles.iter().map(|q| factor * q).collect();
    sorted.sort_by(f64::total_cmp);
    let median = quantile(&sorted, 0.5)?;
    // A long tail stands at the end of the scale and is counted there.
    let ends = report.options.iter().filter_map(|o| o.answers.first()?.value.as_ref().map(|v| factor * v.high));
    let unit = if answer.unit == Unit::Share { "of 100" } else { answer.unit.symbol() };
    let words = answer.value.as_ref().map_or(String::new(), |v| said::value(answer.unit, v).0);
    Some(quantile_dots(&QuantileDots {
        title: said::sentence(&format!("{}: about {words}", answer.quantity)),
        quantity: format!("{}, {unit}", answer.quantity),
        quantiles: sorted,
        scale_end: round_end(ends),
        thresholds: facts
            .limits_of(Question::Last, option.construct)
            .map(|l| Threshold { at: factor * l.at, label: l.verdict.words().to_owned() })
            .collect(),
        decimals: if median < 2.0 { 1 } else { 0 },
    }))
}

/// Chances by cause by ten years.
fn causes(option: &PlannedOption) -> Option<Drawn> {
    // Trouble of other kinds is many things: the likeliest that has a name is the finding.
    let likeliest = said::named(option)?;
    let rows = option.failures.iter().map(|f| {
        let ten = &f.risk[1];
        let process = if f.process == Process::Loss { "lost" } else { "mended" };
        Bar {
            label: format!("{}, {process}", f.cause.label()),
            value: 100.0 * ten.mean,
            interval: Some((100.0 * ten.low, 100.0 * ten.high)),
            words: odds::of_hundred(ten.mean),
            accent: f == likeliest,
        }
    });
    let process = if likeliest.process == Process::Loss { "lost" } else { "mended" };
    let title = format!(
        "Likeliest named trouble within 10 years: {}, {process}, {}",
        likeliest.cause.label(),
        odds::of_hundred(likeliest.risk[1].mean)
    );
    Some(bars(&Bars {
        title: said::sentence(&title),
        quantity: "within 10 years, of 100".to_owned(),
        rows: rows.collect(),
        scale_end: round_end(option.failures.iter().map(|f| 100.0 * f.risk[1].high)),
        thresholds: Vec::new(),
        decimals: 1,
    }))
}

/// Wish beside 25 draws of the prediction.
fn colour(colour: &ColourAnswer) -> Option<Drawn> {
    if colour.predicted_draws.is_empty() {
        return None;
    }
    let (middle, range) = said::value(Unit::ColourDifference, &colour.difference);
    let range = if range.is_empty() { range } else { format!(" ({range})") };
    let lab = |lab: [f64; 3]| {
        let [l, a, b] = lab.map(|v| figure(v, 1));
        format!("L* {l} a* {a} b* {b}")
    };
    Some(swatches(&Swatches {
        title: format!("Over {} the prediction differs from the wish by {middle}{range}.", colour.tooth.code()),
        wish: picture::screen_colour(colour.wish_lab),
        wish_words: format!("{}; {}", lab(colour.wish_lab), colour.wish),
        draws: colour.predicted_draws.iter().map(|d| picture::screen_colour(*d)).collect(),
        draws_words: format!("mean {}", lab(colour.predicted_lab)),
        notes: vec![
            format!("Seen side by side: {}.", odds::of_hundred(colour.seen)),
            format!("Remade for its colour: {}.", odds::of_hundred(colour.remade)),
            "Screens differ: judge by the figures, not by this screen.".to_owned(),
        ],
    }))
}

/// Depth to be removed by surface.
fn reduction(preparation: &PreparationAnswer, several: bool) -> Option<Drawn> {
    let deepest = preparation.depths.iter().max_by(|a, b| a.1.mean.total_cmp(&b.1.mean))?;
    let rows = preparation.depths.iter().map(|(surface, depth)| Bar {
        label: surface.label().to_owned(),
        value: depth.mean.max(0.0),
        interval: (depth.width() > 0.0).then_some((depth.low, depth.high)),
        words: said::value(Unit::Millimetres, depth).0,
        accent: surface == &deepest.0,
    });
    let whose = if several { format!("{}: most", preparation.tooth.code()) } else { "Most".to_owned() };
    let title = format!(
        "{whose} is removed on the {} surface, {}",
        deepest.0.label(),
        said::value(Unit::Millimetres, &deepest.1).0
    );
    Some(bars(&Bars {
        title: said::sentence(&title),
        quantity: "depth removed, mm".to_owned(),
        rows: rows.collect(),
        scale_end: round_end(preparation.depths.iter().map(|(_, d)| d.high)),
        thresholds: Vec::new(),
        decimals: 2,
    }))
}

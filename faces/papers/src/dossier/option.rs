//! One section an option: numbers with intervals and reasons, how it fails, dimensions, pictures, guidelines.

use super::{picture_or_note, pictures};
use crate::blocks::{Block, Cell, Grid, Row, Words};
use crate::{Facts, said};
use answer::{Interval, Unit};
use picture::axis::figure;
use plan::{PlannedOption, QuestionAnswer, Report};

/// The blocks of an option's section.
pub(super) fn blocks(report: &Report, option: &PlannedOption, facts: &Facts) -> Vec<Block> {
    let mut blocks = vec![Block::Paragraph(state(report, option))];
    blocks.push(Block::Facts(
        option.answers.iter().map(|a| (a.question.label().to_owned(), answer(report, a))).collect(),
    ));
    if !option.failures.is_empty() {
        blocks.push(Block::Heading("How it fails, and what is then left".to_owned()));
        blocks.push(Block::Table(failures(option)));
    }
    let (scenes, notes): (Vec<Block>, Vec<Block>) = pictures::all(report, option, facts)
        .into_iter()
        .map(|(_, drawn)| picture_or_note(drawn))
        .partition(|b| matches!(b, Block::Figure(_)));
    let scenes: Vec<_> =
        scenes.into_iter().filter_map(|b| if let Block::Figure(s) = b { Some(s) } else { None }).collect();
    if !scenes.is_empty() {
        blocks.push(Block::Beside(scenes));
    }
    blocks.extend(notes);
    let rests: Vec<Words> = [("Losses", &option.loss_curve), ("Things done again", &option.complication_curve)]
        .iter()
        .filter(|(_, curve)| !curve.points.is_empty())
        .map(|(name, curve)| {
            let years = figure(curve.restoration_years, 0);
            Words::default().quiet(format!("{name} rest on {} study arms and {years} restoration-years.", curve.arms))
        })
        .collect();
    blocks.push(Block::List(rests));
    if !option.dimensions.is_empty() {
        blocks.push(Block::Heading("Dimensions".to_owned()));
        blocks.push(Block::Table(dimensions(report, option)));
    }
    blocks.extend(colour(option));
    blocks.extend(tissue(option));
    if !option.guidelines.is_empty() {
        blocks.push(Block::Heading("Guidelines beside it, never deciding it".to_owned()));
        blocks.push(Block::Table(guidelines(option)));
    }
    blocks
}

/// An option that is not among the leading ones: its answers and how it fails, without pictures.
pub(super) fn in_short(report: &Report, option: &PlannedOption) -> Vec<Block> {
    let answers = option.answers.iter().map(|a| (a.question.label().to_owned(), answer(report, a))).collect();
    let mut blocks = vec![Block::Paragraph(state(report, option)), Block::Facts(answers)];
    if !option.failures.is_empty() {
        blocks.push(Block::Table(failures(option)));
    }
    blocks
}

fn state(report: &Report, option: &PlannedOption) -> Words {
    let mut words = Words::default().strong(said::state(option));
    for stop in &option.stops {
        let word = if stop.forbids { " Stop: " } else { " Caution: " };
        words = said::marks(words.plain(word).plain(said::sentence(&stop.text)), &[], Some(stop.basis));
    }
    match option.dominated_by.as_ref().map(|id| report.option(id).map_or(id.as_str(), |o| o.title.as_str())) {
        Some(better) => words.plain(format!(" Never better than {}.", said::continued(better))),
        None => words,
    }
}

/// Number, range, verdict, marks; reasons; what would narrow it; on what it rests.
fn answer(report: &Report, answer: &QuestionAnswer) -> Words {
    let mut words = Words::default();
    if let Some(v) = &answer.value {
        words = said::value_words(answer.unit, v).plain(format!(" {}; ", said::continued(&answer.quantity)));
    }
    words = said::marks(words.strong(answer.verdict.words()).plain("."), &answer.caveats, answer.basis);
    for reason in &answer.reasons {
        words = words.plain(" ").plain(said::sentence(reason));
    }
    let narrows: Vec<String> = answer
        .narrowed_by
        .iter()
        .take(2)
        .map(|(name, share)| format!("{name} ({:.0}\u{a0}% of the spread)", 100.0 * share))
        .collect();
    if !narrows.is_empty() {
        words = words.plain(format!(" It would be narrowed most by knowing {}.", narrows.join(", then ")));
    }
    if answer.sources.is_empty() {
        return words;
    }
    words.plain(" ").quiet(format!("({})", said::cited(report, &answer.sources).join("; ")))
}

fn failures(option: &PlannedOption) -> Grid {
    let rows = option.failures.iter().map(|f| {
        let [five, ten, fifteen] = &f.risk;
        let chance = |v: &Interval| said::value_words(Unit::Share, v);
        let cells = [
            Cell::from(said::marks(
                Words::from(said::sentence(f.cause.label()).trim_end_matches('.')),
                &f.caveats,
                None,
            )),
            Cell::from(f.process.label()),
            Cell::from(chance(five)),
            Cell::from(chance(ten)),
            Cell::from(chance(fifteen)),
            Cell::from(Words::from(format!(
                "{}. {}",
                said::sentence(f.consequence.label()).trim_end_matches('.'),
                said::sentence(&f.then)
            ))),
        ];
        Row { cells: cells.into(), dimmed: false }
    });
    let heads = ["Cause", "Counts as", "By 5 years", "By 10 years", "By 15 years", "Usually, and what is then left"];
    Grid {
        caption: "Likeliest by 10 years first".to_owned(),
        heads: heads.map(str::to_owned).into(),
        rows: rows.collect(),
    }
}

fn dimensions(report: &Report, option: &PlannedOption) -> Grid {
    let rows = option.dimensions.iter().map(|d| {
        let name = match d.surface {
            // A dimension named after its surface is not named twice.
            Some(surface) if !surface.label().starts_with(&d.what) => {
                format!("{}, {}", said::sentence(&d.what).trim_end_matches('.'), surface.label())
            }
            _ => said::sentence(&d.what).trim_end_matches('.').to_owned(),
        };
        let unit = d.unit.symbol();
        let words = |v: f64| format!("{} {unit}", figure(v, decimals(v)));
        let room = d.available.map_or("not told".to_owned(), words);
        let basis = said::marks(Words::from(d.basis.word()), &[], None)
            .plain(" ")
            .quiet(said::cited(report, &d.sources).join("; "));
        let cells =
            [Cell::from(name), words(d.working).into(), words(d.tested_minimum).into(), room.into(), Cell::from(basis)];
        Row { cells: cells.into(), dimmed: false }
    });
    let heads = ["What", "Working", "Tested minimum", "Room", "Basis"].map(str::to_owned).into();
    Grid { caption: "The plan uses the working dimension".to_owned(), heads, rows: rows.collect() }
}

/// As many decimals as a dimension has, two at most.
fn decimals(v: f64) -> usize {
    (0..2).find(|d| ((v * 10f64.powi(*d)).fract().abs()) < 1e-6).map_or(2, |d| d.max(1) as usize)
}

/// Chances that colour is seen, and what would mask.
fn colour(option: &PlannedOption) -> Option<Block> {
    let facts: Vec<(String, Words)> = option
        .colour
        .iter()
        .map(|c| {
            let stack: Vec<String> =
                c.stack.iter().map(|(layer, mm)| format!("{layer} {} mm", figure(*mm, decimals(*mm)))).collect();
            let [l, a, b] = c.substrate_lab.map(|v| figure(v, 1));
            let mut words = Words::from(format!(
                "Over {} (L* {l} a* {a} b* {b}): seen side by side {}, remade for its colour {}.",
                c.substrate,
                plan::odds::of_hundred(c.seen),
                plan::odds::of_hundred(c.remade)
            ));
            if let Some(lamp) = c.detail.lights.iter().find(|l| l.light != "D65") {
                words = words.plain(format!(
                    " By a lamp ({}): \u{394}E00 {} to the wish, against {} in daylight; remade {}.",
                    lamp.light,
                    lamp.difference.in_words(),
                    c.difference.in_words(),
                    plan::odds::of_hundred(lamp.remade)
                ));
            }
            for beside in &c.detail.beside {
                words = words.plain(format!(
                    " Beside {}: \u{394}E00 {}, seen in {}.",
                    beside.beside,
                    beside.difference.in_words(),
                    plan::odds::of_hundred(beside.seen)
                ));
            }
            if !stack.is_empty() {
                words = words.plain(format!(" Layers from outside: {}.", stack.join(", ")));
            }
            if !c.masking.is_empty() {
                words = words.plain(" ").plain(said::sentence(&c.masking));
            }
            (format!("Colour over {}", c.tooth.code()), words)
        })
        .collect();
    (!facts.is_empty()).then_some(Block::Facts(facts))
}

/// What the tooth loses and what is left over the pulp.
fn tissue(option: &PlannedOption) -> Option<Block> {
    let facts: Vec<(String, Words)> = option
        .preparation
        .iter()
        .map(|p| {
            let (share, range) = said::value(Unit::Share, &p.share_removed);
            let share = share.replace(" of 100", "\u{a0}%");
            let range = if range.is_empty() { range } else { format!(" ({range})") };
            let mut words = Words::from(format!("{share}{range} of the crown is removed."));
            if let Some(left) = &p.dentine_left {
                let (left, range) = said::value(Unit::Millimetres, left);
                words = words.plain(format!(" Least dentine left over the pulp {left} ({range})"));
                for (chance, limit) in [(p.chance_below_2, "2.0"), (p.chance_below_1, "1.0")] {
                    if let Some(chance) = chance {
                        words = words.plain(format!("; below {limit} mm in {}", plan::odds::of_hundred(chance)));
                    }
                }
                words = words.plain(".");
            }
            (format!("Tissue of {}", p.tooth.code()), words)
        })
        .collect();
    (!facts.is_empty()).then_some(Block::Facts(facts))
}

fn guidelines(option: &PlannedOption) -> Grid {
    let rows = option.guidelines.iter().map(|g| {
        let cells = [&g.body, &g.text, &g.grade, &g.validity].map(|t| Cell::from(t.as_str()));
        Row { cells: cells.into(), dimmed: false }
    });
    let heads = ["Guideline", "What it says", "Grade", "Validity"].map(str::to_owned).into();
    Grid { caption: "Recommendations of societies".to_owned(), heads, rows: rows.collect() }
}

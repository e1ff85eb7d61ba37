//! How often it goes wrong: the summary with one denominator and one span of years, an icon array a way, the kinds of trouble.
//!
//! Every count is one of the report's means of 100 people within 10 years, rounded, or what is left of 100; ranges are its 5 and 95 %.
//! `Lost` and `something to be done` stand side by side; they are two processes, so that one person can have both.

use super::{Asked, Texts, ways};
use crate::blocks::{Block, Cell, Grid, Row, Words};
use answer::{Caveat, Interval};
use catalogue::words::{Cause, Process, Question};
use picture::forms::{IconArray, IconGroup, icon_array};
use plan::{FailureMode, PlannedOption};

/// Kinds of trouble told.
const KINDS: usize = 6;

/// The risk of loss within ten years; `None` where it is not known.
pub(super) fn lost(option: &PlannedOption) -> Option<Interval> {
    option.answers.iter().find(|a| a.question == Question::Last).and_then(|a| a.value)
}

/// A share as a whole number of 100.
pub(super) fn count(share: f64) -> u32 {
    // Rounded as it is printed, so that figures and words agree.
    format!("{:.0}", 100.0 * share.clamp(0.0, 1.0)).parse().unwrap_or(0)
}

/// What is left of 100.
fn kept(texts: &Texts, lost: &Interval) -> String {
    texts.of_hundred(1.0 - lost.mean)
}

fn range(texts: &Texts, [low, high]: [f64; 2]) -> String {
    let [low, high] = [low, high].map(|s| format!("{:.0}", 100.0 * s));
    texts.fill("range", &[("low", &low), ("high", &high)])
}

fn with_range(texts: &Texts, value: Option<&Interval>) -> Words {
    match value {
        None => texts.get("not_known").into(),
        Some(v) => Words::default()
            .strong(texts.of_hundred(v.mean))
            .plain(format!(" ({})", range(texts, [v.low, v.high]).replace(' ', "\u{a0}"))),
    }
}

/// Explanation, summary of all ways, a picture each, and how sure it is.
pub(super) fn blocks(texts: &Texts, shown: &[&PlannedOption]) -> Vec<Block> {
    let mut blocks = vec![
        Block::Paragraph(texts.get("odds_lead").into()),
        Block::Paragraph(texts.get("odds_kinds").into()),
        Block::Table(summary(texts, shown)),
        Block::Paragraph(texts.get("odds_unsure").into()),
    ];
    let name = |o: &PlannedOption| ways::short_name(texts, o, shown);
    let little: Vec<String> = shown.iter().filter(|o| little_known(o)).map(|o| name(o)).collect();
    if !little.is_empty() {
        blocks.push(Block::Paragraph(texts.fill("odds_little", &[("ways", &little.join("; "))]).into()));
    }
    let pictures: Vec<Block> = shown.iter().filter_map(|o| picture(texts, &name(o), o)).map(Block::Figure).collect();
    if !pictures.is_empty() {
        blocks.push(Block::Paragraph(texts.get("odds_pictures").into()));
        blocks.extend(pictures);
    }
    blocks
}

fn little_known(option: &PlannedOption) -> bool {
    let marks = |c: &Caveat| matches!(c, Caveat::LittleKnown | Caveat::MechanicsOnly | Caveat::NotComputed);
    option.loss_curve.arms < 3
        || option.answers.iter().filter(|a| a.question == Question::Last).any(|a| a.caveats.iter().any(marks))
}

fn summary(texts: &Texts, shown: &[&PlannedOption]) -> Grid {
    let rows = shown.iter().map(|o| {
        let lost = lost(o);
        let kept = lost.map_or(texts.get("not_known").to_owned(), |l| kept(texts, &l));
        let cells = [
            Cell::from(ways::short_name(texts, o, shown)),
            Cell::from(with_range(texts, lost.as_ref())),
            Cell::from(with_range(texts, o.done_again.as_ref())),
            Cell::from(Words::from(kept)),
        ];
        Row { cells: cells.into(), dimmed: false }
    });
    Grid {
        caption: texts.get("odds_table").to_owned(),
        heads: ["way", "odds_lost", "odds_again", "odds_kept"].map(|k| texts.get(k).to_owned()).into(),
        rows: rows.collect(),
    }
}

/// A hundred people lost and a hundred done again, side by side; no picture where one of them is not known.
fn picture(texts: &Texts, way: &str, option: &PlannedOption) -> Option<picture::Scene> {
    let (lost, again) = (lost(option)?, option.done_again?);
    let words =
        [("way", way.to_owned()), ("lost", texts.of_hundred(lost.mean)), ("again", texts.of_hundred(again.mean))];
    let title = texts.fill("odds_picture", &words.each_ref().map(|(k, v)| (*k, v.as_str())));
    let group = |key: &str, share: f64| IconGroup {
        label: texts.get(key).to_owned(),
        filled: count(share),
        sentence: String::new(),
    };
    icon_array(&IconArray {
        title,
        event: texts.get("odds_event").to_owned(),
        groups: vec![group("odds_lost", lost.mean), group("odds_again", again.mean)],
    })
    .ok()
}

/// How long it lasts: the years the studies can bear.
pub(super) fn lasting(texts: &Texts, option: &PlannedOption) -> Vec<Block> {
    let Some(lost) = lost(option) else {
        return vec![Block::Paragraph(texts.get("not_known").into())];
    };
    let left = |s: f64| format!("{:.0}", 100.0 * (1.0 - s));
    let ten =
        texts.fill("last_ten", &[("kept", &kept(texts, &lost)), ("low", &left(lost.high)), ("high", &left(lost.low))]);
    let mut sentences = vec![ten];
    for (key, year) in [("last_five", 5.0), ("last_fifteen", 15.0)] {
        if let Some(p) = option.loss_curve.points.iter().find(|p| p.year == year) {
            sentences.push(texts.fill(key, &[("low", &left(p.high)), ("high", &left(p.low))]));
            if year > option.loss_curve.observed_until {
                sentences.push(texts.get("last_beyond").to_owned());
            }
        }
    }
    sentences.push(texts.get("last_again").to_owned());
    vec![Block::Paragraph(sentences.join(" ").into())]
}

/// Kinds of trouble of one way, the most frequent first, the unnamed last: done again and lost side by side, and what is then done.
pub(super) fn trouble(asked: &Asked<'_>, option: &PlannedOption) -> Vec<Block> {
    let texts = asked.texts;
    let mut kinds: Vec<Cause> = Vec::new();
    for failure in &option.failures {
        if !kinds.contains(&failure.cause) {
            kinds.push(failure.cause);
        }
    }
    // What has no name of its own stands last, however frequent.
    kinds.sort_by_key(|c| *c == Cause::Other);
    let of = |cause: Cause, process: Process| option.failures.iter().find(|f| f.cause == cause && f.process == process);
    let share = |f: Option<&FailureMode>| f.map_or("\u{2013}".to_owned(), |f| texts.of_hundred(f.risk[1].mean));
    let rows = kinds.iter().take(KINDS).map(|&cause| {
        let (again, lost) = (of(cause, Process::Complication), of(cause, Process::Loss));
        let mut words = Words::default().strong(texts.get(&format!("cause_{}", cause.word())).to_owned());
        // What usually follows is that of the more frequent of the two.
        if let Some(usual) = option.failures.iter().find(|f| f.cause == cause) {
            words = words.plain(" ").plain(texts.get(&format!("then_{}", usual.consequence.word())).to_owned());
        }
        Row { cells: vec![Cell::from(words), Cell::from(share(lost)), Cell::from(share(again))], dimmed: false }
    });
    let rows: Vec<Row> = rows.collect();
    let mut blocks = Vec::new();
    if !rows.is_empty() {
        let lead = texts.fill("trouble_lead", &[("way", &ways::name(texts, option))]);
        blocks.push(Block::Paragraph(lead.into()));
        blocks.push(Block::Table(Grid {
            caption: String::new(),
            heads: ["trouble", "odds_lost", "odds_again"].map(|k| texts.get(k).to_owned()).into(),
            rows,
        }));
    }
    blocks.push(Block::Paragraph(texts.get("trouble_else").into()));
    blocks
}

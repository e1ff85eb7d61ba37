//! How often it goes wrong: the summary with one denominator and one span of years, an icon array a way, the kinds of trouble.
//!
//! Every count is one of the report's means of 100 people within 10 years, rounded, or what is left of 100; ranges are its 5 and 95 %.
//! `Lost` and `something to be done` stand side by side; they are two processes, so that one person can have both.

use super::told::{Told, lost};
use super::{Asked, Texts, ways};
use crate::blocks::{Block, Cell, Grid, Row, Words};
use answer::Interval;
use catalogue::words::{Cause, Process};
use picture::Scene;
use picture::forms::{IconArray, IconGroup, icon_array};
use plan::{FailureMode, PlannedOption};

/// Kinds of trouble told.
const KINDS: usize = 6;

/// A share as a whole number of 100.
pub(super) fn count(share: f64) -> u32 {
    // Rounded as it is printed, so that figures and words agree.
    format!("{:.0}", 100.0 * share.clamp(0.0, 1.0)).parse().unwrap_or(0)
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
pub(super) fn blocks(texts: &Texts, told: &[Told]) -> Vec<Block> {
    let mut blocks = vec![
        Block::Paragraph(texts.get("odds_lead").into()),
        Block::Paragraph(texts.get("odds_kinds").into()),
        Block::Table(summary(texts, told)),
        Block::Paragraph(texts.get("odds_unsure").into()),
    ];
    let little: Vec<&str> = told.iter().filter(|t| t.little_known).map(|t| t.name.as_str()).collect();
    if !little.is_empty() {
        blocks.push(Block::Paragraph(texts.fill("odds_little", &[("ways", &little.join("; "))]).into()));
    }
    let pictures: Vec<Block> =
        told.iter().filter(|t| t.drawn).filter_map(|t| picture(texts, t)).map(Block::Figure).collect();
    if !pictures.is_empty() {
        blocks.push(Block::Paragraph(texts.get("odds_pictures").into()));
        blocks.extend(pictures);
    }
    blocks
}

fn summary(texts: &Texts, told: &[Told]) -> Grid {
    let rows = told.iter().map(|t| {
        let cells = [
            Cell::from(t.name.as_str()),
            Cell::from(with_range(texts, t.lost.as_ref())),
            Cell::from(with_range(texts, t.again.as_ref())),
            Cell::from(Words::from(t.kept(texts))),
        ];
        Row { cells: cells.into(), dimmed: false }
    });
    Grid {
        caption: texts.get("odds_table").to_owned(),
        heads: ["way", "odds_lost", "odds_again", "odds_kept"].map(|k| texts.get(k).to_owned()).into(),
        rows: rows.collect(),
    }
}

/// A hundred people lost and a hundred done again, side by side; no picture where the loss is not known.
fn picture(texts: &Texts, told: &Told) -> Option<Scene> {
    let lost = told.lost?;
    let group = |key: &str, share: f64| IconGroup {
        label: texts.get(key).to_owned(),
        filled: count(share),
        sentence: String::new(),
    };
    let mut groups = vec![group("odds_lost", lost.mean)];
    let mut words = vec![("way", told.name.clone()), ("lost", texts.of_hundred(lost.mean))];
    let key = match told.again {
        Some(again) => {
            groups.push(group("odds_again", again.mean));
            words.push(("again", texts.of_hundred(again.mean)));
            "odds_picture"
        }
        None => "odds_picture_lost",
    };
    let words: Vec<(&str, &str)> = words.iter().map(|(k, v)| (*k, v.as_str())).collect();
    let drawn = |groups: Vec<IconGroup>| {
        icon_array(&IconArray { title: texts.fill(key, &words), event: texts.get("odds_event").to_owned(), groups })
            .ok()
    };
    // Figures of one size in every picture: one that holds a single hundred is as wide as one that holds two.
    let wide = drawn(vec![groups[0].clone(), groups[0].clone()])?.width;
    drawn(groups).map(|scene| Scene { width: scene.width.max(wide), ..scene })
}

/// How long it lasts: the years the studies can bear.
pub(super) fn lasting(texts: &Texts, option: &PlannedOption) -> Vec<Block> {
    let Some(lost) = lost(option) else {
        return vec![Block::Paragraph(texts.get("not_known").into())];
    };
    let left = |s: f64| format!("{:.0}", 100.0 * (1.0 - s));
    let ten = texts.fill(
        "last_ten",
        &[("kept", &texts.of_hundred(1.0 - lost.mean)), ("low", &left(lost.high)), ("high", &left(lost.low))],
    );
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

//! The table of all options by the six questions: each cell a small picture with its interval, the same scale down a column; then
//! the alternatives that are not computed.

use super::option_id;
use crate::blocks::{Block, Cell, Grid, Row, Words};
use crate::{Facts, choice, said};
use answer::Unit;
use catalogue::words::Question;
use picture::axis::round_end;
use picture::forms::{IntervalCell, IntervalColumn, Threshold, interval_cell};
use plan::{Alternative, PlannedOption, QuestionAnswer, Report};

/// Table and alternatives.
pub(super) fn blocks(report: &Report, facts: &Facts) -> Vec<Block> {
    let mut blocks = Vec::new();
    if report.options.is_empty() {
        blocks.push(Block::Paragraph("No option was computed.".into()));
    } else {
        let not_stopped = |asked: bool| report.options.iter().filter(move |o| o.asked == asked && !o.stopped);
        let asked: Vec<&PlannedOption> = not_stopped(true).collect();
        let others: Vec<&PlannedOption> = not_stopped(false).collect();
        let stopped: Vec<&PlannedOption> = report.options.iter().filter(|o| o.stopped).collect();
        if !asked.is_empty() {
            blocks.push(Block::Table(table(report, &asked, facts)));
        }
        if !others.is_empty() {
            blocks.push(Block::Heading("Other ways".to_owned()));
            blocks.push(Block::Table(table(report, &others, facts)));
        }
        if !stopped.is_empty() {
            let summary = "Options that are stopped".into();
            blocks.push(Block::Folded(summary, vec![Block::Table(table(report, &stopped, facts))]));
        }
        blocks.push(Block::Paragraph(key(report)));
    }
    if !report.alternatives.is_empty() {
        blocks.push(Block::Heading("Also possible, not computed".to_owned()));
        blocks.push(Block::Facts(
            report.alternatives.iter().map(|a| (a.title.clone(), alternative(report, a))).collect(),
        ));
    }
    blocks
}

fn alternative(report: &Report, alternative: &Alternative) -> Words {
    let mut words = Words::default();
    for known in &alternative.known {
        let space = if words.is_empty() { "" } else { " " };
        words = words.plain(format!("{space}{}", said::sentence(known)));
    }
    for against in &alternative.against {
        words = words.plain(" Against it here: ").plain(said::sentence(against));
    }
    if words.is_empty() {
        words = Words::from("Nothing is held on it.");
    }
    said::ids(words, report, &alternative.sources)
}

fn table(report: &Report, options: &[&PlannedOption], facts: &Facts) -> Grid {
    let full = choice::told_in_full(report);
    let columns: Vec<(Question, IntervalColumn)> = Question::ALL.iter().map(|q| (*q, column(report, *q))).collect();
    let heads =
        std::iter::once("Option".to_owned()).chain(Question::ALL.iter().map(|q| q.label().to_owned())).collect();
    let rows = options
        .iter()
        .map(|option| {
            let dimmed = option.stopped || option.dominated_by.is_some();
            let title = said::sentence(&option.title);
            let title = title.trim_end_matches('.');
            // Only options told in full have a place to lead to.
            let mut name = if full.iter().any(|f| f.id == option.id) {
                Words::default().link(title, option_id(option))
            } else {
                Words::from(title)
            };
            if option.stopped {
                name = name.plain(" ").tag("stopped");
            }
            if option.dominated_by.is_some() {
                name = name.plain(" ").tag("never better than another");
            }
            let cells = columns.iter().map(|(q, c)| cell(option, facts, *q, c, dimmed));
            Row { cells: std::iter::once(Cell::from(name)).chain(cells).collect(), dimmed }
        })
        .collect();
    let limits = if facts.limits.is_empty() { "" } else { "; limits of verdicts are dotted" };
    Grid {
        caption: format!("Mean, and the range that holds 90 of 100 draws; one scale down a column{limits}"),
        heads,
        rows,
    }
}

/// One scale for all options: from zero (or the least value) to the next round figure beyond the greatest.
fn column(report: &Report, question: Question) -> IntervalColumn {
    let values: Vec<_> =
        report.options.iter().filter_map(|o| find(o, question)).filter_map(|a| a.value.as_ref()).collect();
    let least = values.iter().map(|v| v.low).fold(0.0, f64::min);
    IntervalColumn {
        name: question.label().to_owned(),
        scale: (least, round_end(values.iter().map(|v| v.high))),
        thresholds: Vec::new(),
    }
}

fn find(option: &PlannedOption, question: Question) -> Option<&QuestionAnswer> {
    option.answers.iter().find(|a| a.question == question)
}

fn cell(option: &PlannedOption, facts: &Facts, question: Question, column: &IntervalColumn, dimmed: bool) -> Cell {
    let Some(answer) = find(option, question) else { return Cell::from("not asked") };
    let limits = facts.limits_of(question, option.construct);
    let thresholds = limits.map(|l| Threshold { at: l.at, label: l.verdict.words().to_owned() }).collect();
    let column = IntervalColumn { thresholds, ..column.clone() };
    let words = match &answer.value {
        Some(v) => said::value_words(answer.unit, v).plain("; ").plain(answer.verdict.words()),
        None => Words::from(answer.verdict.words()),
    };
    let told = words.text();
    let words = said::marks(words, &answer.caveats, answer.basis);
    let scene = answer.value.as_ref().and_then(|v| {
        // The mean of a very skewed quantity may lie beyond its interval; it is drawn at its end and told in figures.
        let value = Some((v.low, v.mean.max(v.low).min(v.high), v.high));
        interval_cell(&column, &IntervalCell { value, words: told }, dimmed).ok()
    });
    Cell { scene, words }
}

/// What the numbers in each column are.
fn key(report: &Report) -> Words {
    let mut words = Words::default();
    for question in Question::ALL {
        let told = report.options.iter().filter_map(|o| find(o, *question)).find(|a| a.value.is_some());
        if let Some(answer) = told {
            let unit = if answer.unit == Unit::Share { "of 100" } else { answer.unit.symbol() };
            let unit = if unit.is_empty() { String::new() } else { format!(", {unit}") };
            words = words.strong(question.label()).quiet(format!(" {}{unit}. ", said::continued(&answer.quantity)));
        }
    }
    words
}

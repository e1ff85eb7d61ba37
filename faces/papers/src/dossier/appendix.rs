//! What stands behind the options: open questions, how the order came about, defaults, cautions, sources.

use crate::blocks::{Block, Cell, Grid, Row, Section, Weight, Words};
use crate::decision::{self, Length};
use crate::said;
use answer::Basis;
use plan::{Report, odds};

/// The closing sections; defaults, cautions and sources stand even where they are empty, and say so.
pub(super) fn sections(report: &Report) -> Vec<Section> {
    let mut sections = Vec::new();
    if !report.open_questions.is_empty() {
        let open = report.open_questions.iter().map(|q| {
            let swing = format!(" It moves the first option's share by {}.", odds::of_hundred(q.swing));
            said::open(q).quiet(swing)
        });
        sections.push(Section::new("open", "Open questions", vec![Block::Numbered(open.collect())]));
    }
    let parts = decision::parts(report, Length::Whole);
    if !parts.is_empty() {
        let blocks = parts.into_iter().flat_map(|(title, lines)| [Block::Heading(title), Block::List(lines)]);
        sections.push(Section::new("decision", "The decision", blocks.collect()));
    }
    if !report.options.is_empty() {
        sections.push(Section::new("order", "How the order came about", order(report)));
    }
    sections.push(Section::new("defaults", "Defaults used", defaults(report)));
    sections.push(Section::new("cautions", "Cautions", cautions(report)));
    sections.push(Section::new("sources", "Sources", sources(report)));
    sections
}

fn order(report: &Report) -> Vec<Block> {
    let ranking = &report.ranking;
    let mut blocks = Vec::new();
    let weights = ["harm", "looks", "tissue", "money"]
        .iter()
        .zip(ranking.mean_weights)
        .map(|(name, w)| format!("{name} {:.0}\u{a0}%", 100.0 * w))
        .collect::<Vec<_>>()
        .join(", ");
    let mut words = Words::from(format!(
        "{} ways of weighing harm, looks, tissue and money were tried; mean weights {weights}.",
        ranking.ways
    ));
    if !ranking.priorities.is_empty() {
        // Figures are weights or trade-offs, which have no order.
        let figures = ranking.priorities.iter().any(|p| p.contains(|c: char| c.is_ascii_digit()));
        let order = if figures { "" } else { ", first to last" };
        words = words.plain(format!(" What matters{order}: {}.", ranking.priorities.join(", ")));
    }
    blocks.push(Block::Paragraph(words));
    blocks.push(Block::List(ranking.anchors.iter().map(|a| said::sentence(a).into()).collect()));
    let heads: Vec<String> = std::iter::once("Option".to_owned())
        .chain(["Comes first"].map(str::to_owned))
        .chain(
            report
                .options
                .iter()
                .map(|o| &o.criteria)
                .max_by_key(|c| c.len())
                .into_iter()
                .flatten()
                .map(|c| said::sentence(&c.criterion).trim_end_matches('.').to_owned()),
        )
        .collect();
    let rows = report
        .options
        .iter()
        .filter(|o| !o.stopped && o.asked)
        .map(|o| {
            let cells = o.criteria.iter().map(|c| match (&c.natural, &c.value) {
                (Some(natural), Some(_)) => Cell::from(Words::from(format!("{} {}", natural.in_words(), c.scale))),
                _ => Cell::from("not known"),
            });
            let first = [Cell::from(o.title.as_str()), Cell::from(odds::of_hundred(o.first_share))];
            Row { cells: first.into_iter().chain(cells).collect(), dimmed: o.dominated_by.is_some() }
        })
        .collect();
    blocks.push(Block::Table(Grid { caption: "What the options were ranked by".to_owned(), heads, rows }));
    blocks
}

fn defaults(report: &Report) -> Vec<Block> {
    if report.defaults.is_empty() {
        return vec![Block::Paragraph("None: everything needed was given.".into())];
    }
    let rows = report.defaults.iter().map(|d| {
        let cells = [
            Cell::from(said::field(&d.field)),
            Cell::from(d.assumed.as_str()),
            Cell::from(basis(d.basis)),
            Cell::from(from(report, d.source.as_deref().unwrap_or_default())),
        ];
        Row { cells: cells.into(), dimmed: false }
    });
    let heads = ["Not given", "Used instead", "Basis", "From"].map(str::to_owned).into();
    vec![Block::Table(Grid {
        caption: "Giving any of these narrows the answers".to_owned(),
        heads,
        rows: rows.collect(),
    })]
}

/// Citations of ids that stand in one text between semicolons.
fn from(report: &Report, ids: &str) -> String {
    let ids: Vec<String> = ids.split(';').map(|id| id.trim().to_owned()).filter(|id| !id.is_empty()).collect();
    said::cited(report, &ids).join("; ")
}

/// The basis in words, memory as a mark.
fn basis(basis: Basis) -> Words {
    if basis == Basis::Memory { Words::default().tag("from memory") } else { basis.word().into() }
}

fn cautions(report: &Report) -> Vec<Block> {
    let mut blocks: Vec<Block> =
        report.cautions.iter().map(|c| Block::Note(Weight::Caution, said::sentence(c).into())).collect();
    blocks.extend(report.warnings.iter().map(|w| Block::Note(Weight::Remark, said::sentence(w).into())));
    if blocks.is_empty() {
        blocks.push(Block::Paragraph("None beyond the limits of use at the foot.".into()));
    }
    blocks
}

fn sources(report: &Report) -> Vec<Block> {
    let mut blocks =
        vec![Block::Paragraph(format!("The newest study in the evidence is of {}.", report.evidence_year).into())];
    if report.sources.is_empty() {
        blocks.push(Block::Paragraph("No source was used.".into()));
        return blocks;
    }
    let rows = report.sources.iter().map(|s| {
        let citation = s.doi.as_ref().map_or(s.citation.clone(), |doi| format!("{}, doi {doi}", s.citation));
        Row { cells: vec![Cell::from(s.id.as_str()), Cell::from(citation), Cell::from(basis(s.basis))], dimmed: false }
    });
    let heads = ["Id", "Source", "Basis"].map(str::to_owned).into();
    blocks.push(Block::Table(Grid {
        caption: "How the figures came into the data".to_owned(),
        heads,
        rows: rows.collect(),
    }));
    blocks
}

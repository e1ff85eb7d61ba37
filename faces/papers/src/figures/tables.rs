//! Every table of the papers for the way chosen as a picture of its own, with caption and sources.

mod drawn;

use super::{Figure, slug, sources};
use crate::blocks::{Block, Grid, Section};
use crate::dossier::sections_of;
use crate::{Known, paper};
use catalogue::words::Question;

/// Papers whose tables are drawn beside the dossier's.
const PAPERS_WITH_TABLES: [&str; 3] = ["preparation", "order", "fit"];

/// Heads of columns that hold the source of their row.
const SOURCES_IN_ROWS: [&str; 2] = ["From", "Sources"];

/// Every table: the dossier's of the option and of all options side by side, then those of the cards and of the order.
pub fn tables(known: &Known<'_>) -> Vec<Figure> {
    let mut found: Vec<(String, Grid)> = Vec::new();
    if let Some(option) = known.chosen.option() {
        found.extend(of_sections("dossier", sections_of(known.report, known.facts, option)));
    }
    for word in PAPERS_WITH_TABLES {
        let made = paper(word).and_then(|p| (p.make)(known).ok());
        found.extend(made.into_iter().flat_map(|m| of_sections(word, m.document.sections)));
    }
    found
        .into_iter()
        .enumerate()
        .map(|(i, (whose, grid))| Figure {
            name: format!("table-{:02}-{whose}-{}", i + 1, slug(&grid.caption)),
            sources: rests_on(known, &whose, &grid),
            scene: drawn::scene(&grid),
        })
        .collect()
}

/// Tables of some sections, each under the caption or the heading it stands under.
fn of_sections(whose: &str, sections: Vec<Section>) -> Vec<(String, Grid)> {
    let mut out = Vec::new();
    for section in sections {
        walk(&section.title, &section.blocks, &mut |title, grid| {
            let caption = if grid.caption.is_empty() { title } else { &grid.caption };
            out.push((whose.to_owned(), Grid { caption: caption.to_owned(), ..grid.clone() }));
        });
    }
    out
}

fn walk(title: &str, blocks: &[Block], found: &mut impl FnMut(&str, &Grid)) {
    for block in blocks {
        match block {
            Block::Table(grid) if !grid.rows.is_empty() => found(title, grid),
            Block::Folded(_, inner) => walk(title, inner, found),
            _ => {}
        }
    }
}

/// By row where the table says it itself, else what the option rests on.
fn rests_on(known: &Known<'_>, whose: &str, grid: &Grid) -> String {
    let report = known.report;
    if let Some(head) = grid.heads.iter().find(|h| SOURCES_IN_ROWS.contains(&h.as_str())) {
        return format!(
            "Case {}; {}. Sources row by row under \u{201c}{head}\u{201d}, in full at the end of the {whose} paper.",
            report.case, report.program
        );
    }
    match known.chosen.option() {
        Some(option) if whose == "dossier" => sources(known, option, Question::ALL),
        _ => format!("Case {}, as given; {}.", report.case, report.program),
    }
}

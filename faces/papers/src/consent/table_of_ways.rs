//! All ways in one table: what each gives and what can go wrong, leaving things as they are first.

use super::{Asked, Texts, ways};
use crate::blocks::{Block, Cell, Grid, Row};
use catalogue::words::Construct;
use plan::{Alternative, PlannedOption};

/// Constructs that only fit some teeth; where the plan left them out they do not fit this one.
const FIT_OR_NOT: [Construct; 3] = [Construct::PartialCrown, Construct::Veneer, Construct::Endocrown];

/// The table, and what else was thought of.
pub(super) fn blocks(asked: &Asked<'_>, shown: &[&PlannedOption]) -> Vec<Block> {
    let texts = asked.texts;
    let placed = asked.known.case.implant.as_ref().is_some_and(|i| i.placed == Some(true));
    let (made, named): (Vec<&Alternative>, Vec<&Alternative>) =
        asked.known.report.alternatives.iter().partition(|a| a.construct.is_indirect());
    let leaving = |a: &&Alternative| matches!(a.construct, Construct::LeaveAndWatch | Construct::LeaveGap);
    let (leave, other): (Vec<&Alternative>, Vec<&Alternative>) = named.into_iter().partition(leaving);
    let mut rows: Vec<Row> = leave.iter().map(|a| alternative(texts, a)).collect();
    rows.extend(shown.iter().map(|o| computed(texts, o, placed)));
    rows.extend(other.iter().map(|a| alternative(texts, a)));
    let mut blocks = vec![
        Block::Paragraph(texts.get("ways_lead").into()),
        Block::Table(Grid {
            caption: String::new(),
            heads: ["way", "gives", "risks"].map(|k| texts.get(k).to_owned()).into(),
            rows,
        }),
    ];
    let unnumbered: Vec<String> =
        leave.iter().chain(&other).filter(|a| a.lost.is_none()).map(|a| ways::construct(texts, a.construct)).collect();
    if !unnumbered.is_empty() {
        blocks.push(Block::Paragraph(texts.fill("ways_no_numbers", &[("ways", &unnumbered.join("; "))]).into()));
    }
    let further: Vec<String> = made
        .iter()
        .filter(|a| !FIT_OR_NOT.contains(&a.construct))
        .map(|a| ways::construct(texts, a.construct))
        .collect();
    if !further.is_empty() {
        blocks.push(Block::Paragraph(texts.fill("ways_more", &[("ways", &further.join("; "))]).into()));
    }
    blocks
}

fn alternative(texts: &Texts, alternative: &Alternative) -> Row {
    let word = alternative.construct.word();
    row(texts, ways::construct(texts, alternative.construct), word, &format!("risks_{word}"))
}

fn computed(texts: &Texts, option: &PlannedOption, placed: bool) -> Row {
    let word = option.construct.word();
    let risks = match option.construct {
        Construct::ImplantCrown if placed => "risks_implant_placed".to_owned(),
        _ => format!("risks_{word}"),
    };
    row(texts, ways::name(texts, option), word, &risks)
}

fn row(texts: &Texts, name: String, word: &str, risks: &str) -> Row {
    let gives = texts.get(&format!("gives_{word}"));
    Row { cells: vec![Cell::from(name), Cell::from(gives), Cell::from(texts.get(risks))], dimmed: false }
}

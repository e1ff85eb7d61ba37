//! What is advised and why, in which order things matter, and what it costs.

use super::{Asked, Texts, ways};
use crate::Chosen;
use crate::blocks::{Block, Words};
use case::Case;
use catalogue::words::Question;
use plan::PlannedOption;
use ways::Ways;

/// The way advised or talked about, the other one where it is as good or better, what mattered, and what speaks against it.
pub(super) fn blocks(asked: &Asked<'_>, ways: &Ways<'_>) -> Vec<Block> {
    let (texts, report) = (asked.texts, asked.known.report);
    let option = asked.known.chosen.option();
    let way = match asked.known.chosen {
        Chosen::Option(option) => ways::name(texts, option),
        Chosen::Alternative(alternative) => ways::construct(texts, alternative.construct),
        Chosen::Nothing => return vec![Block::Lead(texts.get("advice_none").into())],
    };
    let by_the_numbers = ways.first.filter(|f| option.is_none_or(|o| o.id != f.id));
    let mut blocks = match (by_the_numbers, ways.second) {
        (Some(other), _) => vec![
            Block::Lead(texts.fill("advice_chosen", &[("way", &way)]).into()),
            Block::Blank(texts.fill("advice_other", &[("other", &ways::name(texts, other))]).into(), 2),
        ],
        (None, Some(second)) if report.too_close => {
            let other = ways::name(texts, second);
            vec![Block::Lead(texts.fill("advice_close", &[("way", &way), ("other", &other)]).into())]
        }
        _ => vec![Block::Lead(texts.fill("advice_first", &[("way", &way)]).into())],
    };
    blocks.push(Block::Paragraph(mattered(texts, asked.known.case)));
    let Some(option) = option else { return blocks };
    if option.asked && by_the_numbers.is_none() {
        let count = texts.of_hundred(option.first_share);
        blocks.push(Block::Paragraph(texts.fill("matters_weighed", &[("count", &count)]).into()));
    }
    if !option.stops.is_empty() || option.override_reason.is_some() {
        blocks.push(Block::Blank(texts.get("advice_caution").into(), 2));
    }
    blocks
}

fn mattered(texts: &Texts, case: &Case) -> Words {
    if case.wish.order.is_empty() {
        return texts.get("matters_unasked").into();
    }
    let matters: Vec<&str> = case.wish.order.iter().map(|m| texts.get(matter(m.word()))).collect();
    texts.fill("matters_order", &[("matters", &matters.join("; "))]).into()
}

fn matter(word: &str) -> &'static str {
    match word {
        "harm" => "matter_harm",
        "looks" => "matter_looks",
        "tissue" => "matter_tissue",
        _ => "matter_money",
    }
}

/// The laboratory's fee of each way where the practice gave one; the whole cost always by hand.
pub(super) fn cost(texts: &Texts, case: &Case, shown: &[&PlannedOption]) -> Vec<Block> {
    let currency = case.laboratory.currency.as_deref().unwrap_or_default();
    let fees: Vec<Words> = shown
        .iter()
        .filter_map(|option| {
            let fee = option.answers.iter().find(|a| a.question == Question::Cost)?.value?;
            let amount = format!("{:.0}\u{a0}{currency}", fee.mean);
            Some(texts.fill("cost_some", &[("way", &ways::name(texts, option)), ("amount", amount.trim())]).into())
        })
        .collect();
    let mut blocks = Vec::new();
    if !fees.is_empty() {
        blocks.push(Block::List(fees));
    }
    blocks.push(Block::Blank(texts.get("cost_blank").into(), 2));
    blocks
}

/// Guarantee and its limits, and who pays; both by hand, the laboratory's own terms before them.
pub(super) fn guarantee(texts: &Texts, case: &Case) -> Vec<Block> {
    let months = case.laboratory.remake_free_months.filter(|m| *m > 0.0);
    let term = months.map(|m| texts.fill("guarantee_lab", &[("months", &format!("{m:.0}"))]));
    let mut blocks: Vec<Block> = term.map(|t| Block::Paragraph(t.into())).into_iter().collect();
    blocks.push(Block::Blank(texts.get("guarantee_blank").into(), 2));
    blocks.push(Block::Blank(texts.get("who_pays").into(), 1));
    blocks
}

//! The consent sheet: what the patient takes home.
//!
//! Content after what the law and the professions ask to be told (`data/consent.csv`: material risks and reasonable alternatives,
//! leaving it among them, why, prognosis, what is advised, cost, guarantee, time, questions); form after what is known of telling
//! risks: absolute counts, one denominator (100) and one span (10 years) for every way, icon arrays beside the counts, no words alone.
//!
//! Numbers are the report's; of the facts beside it only the published share of crowns made anew is used. Names, reasons only the dentist can give, the whole cost,
//! guarantee and signatures are left to be written by hand. Language: see [`Texts`].

mod advice;
mod findings;
mod odds;
mod places;
mod table_of_ways;
mod teeth;
mod texts;
mod told;
mod ways;

pub use places::StudyFacts;
pub use texts::Texts;

use crate::blocks::{Block, Document, Section, Words};
use crate::{Chosen, Known, Made, NotMade};
use case::Case;
use catalogue::words::Construct;
use plan::PlannedOption;
use ways::Ways;

/// What the parts of a sheet draw on.
struct Asked<'a> {
    known: &'a Known<'a>,
    studies: StudyFacts,
    texts: &'a Texts,
}

/// The sheet in the language wished for where there are texts of it, the practice's own before the shipped ones; else in English.
///
/// # Errors
/// None for texts that can be read.
pub fn sheet(known: &Known<'_>) -> Result<Made, NotMade> {
    let own = known.texts.iter().find(|t| t.speaks(known.lang)).cloned();
    let texts = own.map_or_else(|| Texts::shipped(known.lang).or_else(|_| Texts::shipped("en")), Ok);
    let texts =
        texts.map_err(|issues| NotMade(issues.iter().map(ToString::to_string).collect::<Vec<_>>().join("; ")))?;
    let mut missing = Vec::new();
    if known.case.wish.order.is_empty() && known.case.wish.weights.is_none() {
        missing.push("What matters to the patient was not asked.".to_owned());
    }
    Ok(Made { document: sheet_in(known, &texts), missing })
}

/// The sheet in the language of these texts, in large print.
pub fn sheet_in(known: &Known<'_>, texts: &Texts) -> Document {
    let case = known.case;
    let asked = &Asked { known, studies: StudyFacts::of(known.catalogue), texts };
    let ways = Ways::of(known);
    let mut sections = vec![
        section(texts, "what", teeth::blocks(texts, case)),
        section(texts, "found", findings::blocks(texts, case)),
        section(texts, "ways", table_of_ways::blocks(asked, &ways.shown)),
        section(texts, "advice", advice::blocks(asked, &ways)),
    ];
    if !ways.shown.is_empty() {
        sections.push(section(texts, "odds", odds::blocks(texts, &told::all(asked, &ways))));
    }
    if let Chosen::Option(talked) = known.chosen {
        sections.push(section(texts, "last", odds::lasting(texts, talked)));
        sections.push(section(texts, "trouble", odds::trouble(asked, talked)));
        sections.push(section(texts, "lose", cut(texts, talked)));
        sections.push(section(texts, "show", seen(asked, talked)));
        sections.push(section(texts, "after", vec![Block::Paragraph(texts.get("after_text").into())]));
    }
    if !ways.shown.is_empty() {
        sections.push(section(texts, "where", places::blocks(asked, &ways.shown)));
    }
    sections.push(section(texts, "cost", advice::cost(texts, case, &ways.shown)));
    sections.push(section(texts, "guarantee", advice::guarantee(texts, case)));
    sections.push(section(texts, "care", vec![Block::List(care(texts, case))]));
    let time = ["time_text", "time_paper"].map(|k| Block::Paragraph(texts.get(k).into()));
    sections.push(section(texts, "time", time.into()));
    sections.push(section(texts, "questions", vec![Block::Blank(texts.get("questions_blank").into(), 4)]));
    sections.push(section(texts, "sign", signatures(texts)));
    Document {
        title: texts.get("title").to_owned(),
        opening: opening(texts, case),
        sections,
        closing: closing(asked),
        form: texts.form(),
    }
}

fn section(texts: &Texts, name: &str, blocks: Vec<Block>) -> Section {
    Section::new(name, texts.get(&format!("{name}_head")), blocks)
}

fn opening(texts: &Texts, case: &Case) -> Vec<Block> {
    let mut blocks = vec![Block::Lead(texts.get("lead").into())];
    if case.invented == Some(true) {
        blocks.push(Block::Paragraph(texts.get("invented").into()));
    }
    blocks.push(Block::Blank(texts.get("name_line").into(), 1));
    blocks
}

fn closing(asked: &Asked<'_>) -> Vec<Block> {
    let texts = asked.texts;
    let made = [
        ("case", asked.known.report.case.as_str()),
        ("program", &asked.known.report.program),
        ("date", asked.known.date),
    ];
    vec![Block::Paragraph(texts.get("foot").into()), Block::Paragraph(texts.fill("made_by", &made).into())]
}

/// Tooth by tooth, how much of it goes.
fn cut(texts: &Texts, option: &PlannedOption) -> Vec<Block> {
    let hundred = |share: f64| format!("{:.0}", 100.0 * share);
    let lines: Vec<Words> = option
        .preparation
        .iter()
        .filter(|p| p.share_removed.mean >= 0.005)
        .map(|p| {
            let share = &p.share_removed;
            let words = [
                ("tooth", teeth::name(texts, p.tooth)),
                ("share", hundred(share.mean)),
                ("low", hundred(share.low)),
                ("high", hundred(share.high)),
            ];
            texts.fill("lose_some", &words.each_ref().map(|(k, v)| (*k, v.as_str()))).into()
        })
        .collect();
    if !lines.is_empty() {
        return vec![Block::List(lines)];
    }
    let none = option.construct == Construct::ImplantCrown || !option.preparation.is_empty();
    vec![Block::Paragraph(texts.get(if none { "lose_none" } else { "lose_unknown" }).into())]
}

/// How often the colour is made anew, and how often a crown is sent back before it is placed.
fn seen(asked: &Asked<'_>, option: &PlannedOption) -> Vec<Block> {
    let texts = asked.texts;
    let remade = option.colour.iter().map(|c| c.remade).reduce(f64::max);
    let mut blocks: Vec<Block> = remade
        .map(|share| Block::Paragraph(texts.fill("show_some", &[("count", &texts.of_hundred(share))]).into()))
        .into_iter()
        .collect();
    if let Some(share) = asked.studies.made_anew.filter(|_| is_a_crown(option)) {
        let count = texts.of_hundred(share);
        blocks.push(Block::Paragraph(texts.fill("remake_some", &[("count", &count)]).into()));
    }
    if blocks.is_empty() {
        blocks.push(Block::Paragraph(texts.get("show_unknown").into()));
    }
    blocks
}

/// The published share is of crowns; it is told for crowns only.
fn is_a_crown(option: &PlannedOption) -> bool {
    option.construct == Construct::Crown
}

/// What the patient must do, as far as it concerns this mouth.
fn care(texts: &Texts, case: &Case) -> Vec<Words> {
    use case::words::Grinding;
    let grinds = !matches!(case.mouth.grinding, Some(Grinding::Nothing));
    let smokes = case.mouth.smoking != Some(false);
    [("care_clean", true), ("care_come", true), ("care_guard", grinds), ("care_smoke", smokes)]
        .into_iter()
        .filter(|(_, concerns)| *concerns)
        .map(|(key, _)| texts.get(key).into())
        .collect()
}

fn signatures(texts: &Texts) -> Vec<Block> {
    vec![
        Block::Paragraph(texts.get("sign_text").into()),
        Block::Blank(texts.get("sign_patient").into(), 1),
        Block::Blank(texts.get("sign_dentist").into(), 1),
    ]
}

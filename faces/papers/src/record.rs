//! The record note: plain text to paste into the practice's own notes. Findings, what was considered and talked over, odds, preference,
//! the choice and why, stops set aside, defaults, day and version.

use crate::blocks::{Block, Document, Section, Words};
use crate::card::cited;
use crate::{Chosen, Form, Known, Made, NotMade, choice, said};
use catalogue::words::Question;
use plan::{PlannedOption, odds};

/// The note.
///
/// # Errors
/// None.
pub(crate) fn record(known: &Known<'_>) -> Result<Made, NotMade> {
    let report = known.report;
    let mut sections = vec![Section::new("findings", "Findings", findings(known))];
    sections.push(Section::new("considered", "Considered", considered(known)));
    sections.push(Section::new("wish", "What matters to the patient", vec![Block::Paragraph(priorities(known))]));
    sections.push(Section::new("chosen", "Chosen, and why", chosen(known)));
    if !known.case.overrides.is_empty() {
        let list = known.case.overrides.iter().map(|o| Words::from(format!("{}: {}", o.stop, o.reason)));
        sections.push(Section::new("set-aside", "Stops set aside, with reason", vec![Block::List(list.collect())]));
    }
    sections.push(Section::new("assumed", "Not asked, assumed instead", vec![assumed(known)]));
    sections.push(Section::new(
        "talk",
        "Talked over",
        vec![Block::List(
            ["Told by, to, on: ____", "Consent sheet given on: ____  Questions asked: ____", "Patient's answer: ____"]
                .map(Words::from)
                .into(),
        )],
    ));
    let mut missing = Vec::new();
    if known.case.chosen.is_none() {
        missing.push("The choice is not in the case ([chosen]): the note tells the first of the list.".to_owned());
    } else if known.case.chosen.as_ref().is_some_and(|c| c.reason.as_deref().is_none_or(|r| r.trim().is_empty())) {
        missing.push("No reason stands with the choice ([chosen] reason).".to_owned());
    }
    let newest = format!("Newest study in the evidence: {}.", report.evidence_year);
    let made = format!(
        "Made {} by {} from case {} ({} draws of seed {}, fidelity {}, moment {}).",
        known.date, report.program, report.case, report.draws, report.seed, report.fidelity, report.moment
    );
    let document = Document {
        title: format!("Record note, {}: {}", known.date, said::sentence(&report.subject).trim_end_matches('.')),
        opening: vec![Block::Paragraph(said::sentence(&report.verdict).into())],
        sections,
        closing: vec![
            Block::Paragraph(format!("{made} {newest}").into()),
            Block::Paragraph(said::LIMITS_OF_USE.into()),
        ],
        form: Form::default(),
    };
    Ok(Made { document, missing })
}

fn findings(known: &Known<'_>) -> Vec<Block> {
    let gates = known.report.gates.iter().map(|g| {
        Words::from(format!("{} {} {}", g.question, said::sentence(g.verdict.words()), said::sentence(&g.text)))
    });
    let mut list: Vec<Words> = gates.collect();
    if list.is_empty() {
        list.push("Nothing was told that speaks for or against it.".into());
    }
    vec![Block::List(list)]
}

/// The best of those asked for, the best of every other construct, and what is named without figures.
fn considered(known: &Known<'_>) -> Vec<Block> {
    let report = known.report;
    let mut told = choice::told_in_full(report);
    if let Some(option) = known.chosen.option().filter(|o| !told.iter().any(|t| t.id == o.id)) {
        told.push(option);
    }
    let mut list: Vec<Words> = told.into_iter().map(option).collect();
    list.extend(report.alternatives.iter().map(|a| {
        let known_of: Vec<&str> = a.known.iter().chain(&a.against).map(String::as_str).collect();
        let names = said::cited(report, a.sources.iter().filter(|id| *id != "common_practice"));
        let from = if names.is_empty() { String::new() } else { format!(" ({})", names.join("; ")) };
        let text = if known_of.is_empty() { "no figures held".to_owned() } else { known_of.join("; ") };
        let text = text.trim_start_matches("not computed here: ").trim_end_matches('.');
        Words::from(format!("{}: not computed; {text}{from}.", a.title))
    }));
    if list.is_empty() {
        list.push("Nothing could be offered.".into());
    }
    vec![Block::List(list)]
}

/// One option in one line: lost, something done again, first how often.
fn option(option: &PlannedOption) -> Words {
    let mut words = Words::from(format!("{}: ", option.title)).plain(said::state(option)).plain(" ");
    words = said::lasting(option).into_iter().fold(words, Words::followed_by);
    if let Some(again) = &option.done_again {
        let (middle, range) = said::value(answer::Unit::Share, again);
        let range = if range.is_empty() { range } else { format!(" ({range})") };
        words = words.plain(format!(" Something done again within 10 years without loss: {middle}{range}."));
    }
    let lose = option.answers.iter().find(|a| a.question == Question::Lose);
    if let Some(lose) = lose {
        words = words.plain(format!(" {}", said::sentence(&lose.words)));
    }
    words
}

fn priorities(known: &Known<'_>) -> Words {
    let list = &known.report.ranking.priorities;
    if list.is_empty() {
        "Not asked; every way of weighing was tried.".into()
    } else {
        format!("{}.", list.join(", ")).into()
    }
}

fn chosen(known: &Known<'_>) -> Vec<Block> {
    let said_so = known.case.chosen.is_some();
    let mut list = vec![Words::from(if said_so {
        known.chosen.title().to_owned()
    } else {
        format!("Not recorded; the plan's first: {}", known.chosen.title())
    })];
    let reason = known.case.chosen.as_ref().and_then(|c| c.reason.clone()).filter(|r| !r.trim().is_empty());
    list.push(reason.map_or_else(|| Words::from("Reason: ____"), |r| format!("Reason: {r}").into()));
    if let Chosen::Option(option) = known.chosen {
        list.push(format!("Comes first in {} ways of weighing it.", odds::of_hundred(option.first_share)).into());
        list.extend(option.stops.iter().map(|s| {
            let word = if s.forbids { "Stop" } else { "Caution" };
            Words::from(format!("{word}: {}", said::sentence(&s.text)))
        }));
        list.extend(said::likeliest(option).map(|f| Words::from("Most likely trouble: ").followed_by(f)));
    }
    if let Some(against) = &known.report.case_against {
        list.extend(against.points.iter().map(|p| Words::from(format!("Against it: {}", said::sentence(p)))));
    }
    vec![Block::List(list)]
}

fn assumed(known: &Known<'_>) -> Block {
    let list: Vec<Words> = known
        .report
        .defaults
        .iter()
        .map(|d| {
            let names = cited(known.catalogue, d.source.iter().flat_map(|s| s.split(';')).map(str::trim));
            let from = if names.is_empty() { d.basis.word().to_owned() } else { names.join("; ") };
            Words::from(format!("{}: {} ({from})", said::field(&d.field), d.assumed))
        })
        .collect();
    if list.is_empty() { Block::Paragraph("Nothing: everything needed was given.".into()) } else { Block::List(list) }
}

//! The dossier: everything a plan rests on, the verdict first.

mod appendix;
mod layers;
mod option;
mod pictures;
mod questions;
pub mod tissue;

use crate::blocks::{Block, Document, Section, Weight, Words};
use crate::{Facts, Form, choice, said, stops};
use catalogue::words::Question;
use picture::Scene;
use plan::{PlannedOption, Report};

/// The report as a document, with the facts its pictures need.
pub fn dossier(report: &Report, facts: &Facts) -> Document {
    let mut sections =
        vec![Section::new("options", "All options by the six questions", questions::blocks(report, facts))];
    sections.extend(gates(report));
    for option in choice::told_in_full(report) {
        sections.push(Section::new(
            &option_id(option),
            said::sentence(&option.title).trim_end_matches('.'),
            option::blocks(report, option, facts),
        ));
    }
    sections.extend(further(report));
    sections.extend(appendix::sections(report));
    let title = said::sentence(&report.subject);
    Document {
        title: title.trim_end_matches('.').to_owned(),
        opening: opening(report, facts),
        sections,
        closing: vec![Block::Paragraph(said::LIMITS_OF_USE.into()), Block::Paragraph(made_by(report).into())],
        form: Form::default(),
    }
}

/// The pictures of an option that can be drawn, each with the question it answers.
pub(crate) fn pictures_of(report: &Report, option: &PlannedOption, facts: &Facts) -> Vec<(Question, Scene)> {
    let drawn = pictures::all(report, option, facts).into_iter();
    drawn.filter_map(|(question, scene)| Some((question, scene.ok()?))).collect()
}

/// Sections of the dossier that tell of one option, of all side by side, and of how the order came about.
pub(crate) fn sections_of(report: &Report, facts: &Facts, option: &PlannedOption) -> Vec<Section> {
    let wanted = ["options".to_owned(), option_id(option), "order".to_owned()].map(|id| crate::blocks::plain_id(&id));
    dossier(report, facts).sections.into_iter().filter(|s| wanted.contains(&s.id)).collect()
}

/// Options that are not told in full, each folded.
fn further(report: &Report) -> Option<Section> {
    let full = choice::told_in_full(report);
    let rest = report.options.iter().filter(|o| !full.iter().any(|f| f.id == o.id));
    let folded: Vec<Block> = rest
        .map(|o| Block::Folded(said::sentence(&o.title).trim_end_matches('.').into(), option::in_short(report, o)))
        .collect();
    (!folded.is_empty()).then(|| Section::new("further", "The other options", folded))
}

/// Id of an option's section.
fn option_id(option: &PlannedOption) -> String {
    format!("option-{}", option.id.replace('.', "-"))
}

fn made_by(report: &Report) -> String {
    format!(
        "Case {}; made by version {} with {} draws of seed {}, fidelity {}.",
        report.case, report.program, report.draws, report.seed, report.fidelity
    )
}

/// Verdict, the best three, stops, the question that could change the choice, and the arch.
fn opening(report: &Report, facts: &Facts) -> Vec<Block> {
    let moment = match report.moment.as_str() {
        "plan" => "Made before preparation: what is guessed here is measured at the stump.",
        "stump" => "Made at the stump, after preparation.",
        other => other,
    };
    let mut blocks = vec![
        Block::Lead(Words::from(said::sentence(&report.verdict))),
        Block::Paragraph(Words::default().quiet(moment.to_owned())),
    ];
    if said::must_say_too_close(report) {
        blocks.push(Block::Note(
            Weight::Remark,
            "the first places are too close to call; choose by laboratory and price.".into(),
        ));
    }
    for (option, place) in choice::leading(report).into_iter().zip(said::PLACES) {
        blocks.push(Block::Heading(format!("{place}: {}", said::continued(&option.title))));
        blocks.push(Block::List(said::best(option)));
    }
    let others = choice::other_ways(report);
    if !others.is_empty() {
        blocks.push(Block::Heading("If not that".to_owned()));
        blocks.push(Block::List(others.into_iter().map(said::other_way).collect()));
    }
    blocks.extend(stops_and_cautions(report));
    if let Some(flip) = report.open_questions.first().filter(|q| q.flips) {
        blocks.push(Block::Heading("The one question that could change the choice".to_owned()));
        blocks.push(Block::Paragraph(said::open(flip)));
    }
    if let Some(arch) = facts.arch(report) {
        blocks.push(picture_or_note(crate::arch::arch(&arch)));
    }
    blocks
}

/// Everything that forbids and the cautions of the best three as notes; the other cautions folded.
fn stops_and_cautions(report: &Report) -> Vec<Block> {
    let leading = choice::leading(report);
    let (shown, others): (Vec<_>, Vec<_>) =
        stops::gathered(report).into_iter().partition(|g| g.stop.forbids || g.concerns(&leading));
    let note = |g: &stops::Gathered<'_>| Block::Note(g.weight(), g.words(report));
    let mut blocks: Vec<Block> = shown.iter().map(note).collect();
    if !others.is_empty() {
        let summary = format!("{} further cautions, for other options", others.len());
        blocks.push(Block::Folded(summary.into(), others.iter().map(note).collect()));
    }
    blocks
}

fn gates(report: &Report) -> Option<Section> {
    let facts: Vec<(String, Words)> = report
        .gates
        .iter()
        .map(|g| {
            let words =
                Words::default().strong(said::sentence(g.verdict.words())).plain(" ").plain(said::sentence(&g.text));
            let words = said::ids(words, report, &g.sources);
            (g.question.clone(), words)
        })
        .collect();
    (!facts.is_empty()).then(|| Section::new("gates", "Before any option", vec![Block::Facts(facts)]))
}

/// A picture, or why there is none.
fn picture_or_note(drawn: Result<Scene, picture::Undrawable>) -> Block {
    match drawn {
        Ok(scene) => Block::Figure(scene),
        Err(why) => {
            Block::Note(Weight::Remark, format!("no picture here. {}", said::sentence(&why.to_string())).into())
        }
    }
}

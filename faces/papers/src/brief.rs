//! The brief: the report for the terminal, the verdict first, the best three with odds in words, how each fails and what is then
//! left, stops, the one question; the rest in one line each.

use crate::blocks::{Block, Document, Section, Words};
use crate::said;
use plan::{PlannedOption, Report, Role};

/// The report as a short document.
pub fn brief(report: &Report) -> Document {
    let mut opening = vec![Block::Lead(said::sentence(&report.verdict).into())];
    if said::must_say_too_close(report) {
        opening.push(Block::Lead("Too close to call: choose by laboratory and price.".into()));
    }
    let line = in_one_line(report);
    if !line.is_empty() {
        opening.push(Block::Paragraph(line.into()));
    }
    let ranked = report.options.iter().filter(|o| !o.stopped);
    let mut sections: Vec<Section> = ranked.zip(said::PLACES).map(|(option, place)| best(place, option)).collect();
    let stops = said::stops(report);
    if !stops.is_empty() {
        sections.push(Section::new(
            "stops",
            "Stops",
            stops.into_iter().map(|s| Block::Note(s.weight, s.words)).collect(),
        ));
    }
    if let Some(flip) = report.open_questions.first().filter(|q| q.flips) {
        sections.push(Section::new(
            "flip",
            "The one question that could change the choice",
            vec![Block::Paragraph(said::open(flip))],
        ));
    }
    sections.push(Section::new("rest", "The rest, in the dossier", folded(report)));
    let title = said::sentence(&report.subject);
    Document {
        title: title.trim_end_matches('.').to_owned(),
        opening,
        sections,
        closing: vec![Block::Paragraph(said::LIMITS_OF_USE.into())],
    }
}

fn best(place: &str, option: &PlannedOption) -> Section {
    let mut lines = vec![Words::from(said::state(option))];
    lines.extend(said::lasting(option));
    lines.extend(option.failures.iter().take(2).map(said::failing));
    Section::new(
        &format!("option-{}", option.id),
        format!("{place}: {}", said::continued(&option.title)),
        vec![Block::List(lines)],
    )
}

/// The work in one line from the patient's right to the left: `[47]=(46)=[45]`; a crown in square, a pontic in round, a wing in
/// pointed brackets, an implant in double square ones, a connector as `=`.
fn in_one_line(report: &Report) -> String {
    let mut units = report.arch.units.clone();
    units.sort_by_key(|u| u.tooth.place());
    let mut out = String::new();
    for (i, unit) in units.iter().enumerate() {
        if i > 0 {
            out.push(if [units[i - 1].role, unit.role].contains(&Role::Pontic) { '=' } else { ' ' });
        }
        let code = unit.tooth.code();
        out.push_str(&match unit.role {
            Role::Retainer => format!("[{code}]"),
            Role::Wing => format!("<{code}>"),
            Role::Pontic => format!("({code})"),
            Role::Implant => format!("[[{code}]]"),
        });
    }
    out
}

/// One line for each thing the dossier holds.
fn folded(report: &Report) -> Vec<Block> {
    let mut lines: Vec<String> = Vec::new();
    let mut list = |name: &str, items: Vec<&str>| {
        if !items.is_empty() {
            lines.push(format!("{name}: {}", items.join("; ")));
        }
    };
    list("before any option", report.gates.iter().map(|g| g.text.as_str()).collect());
    list("further options", report.options.iter().filter(|o| !o.stopped).skip(3).map(|o| o.title.as_str()).collect());
    list("also possible, not computed", report.alternatives.iter().map(|a| a.title.as_str()).collect());
    list("further open questions", report.open_questions.iter().skip(1).map(|q| q.question.as_str()).collect());
    list("defaults used for", report.defaults.iter().map(|d| d.field.as_str()).collect());
    list("cautions", report.cautions.iter().map(String::as_str).collect());
    list("warnings", report.warnings.iter().map(String::as_str).collect());
    let memory: Vec<&str> =
        report.sources.iter().filter(|s| s.basis == answer::Basis::Memory).map(|s| s.id.as_str()).collect();
    list("from memory, not checked", memory);
    lines.push(format!("newest study in the evidence: {}", report.evidence_year));
    lines.into_iter().map(|l| Block::Folded(l.into(), Vec::new())).collect()
}

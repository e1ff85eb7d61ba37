//! The brief: the report for the terminal, the verdict first, the best three with odds in words, how each fails and what is then
//! left, stops, the one question; the rest in one line each.

use crate::blocks::{Block, Document, Section, Words};
use crate::decision::{self, Length};
use crate::{Form, choice, said, stops};
use answer::Basis;
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
    let leading = choice::leading(report);
    for (option, place) in leading.iter().zip(said::PLACES) {
        part(&mut opening, format!("{place}: {}", said::continued(&option.title)), said::best(option));
    }
    let others = choice::other_ways(report).into_iter().map(said::other_way);
    part(&mut opening, "If not that".to_owned(), others.collect());
    part(&mut opening, "Stops".to_owned(), shown_stops(report, &leading));
    if let Some(flip) = report.open_questions.first().filter(|q| q.flips) {
        let title = "The one question that could change the choice".to_owned();
        part(&mut opening, title, vec![said::open(flip)]);
    }
    for (title, lines) in decision::parts(report, Length::Short) {
        part(&mut opening, title, lines);
    }
    let sections = vec![Section::new("rest", "The rest, in the dossier", folded(report))];
    let title = said::sentence(&report.subject);
    Document {
        title: title.trim_end_matches('.').to_owned(),
        opening,
        sections,
        closing: vec![Block::Paragraph(said::LIMITS_OF_USE.into())],
        form: Form::default(),
    }
}

/// A heading with its lines; nothing where there are none.
fn part(opening: &mut Vec<Block>, title: String, lines: Vec<Words>) {
    if !lines.is_empty() {
        opening.push(Block::Heading(title));
        opening.push(Block::List(lines));
    }
}

/// Everything that forbids, and the cautions that concern the best three; the others as a count.
fn shown_stops(report: &Report, leading: &[&PlannedOption]) -> Vec<Words> {
    let (shown, folded): (Vec<_>, Vec<_>) =
        stops::gathered(report).into_iter().partition(|g| g.stop.forbids || g.concerns(leading));
    let mut lines: Vec<Words> =
        shown.iter().map(|g| Words::from(format!("{}: ", g.weight().word())).followed_by(g.words(report))).collect();
    if !folded.is_empty() {
        lines.push(format!("{} further cautions, for other options, are in the dossier.", folded.len()).into());
    }
    lines
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
    let mut list = |name: &str, items: Vec<String>| {
        let mut items: Vec<String> = items.iter().map(|i| i.trim().trim_end_matches('.').to_owned()).collect();
        let mut seen = Vec::new();
        items.retain(|i| {
            !seen.contains(i) && {
                seen.push(i.clone());
                true
            }
        });
        if !items.is_empty() {
            lines.push(format!("{name}: {}", items.join("; ")));
        }
    };
    list("before any option", report.gates.iter().map(|g| g.text.clone()).collect());
    list("also possible, not computed", report.alternatives.iter().map(|a| a.title.clone()).collect());
    list("further open questions", report.open_questions.iter().skip(1).map(|q| q.question.clone()).collect());
    let plain = |path: &str| said::field(path).split(", ").next().unwrap_or_default().to_owned();
    list("defaults used for", report.defaults.iter().map(|d| plain(&d.field)).collect());
    // The limits of use stand at the foot; they are not said twice.
    let foot = |c: &String| said::LIMITS_OF_USE.contains(&c.chars().take(40).collect::<String>());
    list("cautions", report.cautions.iter().filter(|c| !foot(c)).cloned().collect());
    list("warnings", report.warnings.clone());
    let recalled = report.sources.iter().filter(|s| s.basis == Basis::Memory).count();
    if recalled > 0 {
        lines.push(format!("{recalled} of the sources are from memory, not checked; each is marked"));
    }
    let rest = report.options.iter().filter(|o| !o.stopped).count().saturating_sub(choice::leading(report).len());
    if rest > 0 {
        lines.push(format!("{rest} further options; newest study in the evidence: {}", report.evidence_year));
    } else {
        lines.push(format!("newest study in the evidence: {}", report.evidence_year));
    }
    lines.into_iter().map(|l| Block::Folded(l.into(), Vec::new())).collect()
}

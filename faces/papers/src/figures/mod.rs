//! Figures of the dossier by name, each with its finding as caption and its sources; alone as files, or one a page as slides.

mod standalone;
mod tables;

use crate::blocks::{Block, Document, Section, Words};
use crate::dossier::pictures_of;
use crate::{Form, Known, Made, NotMade, Sheet, said};
use catalogue::words::Question;
use picture::Scene;
use plan::PlannedOption;

pub use standalone::standalone;
pub use tables::tables;

/// A figure that can leave by itself.
#[derive(Debug, Clone, PartialEq)]
pub struct Figure {
    /// Its name: ASCII letters, digits and `-`.
    pub name: String,
    /// The picture; its title is the caption.
    pub scene: Scene,
    /// Of which option, and what it rests on: author and year.
    pub sources: String,
}

/// Every figure for the way chosen: the arch, then the option's own.
pub fn figures(known: &Known<'_>) -> Vec<Figure> {
    let mut list = Vec::new();
    let arch = known.facts.arch_of(known.report, known.chosen.option()).and_then(|a| crate::arch::arch(&a).ok());
    if let Some(scene) = arch {
        let sources = format!("Case {}, as given.", known.report.case);
        list.push(Figure { name: "01-arch".to_owned(), scene, sources });
    }
    if let Some(option) = known.chosen.option() {
        for (question, scene) in pictures_of(known.report, option, known.facts) {
            let name = format!("{:02}-{}", list.len() + 1, slug(&scene.title));
            list.push(Figure { name, scene, sources: sources(known, option, &[question]) });
        }
    }
    list
}

/// What the answers to some questions rest on: author and year of the first, how many more.
fn sources(known: &Known<'_>, option: &PlannedOption, questions: &[Question]) -> String {
    let asked = option.answers.iter().filter(|a| questions.contains(&a.question));
    let names = said::cited(known.report, asked.flat_map(|a| a.sources.iter()));
    // A study whose author was not seen is found in the dossier only.
    let named: Vec<&String> = names.iter().filter(|n| !n.starts_with("author not seen")).take(MOST).collect();
    let rest = names.len() - named.len();
    let and = if rest > 0 { format!(" and {rest} more, in the dossier") } else { String::new() };
    let list = named.iter().map(|n| n.as_str()).collect::<Vec<_>>().join("; ");
    let told = if names.is_empty() { "the case as given".to_owned() } else { format!("{list}{and}") };
    format!("{}; case {}; {}. Rests on: {told}.", option.title, known.report.case, known.report.program)
}

/// Sources named under one figure.
const MOST: usize = 8;

/// The first words of a title as a name.
fn slug(title: &str) -> String {
    let words = title.split(|c: char| !c.is_ascii_alphanumeric()).filter(|w| !w.is_empty()).take(5);
    words.map(str::to_lowercase).collect::<Vec<_>>().join("-")
}

/// The slides: verdict first, then one figure a page with its sources.
///
/// # Errors
/// Where there is no figure to show.
pub(crate) fn slides(known: &Known<'_>) -> Result<Made, NotMade> {
    let figures = figures(known);
    if figures.is_empty() {
        return Err(NotMade(format!("{}: there is no figure of it.", known.chosen.title())));
    }
    let sections = figures.into_iter().map(|f| {
        let caption = f.scene.title.trim_end_matches('.').to_owned();
        // The caption is the slide's heading; it is not said twice.
        let scene = Scene { title: String::new(), ..f.scene };
        Section::new(
            &format!("slide-{}", f.name),
            caption,
            vec![Block::Figure(scene), Block::Paragraph(Words::default().quiet(f.sources))],
        )
    });
    let document = Document {
        title: said::sentence(&known.report.subject).trim_end_matches('.').to_owned(),
        opening: vec![
            Block::Lead(said::sentence(&known.report.verdict).into()),
            Block::Paragraph(format!("Shown for: {}.", known.chosen.title()).into()),
        ],
        sections: sections.collect(),
        closing: vec![Block::Paragraph(said::LIMITS_OF_USE.into())],
        form: Form { sheet: Sheet::Across, ..Form::default() },
    };
    Ok(Made::complete(document))
}

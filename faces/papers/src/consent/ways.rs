//! Which ways the sheet tells of, and what each is called.

use super::Texts;
use crate::{Known, choice};
use catalogue::words::{Build, Construct, Material};
use plan::{PlannedOption, Report};

/// Ways told with numbers: "show only what matters for the decision".
const MOST: usize = 5;

/// The ways of a report as a patient meets them.
pub(super) struct Ways<'a> {
    /// What comes first by the numbers.
    pub first: Option<&'a PlannedOption>,
    /// The next one of those asked for.
    pub second: Option<&'a PlannedOption>,
    /// Told with numbers: the one chosen, the first, the second where it is as good, and the best of every other construct.
    pub shown: Vec<&'a PlannedOption>,
    /// Other makes among the first three of those asked for.
    pub makes: Vec<&'a PlannedOption>,
}

impl<'a> Ways<'a> {
    pub(super) fn of(known: &Known<'a>) -> Self {
        let report = known.report;
        let leading = choice::leading(report);
        let (first, chosen) = (leading.first().copied(), known.chosen.option());
        let second = leading.iter().copied().find(|o| chosen.is_none_or(|c| c.id != o.id));
        let near = second.filter(|_| report.too_close);
        let mut shown: Vec<&PlannedOption> = Vec::new();
        for option in chosen.into_iter().chain(first).chain(near).chain(others(report)) {
            if shown.len() < MOST && !shown.iter().any(|o| o.id == option.id) {
                shown.push(option);
            }
        }
        let makes = leading.into_iter().filter(|l| !shown.iter().any(|o| o.id == l.id)).collect();
        Self { first, second, shown, makes }
    }
}

/// The best option that is not stopped of every construct, in the order of the report.
fn others(report: &Report) -> Vec<&PlannedOption> {
    let mut seen: Vec<Construct> = Vec::new();
    let mut list = Vec::new();
    for option in report.options.iter().filter(|o| !o.stopped) {
        if !seen.contains(&option.construct) {
            seen.push(option.construct);
            list.push(option);
        }
    }
    list
}

/// What a way is called: the construct, what it is made of, and how it is built where that is a choice.
pub(super) fn name(texts: &Texts, option: &PlannedOption) -> String {
    let construct = construct(texts, option.construct);
    let material = texts.get(&format!("material_{}", option.material.word())).to_owned();
    // Alloy alone has no coat, and porcelain on metal says its build.
    match (option.material, option.build) {
        (Material::Metal, _) | (Material::MetalCeramic, Build::Layered) => {
            texts.fill("way_plain", &[("construct", &construct), ("material", &material)])
        }
        (_, build) => {
            let build = texts.get(&format!("build_{}", build.word())).to_owned();
            texts.fill("way_made", &[("construct", &construct), ("material", &material), ("build", &build)])
        }
    }
}

/// What a way is called among those shown: by its construct alone where no other shares it, so that it is short.
pub(super) fn short_name(texts: &Texts, option: &PlannedOption, shown: &[&PlannedOption]) -> String {
    let shared = shown.iter().any(|o| o.id != option.id && o.construct == option.construct);
    if shared { name(texts, option) } else { construct(texts, option.construct) }
}

/// A construct in plain words.
pub(super) fn construct(texts: &Texts, construct: Construct) -> String {
    texts.get(&format!("construct_{}", construct.word())).to_owned()
}

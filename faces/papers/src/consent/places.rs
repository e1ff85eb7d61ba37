//! Where the studies were made: counted from the arms a way's answer rests on, told in words.

use super::{Asked, Texts, ways};
use crate::blocks::{Block, Words};
use catalogue::Catalogue;
use plan::PlannedOption;
use std::collections::BTreeMap;

/// Key of a setting that the study does not tell.
const UNTOLD: &str = "setting_unknown";

/// Settings named in one sentence at most.
const NAMED: usize = 3;

/// What the sheet needs from the facts beside a report.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct StudyFacts {
    /// Setting of each study arm by its id; empty where it is not told.
    pub settings: BTreeMap<String, String>,
    /// Share of crowns made anew before they are placed.
    pub made_anew: Option<f64>,
}

impl StudyFacts {
    /// Settings of all arms, and the published share of crowns sent back (`economics.csv`, topic `remake`, in per cent of crowns).
    pub fn of(catalogue: &Catalogue) -> Self {
        let settings = catalogue.studies().iter().map(|s| (s.id.clone(), s.setting.clone())).collect();
        let made_anew = catalogue
            .economics("remake")
            .find(|e| e.item.starts_with("single crowns rejected"))
            .map(|e| e.fact.figure.middle() / 100.0);
        Self { settings, made_anew }
    }

    /// Keys of the settings of the arms behind an option, the most frequent first, those not told last.
    fn settings_of(&self, option: &PlannedOption) -> Vec<&'static str> {
        let ids = option.answers.first().map(|a| a.sources.as_slice()).unwrap_or_default();
        let mut counts: BTreeMap<&'static str, usize> = BTreeMap::new();
        for setting in ids.iter().filter_map(|id| self.settings.get(id)) {
            *counts.entry(key(setting)).or_default() += 1;
        }
        let mut list: Vec<(&'static str, usize)> = counts.into_iter().collect();
        list.sort_by_key(|(key, count)| (*key == UNTOLD, std::cmp::Reverse(*count), *key));
        list.into_iter().map(|(key, _)| key).collect()
    }
}

/// Key of a setting's words.
fn key(setting: &str) -> &'static str {
    match setting {
        "university" => "setting_university",
        "student" => "setting_student",
        "specialist" => "setting_specialist",
        "general_practice" => "setting_general_practice",
        "register" => "setting_register",
        _ => UNTOLD,
    }
}

/// A line for each way told with numbers.
pub(super) fn blocks(asked: &Asked<'_>, shown: &[&PlannedOption]) -> Vec<Block> {
    let texts = asked.texts;
    let lines: Vec<Words> = shown
        .iter()
        .map(|option| line(texts, &asked.studies, option, ways::short_name(texts, option, shown)).into())
        .collect();
    vec![
        Block::Paragraph(texts.get("where_lead").into()),
        Block::List(lines),
        Block::Paragraph(texts.get("where_here").into()),
    ]
}

fn line(texts: &Texts, studies: &StudyFacts, option: &PlannedOption, way: String) -> String {
    let curve = &option.loss_curve;
    if curve.arms == 0 {
        return texts.fill("where_none", &[("way", &way)]);
    }
    let settings: Vec<&str> = studies.settings_of(option).into_iter().take(NAMED).map(|k| texts.get(k)).collect();
    let settings = if settings.is_empty() { texts.get(UNTOLD).to_owned() } else { settings.join(", ") };
    let line = if curve.arms == 1 {
        texts.fill("where_group_one", &[("way", &way), ("settings", &settings)])
    } else {
        let arms = curve.arms.to_string();
        texts.fill("where_groups", &[("way", &way), ("arms", &arms), ("settings", &settings)])
    };
    let years = format!("{:.0}", curve.observed_until);
    if years == "0" { line } else { format!("{line} {}", texts.fill("where_years", &[("years", &years)])) }
}

//! The decision beyond the order: the set it must match, what would change the answer, the case against the choice, stops set aside.

use crate::blocks::Words;
use crate::said;
use plan::{Changes, Report, SetAnswer, SetChoice, odds};

/// How much is told.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Length {
    /// The leading lines.
    Short,
    /// Everything.
    Whole,
}

impl Length {
    fn of(self, short: usize) -> usize {
        if self == Self::Short { short } else { usize::MAX }
    }
}

/// One part: its heading and its lines.
pub(crate) type Part = (String, Vec<Words>);

/// Every part there is something to tell of.
pub(crate) fn parts(report: &Report, length: Length) -> Vec<Part> {
    let set = report.set.as_ref().map(|set| together(set, length));
    let changes = report.changes.as_ref().map(|changes| would_change(changes, length));
    set.into_iter().chain(changes).chain(against(report, length)).chain(set_aside(report)).collect()
}

fn together(set: &SetAnswer, length: Length) -> Part {
    let mut lines = vec![Words::default().strong(said::sentence(&set.verdict))];
    let shown = set.choices.iter().enumerate().filter(|(i, c)| *i < length.of(2) || c.each_alone);
    lines.extend(shown.map(|(_, choice)| one_set(set, choice)));
    if length == Length::Whole {
        let matters = set.priorities.join(", ");
        lines.push(
            Words::default()
                .quiet(format!("{} sets were ranked; what matters is the first case's: {matters}.", set.tried)),
        );
    }
    (format!("As a set: {}", set.members.join(", ")), lines)
}

fn one_set(set: &SetAnswer, choice: &SetChoice) -> Words {
    let options: Vec<String> = set.members.iter().zip(&choice.titles).map(|(m, t)| format!("{m}: {t}")).collect();
    let alike: Vec<String> = choice
        .beside
        .iter()
        .map(|m| {
            let seen = odds::of_hundred(m.seen);
            format!("{} beside {} \u{394}E00 {}, seen in {seen}", m.one, m.other, m.difference.in_words())
        })
        .collect();
    let alone = if choice.each_alone { " (what each would take by itself)" } else { "" };
    Words::from(format!("{}{alone}: first in {}. ", options.join("; "), odds::of_hundred(choice.first_share)))
        .quiet(said::sentence(&alike.join("; ")))
}

fn would_change(changes: &Changes, length: Length) -> Part {
    let mut lines: Vec<Words> = changes
        .found
        .iter()
        .take(length.of(5))
        .map(|c| {
            Words::from(format!("{}: then first ", said::sentence(&c.what).trim_end_matches('.')))
                .strong(c.first.clone())
                .plain(format!(" ({}).", odds::of_hundred(c.share)))
        })
        .collect();
    let more = changes.found.len().saturating_sub(lines.len());
    let tail = match (lines.is_empty(), more) {
        (true, _) => format!("None of {} single changes puts another option first.", changes.tried),
        (_, 0) => format!("{} single changes were tried, each computed again.", changes.tried),
        (_, more) => format!("{more} larger changes would, too; {} were tried.", changes.tried),
    };
    lines.push(Words::default().quiet(tail));
    ("What would change the answer, smallest change first".to_owned(), lines)
}

fn against(report: &Report, length: Length) -> Option<Part> {
    let case = report.case_against.as_ref()?;
    let mut lines: Vec<Words> = case.points.iter().take(length.of(6)).map(|p| said::sentence(p).into()).collect();
    if lines.is_empty() {
        lines.push("Nothing in the figures speaks against it.".into());
    }
    if let Some(reason) = &case.reason {
        lines.insert(0, Words::default().quiet(format!("Chosen because: {}", said::sentence(reason))));
    }
    Some((format!("The case against {}", said::continued(&case.title)), lines))
}

fn set_aside(report: &Report) -> Option<Part> {
    let mut lines: Vec<Words> = Vec::new();
    for option in &report.options {
        if let Some(reason) = &option.override_reason {
            let line = Words::from(format!(
                "{}: {}",
                said::sentence(&option.title).trim_end_matches('.'),
                said::sentence(reason)
            ));
            lines.push(line);
        }
    }
    (!lines.is_empty()).then(|| ("Stops set aside by the dentist, with the reason".to_owned(), lines))
}

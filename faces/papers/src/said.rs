//! Phrases that several papers share: a value in words, marks of trust, how an option fails, stops.

use crate::blocks::{Weight, Words};
use crate::odds;
use answer::{Basis, Caveat, Interval, Unit};
use plan::{FailureMode, OpenQuestion, PlannedOption, QuestionAnswer, Report};

/// What every paper says at its foot.
pub(crate) const LIMITS_OF_USE: &str = "Decision support for licensed professionals, not a certified medical device. Local rules, the \
                                        instructions of the material actually used and the judgement of the treating dentist come first.";

/// Names of the first places.
pub(crate) const PLACES: [&str; 3] = ["First", "Second", "Third"];

/// A value and its range in words: chances as counts of 100, all else with its unit; the range is empty where there is none.
pub(crate) fn value(unit: Unit, v: &Interval) -> (String, String) {
    if unit == Unit::Share {
        let [low, high] = [v.low, v.high].map(|s| format!("{:.0}", 100.0 * s));
        let range = if low == high { String::new() } else { format!("{low} to {high}") };
        return (odds::of_hundred(v.mean), range);
    }
    let words = v.in_words();
    let (middle, range) = words.split_once(" (").unwrap_or((&words, ""));
    let symbol = unit.symbol();
    let space = if symbol.is_empty() || symbol == "\u{b0}" { "" } else { " " };
    let range = if v.width() > 0.0 { range.trim_end_matches(')').to_owned() } else { String::new() };
    (format!("{middle}{space}{symbol}"), range)
}

/// A value with its range, the range quiet.
pub(crate) fn value_words(unit: Unit, v: &Interval) -> Words {
    let (middle, range) = value(unit, v);
    let words = Words::default().strong(middle);
    if range.is_empty() { words } else { words.plain(" ").quiet(format!("({})", range.replace(' ', "\u{a0}"))) }
}

/// Adds marks of trust; memory is added from the basis even where nobody set the mark.
pub(crate) fn marks(words: Words, caveats: &[Caveat], basis: Option<Basis>) -> Words {
    let memory = basis == Some(Basis::Memory) && !caveats.contains(&Caveat::FromMemory);
    caveats
        .iter()
        .copied()
        .chain(memory.then_some(Caveat::FromMemory))
        .fold(words, |words, c| words.plain(" ").tag(short(c)))
}

/// A mark in few words.
fn short(caveat: Caveat) -> &'static str {
    match caveat {
        Caveat::FromMemory => "from memory",
        Caveat::Borrowed => "borrowed",
        other => other.words(),
    }
}

/// Adds the ids of what something rests on, each that was recalled and not checked with its mark.
pub(crate) fn ids(words: Words, report: &Report, ids: &[String]) -> Words {
    if ids.is_empty() {
        return words;
    }
    let recalled = |id: &String| report.sources.iter().any(|s| &s.id == id && s.basis == Basis::Memory);
    let mut words = words.plain(" ").quiet(format!("({}", ids.join(", ")));
    if ids.iter().any(recalled) {
        words = words.plain(" ").tag("from memory");
    }
    words.quiet(")")
}

/// A clause as a sentence: first letter large, full stop.
pub(crate) fn sentence(text: &str) -> String {
    let text = text.trim();
    let mut chars = text.chars();
    let Some(first) = chars.next() else { return String::new() };
    let stop = if text.ends_with(['.', '?', '!']) { "" } else { "." };
    format!("{}{}{stop}", first.to_uppercase(), chars.as_str())
}

/// A small first letter, unless the word is an abbreviation or a number.
pub(crate) fn continued(text: &str) -> String {
    let mut chars = text.chars();
    match (chars.next(), chars.clone().next()) {
        (Some(a), Some(b)) if a.is_uppercase() && b.is_lowercase() => format!("{}{}", a.to_lowercase(), chars.as_str()),
        _ => text.to_owned(),
    }
}

/// True when a paper must add that the first places are too close to call, since the verdict does not say so itself.
pub(crate) fn must_say_too_close(report: &Report) -> bool {
    report.too_close && !report.verdict.to_lowercase().contains("too close to call")
}

/// Verdict and place in one sentence.
pub(crate) fn state(option: &PlannedOption) -> String {
    let verdict = sentence(option.verdict.words());
    let verdict = verdict.trim_end_matches('.');
    if option.stopped {
        return format!("{verdict}; stopped.");
    }
    format!("{verdict}; comes first in {} ways of weighing it.", odds::of_hundred(option.first_share))
}

/// What an option says to whether it lasts, with the odds in a word.
pub(crate) fn lasting(option: &PlannedOption) -> Option<Words> {
    let answer: &QuestionAnswer = option.answers.first()?;
    let words = match &answer.value {
        Some(v) if answer.unit == Unit::Share => {
            let range = value(answer.unit, v).1;
            let range = if range.is_empty() { range } else { format!(" ({range})") };
            Words::from(format!("{}{range}: {}.", sentence(&answer.words).trim_end_matches('.'), odds::word(v.mean)))
        }
        _ => Words::from(sentence(&answer.words)),
    };
    Some(marks(words, &answer.caveats, answer.basis))
}

/// How an option fails and what is then left.
pub(crate) fn failing(failure: &FailureMode) -> Words {
    let (middle, range) = value(Unit::Share, &failure.risk[1]);
    let range = if range.is_empty() { range } else { format!(" ({range})") };
    let words = format!(
        "{}: {middle}{range} within 10 years; usual consequence: {}",
        failure.cause.label(),
        failure.consequence.label()
    );
    let words = Words::from(format!("{}. {}", sentence(&words).trim_end_matches('.'), sentence(&failure.then)));
    marks(words, &failure.caveats, None)
}

/// A stop gathered over the options it concerns.
pub(crate) struct StopSaid {
    pub weight: Weight,
    pub words: Words,
}

/// Stops of all options, each once with the options it concerns; forbidding ones first.
pub(crate) fn stops(report: &Report) -> Vec<StopSaid> {
    let mut gathered: Vec<(&plan::Stop, Vec<&PlannedOption>)> = Vec::new();
    for option in &report.options {
        for stop in &option.stops {
            match gathered.iter_mut().find(|(s, _)| s.id == stop.id && s.text == stop.text && s.forbids == stop.forbids)
            {
                Some((_, options)) => options.push(option),
                None => gathered.push((stop, vec![option])),
            }
        }
    }
    gathered.sort_by_key(|(s, _)| !s.forbids);
    let all = report.options.len();
    gathered
        .into_iter()
        .map(|(stop, options)| {
            let whom = if options.len() == all {
                "all options".to_owned()
            } else {
                options.iter().map(|o| o.title.as_str()).collect::<Vec<_>>().join("; ")
            };
            let words = Words::default().plain(sentence(&stop.text));
            let mut words = marks(words, &[], Some(stop.basis)).plain(" ").quiet(format!("Concerns {whom}."));
            for option in options {
                if let Some(why) = option.override_reason.as_ref().filter(|_| stop.forbids) {
                    words = words.plain(format!(" Set aside by the dentist for {}: {}", option.title, sentence(why)));
                }
            }
            StopSaid { weight: if stop.forbids { Weight::Stop } else { Weight::Caution }, words }
        })
        .collect()
}

/// An open question and what each answer would bring.
pub(crate) fn open(question: &OpenQuestion) -> Words {
    let outcomes: Vec<String> = question.outcomes.iter().map(|(answer, first)| format!("{answer}: {first}")).collect();
    let words = Words::default().strong(question.question.clone());
    if outcomes.is_empty() {
        return words;
    }
    words.plain(format!(" What then comes first: {}.", outcomes.join("; ")))
}

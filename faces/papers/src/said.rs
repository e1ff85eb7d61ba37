//! Phrases that several papers share: a value in words, marks of trust, citations, how an option fails.

use crate::blocks::Words;
use answer::{Basis, Caveat, Interval, Unit};
use catalogue::words::{Cause, Question};
use plan::{FailureMode, OpenQuestion, PlannedOption, QuestionAnswer, Report, odds};

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

/// Adds the citations of what something rests on; marked where one was recalled and not checked.
pub(crate) fn ids(words: Words, report: &Report, ids: &[String]) -> Words {
    if ids.is_empty() {
        return words;
    }
    let recalled = |id: &String| report.sources.iter().any(|s| &s.id == id && s.basis == Basis::Memory);
    let mut words = words.plain(" ").quiet(format!("({}", cited(report, ids).join("; ")));
    if ids.iter().any(recalled) {
        words = words.plain(" ").tag("from memory");
    }
    words.quiet(")")
}

/// Sources by author and year, each once; an id that is not in the list of sources stays as it is.
pub(crate) fn cited<'a>(report: &Report, ids: impl IntoIterator<Item = &'a String>) -> Vec<String> {
    let mut list: Vec<String> = Vec::new();
    for id in ids {
        let name = report.sources.iter().find(|s| &s.id == id).map_or_else(|| id.clone(), |s| author_year(&s.citation));
        if !list.contains(&name) {
            list.push(name);
        }
    }
    list
}

/// `Author, 2017, Journal` as `Author 2017`, `Author A, Other B, 2017, Journal` as `Author A and others 2017`; what has no author by what
/// is known of it, a year that was not seen left out.
pub(crate) fn author_year(citation: &str) -> String {
    let known = |part: &&str| !part.is_empty() && !UNSEEN.contains(part);
    if let Some(rest) = citation.strip_prefix("author not seen, ") {
        let plain = without_brackets(rest);
        let parts: Vec<&str> = plain.split([',', ';']).map(str::trim).filter(known).collect();
        return if parts.is_empty() { "author not seen".to_owned() } else { parts.join(", ") };
    }
    let parts: Vec<&str> = citation.split(", ").filter(known).collect();
    let year = parts.iter().position(|p| p.len() >= 4 && p.chars().all(|c| c.is_ascii_digit() || c == '-'));
    match year {
        Some(at) if at > 1 => format!("{} and others {}", parts[0], parts[at]),
        Some(1) => format!("{} {}", parts[0], parts[1]),
        _ => parts.first().copied().unwrap_or_default().to_owned(),
    }
}

/// What a citation says where nothing was seen.
const UNSEEN: [&str; 3] = ["author not seen", "year not seen", "journal not seen"];

/// What stands in brackets is no name: `(journal not seen)`, a number in a database.
fn without_brackets(text: &str) -> String {
    let mut plain = String::new();
    let mut depth = 0;
    for c in text.chars() {
        match c {
            '(' => depth += 1,
            ')' => depth -= 1,
            _ if depth == 0 => plain.push(c),
            _ => {}
        }
    }
    plain
}

/// A field of the case in plain words: `abutment[1].dentine_mm` as `dentine, mm, of abutment 1`.
pub(crate) fn field(path: &str) -> String {
    let (place, name) = path.rsplit_once('.').unwrap_or(("", path));
    let plain = name.replace('_', " ");
    let units = [(" mm", ", mm"), (" degrees", ", degrees"), (" n", ", N")];
    let plain = units
        .iter()
        .find_map(|(end, unit)| plain.strip_suffix(end).map(|stem| format!("{stem}{unit}")))
        .unwrap_or(plain);
    match place.strip_prefix("abutment[").and_then(|p| p.strip_suffix(']')) {
        Some(number) => format!("{plain}, of abutment {number}"),
        None => plain,
    }
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
    if !option.asked {
        return format!("{verdict}; another way than the one asked for.");
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
            let told = sentence(&answer.words);
            // The range is that of the first figure and stands beside it.
            let (first, rest) = match told.trim_end_matches('.').split_once(", ") {
                Some((first, rest)) => (first.to_owned(), format!(", {rest}")),
                None => (told.trim_end_matches('.').to_owned(), String::new()),
            };
            Words::from(format!("{first}{range}{rest}: {}.", odds::word(v.mean)))
        }
        _ => Words::from(sentence(&answer.words)),
    };
    Some(marks(words, &answer.caveats, answer.basis))
}

/// How an option fails and what is then left.
pub(crate) fn failing(failure: &FailureMode) -> Words {
    let (middle, range) = value(Unit::Share, &failure.risk[1]);
    let range = if range.is_empty() { range } else { format!(" ({range})") };
    let half = failure.half_by().map_or(String::new(), |year| format!(", half of them by year {year:.0}"));
    let words = format!("{}: {middle}{range} within 10 years{half}", failure.cause.label());
    Words::from(format!("{}. {}", sentence(&words).trim_end_matches('.'), sentence(&failure.then)))
}

/// The likeliest failure that has a name; the likeliest of all where none has.
pub(crate) fn named(option: &PlannedOption) -> Option<&FailureMode> {
    option.failures.iter().find(|f| f.cause != Cause::Other).or(option.failures.first())
}

/// How it fails; a likelier sum of failures without a name stands behind it.
pub(crate) fn likeliest(option: &PlannedOption) -> Option<Words> {
    let (first, named) = (option.failures.first()?, named(option)?);
    let hold = option.answers.iter().find(|a| a.question == Question::Hold && a.value.is_some());
    let words = match hold {
        // Coming off is counted once: by the answer to whether it holds.
        Some(hold) if named.cause == Cause::Debonding => {
            Words::from(format!("{} {}", sentence(&hold.words), sentence(&named.then)))
        }
        _ => failing(named),
    };
    if named == first || first.cause != Cause::Other {
        return Some(words);
    }
    Some(words.plain(format!(" Trouble of other kinds: {}.", value(Unit::Share, &first.risk[1]).0)))
}

/// What else a patient asks: does it show, what is lost, does it hold, what does it cost; one line.
pub(crate) fn besides(option: &PlannedOption) -> Words {
    let told =
        [(Question::Show, "Colour"), (Question::Lose, "Tooth"), (Question::Hold, "Hold"), (Question::Cost, "Price")]
            .iter()
            .filter_map(|(question, name)| {
                let answer = option.answers.iter().find(|a| a.question == *question)?;
                if *question == Question::Hold && named(option).is_some_and(|f| f.cause == Cause::Debonding) {
                    return None;
                }
                if *question == Question::Cost && answer.value.is_none() {
                    return Some(format!("{name}: blank."));
                }
                let told = answer.words.split(';').next().unwrap_or_default();
                Some(format!("{name}: {}.", told.trim().trim_end_matches('.')))
            });
    Words::from(told.collect::<Vec<_>>().join(" "))
}

/// One of the best three in few lines: odds in words, how it fails and what is then left, and what else is asked.
pub(crate) fn best(option: &PlannedOption) -> Vec<Words> {
    let state = Words::from(state(option));
    let mut lines = vec![lasting(option).into_iter().fold(state, |words, lasts| words.plain(" ").followed_by(lasts))];
    lines.extend(likeliest(option));
    lines.push(besides(option));
    lines
}

/// The best option of another construct in one line: odds and tooth removed.
pub(crate) fn other_way(option: &PlannedOption) -> Words {
    let words = |question: Question| option.answers.iter().find(|a| a.question == question).map(|a| a.words.trim());
    let told: Vec<&str> = [Question::Last, Question::Lose].into_iter().filter_map(words).collect();
    Words::from(format!("{}: {}.", option.title, told.join("; ").trim_end_matches('.')))
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

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn citations_are_told_by_author_and_year() {
        for (citation, told) in [
            ("Huang Y, Wang J, 2019, J Esthet Restor Dent", "Huang Y and others 2019"),
            ("Leon, 2022, Journal 3:4", "Leon 2022"),
            ("author not seen, J Oral Implantol 28:67", "J Oral Implantol 28:67"),
            ("author not seen, 2021, (journal not seen), part II", "2021, part II"),
            ("author not seen, (journal not seen); 96 molars", "96 molars"),
            ("author not seen, year not seen, journal not seen", "author not seen"),
            ("Abuzar, year not seen, journal not seen", "Abuzar"),
            ("ISO 6872:2024, International Organization for Standardization", "ISO 6872:2024"),
        ] {
            assert_eq!(author_year(citation), told, "{citation}");
        }
    }
}

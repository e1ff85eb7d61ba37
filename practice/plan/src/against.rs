//! The case against: the strongest honest argument against what the dentist chose.
//!
//! Nothing is computed anew: each point is a figure the report already holds, gravest first - stops set aside, verdicts `unsuitable`
//! and `with care`, the best other option and where it is better, what is not known, and how the choice most likely fails.

use crate::odds::of_hundred;
use crate::report::{CaseAgainst, CriterionValue, PlannedOption, Report};
use answer::Verdict;
use case::Chosen;
use catalogue::words::Question;

/// Difference of two values on the 0..1 scale from which a criterion is named (our own convention, no source).
const NAMED_FROM: f64 = 0.02;

/// The option the dentist chose, where it is one of those computed.
pub fn chosen<'a>(report: &'a Report, chosen: &Chosen) -> Option<&'a PlannedOption> {
    report.options.iter().find(|o| {
        o.construct == chosen.construct
            && chosen.material.is_none_or(|m| m == o.material)
            && chosen.build.is_none_or(|b| b == o.build)
    })
}

/// The argument against one option of a report; `None` for an id that is not in it.
pub fn case_against(report: &Report, id: &str, reason: Option<&str>) -> Option<CaseAgainst> {
    let choice = report.option(id)?;
    let rival = report.options.iter().find(|o| o.id != id && !o.stopped && o.asked == choice.asked);
    let mut points = Vec::new();
    points.extend(choice.stops.iter().map(|s| {
        let word = if s.forbids { "a stop" } else { "a caution" };
        format!("{word} speaks against it: {}", s.text)
    }));
    for verdict in [Verdict::Unsuitable, Verdict::WithCare] {
        for answer in choice.answers.iter().filter(|a| a.verdict == verdict) {
            let why = answer.reasons.first().map_or(answer.words.as_str(), String::as_str);
            points.push(format!("{} {}: {why}", plain(answer.question), verdict.words()));
        }
    }
    if let Some(by) = choice.dominated_by.as_ref().and_then(|by| report.option(by)) {
        points.push(format!("{} is at least as good in every draw on every criterion", by.title));
    }
    if let Some(rival) = rival {
        points.extend(better(rival, choice));
    }
    if let Some(years) = choice.regret_years.filter(|y| *y >= 0.05) {
        points.push(format!(
            "weighed as the patient weighs it, choosing it gives up {years:.1} restoration-years on average"
        ));
    }
    for answer in choice.answers.iter().filter(|a| a.verdict == Verdict::NotKnown) {
        points.push(format!("{} is not known: {}", plain(answer.question), answer.words));
    }
    if let Some(failure) = choice.failures.first() {
        points.push(format!(
            "it most likely fails like this: {} ({} by ten years): {}",
            failure.cause.label(),
            of_hundred(failure.risk[1].mean),
            failure.then
        ));
    }
    Some(CaseAgainst {
        choice: choice.id.clone(),
        title: choice.title.clone(),
        reason: reason.map(str::to_owned),
        rival: rival.map(|r| r.title.clone()),
        points,
    })
}

/// Where the rival is better, in natural figures, and how often it comes first.
fn better(rival: &PlannedOption, choice: &PlannedOption) -> Vec<String> {
    let mut points = Vec::new();
    if rival.first_share > choice.first_share {
        points.push(format!(
            "{} comes first in {} ways of weighing it, this in {}",
            rival.title,
            of_hundred(rival.first_share),
            of_hundred(choice.first_share)
        ));
    }
    let mut gains: Vec<(f64, String)> = rival
        .criteria
        .iter()
        .zip(&choice.criteria)
        .filter_map(|(r, c)| Some((r.value?.mean - c.value?.mean, in_words(r, c, &rival.title)?)))
        .filter(|(gain, _)| *gain > NAMED_FROM)
        .collect();
    gains.sort_by(|a, b| b.0.total_cmp(&a.0));
    points.extend(gains.into_iter().map(|(_, words)| words));
    points
}

fn in_words(rival: &CriterionValue, choice: &CriterionValue, title: &str) -> Option<String> {
    let (r, c) = (rival.natural?.mean, choice.natural?.mean);
    let (name, figures) = match rival.criterion.as_str() {
        "harm" => ("less harm", format!("{r:.1} against {c:.1} restoration-years in 15 years")),
        "looks" => ("better looks", format!("{} against {} would be remade for colour", of_hundred(r), of_hundred(c))),
        "tissue" => (
            "less tooth lost",
            format!("{:.0} against {:.0} % of the crown, thin dentine weighed in", 100.0 * r, 100.0 * c),
        ),
        _ => ("a lower fee", format!("{r:.1} against {c:.1} times the single crown")),
    };
    Some(format!("{title} promises {name}: {figures}"))
}

fn plain(question: Question) -> &'static str {
    match question {
        Question::Last => "whether it lasts",
        Question::Break => "whether it breaks",
        Question::Show => "whether it shows",
        Question::Lose => "what the tooth loses",
        Question::Hold => "whether it holds",
        Question::Cost => "what it costs",
    }
}

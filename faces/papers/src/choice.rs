//! Which options a paper dwells on: the best three of those asked for, the best of every other construct, and those the dentist took
//! up by hand.

use catalogue::words::Construct;
use plan::{PlannedOption, Report};

/// The first three options that answer what was asked and are not stopped.
pub(crate) fn leading(report: &Report) -> Vec<&PlannedOption> {
    report.options.iter().filter(|o| o.asked && !o.stopped).take(3).collect()
}

/// The best option that is not stopped of every construct that is not among the best three.
pub(crate) fn other_ways(report: &Report) -> Vec<&PlannedOption> {
    let mut seen: Vec<Construct> = leading(report).iter().map(|o| o.construct).collect();
    let mut others = Vec::new();
    for option in report.options.iter().filter(|o| !o.stopped) {
        if !seen.contains(&option.construct) {
            seen.push(option.construct);
            others.push(option);
        }
    }
    others
}

/// Options told in full: the best three, the best of every other construct, and those for which the dentist set a stop aside; where
/// all is stopped, the first three of the list.
pub(crate) fn told_in_full(report: &Report) -> Vec<&PlannedOption> {
    let mut full = leading(report);
    if full.is_empty() {
        full = report.options.iter().take(3).collect();
    }
    let taken_up = report.options.iter().filter(|o| o.override_reason.is_some());
    for option in other_ways(report).into_iter().chain(taken_up) {
        if !full.iter().any(|o| o.id == option.id) {
            full.push(option);
        }
    }
    full
}

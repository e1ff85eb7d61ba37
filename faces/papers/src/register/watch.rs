//! The watch in sentences and pictures.

use super::pictures;
use crate::blocks::plain_id;
use ::register::Watched;
use ::register::watch::{Alert, Chart, Watch};
use picture::{Scene, Undrawable};

/// A picture of every chart by its file name, without ending.
///
/// # Errors
/// When something cannot be drawn.
pub fn scenes(found: &Watch) -> Result<Vec<(String, Scene)>, Undrawable> {
    let mut scenes = Vec::new();
    for chart in &found.charts {
        let words = [chart.laboratory.as_str(), chart.material.as_str(), chart.watched.label()];
        let words: Vec<String> = words.iter().filter(|w| !w.is_empty()).map(|w| plain_id(w)).collect();
        scenes.extend(pictures::chart(chart)?.map(|scene| (format!("watch-{}", words.join("-")), scene)));
    }
    Ok(scenes)
}

/// Everything said of a watch.
pub fn lines(found: &Watch) -> Vec<String> {
    let mut out = Vec::new();
    let mut alerts: Vec<_> = found.charts.iter().filter_map(|c| Some((c.alerts.last()?, &c.alerts))).collect();
    alerts.sort_by_key(|(last, _)| std::cmp::Reverse(last.signalled));
    for (last, all) in &alerts {
        // A chart begins anew after each alert, so that a rise that lasts is told again and again.
        let run = all.iter().rposition(|a| !a.goes_on).map_or(all.as_slice(), |at| &all[at..]);
        let first = match run {
            [first, _, ..] => format!(" It is alert {} of this rise; the first was in {}.", run.len(), month(first)),
            _ => String::new(),
        };
        out.push(format!("ALERT {}: {}{first}", month(last), last.words));
    }
    if found.charts.is_empty() {
        out.push("nothing is watched yet: too little was entered for a baseline".to_owned());
    } else {
        if alerts.is_empty() {
            out.push("no alert: nothing has changed by more than chance explains".to_owned());
        }
        out.push("charts:".to_owned());
    }
    out.extend(found.charts.iter().map(chart_line));
    out.extend(found.not_yet.iter().map(|n| format!("  not yet: {}: {}", n.what, n.why)));
    out
}

fn month(alert: &Alert) -> String {
    alert.signalled.to_string()[..7].to_owned()
}

fn chart_line(c: &Chart) -> String {
    let try_ins = matches!(c.watched, Watched::SentBack | Watched::NotAtOnce);
    let material = if c.material.is_empty() { String::new() } else { format!(", {}", c.material.replace('_', " ")) };
    let (unit, usual) = if try_ins {
        (
            "try-ins",
            format!(
                "usual {:.1} % ({:.1} to {:.1})",
                100.0 * c.baseline,
                100.0 * c.baseline_interval[0],
                100.0 * c.baseline_interval[1]
            ),
        )
    } else {
        ("restoration-years", format!("expected {:.2} a hundred years", 100.0 * c.baseline))
    };
    let last = c.path.last().map_or(0.0, |p| p.1);
    let alerts = match c.alerts.len() {
        0 => "no alert".to_owned(),
        1 => "1 alert".to_owned(),
        n => format!("{n} alerts"),
    };
    format!(
        "  {}{material}, {}: {usual}; {:.0} {unit}; now {last:.1} of {:.1}; false alarm once in {:.0}, a doubling is seen after about {:.0}; {alerts}",
        c.laboratory,
        c.watched.label(),
        c.cases,
        c.limit,
        c.false_alarm,
        c.to_see_doubling
    )
}

//! `bisque register watch`: what is changing.

use super::super::{print_json, say};
use super::{Desk, pictures};
use crate::failure::Failure;
use crate::files;
use ::register::watch::{Alert, Chart, Watch};
use ::register::{Watched, watch};
use picture::{Theme, svg};
use std::path::Path;

/// Runs the watch.
pub fn run(desk: &Desk, false_alarm: f64, out: Option<&Path>) -> Result<(), Failure> {
    if !(false_alarm.is_finite() && (50.0..=1e6).contains(&false_alarm)) {
        return Err(Failure::Usage(format!("--false-alarm {false_alarm}: give 50 to 1,000,000 try-ins")));
    }
    let found = watch::watch(&mut desk.open()?, false_alarm, desk.today)?;
    if let Some(out) = out {
        let mut written = Vec::new();
        for chart in &found.charts {
            let words = [chart.laboratory.as_str(), chart.material.as_str(), chart.watched.label()];
            let name = words.map(papers::blocks::plain_id).join("-");
            if let Some(scene) = pictures::chart(chart)? {
                written.push((format!("watch-{name}.svg"), svg(&scene, Theme::Light).into_bytes()));
            }
        }
        let n = written.len();
        files::write_all(out, &written)?;
        if !desk.json {
            say(&format!("{n} charts written to {}", out.display()));
        }
    }
    if desk.json {
        return print_json(&found);
    }
    for line in lines(&found) {
        say(&line);
    }
    Ok(())
}

/// Everything said of a watch.
pub fn lines(found: &Watch) -> Vec<String> {
    let mut out = Vec::new();
    let mut alerts: Vec<_> = found.charts.iter().filter_map(|c| Some((c.alerts.last()?, &c.alerts))).collect();
    alerts.sort_by_key(|(last, _)| std::cmp::Reverse(last.signalled));
    for (last, all) in &alerts {
        // A chart begins anew after each alert: only the first tells how long it has been rising.
        let first = match all.as_slice() {
            [first, _, ..] => format!(" It is alert {} of this chart; the first was in {}.", all.len(), month(first)),
            _ => String::new(),
        };
        out.push(format!("ALERT {}: {}{first}", month(last), last.words));
    }
    if alerts.is_empty() {
        out.push("no alert: nothing has changed by more than chance explains".to_owned());
    }
    out.push("charts:".to_owned());
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

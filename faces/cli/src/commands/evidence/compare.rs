//! `bisque evidence compare`: own results beside the studies, and how far they shift the odds.

use super::super::say;
use super::{posterior, print_figures, refused, world};
use crate::failure::Failure;
use ::catalogue::Catalogue;
use ::evidence::pool::exact_rate_interval;
use ::evidence::{Setting, effective_counts};
use answer::Interval;
use std::path::Path;

/// Prints each own arm beside the studies of its cell.
pub fn run(catalogue: &Catalogue, data: Option<&Path>, json: bool) -> Result<(), Failure> {
    let arms = ::plan::arms(catalogue);
    let own_arms: Vec<_> = arms.iter().filter(|a| ::plan::is_own(a)).collect();
    if own_arms.is_empty() {
        return Err(Failure::Usage(
            "no own results: add arms whose cohort starts with `own.` to the own tables (bisque evidence add --help)"
                .to_owned(),
        ));
    }
    let base = posterior(catalogue, data)?;
    let world = world();
    let own = ::plan::with_own_results(&base, catalogue, &world).map_err(refused)?;
    // What the studies alone say: the shipped fit, which holds no own arm.
    let studies = ::plan::shipped_posterior().map_err(|e| Failure::Usage(e.to_string()))?;
    let mut rows = Vec::new();
    for arm in own_arms {
        let setting = Setting::of(arm.parts()[0].0.clone());
        let before = studies.predict(&world, &setting);
        let risk = |p: &::evidence::Prediction| p.total_loss.cumulative(5.0).interval();
        let (before, arms_behind) = ((before.total_loss.rate().interval(), risk(&before)), before.arms);
        let after = own.posterior.predict(&world, &setting);
        let after = (after.total_loss.rate().interval(), risk(&after));
        let seen = effective_counts(arm).map(|c| {
            let (low, high) = exact_rate_interval(c.events, c.years, 0.9);
            (c, low, high)
        });
        rows.push((arm, seen, before, after, arms_behind));
    }
    if json {
        let interval = |i: &Interval| serde_json::json!({ "median": i.median, "low": i.low, "high": i.high });
        let list: Vec<serde_json::Value> = rows
            .iter()
            .map(|(arm, seen, before, after, behind)| {
                serde_json::json!({
                    "id": arm.id, "cohort": arm.cohort, "cell": arm.cell.to_string(),
                    "events": seen.as_ref().ok().map(|s| s.0.events), "years": seen.as_ref().ok().map(|s| s.0.years),
                    "rate": seen.as_ref().ok().map(|s| s.0.events / s.0.years),
                    "rate_low": seen.as_ref().ok().map(|s| s.1), "rate_high": seen.as_ref().ok().map(|s| s.2),
                    "without": seen.as_ref().err(), "studies_rate": interval(&before.0), "studies_arms": behind,
                    "own_rate": interval(&after.0), "studies_lost_by_5": interval(&before.1), "own_lost_by_5": interval(&after.1),
                })
            })
            .collect();
        return print_figures(&serde_json::json!({
            "arms": list, "shift": own.shift.as_ref().map(interval), "pareto_k": own.pareto_k,
            "needs_refit": own.needs_refit, "words": own.words,
            "laboratories": own.laboratories.iter().map(|(n, i)| serde_json::json!({ "laboratory": n, "shift": interval(i) }))
                .collect::<Vec<_>>(),
        }));
    }
    let per = |i: &Interval| format!("{:.2} ({:.2} to {:.2})", 100.0 * i.median, 100.0 * i.low, 100.0 * i.high);
    say("losses per 100 restoration-years, 90 % intervals");
    for (arm, seen, before, after, behind) in &rows {
        say(&format!("{}  {}  ({})", arm.id, arm.cell, arm.cohort));
        match seen {
            Ok((c, low, high)) => say(&format!(
                "  own results        {:.2} ({:.2} to {:.2})  {:.1} losses in {:.0} years",
                100.0 * c.events / c.years,
                100.0 * low,
                100.0 * high,
                c.events,
                c.years
            )),
            Err(why) => say(&format!("  own results        say nothing about losses: {why}")),
        }
        say(&format!("  a clinic unseen    {}  {behind} study arms", per(&before.0)));
        say(&format!("  the next one here  {}", per(&after.0)));
        say(&format!(
            "  lost by 5 years    {:.1} of 100 in a clinic unseen, {:.1} of 100 here",
            100.0 * before.1.median,
            100.0 * after.1.median
        ));
    }
    own.words.iter().for_each(|w| say(w));
    if own.needs_refit {
        say("refit advised: bisque evidence refit --data DIR");
    }
    Ok(())
}

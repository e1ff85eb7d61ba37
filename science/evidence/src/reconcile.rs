//! Arms whose figures contradict each other, cohorts that overlap, arms that look like one another: findings to be read by a person, each a warning with
//! the arm and field. What cannot be right at all is [`crate::check`]'s.

use crate::arm::{Arm, Fate};
use answer::{Issue, Place};
use std::collections::BTreeMap;

/// Difference (share surviving) above which losses of number and survival contradict.
pub const CRUDE_TOLERANCE: f64 = 0.02;
/// The same for exp(-rate t), where exposure was computed.
pub const RATE_TOLERANCE: f64 = 0.03;

/// Findings over all arms, in the order of the arms.
pub fn reconcile(arms: &[Arm]) -> Vec<Issue> {
    let mut found = Vec::new();
    for arm in arms {
        losses_against_survival(arm, &mut found);
        causes_against_losses(arm, &mut found);
        exposure_against_number(arm, &mut found);
    }
    overlapping(arms, &mut found);
    alike(arms, &mut found);
    found
}

fn warn(arm: &Arm, field: &str, found: String, expected: &str, remedy: &str) -> Issue {
    let place = Place { field: format!("arm `{}`, {field}", arm.id), ..Place::default() };
    Issue::warning(place, found, expected, remedy)
}

fn per_cent(share: f64) -> String {
    format!("{:.1} %", 100.0 * share)
}

fn losses_against_survival(arm: &Arm, found: &mut Vec<Issue>) {
    let Some(last) = arm.survival.iter().max_by(|a, b| a.years.total_cmp(&b.years)) else { return };
    let (Some(losses), Some(n)) = (arm.losses, arm.n) else { return };
    let (losses, n) = (f64::from(losses), f64::from(n.max(1)));
    let crude = 1.0 - losses / n;
    // Censoring can only lower the survival below the crude share; losses after the date can raise it.
    if (crude - last.survival).abs() > CRUDE_TOLERANCE {
        found.push(warn(
            arm,
            "losses",
            format!(
                "{losses:.0} of {n:.0} lost leaves {}, but {} are said to survive {} years",
                per_cent(crude),
                per_cent(last.survival),
                last.years
            ),
            "the same within 2 points, unless units left early (survival below) or losses came later (survival above)",
            "say which in the note; the survival is what is pooled",
        ));
    }
    if let Some(exposure) = arm.exposure {
        let expected = (-losses / exposure.years * last.years).exp();
        if (expected - last.survival).abs() > RATE_TOLERANCE {
            found.push(warn(
                arm,
                "exposure",
                format!(
                    "{losses:.0} losses in {:.0} unit-years give {} at {} years, but {} is printed",
                    exposure.years,
                    per_cent(expected),
                    last.years,
                    per_cent(last.survival)
                ),
                "the same within 3 points at an even rate",
                "check the exposure: lost units must not count after their loss",
            ));
        }
    }
}

fn causes_against_losses(arm: &Arm, found: &mut Vec<Issue>) {
    let lost: u32 = arm.counts.iter().filter(|c| c.fate == Fate::Lost).map(|c| c.count).sum();
    if let Some(losses) = arm.losses.filter(|l| lost > *l) {
        found.push(warn(
            arm,
            "counts",
            format!("{lost} losses by cause, but {losses} in all"),
            "no more by cause than in all",
            "one loss may have been counted under two causes: keep the first",
        ));
    }
}

fn exposure_against_number(arm: &Arm, found: &mut Vec<Issue>) {
    let (Some(exposure), Some(n)) = (arm.exposure, arm.n) else { return };
    let longest = f64::from(n) * arm.longest();
    if longest > 0.0 && exposure.years > 1.25 * longest {
        found.push(warn(
            arm,
            "exposure",
            format!(
                "{:.0} unit-years, but {n} units followed {} years make {longest:.0}",
                exposure.years,
                arm.longest()
            ),
            "no more than number times follow-up",
            "check number, follow-up and exposure",
        ));
    }
}

/// A cohort pooled whole and in part: `Study` beside `Study.arm`.
fn overlapping(arms: &[Arm], found: &mut Vec<Issue>) {
    let pooled: Vec<&Arm> = arms.iter().filter(|a| a.pooled.is_ok() && !a.cohort.is_empty()).collect();
    let whole: BTreeMap<&str, &Arm> = pooled.iter().map(|a| (a.cohort.as_str(), *a)).collect();
    for arm in &pooled {
        let parts: Vec<&str> = arm.cohort.split('.').collect();
        for depth in 1..parts.len() {
            let key = parts[..depth].join(".");
            if let Some(other) = whole.get(key.as_str()) {
                found.push(warn(
                    arm,
                    "cohort",
                    format!("`{}` is part of `{key}`, which is pooled through `{}`", arm.cohort, other.id),
                    "a cohort pooled whole or in parts, not both",
                    "give one of them a reason for not being pooled",
                ));
            }
        }
    }
    let mut seen: BTreeMap<&str, &Arm> = BTreeMap::new();
    for arm in &pooled {
        if let Some(other) = seen.insert(arm.cohort.as_str(), arm) {
            found.push(warn(
                arm,
                "cohort",
                format!("cohort `{}` is pooled through `{}` already", arm.cohort, other.id),
                "each cohort pooled once",
                "keep the longest report; give the other a reason",
            ));
        }
    }
}

/// Two pooled arms of different studies with the same cell, number, follow-up and losses.
fn alike(arms: &[Arm], found: &mut Vec<Issue>) {
    let mut seen: BTreeMap<String, &Arm> = BTreeMap::new();
    for arm in arms.iter().filter(|a| a.pooled.is_ok()) {
        let Some(n) = arm.n else { continue };
        let survival: Vec<String> = arm.survival.iter().map(|s| format!("{}@{}", s.survival, s.years)).collect();
        if arm.losses.is_none() && survival.is_empty() {
            continue;
        }
        let key = format!("{}|{n}|{}|{:?}|{}", arm.cell, arm.follow_up_years, arm.losses, survival.join(";"));
        if let Some(other) = seen.insert(key, arm)
            && other.study() != arm.study()
        {
            found.push(warn(
                arm,
                "id",
                format!("same kind, number, follow-up and losses as `{}` of another study", other.id),
                "each group of units once",
                "compare the two sources: if they report the same units, give both one cohort",
            ));
        }
    }
}

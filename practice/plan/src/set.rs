//! Several restorations planned as a set that must match: one material and build for all of them.
//!
//! For every material and build that all members offer and none stops, the mean value of a member's best option is its mean values
//! weighed by the mean weights; the set is worth the sum. Means, not draws: members are planned one by one, and their draws are not
//! stored with a report. A criterion that is not known takes the middle of its scale, and is counted.

use crate::report::{PlannedOption, Report};
use answer::{Verdict, six_figures};
use catalogue::words::{Build, Material};
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

/// One way of making a whole set.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct SetChoice {
    /// Material of all members.
    pub material: Material,
    /// Build of all members.
    pub build: Build,
    /// Option of each member, by id.
    pub members: Vec<String>,
    /// Gravest verdict of any member.
    pub verdict: Verdict,
    /// Mean value over the members, 0..1.
    pub value: f64,
    /// Members for which it is also the first choice taken alone.
    pub first_alone: usize,
    /// Criteria that were not known and took the middle.
    pub unknown: usize,
}

/// Ways of making all of them alike, best first; ways that any member stops are left out.
pub fn as_a_set(reports: &[Report]) -> Vec<SetChoice> {
    let mut list: Vec<SetChoice> = Vec::new();
    for material in Material::ALL {
        for build in Build::ALL {
            let members: Option<Vec<(&Report, &PlannedOption)>> =
                reports.iter().map(|r| Some((r, best(r, *material, *build)?))).collect();
            if let Some(members) = members.filter(|m| !m.is_empty()) {
                list.push(together(*material, *build, &members));
            }
        }
    }
    list.sort_by(|a, b| b.value.total_cmp(&a.value).then(a.material.cmp(&b.material)).then(a.build.cmp(&b.build)));
    list
}

/// The first option of a material and build that is asked for and not stopped.
fn best(report: &Report, material: Material, build: Build) -> Option<&PlannedOption> {
    report.options.iter().find(|o| o.asked && !o.stopped && o.material == material && o.build == build)
}

fn together(material: Material, build: Build, members: &[(&Report, &PlannedOption)]) -> SetChoice {
    let mut unknown = 0;
    let mut sum = 0.0;
    for (report, option) in members {
        for (criterion, weight) in option.criteria.iter().zip(report.ranking.mean_weights) {
            unknown += usize::from(criterion.value.is_none() && weight > 0.0);
            sum += weight * criterion.value.map_or(0.5, |v| v.mean);
        }
    }
    SetChoice {
        material,
        build,
        members: members.iter().map(|(_, o)| o.id.clone()).collect(),
        verdict: members.iter().fold(Verdict::Suits, |v, (_, o)| v.graver(o.verdict)),
        value: six_figures(sum / members.len() as f64),
        first_alone: members.iter().filter(|(r, o)| r.options.first().is_some_and(|f| f.id == o.id)).count(),
        unknown,
    }
}

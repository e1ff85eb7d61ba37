//! Arms: what one group of one study contributes, and the checks an arm must pass.

use answer::{Basis, Issue, Place};
use serde::{Deserialize, Serialize};
use std::collections::{BTreeMap, BTreeSet};

/// What was followed, as labels from coarse to fine; neighbours that share the first labels lean on each other. A path may stop
/// early where the source does not say more.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord, Hash, Default, Serialize, Deserialize)]
pub struct Cell {
    /// Labels from coarse to fine.
    pub labels: Vec<String>,
}

impl Cell {
    /// From labels, coarse first.
    pub fn new<S: Into<String>>(labels: impl IntoIterator<Item = S>) -> Self {
        Self { labels: labels.into_iter().map(Into::into).collect() }
    }

    /// True when `other` agrees with this cell on all of this cell's labels.
    pub fn contains(&self, other: &Self) -> bool {
        other.labels.len() >= self.labels.len() && self.labels.iter().zip(&other.labels).all(|(a, b)| a == b)
    }

    /// The cell cut after its first `depth` labels.
    pub fn parent(&self, depth: usize) -> Self {
        Self { labels: self.labels.iter().take(depth).cloned().collect() }
    }
}

impl std::fmt::Display for Cell {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        f.write_str(&self.labels.join("/"))
    }
}

/// What became of the units that had the event counted.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Fate {
    /// The unit was lost or replaced.
    Lost,
    /// It was put right and stayed.
    Repaired,
    /// The source does not say.
    Unclear,
}

/// Events of one cause.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct CauseCount {
    /// Cause, a label of the model.
    pub cause: String,
    /// Number of events.
    pub count: u32,
    /// What became of them.
    pub fate: Fate,
}

/// A survival read at a time.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct DatedSurvival {
    /// Years after the start.
    pub years: f64,
    /// Share surviving, 0..1.
    pub survival: f64,
    /// Its standard error, 0..1 scale, where the source prints one.
    pub se: Option<f64>,
    /// Number still at risk then.
    pub at_risk: Option<u32>,
}

/// Time under observation.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct Exposure {
    /// Unit-years.
    pub years: f64,
    /// True when it is number x mean follow-up (an upper bound) rather than a sum the source printed.
    pub computed: bool,
}

/// One group of one study.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Arm {
    /// Row id.
    pub id: String,
    /// Units of the same key are the same units; the part before the first dot names the study.
    pub cohort: String,
    /// Year of publication.
    pub year: Option<i32>,
    /// What was followed.
    pub cell: Cell,
    /// Where the group mixes cells, their weights (they need not sum to 1); empty otherwise.
    pub mixture: Vec<(Cell, f64)>,
    /// Circumstances: key to level.
    pub moderators: BTreeMap<String, String>,
    /// Units at the start.
    pub n: Option<u32>,
    /// Mean number of units a subject.
    pub units_per_subject: Option<f64>,
    /// Mean follow-up, or the longest time the figures reach (years).
    pub follow_up_years: f64,
    /// Time under observation.
    pub exposure: Option<Exposure>,
    /// Units lost or replaced.
    pub losses: Option<u32>,
    /// Events by cause.
    pub counts: Vec<CauseCount>,
    /// Survival at given times.
    pub survival: Vec<DatedSurvival>,
    /// How its figures came into the data.
    pub basis: Basis,
    /// `Err` with the reason when the arm is kept but not pooled.
    pub pooled: Result<(), String>,
}

impl Arm {
    /// The study an arm belongs to: its cohort key before the first dot.
    pub fn study(&self) -> &str {
        self.cohort.split('.').next().unwrap_or(&self.cohort)
    }

    /// Cells with weights that sum to 1.
    pub fn parts(&self) -> Vec<(Cell, f64)> {
        let total: f64 = self.mixture.iter().map(|m| m.1).sum();
        if self.mixture.is_empty() || total <= 0.0 {
            return vec![(self.cell.clone(), 1.0)];
        }
        self.mixture.iter().filter(|m| m.1 > 0.0).map(|(c, w)| (c.clone(), w / total)).collect()
    }

    /// Longest time at which the arm says anything (years).
    pub fn longest(&self) -> f64 {
        self.survival.iter().map(|s| s.years).fold(self.follow_up_years, f64::max)
    }

    /// Unit-years: as printed, else number x follow-up.
    pub fn unit_years(&self) -> f64 {
        match (self.exposure, self.n) {
            (Some(e), _) => e.years,
            (None, Some(n)) => f64::from(n) * self.follow_up_years,
            _ => 0.0,
        }
    }
}

/// Everything wrong with a set of arms; the field of each place names the arm and its field.
pub fn check(arms: &[Arm]) -> Vec<Issue> {
    let mut issues = Vec::new();
    let (mut ids, mut cohorts) = (BTreeSet::new(), BTreeMap::new());
    for arm in arms {
        if !ids.insert(arm.id.as_str()) {
            issues.push(wrong(arm, "id", "the id stands twice", "one row an id", "give each arm its own id"));
        }
        check_figures(arm, &mut issues);
        if arm.pooled.is_ok()
            && !arm.cohort.is_empty()
            && let Some(other) = cohorts.insert(arm.cohort.as_str(), arm.id.as_str())
        {
            issues.push(wrong(
                arm,
                "cohort",
                &format!("cohort `{}` is already pooled through `{other}`", arm.cohort),
                "each cohort pooled once",
                "keep the longest report and give the other a reason for not being pooled",
            ));
        }
    }
    issues
}

fn wrong(arm: &Arm, field: &str, found: &str, expected: &str, remedy: &str) -> Issue {
    let place = Place { field: format!("arm `{}`, {field}", arm.id), ..Place::default() };
    Issue::error(place, found, expected, remedy)
}

fn check_figures(arm: &Arm, issues: &mut Vec<Issue>) {
    let positive = |x: f64| x.is_finite() && x > 0.0;
    if arm.cell.labels.is_empty() {
        issues.push(wrong(arm, "cell", "no label", "at least one label", "say what was followed"));
    }
    if !arm.follow_up_years.is_finite() || arm.follow_up_years < 0.0 {
        issues.push(wrong(
            arm,
            "follow_up_years",
            &format!("{}", arm.follow_up_years),
            "years, 0 or more",
            "give the mean follow-up in years",
        ));
    }
    if let Some(e) = arm.exposure
        && !positive(e.years)
    {
        issues.push(wrong(
            arm,
            "exposure",
            &format!("{} unit-years", e.years),
            "a number above 0",
            "leave it blank when it is not known",
        ));
    }
    if let (Some(n), Some(losses)) = (arm.n, arm.losses)
        && losses > n
    {
        issues.push(wrong(
            arm,
            "losses",
            &format!("{losses} losses of {n} units"),
            "no more losses than units",
            "check both figures; repeated events are counts of a cause, not losses",
        ));
    }
    if let Some(m) = arm.units_per_subject
        && !(m.is_finite() && m >= 1.0)
    {
        issues.push(wrong(
            arm,
            "units_per_subject",
            &format!("{m}"),
            "1 or more",
            "give units divided by subjects, or leave it blank",
        ));
    }
    for (cell, weight) in &arm.mixture {
        if !(weight.is_finite() && *weight >= 0.0) || cell.labels.is_empty() {
            issues.push(wrong(
                arm,
                "mixture",
                &format!("weight {weight} of `{cell}`"),
                "named cells with weights of 0 or more",
                "correct the weight",
            ));
        }
    }
    check_survival(arm, issues);
}

fn check_survival(arm: &Arm, issues: &mut Vec<Issue>) {
    let mut dated: Vec<&DatedSurvival> = arm.survival.iter().collect();
    dated.sort_by(|a, b| a.years.total_cmp(&b.years));
    for s in &dated {
        let fine = s.years.is_finite()
            && s.years > 0.0
            && (0.0..=1.0).contains(&s.survival)
            && s.se.is_none_or(|e| e.is_finite() && e >= 0.0);
        if !fine {
            issues.push(wrong(
                arm,
                "survival",
                &format!("{} at {} years", s.survival, s.years),
                "a share of 0..1 at a time above 0",
                "give shares, not per cent, and years",
            ));
        }
    }
    for pair in dated.windows(2) {
        if pair[1].survival > pair[0].survival + 1e-12 || pair[1].years <= pair[0].years {
            issues.push(wrong(
                arm,
                "survival",
                &format!(
                    "{} at {} years after {} at {}",
                    pair[1].survival, pair[1].years, pair[0].survival, pair[0].years
                ),
                "survival that falls with time, one value a time",
                "check the figures",
            ));
        }
    }
}

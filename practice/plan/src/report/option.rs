//! One way of making it, with its answers.

use super::{ColourAnswer, PreparationAnswer};
use answer::{Basis, Caveat, Interval, Unit, Verdict};
use catalogue::words::{Build, Cause, Consequence, Construct, Grade, Material, Process, Question, Surface};
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

/// One way of making it, with its answers.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct PlannedOption {
    /// Key of the option, e.g. `bridge.zirconia_3y.monolithic`.
    pub id: String,
    /// In words, e.g. `bridge, zirconia 3Y, monolithic`.
    pub title: String,
    /// Construct.
    pub construct: Construct,
    /// Material.
    pub material: Material,
    /// Build.
    pub build: Build,
    /// Translucency grade taken for the colour answer, where the class offers grades.
    pub grade: Option<Grade>,
    /// Working dimensions, tested minima beside them.
    pub dimensions: Vec<Dimension>,
    /// Stops and warnings that apply.
    pub stops: Vec<Stop>,
    /// True when a stop forbids it (unless overridden with a reason).
    pub stopped: bool,
    /// Written reason of the dentist for setting a stop aside.
    pub override_reason: Option<String>,
    /// The graver of its answers' verdicts and stops.
    pub verdict: Verdict,
    /// True when it answers the construct asked for, so that it takes part in the ranking; false for options of another construct, which
    /// are computed and shown beside it and ranked among themselves.
    pub asked: bool,
    /// Share of the ways of weighing it in which it comes first (0..1), among those asked for, or among the others.
    pub first_share: f64,
    /// Expected rank acceptability: share of coming first, second, third ...
    pub rank_shares: Vec<f64>,
    /// What choosing it costs on average against the best of each way of weighing, on the value scale 0..1; none where it takes no part.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub regret: Option<f64>,
    /// The same in restoration-years: regret over the mean weight of harm, times the years between harm's anchors.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub regret_years: Option<f64>,
    /// Share of restorations on which something is done again within ten years without their being lost.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub done_again: Option<Interval>,
    /// True when another option is better or equal in every draw on every criterion.
    pub dominated_by: Option<String>,
    /// The six answers, in the order of [`Question::ALL`].
    pub answers: Vec<QuestionAnswer>,
    /// Ways of failing, likeliest by ten years first.
    pub failures: Vec<FailureMode>,
    /// Risk of loss over the years, all causes.
    pub loss_curve: Curve,
    /// Risk of something done again (not lost) over the years, all causes.
    pub complication_curve: Curve,
    /// Colour over what lies beneath, an entry an abutment.
    pub colour: Vec<ColourAnswer>,
    /// Preparation by surface, an entry an abutment.
    pub preparation: Vec<PreparationAnswer>,
    /// Guidelines beside it, never deciding.
    pub guidelines: Vec<GuidelineNote>,
    /// Four criteria it was ranked by, on their value scale 0 (worst anchor) .. 1 (best anchor).
    pub criteria: Vec<CriterionValue>,
}

/// A dimension of an option.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct Dimension {
    /// What, e.g. `occlusal thickness`.
    pub what: String,
    /// Surface, where it belongs to one.
    pub surface: Option<Surface>,
    /// Working dimension the plan uses.
    pub working: f64,
    /// Tested minimum.
    pub tested_minimum: f64,
    /// Room there is, where the case tells.
    pub available: Option<f64>,
    /// Unit.
    pub unit: Unit,
    /// Ids of the rows.
    pub sources: Vec<String>,
    /// Weakest basis.
    pub basis: Basis,
}

impl PlannedOption {
    /// Working dimensions by name, with the surface where they belong to one: as a register keeps what was ordered.
    pub fn named_dimensions(&self) -> Vec<(String, f64)> {
        let name = |d: &Dimension| d.surface.map_or_else(|| d.what.clone(), |surface| format!("{}, {surface}", d.what));
        self.dimensions.iter().map(|d| (name(d), answer::six_figures(d.working))).collect()
    }
}

/// A stop or warning that applies to an option.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
pub struct Stop {
    /// Row of `data/stops.csv`.
    pub id: String,
    /// True when it forbids, false when it warns.
    pub forbids: bool,
    /// In words, with the finding that set it off.
    pub text: String,
    /// Source ids.
    pub sources: Vec<String>,
    /// Basis.
    pub basis: Basis,
}

/// One of the six answers.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct QuestionAnswer {
    /// Which question.
    pub question: Question,
    /// Verdict.
    pub verdict: Verdict,
    /// In one line of plain words, e.g. `9 of 100 lost by ten years`.
    pub words: String,
    /// What the number is.
    pub quantity: String,
    /// Unit.
    pub unit: Unit,
    /// Value with interval; none when not known.
    pub value: Option<Interval>,
    /// Twenty equally likely values (quantiles 2.5, 7.5 .. 97.5 %), for pictures.
    pub quantiles: Vec<f64>,
    /// Reasons in plain words, gravest first.
    pub reasons: Vec<String>,
    /// Marks to be shown beside the number.
    pub caveats: Vec<Caveat>,
    /// Fields whose fixing would narrow it most: plain name and share of variance.
    pub narrowed_by: Vec<(String, f64)>,
    /// Ids of the facts used.
    pub sources: Vec<String>,
    /// Weakest basis among them.
    pub basis: Option<Basis>,
}

/// One way of failing.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct FailureMode {
    /// Cause.
    pub cause: Cause,
    /// Loss, or something done again.
    pub process: Process,
    /// Risk by 5, 10 and 15 years.
    pub risk: [Interval; 3],
    /// Usual consequence.
    pub consequence: Consequence,
    /// What it looks like and what is then left, in words.
    pub then: String,
    /// Marks.
    pub caveats: Vec<Caveat>,
}

/// A risk over the years.
#[derive(Debug, Clone, PartialEq, Default, Serialize, Deserialize, JsonSchema)]
pub struct Curve {
    /// Points from year 0 on.
    pub points: Vec<CurvePoint>,
    /// Years beyond which it is extrapolated.
    pub observed_until: f64,
    /// Arms and restoration-years it rests on.
    pub arms: usize,
    /// Restoration-years.
    pub restoration_years: f64,
}

/// Quantiles of a risk at one year.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct CurvePoint {
    /// Year.
    pub year: f64,
    /// 5 % quantile.
    pub low: f64,
    /// 25 % quantile.
    pub lower: f64,
    /// Median.
    pub median: f64,
    /// 75 % quantile.
    pub upper: f64,
    /// 95 % quantile.
    pub high: f64,
}

/// A guideline shown beside an option.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
pub struct GuidelineNote {
    /// Row id.
    pub id: String,
    /// Who says it, in which edition.
    pub body: String,
    /// What it says, in own words.
    pub text: String,
    /// Grade as printed by the guideline; `not read` where it was not.
    pub grade: String,
    /// `valid`, `validity ended`, `no end given` or `not read`.
    pub validity: String,
}

/// Value of an option on one criterion.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct CriterionValue {
    /// `harm`, `looks`, `tissue` or `money`.
    pub criterion: String,
    /// On the natural scale.
    pub natural: Option<Interval>,
    /// What the natural scale is.
    pub scale: String,
    /// Value 0..1; none when it is not known (then it takes no part).
    pub value: Option<Interval>,
}

impl FailureMode {
    /// Year by which half of those that come within ten years have come, straight between years 0, 5 and 10; none where none come.
    pub fn half_by(&self) -> Option<f64> {
        let [five, ten] = [self.risk[0].mean, self.risk[1].mean];
        let half = 0.5 * ten;
        if ten <= 0.0 {
            None
        } else if half <= five {
            Some(5.0 * half / five)
        } else {
            Some(5.0 + 5.0 * (half - five) / (ten - five))
        }
    }
}

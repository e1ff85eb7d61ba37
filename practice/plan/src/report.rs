//! What a plan says, as stored and printed: the one result that terminal, paper, page and `--json` are made from.
//!
//! Every number is rounded to six significant digits; probabilities are shares 0..1; years are years from placing. The JSON
//! schema is generated from these types (`Report::json_schema`); `schema` names its version.

use crate::show::ColourDetail;
use answer::{Basis, Caveat, Interval, Source, Unit, Verdict};
use catalogue::words::{Build, Cause, Consequence, Construct, Grade, Material, Process, Question, Surface, Tooth};
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

/// Version of the report's JSON form.
pub const SCHEMA: u32 = 1;

/// A whole plan.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct Report {
    /// Version of this form ([`SCHEMA`]).
    pub schema: u32,
    /// Version of the program that made it.
    pub program: String,
    /// Seed of the draws.
    pub seed: u64,
    /// Number of draws.
    pub draws: usize,
    /// `instant`, `quick` or `full`.
    pub fidelity: String,
    /// `plan` (before preparation) or `stump` (after it).
    pub moment: String,
    /// The case's own name (file name or pseudonym).
    pub case: String,
    /// What is planned, in one line, e.g. `bridge 45-47, 46 missing`.
    pub subject: String,
    /// The verdict in one sentence: read this first.
    pub verdict: String,
    /// True when the first places are so near that the choice goes by laboratory and price.
    pub too_close: bool,
    /// What stands where along the arch.
    pub arch: Arch,
    /// Findings that come before any choice of material (does the tooth deserve it, why did the last one fail).
    pub gates: Vec<Gate>,
    /// Options asked all six questions, best first; stopped ones stay in the list, at its end.
    pub options: Vec<PlannedOption>,
    /// Alternatives that are named but not computed, with what is known.
    pub alternatives: Vec<Alternative>,
    /// How the order came about.
    pub ranking: Ranking,
    /// Open questions, the one that could change the choice most first.
    pub open_questions: Vec<OpenQuestion>,
    /// What would change the answer, smallest change first; none while it was not asked for.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub changes: Option<Changes>,
    /// The strongest honest argument against what the dentist chose; none while nothing is chosen.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub case_against: Option<CaseAgainst>,
    /// Everything assumed because it was not given.
    pub defaults: Vec<DefaultUsed>,
    /// Cautions that every paper carries.
    pub cautions: Vec<String>,
    /// Warnings about the input.
    pub warnings: Vec<String>,
    /// Date of the newest study in the evidence.
    pub evidence_year: i32,
    /// All sources used anywhere above.
    pub sources: Vec<Source>,
}

/// The mouth as far as it matters: the restoration along its arch.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
pub struct Arch {
    /// Teeth of the restoration in order along the arch, with their part in it.
    pub units: Vec<ArchUnit>,
}

/// One place of the restoration.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
pub struct ArchUnit {
    /// Where.
    pub tooth: Tooth,
    /// Its part.
    pub role: Role,
}

/// Part of a restoration at one place of the arch.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "snake_case")]
pub enum Role {
    /// Crown, onlay or veneer on a tooth.
    Retainer,
    /// Wing bonded to a tooth.
    Wing,
    /// Replaces a missing tooth.
    Pontic,
    /// On an implant.
    Implant,
}

/// A finding that comes first.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct Gate {
    /// What was asked, e.g. `Does 47 deserve a restoration?`.
    pub question: String,
    /// What it says.
    pub verdict: Verdict,
    /// Why, in one sentence.
    pub text: String,
    /// Ids of the facts used.
    pub sources: Vec<String>,
}

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

/// Colour over one abutment.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct ColourAnswer {
    /// Over which tooth.
    pub tooth: Tooth,
    /// What lies beneath, in words.
    pub substrate: String,
    /// CIELAB of what lies beneath (mean of the draws).
    pub substrate_lab: [f64; 3],
    /// Wished CIELAB, mean of the draws.
    pub wish_lab: [f64; 3],
    /// How the wish came about.
    pub wish: String,
    /// Predicted CIELAB, mean of the draws.
    pub predicted_lab: [f64; 3],
    /// 25 draws of the prediction, for the picture.
    pub predicted_draws: Vec<[f64; 3]>,
    /// CIEDE2000 between prediction and wish.
    pub difference: Interval,
    /// Chance of being seen side by side (0..1).
    pub seen: f64,
    /// Chance of being remade for its colour (0..1).
    pub remade: f64,
    /// What would mask, in words; empty where nothing needs masking.
    pub masking: String,
    /// Layers from the outside in: name and thickness in mm.
    pub stack: Vec<(String, f64)>,
    /// Intervals, both settings, lamp, likeness, what would mask.
    #[serde(default)]
    pub detail: ColourDetail,
}

/// Preparation of one abutment.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct PreparationAnswer {
    /// Which tooth.
    pub tooth: Tooth,
    /// Reduction by surface, mm.
    pub depths: Vec<(Surface, Interval)>,
    /// Share of the crown removed (0..1).
    pub share_removed: Interval,
    /// Least dentine left over the pulp, mm.
    pub dentine_left: Option<Interval>,
    /// Chance of less than 2.0 mm.
    pub chance_below_2: Option<f64>,
    /// Chance of less than 1.0 mm.
    pub chance_below_1: Option<f64>,
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

/// An alternative that is named, not computed.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct Alternative {
    /// What.
    pub construct: Construct,
    /// In words.
    pub title: String,
    /// Share lost within ten years, where studies tell it.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub lost: Option<Interval>,
    /// What is known of it, in plain sentences.
    pub known: Vec<String>,
    /// What speaks against it here.
    pub against: Vec<String>,
    /// Source ids.
    pub sources: Vec<String>,
}

/// How the order came about.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct Ranking {
    /// What matters, in words, first to last, as given or by default.
    pub priorities: Vec<String>,
    /// Mean weight of each criterion over the ways of weighing it: harm, looks, tissue, money.
    pub mean_weights: [f64; 4],
    /// How many ways of weighing it were tried (weights x draws).
    pub ways: usize,
    /// Anchors of the four value scales, in words.
    pub anchors: Vec<String>,
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

/// A question still open, and what answering it could change.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct OpenQuestion {
    /// Field of the case file.
    pub field: String,
    /// The question in plain words.
    pub question: String,
    /// Answers and the option that would then come first.
    pub outcomes: Vec<(String, String)>,
    /// True when at least one answer changes the first place.
    pub flips: bool,
    /// Largest change of the first option's share (0..1).
    pub swing: f64,
}

/// What would change the answer.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct Changes {
    /// Changes that put another option first, smallest first.
    pub found: Vec<Change>,
    /// Changes tried, each computed again.
    pub tried: usize,
    /// Draws of each computation.
    pub draws: usize,
}

/// One change of the case that puts another option first.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct Change {
    /// `finding`, `dimension`, `priority` or `grade`.
    pub kind: String,
    /// What would have to be otherwise, in plain words.
    pub what: String,
    /// How large it is: steps on a list, or the millimetres over half a millimetre; for sorting.
    pub size: f64,
    /// What then comes first.
    pub first: String,
    /// Share of the ways of weighing it in which that comes first then.
    pub share: f64,
}

/// The strongest argument against a choice.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct CaseAgainst {
    /// Id of the option chosen.
    pub choice: String,
    /// Its title.
    pub title: String,
    /// Why it was chosen, where the dentist wrote it.
    pub reason: Option<String>,
    /// The option it is held against: the best other one.
    pub rival: Option<String>,
    /// The points, gravest first; each a sentence with its figures.
    pub points: Vec<String>,
}

/// Something assumed because it was not given.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
pub struct DefaultUsed {
    /// Field of the case, or quantity of an engine.
    pub field: String,
    /// What was assumed, in words.
    pub assumed: String,
    /// Basis.
    pub basis: Basis,
    /// Source id, where there is one.
    pub source: Option<String>,
}

impl Report {
    /// The JSON schema of this form (draft 2020-12).
    pub fn json_schema() -> serde_json::Value {
        schemars::schema_for!(Report).to_value()
    }

    /// The option of this id.
    pub fn option(&self, id: &str) -> Option<&PlannedOption> {
        self.options.iter().find(|o| o.id == id)
    }
}

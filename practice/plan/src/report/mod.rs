//! What a plan says, as stored and printed: the one result that terminal, paper, page and `--json` are made from.
//!
//! Every number is rounded to six significant digits; probabilities are shares 0..1; years are years from placing. The JSON
//! schema is generated from these types (`Report::json_schema`); `schema` names its version.
//! One file a part: `option`, `tooth`, `decision`.

mod decision;
mod option;
mod tooth;

pub use decision::{CaseAgainst, Change, Changes, OpenQuestion, SetAnswer, SetChoice};
pub use option::{
    CriterionValue, Curve, CurvePoint, Dimension, FailureMode, GuidelineNote, PlannedOption, QuestionAnswer, Stop,
};
pub use tooth::{ColourAnswer, PreparationAnswer};

use answer::{Basis, Interval, Source, Verdict};
use catalogue::words::{Construct, Tooth};
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
    /// How it matches the other restorations planned with it; none where it was planned alone.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub set: Option<SetAnswer>,
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

//! What stands beside the order: open questions, what would change it, the case against a choice, the set it must match.

use crate::show::SmileMatch;
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

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

/// Several restorations planned as a set that must match.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct SetAnswer {
    /// Names of the cases, in the order given.
    pub members: Vec<String>,
    /// What the ranking of the sets says, in a sentence.
    pub verdict: String,
    /// The leading sets, best first, and what each case would take by itself.
    pub choices: Vec<SetChoice>,
    /// True when the first two are so near that either will do.
    pub too_close: bool,
    /// What matters, as the first case says.
    pub priorities: Vec<String>,
    /// Sets ranked.
    pub tried: usize,
}

/// One option for each case.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct SetChoice {
    /// Id of the option of each case.
    pub options: Vec<String>,
    /// Their titles.
    pub titles: Vec<String>,
    /// Share of the ways of weighing the set in which it comes first (0..1).
    pub first_share: f64,
    /// What choosing it costs on average, on the value scale 0..1.
    pub regret: f64,
    /// True for the set of what each case would take by itself.
    pub each_alone: bool,
    /// How alike every two units of different cases look.
    pub beside: Vec<SmileMatch>,
}

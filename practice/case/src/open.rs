//! Open questions: rows of the sheet that are not answered yet, and what else would sharpen the answer.

use crate::Case;
use crate::asked::{Asked, asked, rows};
use crate::fields::SheetAnswer;
use crate::words::Moment;
use catalogue::words::Tooth;
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

/// One question that is open.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
pub struct OpenQuestion {
    /// Row of the sheet; `None` for what only sharpens the answer.
    pub answer: Option<SheetAnswer>,
    /// Where the answer is written, e.g. `abutment[1].pulp`.
    pub field: String,
    /// The tooth, for fields of an abutment.
    pub tooth: Option<Tooth>,
    /// The question.
    pub question: String,
    /// What hangs on it.
    pub why: String,
}

impl OpenQuestion {
    fn of(asked: &Asked) -> Self {
        let question = match asked.tooth {
            Some(tooth) => format!("{tooth}: {}", asked.field.question),
            None => asked.field.question.to_owned(),
        };
        let why = asked.field.why.to_owned();
        Self { answer: asked.field.answer, field: asked.path.clone(), tooth: asked.tooth, question, why }
    }
}

/// What must still be answered, in the order of the sheet. Which of them could change the choice most is for the plan to say.
pub fn open_questions(case: &Case) -> Vec<OpenQuestion> {
    rows(case).iter().flat_map(|row| row.missing().into_iter().map(OpenQuestion::of).collect::<Vec<_>>()).collect()
}

/// What may still be said and would sharpen the answer: optional fields that stand for a default now.
pub fn optional_questions(case: &Case) -> Vec<OpenQuestion> {
    let open = |a: &&Asked| !a.given && a.field.answer.is_none() && a.field.fallback.is_some();
    asked(case)
        .iter()
        .filter(open)
        .filter(|a| !a.field.at_stump || case.moment == Moment::Stump)
        .map(OpenQuestion::of)
        .collect()
}

/// What only the prepared tooth can tell and was not said yet; nothing before preparation.
pub fn stump_questions(case: &Case) -> Vec<OpenQuestion> {
    let open = |a: &&Asked| !a.given && a.field.at_stump && case.moment == Moment::Stump;
    asked(case).iter().filter(open).map(OpenQuestion::of).collect()
}

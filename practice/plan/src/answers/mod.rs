//! The six answers of one option, in words and numbers: `endure` (last, break), `keep` (lose, hold), and here what shows and costs.

mod endure;
mod keep;

use crate::beside::Beside;
use crate::candidates::Candidate;
use crate::cost::Cost;
use crate::curve::YEARS;
use crate::lose::Lost;
use crate::mechanics::StressPerNewton;
use crate::odds::of_hundred;
use crate::report::QuestionAnswer;
use crate::risks::Risks;
use crate::show::Shown;
use answer::{Answer, Basis, Caveat, Draws, Provenance, Reason, Unit, Verdict, World, six_figures};
use case::Case;
use catalogue::Catalogue;
use catalogue::words::{Construct, Material, Question};

/// Everything computed of one option.
pub struct Found<'a> {
    /// Draws.
    pub world: &'a World,
    /// Case.
    pub case: &'a Case,
    /// Option.
    pub candidate: &'a Candidate,
    /// Facts.
    pub catalogue: &'a Catalogue,
    /// Risks.
    pub risks: &'a Risks,
    /// Mechanics of the body that breaks.
    pub stress: Option<&'a StressPerNewton>,
    /// What mechanics tells beside the odds.
    pub beside: &'a Beside,
    /// Colour.
    pub shown: Option<&'a Shown>,
    /// Preparation.
    pub lost: &'a Lost,
    /// Cost.
    pub cost: Option<&'a Cost>,
}

impl Found<'_> {
    /// The six answers, in the order of [`Question::ALL`].
    pub fn answers(&self) -> Vec<QuestionAnswer> {
        vec![self.last(), self.breaks(), self.show(), self.lose(), self.hold(), self.cost()]
    }

    fn show(&self) -> QuestionAnswer {
        let Some(shown) = self.shown else {
            let reason = Reason::new("no optical values of this class are in the data", Provenance::default());
            let answer = Answer::not_known("difference from the wish", Unit::ColourDifference, reason);
            return self.printed(Question::Show, answer, "not known".to_owned(), &[]);
        };
        let looks = shown.looks.mean();
        let mut answer = self.of(
            "difference from the wish",
            Unit::ColourDifference,
            Some(shown.difference.clone()),
            shown.provenance.clone(),
        );
        self.judge(
            &mut answer,
            "show_seen",
            looks,
            &format!("{} would be remade for their colour here", of_hundred(looks)),
        );
        for caveat in &shown.caveats {
            answer.mark(*caveat);
        }
        if shown.caveats.contains(&Caveat::Measure) {
            answer.add(
                Verdict::WithCare,
                Reason::new("what lies beneath was not measured: measure the stump", Provenance::default()),
            );
        }
        let grade = shown.grade.filter(|_| !self.candidate.material.has_alloy());
        if let Some(grade) = grade {
            answer.add(Verdict::Suits, Reason::new(format!("taken in the {grade} grade"), Provenance::default()));
        }
        if matches!(self.candidate.construct, Construct::OneWing | Construct::TwoWings) {
            answer.add(
                Verdict::Suits,
                Reason::new(
                    "a wing behind a thin tooth may shine through; that is not computed",
                    Provenance::default(),
                ),
            );
            answer.mark(Caveat::NotComputed);
        }
        if self.candidate.material == Material::Metal {
            answer.add(Verdict::Suits, Reason::new("metal is seen as metal", Provenance::default()));
        }
        let d = shown.difference.interval();
        let words = format!("{} remade for colour; ΔE00 {}", of_hundred(looks), d.in_words());
        let beneath = self.candidate.abutments.first().map(|t| format!("colour/beneath/{t}/l")).unwrap_or_default();
        self.printed(
            Question::Show,
            answer,
            words,
            &["colour/wish/l", &beneath, "colour/model/l", "colour/observer/strictness"],
        )
    }

    fn cost(&self) -> QuestionAnswer {
        match self.cost {
            Some(cost) => {
                let answer = self.of(
                    "laboratory fee",
                    Unit::Money,
                    Some(cost.amount.clone()),
                    Provenance::of("own_figures", Basis::Own),
                );
                self.printed(Question::Cost, answer, cost.words.clone(), &[])
            }
            None => {
                let reason = Reason::new("the practice's own figures are not given", Provenance::default());
                let mut answer = Answer::not_known("laboratory fee", Unit::Money, reason);
                answer.mark(Caveat::NotComputed);
                self.printed(Question::Cost, answer, "blank until the practice gives its fees".to_owned(), &[])
            }
        }
    }

    fn of(&self, quantity: &str, unit: Unit, value: Option<Draws>, provenance: Provenance) -> Answer {
        let caveats = if provenance.rests_on_memory() { vec![Caveat::FromMemory] } else { Vec::new() };
        Answer {
            quantity: quantity.to_owned(),
            unit,
            value,
            verdict: Verdict::Suits,
            reasons: Vec::new(),
            caveats,
            provenance,
        }
    }

    /// Judges a number by a row of the verdict limits.
    fn judge(&self, answer: &mut Answer, limit: &str, value: f64, words: &str) {
        match self.catalogue.verdict(limit) {
            Some(row) => answer.add(row.judge(value), Reason::new(words, row.provenance.clone())),
            None => answer.add(Verdict::Suits, Reason::new(words, Provenance::default())),
        }
    }

    fn printed(&self, question: Question, answer: Answer, words: String, fields: &[&str]) -> QuestionAnswer {
        let quantiles = answer.value.as_ref().map_or(Vec::new(), |v| {
            v.quantiles::<20>(std::array::from_fn(|i| (i as f64 + 0.5) / 20.0)).into_iter().map(six_figures).collect()
        });
        let narrowed_by = answer.value.as_ref().map_or(Vec::new(), |v| {
            self.world
                .narrowing(v, fields)
                .into_iter()
                .filter(|(_, share)| *share > 0.05)
                .take(3)
                .map(|(field, share)| (plain(field), six_figures(share)))
                .collect()
        });
        QuestionAnswer {
            question,
            verdict: answer.verdict,
            words,
            quantity: answer.quantity.clone(),
            unit: answer.unit,
            value: answer.interval().map(|i| i.rounded()),
            quantiles,
            reasons: answer.reasons.iter().map(|r| r.text.clone()).collect(),
            caveats: answer.caveats.clone(),
            narrowed_by,
            sources: answer.provenance.ids.iter().cloned().collect(),
            basis: answer.provenance.weakest,
        }
    }
}

fn practice() -> Provenance {
    Provenance::of("common_practice", Basis::CommonPractice)
}

fn at(year: f64) -> usize {
    YEARS.iter().position(|&y| y >= year).unwrap_or(YEARS.len() - 1)
}

/// A field of the world in plain words.
fn plain(field: &str) -> String {
    match field {
        "load/level" => "how hard people bite here".to_owned(),
        "load/grinding_factor" => "how much harder grinding bites".to_owned(),
        "evidence/loss/clinic" => "how your practice differs from those studied".to_owned(),
        "strength/phi/framework" => "how many fractures no section explains".to_owned(),
        "colour/wish/l" => "the wished lightness: read it by instrument".to_owned(),
        "colour/model/l" => "the laboratory's own error".to_owned(),
        "colour/observer/strictness" => "how strict the patient looks".to_owned(),
        f if f.starts_with("colour/beneath/") => "the colour beneath: measure the stump".to_owned(),
        f if f.ends_with("/m") => "the scatter of the material's strength".to_owned(),
        f if f.ends_with("/n") => "how fast the material ages under load".to_owned(),
        f => f.to_owned(),
    }
}

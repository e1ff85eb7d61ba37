//! The six answers of one option, in words and numbers.

use crate::candidates::Candidate;
use crate::cost::Cost;
use crate::curve::YEARS;
use crate::factors::wall_rule;
use crate::lose::Lost;
use crate::mechanics::StressPerNewton;
use crate::odds::of_hundred;
use crate::report::QuestionAnswer;
use crate::risks::Risks;
use crate::show::Shown;
use answer::{Answer, Basis, Caveat, Draws, Provenance, Reason, Unit, Verdict, World, six_figures};
use case::Case;
use case::words::{DryField, Pulp};
use catalogue::Catalogue;
use catalogue::words::{Cause, Construct, Material, Process, Question, ToothClass};
use evidence::Directness;

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

    fn last(&self) -> QuestionAnswer {
        let loss = self.risks.loss();
        let ten = loss.by(10.0);
        let prediction = &self.risks.prediction;
        let mut provenance = prediction.sources.clone();
        provenance.merge(&self.risks.provenance);
        let mut answer = self.of("risk of loss by ten years", Unit::Share, Some(ten.clone()), provenance);
        let limit = match self.candidate.construct {
            Construct::ImplantCrown => "last_implant_10y",
            c if c.has_pontic() => "last_bridge_10y",
            _ => "last_tooth_10y",
        };
        let mean = ten.mean();
        let directness = match prediction.directness {
            Directness::Own => format!(
                "{} study {} with about {:.0} restoration-years of just this",
                prediction.arms,
                if prediction.arms == 1 { "arm" } else { "arms" },
                prediction.unit_years
            ),
            Directness::Parent(_) => {
                answer.mark(Caveat::Borrowed);
                format!("no study arm of just this; {} of its kin", prediction.arms)
            }
            Directness::None => {
                answer.mark(Caveat::Borrowed);
                "no study arm of anything like it: only what is usual for all restorations".to_owned()
            }
        };
        answer.add(Verdict::Suits, Reason::new(directness, Provenance::default()));
        self.judge(&mut answer, limit, mean, &format!("{} are lost by ten years", of_hundred(mean)));
        let again: f64 = self
            .risks
            .causes
            .iter()
            .filter(|c| c.process == Process::Complication)
            .map(|c| c.hazard[at(10.0)].mean())
            .sum();
        self.judge(
            &mut answer,
            "last_complication_10y",
            again,
            &format!("{:.0} times in 100 restorations something is done again by ten years", 100.0 * again),
        );
        if self.candidate.construct == Construct::ImplantCrown {
            let text = "surgery, healing time and the loss of the implant itself are not in these figures";
            answer.add(Verdict::WithCare, Reason::new(text, practice()));
        }
        for shift in &self.risks.shifts {
            answer.add(Verdict::Suits, Reason::new(shift.clone(), Provenance::default()));
        }
        if prediction.longest_follow_up < 10.0 {
            answer.mark(Caveat::Extrapolated);
        }
        if prediction.arms < 3 {
            answer.mark(Caveat::LittleKnown);
        }
        if self.risks.fracture_not_known() {
            let text = format!("patients tell nothing of the fracture of {}", self.candidate.material);
            answer.add(Verdict::NotKnown, Reason::new(text, Provenance::default()));
            answer.mark(Caveat::LittleKnown);
        }
        let words = if self.risks.fracture_not_known() {
            format!(
                "fracture not known from patients; with mechanics alone for it {} lost by ten years",
                of_hundred(mean)
            )
        } else {
            format!("{} lost by ten years, {} by five", of_hundred(mean), of_hundred(loss.by(5.0).mean()))
        };
        self.printed(Question::Last, answer, words, &["evidence/loss/clinic", "load/level", "load/grinding_factor"])
    }

    fn breaks(&self) -> QuestionAnswer {
        let fracture = self.risks.crude(Cause::FrameworkFracture, Process::Loss, 10.0);
        let mean = fracture.mean();
        let mut provenance = self.risks.prediction.sources.clone();
        if let Some(stress) = self.stress {
            provenance.merge(&stress.provenance);
        }
        let mut answer =
            self.of("risk of fracture of framework or body by ten years", Unit::Share, Some(fracture), provenance);
        self.judge(&mut answer, "break_10y", mean, &format!("{} break by ten years", of_hundred(mean)));
        let chips =
            self.risks.expected(Cause::Chip, Process::Complication, 10.0).map(|h| h.map(|h| -(-h).exp_m1()).mean());
        if let Some(chips) = chips {
            self.judge(&mut answer, "chip_10y", chips, &format!("{} chip by ten years", of_hundred(chips)));
        }
        match self.stress {
            Some(stress) => {
                if let Some(ratio) = &self.risks.stress_ratio {
                    let ratio = ratio.interval();
                    answer.add(
                        Verdict::Suits,
                        Reason::new(
                            format!(
                                "stress in the {} is {:.2} ({:.2} to {:.2}) times that of the studies' restorations",
                                stress.body, ratio.median, ratio.low, ratio.high
                            ),
                            stress.provenance.clone(),
                        ),
                    );
                }
                if let Some(power) = self.risks.sensitivity.filter(|p| *p > 0.0) {
                    let text = format!(
                        "one tenth more stress means about {:.0} % more fractures",
                        100.0 * (1.1f64.powf(power) - 1.0)
                    );
                    answer.add(Verdict::Suits, Reason::new(text, Provenance::default()));
                }
            }
            None => answer.add(
                Verdict::Suits,
                Reason::new(
                    "an alloy carries the load: it yields before it breaks, the studies' rate is taken as it is",
                    Provenance::default(),
                ),
            ),
        }
        let fractures =
            self.risks.causes.iter().find(|c| c.cause == Cause::FrameworkFracture && c.process == Process::Loss);
        for caveat in fractures.map(|c| c.caveats.clone()).unwrap_or_default() {
            answer.mark(caveat);
            if caveat == Caveat::Disagree {
                let factor = self.risks.disagreement.unwrap_or(1.0);
                let text = format!(
                    "mechanics and clinic disagree by a factor {factor:.2} of strength: the clinic sets the level"
                );
                answer.add(Verdict::Suits, Reason::new(text, Provenance::default()));
            }
        }
        if self.risks.fracture_not_known() {
            answer.add(
                Verdict::NotKnown,
                Reason::new(
                    "no patient has been followed with this material in this construct: mechanics alone, which sets no level",
                    Provenance::default(),
                ),
            );
        }
        let words = match chips {
            Some(chips) => format!("{} break and {} chip by ten years", of_hundred(mean), of_hundred(chips)),
            None => format!("{} break by ten years", of_hundred(mean)),
        };
        let m = format!("strength/{}/m", self.candidate.material.word());
        let n = format!("strength/{}/n", self.candidate.material.word());
        self.printed(
            Question::Break,
            answer,
            words,
            &["load/grinding_factor", "evidence/loss/clinic", &m, &n, "strength/phi/framework"],
        )
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

    fn lose(&self) -> QuestionAnswer {
        let lost = self.lost;
        let share = lost.share_interval();
        let mut answer =
            self.of("share of the crown removed", Unit::Share, Some(lost.share.clone()), lost.provenance.clone());
        for caveat in &lost.caveats {
            answer.mark(*caveat);
        }
        if self.candidate.abutments.is_empty() {
            answer.caveats.clear();
            answer.add(Verdict::Suits, Reason::new("no tooth is cut", Provenance::default()));
            return self.printed(Question::Lose, answer, "no tooth is cut".to_owned(), &[]);
        }
        if lost.prepared_before {
            let text = "the teeth are prepared already: what a thicker option takes beyond that is a guess, measure at the stump";
            answer.add(Verdict::Suits, Reason::new(text, Provenance::of("common_practice", Basis::CommonPractice)));
            answer.mark(Caveat::Measure);
            let words = format!("prepared already; about {:.0} % more of the crown", 100.0 * share.mean);
            return self.printed(Question::Lose, answer, words, &[]);
        }
        self.judge(
            &mut answer,
            "lose_volume",
            share.mean,
            &format!("{:.0} % of the crown is removed", 100.0 * share.mean),
        );
        if let Some(dentine) = &lost.dentine {
            let left = dentine.mean();
            self.judge(
                &mut answer,
                "lose_dentine",
                left,
                &format!("{left:.1} mm of dentine are expected over the pulp"),
            );
            let thin = dentine.share(|d| d < 0.5);
            self.judge(
                &mut answer,
                "lose_dentine_chance",
                thin,
                &format!("{} keep less than half a millimetre over the pulp", of_hundred(thin)),
            );
        }
        if let Some(enamel) = lost.margin_in_enamel.as_ref().filter(|_| self.candidate.construct.is_adhesive_only()) {
            let left = enamel.mean();
            self.judge(
                &mut answer,
                "lose_enamel_margin",
                left,
                &format!("{:.0} % of the margin stays in enamel", 100.0 * left),
            );
        }
        let words = match &lost.dentine {
            Some(d) => format!("{:.0} % of the crown; {:.1} mm of dentine over the pulp", 100.0 * share.mean, d.mean()),
            None => format!("{:.0} % of the crown", 100.0 * share.mean),
        };
        self.printed(Question::Lose, answer, words, &[])
    }

    fn hold(&self) -> QuestionAnswer {
        let off = self
            .risks
            .crude(Cause::Debonding, Process::Loss, 10.0)
            .zip(&self.risks.crude(Cause::Debonding, Process::Complication, 10.0), |a, b| 1.0 - (1.0 - a) * (1.0 - b));
        let mean = off.mean();
        let mut answer =
            self.of("risk of coming off by ten years", Unit::Share, Some(off), self.risks.prediction.sources.clone());
        self.judge(&mut answer, "hold_debond_10y", mean, &format!("{} come off by ten years", of_hundred(mean)));
        let by_form =
            matches!(self.candidate.construct, Construct::Crown | Construct::Bridge | Construct::CantileverBridge);
        if by_form {
            self.hold_by_form(&mut answer);
        }
        if self.candidate.construct.is_adhesive_only() {
            match self.case.mouth.dry_field {
                Some(DryField::No) => {
                    answer.add(
                        Verdict::Unsuitable,
                        Reason::new("the field cannot be kept dry and nothing else holds it", practice()),
                    );
                }
                Some(DryField::WithDifficulty) => {
                    answer.add(Verdict::WithCare, Reason::new("the field is dry only with difficulty", practice()));
                }
                None => answer.mark(Caveat::Measure),
                Some(DryField::Yes) => {}
            }
        }
        let words = format!("{} come off by ten years", of_hundred(mean));
        self.printed(Question::Hold, answer, words, &[])
    }

    /// Wall height, convergence and ferrule of each abutment.
    fn hold_by_form(&self, answer: &mut Answer) {
        for tooth in &self.candidate.abutments {
            let abutment = self.case.abutment(*tooth);
            let limit = if tooth.class() == ToothClass::Molar { "hold_height_molar" } else { "hold_height_other" };
            let planned = self.lost.abutments.iter().find(|(t, _)| t == tooth).map(|(_, r)| r.wall_height.mean());
            let measured = abutment.and_then(|a| a.wall_mm);
            if let Some(wall) = measured.or(planned) {
                let source = if measured.is_some() { "measured" } else { "expected after this preparation" };
                self.judge(answer, limit, wall, &format!("the walls of {tooth} are {wall:.1} mm high ({source})"));
                let short = abutment.is_some_and(|a| wall < wall_rule(a));
                let bonded =
                    self.candidate.material.is_glass_ceramic() && self.case.mouth.dry_field == Some(DryField::Yes);
                if short && bonded {
                    answer.add(Verdict::Suits, Reason::new("bonding can make up for short walls", practice()));
                }
            }
            if let Some(c) = abutment.and_then(|a| a.convergence_degrees) {
                self.judge(answer, "hold_taper", c, &format!("the walls of {tooth} converge by {c:.0} degrees"));
            }
            if let Some(a) = abutment.filter(|a| a.pulp == Some(Pulp::RootFilled))
                && let Some(ferrule) = a.ferrule
            {
                let (low, high) = ferrule.millimetres();
                let middle = 0.5 * (low + high);
                self.judge(answer, "hold_ferrule", middle, &format!("the ferrule of {tooth} is about {middle:.1} mm"));
            }
        }
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

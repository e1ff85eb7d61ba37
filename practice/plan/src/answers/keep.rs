//! What the tooth loses, and whether it holds.

use super::{Found, practice};
use crate::factors::wall_rule;
use crate::odds::of_hundred;
use crate::report::QuestionAnswer;
use answer::{Answer, Basis, Caveat, Provenance, Reason, Unit, Verdict};
use case::words::{DryField, Pulp};
use catalogue::words::{Cause, Construct, Process, Question, ToothClass};

impl Found<'_> {
    pub(super) fn lose(&self) -> QuestionAnswer {
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
        if let Some(why) = &lost.no_common_path {
            let source = Provenance::of("common_practice", Basis::CommonPractice);
            answer.add(Verdict::WithCare, Reason::new(why.clone(), source));
        }
        let words = match &lost.dentine {
            Some(d) => format!("{:.0} % of the crown; {:.1} mm of dentine over the pulp", 100.0 * share.mean, d.mean()),
            None => format!("{:.0} % of the crown", 100.0 * share.mean),
        };
        self.printed(Question::Lose, answer, words, &[])
    }

    pub(super) fn hold(&self) -> QuestionAnswer {
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
        if let Some(wings) = &self.beside.wings {
            answer.add(Verdict::Suits, Reason::new(wings.sentence(), wings.provenance.clone()));
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
}

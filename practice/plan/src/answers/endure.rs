//! Whether it lasts, and whether it breaks.

use super::{Found, at, practice};
use crate::odds::of_hundred;
use crate::report::QuestionAnswer;
use answer::{Caveat, Draws, Provenance, Reason, Unit, Verdict};
use catalogue::words::{Cause, Construct, Process, Question};
use evidence::Directness;

impl Found<'_> {
    pub(super) fn last(&self) -> QuestionAnswer {
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

    pub(super) fn breaks(&self) -> QuestionAnswer {
        let fracture = self.risks.crude(Cause::FrameworkFracture, Process::Loss, 10.0);
        let mean = fracture.mean();
        let mut provenance = self.risks.prediction.sources.clone();
        if let Some(stress) = self.stress {
            provenance.merge(&stress.provenance);
        }
        let unknown = self.risks.fracture_not_known();
        // Without patients and without stress there is nothing to tell.
        let told = self.stress.is_some() || !unknown;
        let what = "risk of fracture of framework or body by ten years";
        let mut answer = self.of(what, Unit::Share, told.then_some(fracture), provenance);
        if told {
            self.judge(&mut answer, "break_10y", mean, &format!("{} break by ten years", of_hundred(mean)));
        }
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
                                "stress in the {} is {:.2} ({:.2} to {:.2}) times that of the studies' restorations (by {})",
                                stress.body,
                                ratio.median,
                                ratio.low,
                                ratio.high,
                                stress.engine.words()
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
                if let Some(unknowns) = self.risks.unknowns {
                    let measured = self.case.mouth.bite_force_n.is_some();
                    answer.add(Verdict::Suits, Reason::new(unknowns.sentence(measured), Provenance::default()));
                }
            }
            None if told => answer.add(Verdict::Suits, Reason::new(self.without_stress(), Provenance::default())),
            None => {}
        }
        if let Some(yields) = &self.beside.yields {
            let chance = yields.chance();
            let used = yields.used.interval();
            let mut words = format!(
                "the heaviest bite takes {:.0} in 100 of what bends the connector for good ({:.0} to {:.0}); in {:.0} of 100 such mouths it is too much",
                100.0 * used.median,
                100.0 * used.low,
                100.0 * used.high,
                100.0 * chance
            );
            if let Some(give) = yields.deflection.as_ref().map(Draws::interval) {
                words += &format!(
                    "; the span gives no more than some {:.0} micrometres ({:.0} to {:.0})",
                    give.median, give.low, give.high
                );
            }
            self.judge(&mut answer, "yield_chance", chance, &words);
            answer.provenance.merge(&yields.provenance);
        }
        if let Some(fired) = &self.beside.fired {
            answer.add(Verdict::Suits, Reason::new(fired.sentence(), fired.provenance.clone()));
        }
        if let Some(margin) = &self.beside.margin {
            answer.add(Verdict::Suits, Reason::new(margin.sentence(), margin.provenance.clone()));
        }
        let fractures =
            self.risks.causes.iter().find(|c| c.cause == Cause::FrameworkFracture && c.process == Process::Loss);
        for caveat in fractures.map(|c| c.caveats.clone()).unwrap_or_default() {
            answer.mark(caveat);
            if caveat == Caveat::Disagree {
                let factor = self.risks.level.as_ref().map_or(1.0, |level| level.mean().exp());
                let text = format!(
                    "mechanics and clinic disagree by a factor {factor:.2} of strength: the clinic sets the level"
                );
                answer.add(Verdict::Suits, Reason::new(text, Provenance::default()));
            }
        }
        if !told {
            let text =
                "no patient has been followed with this material in this construct, and its stress is not computed";
            answer.add(Verdict::NotKnown, Reason::new(text, Provenance::default()));
        } else if unknown {
            let level = match self.risks.kin {
                0 => "which sets no level".to_owned(),
                1 => "set at the level of the one material of this construct with patients".to_owned(),
                kin => format!("set at the level of the {kin} materials of this construct with patients"),
            };
            let text =
                format!("no patient has been followed with this material in this construct: mechanics alone, {level}");
            answer.add(Verdict::NotKnown, Reason::new(text, Provenance::default()));
        }
        let words = match chips {
            _ if !told => "not known".to_owned(),
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

    /// Why no stress is computed.
    fn without_stress(&self) -> &'static str {
        if self.candidate.material.has_alloy() {
            "an alloy carries the load: it yields before it breaks, the studies' rate is taken as it is"
        } else {
            "its stress is not computed: no source tells how large its connector, or how strong its material, must be here; the studies' rate is taken as it is"
        }
    }
}

//! One computed option as the report prints it.

use crate::answers::Found;
use crate::candidates::Candidate;
use crate::criteria::{CRITERIA, printed};
use crate::failures::failures;
use crate::plan::Settings;
use crate::report::{GuidelineNote, PlannedOption};
use crate::shared::{Computed, Shared};
use crate::shares::Shares;
use crate::stops::override_reason;
use answer::{Verdict, six_figures};

impl Shared<'_> {
    pub(crate) fn printed(
        &self,
        computed: &[Computed],
        i: usize,
        shares: &Shares,
        settings: &Settings,
    ) -> PlannedOption {
        let one = &computed[i];
        let shown = one.shown.as_ref().map(|shown| {
            let full = self.scene.in_full(shown.clone(), &one.candidate, &one.dimensions, self.catalogue);
            full.unwrap_or_else(|_| shown.clone())
        });
        let found = Found {
            world: &self.world,
            case: self.case,
            candidate: &one.candidate,
            catalogue: self.catalogue,
            risks: &one.risks,
            stress: one.stress.as_ref(),
            beside: &one.beside,
            shown: shown.as_ref(),
            lost: &one.lost,
            cost: one.cost.as_ref(),
        };
        let answers = found.answers();
        let stopped = one.is_stopped();
        let worst =
            answers.iter().filter(|a| a.verdict != Verdict::NotKnown).fold(Verdict::Suits, |v, a| v.graver(a.verdict));
        let not_known = answers.iter().take(2).any(|a| a.verdict == Verdict::NotKnown);
        let verdict = if stopped {
            Verdict::Unsuitable
        } else if not_known {
            worst.graver(Verdict::NotKnown)
        } else if one.stops.is_empty() {
            worst
        } else {
            worst.graver(Verdict::WithCare)
        };
        let prediction = &one.risks.prediction;
        let curve = |risk: crate::curve::RiskOverYears| {
            risk.printed(prediction.longest_follow_up, prediction.arms, prediction.unit_years)
        };
        PlannedOption {
            id: one.candidate.id(),
            title: one.candidate.title(),
            construct: one.candidate.construct,
            material: one.candidate.material,
            build: one.candidate.build,
            grade: one.shown.as_ref().and_then(|s| s.grade),
            dimensions: one.dimensions.printed(),
            stopped,
            override_reason: override_reason(self.case, &one.stops),
            stops: one.stops.clone(),
            verdict,
            asked: self.asked(one),
            first_share: six_figures(shares.first(i)),
            rank_shares: shares.ranks(i).iter().map(|s| six_figures(*s)).collect(),
            regret: shares.regret[i].map(six_figures),
            regret_years: shares.regret[i].and_then(|r| self.in_years(r, shares)).map(six_figures),
            done_again: Some(one.risks.complication().by(10.0).interval().rounded()),
            dominated_by: shares.dominated[i].clone(),
            answers,
            failures: failures(self.case, &one.candidate, &one.risks, self.catalogue),
            loss_curve: curve(one.risks.loss()),
            complication_curve: curve(one.risks.complication()),
            colour: shown.as_ref().map_or(Vec::new(), |s| s.abutments.clone()),
            preparation: one.lost.printed(self.case),
            guidelines: self.guidelines(&one.candidate, settings),
            criteria: printed(&one.amounts, self.catalogue),
        }
    }

    /// A difference on the value scale in restoration-years, by the mean weight of harm.
    fn in_years(&self, value: f64, shares: &Shares) -> Option<f64> {
        let harm = self.catalogue.values().criterion(CRITERIA[0])?;
        let weight = shares.mean_weights[0];
        (weight > 0.0).then(|| value / weight * (harm.worst - harm.best).abs())
    }

    fn guidelines(&self, candidate: &Candidate, settings: &Settings) -> Vec<GuidelineNote> {
        self.catalogue
            .guidelines(candidate.construct, candidate.material, candidate.build, self.case.region())
            .into_iter()
            .map(|g| {
                let direction = match g.direction.as_str() {
                    "for" => "recommends it",
                    "open" => "allows it",
                    "against" => "advises against it",
                    "none" => "cannot judge it",
                    _ => "was not read on this",
                };
                let conditions = if g.conditions.is_empty() { String::new() } else { format!(" ({})", g.conditions) };
                GuidelineNote {
                    id: g.id.clone(),
                    body: [g.society.as_str(), g.text.as_str()]
                        .iter()
                        .filter(|s| !s.is_empty())
                        .copied()
                        .collect::<Vec<_>>()
                        .join(", "),
                    text: format!("{direction}{conditions}"),
                    grade: if g.grade.is_empty() { "not read".to_owned() } else { g.grade.clone() },
                    validity: g.validity(&settings.today).words().to_owned(),
                }
            })
            .collect()
    }
}

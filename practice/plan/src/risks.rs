//! Losses and complications of one candidate over the years: pooled evidence, shifted by the case, anchored where stress drives them.
//!
//! Hazard by cause H_c(t) of a new setting (evidence), times hazard ratios of the case on causes that stress does not drive. For
//! framework fracture and chipping the pooled risk is the level and mechanics gives the change (`strength::anchor`): the ratio of case to
//! pooled hazard at 5, 10 and 15 years, interpolated between and held before. Few arms leave the pooled level wide and marked `little known`;
//! mechanics stands alone only where patients tell nothing at all, and its level is then shown and not weighed (ARCHITECTURE.md). Loss by any cause is 1 - exp(-sum of H_c).

use crate::anchoring::{Anchoring, chip, fracture};
use crate::arms;
use crate::bite::Bite;
use crate::candidates::Candidate;
use crate::curve::{RiskOverYears, YEARS};
use crate::mechanics::StressPerNewton;
use crate::unknowns::Unknowns;
use answer::{Caveat, Draws, Provenance, World};
use case::Case;
use catalogue::Catalogue;
use catalogue::words::{Cause, Construct, Material, Process};
use evidence::{Directness, Posterior, Prediction, Setting};

/// Hazard of one cause and process over the years.
#[derive(Debug, Clone)]
pub struct CauseRisk {
    /// Cause.
    pub cause: Cause,
    /// Process.
    pub process: Process,
    /// Cumulative hazard at each of [`YEARS`].
    pub hazard: Vec<Draws>,
    /// Marks.
    pub caveats: Vec<Caveat>,
    /// True when nothing is known of it for this material.
    pub not_known: bool,
}

/// All risks of one candidate.
#[derive(Debug, Clone)]
pub struct Risks {
    /// By cause and process.
    pub causes: Vec<CauseRisk>,
    /// The prediction behind them.
    pub prediction: Prediction,
    /// How far the case's stress stands from the studies', exp(mean W case - mean W studies), where mechanics had a say.
    pub stress_ratio: Option<Draws>,
    /// d ln risk / d ln stress of framework fracture at 5 years.
    pub sensitivity: Option<f64>,
    /// Level of mechanics against observation (ln of a factor of strength), where solved.
    pub level: Option<Draws>,
    /// Classes of the same construct whose level stands in for one that nobody was followed with.
    pub kin: usize,
    /// Which unknown drives framework fracture, where mechanics had a say and patients were followed.
    pub unknowns: Option<Unknowns>,
    /// What the shifts rest on.
    pub provenance: Provenance,
    /// Hazard ratios applied, in words.
    pub shifts: Vec<String>,
    /// Sums of the hazards of losses and of complications at each of [`YEARS`].
    sums: [Vec<Draws>; 2],
}

impl Risks {
    /// Of a candidate.
    #[allow(clippy::too_many_arguments)] // where evidence, loads and mechanics meet
    pub fn of(
        world: &World,
        case: &Case,
        candidate: &Candidate,
        catalogue: &Catalogue,
        posterior: &Posterior,
        bite: &Bite,
        stress: Option<&StressPerNewton>,
        anchoring: &Anchoring,
    ) -> Self {
        let mut setting =
            Setting::of(arms::cell(candidate.construct, candidate.material, candidate.build, case.region()));
        setting.moderators.insert("generation".to_owned(), "current".to_owned());
        let (ratios, shifts, mut provenance) = crate::factors::hazard_ratios(world, case, candidate, catalogue);
        setting.hazard_ratios = ratios;
        let prediction = posterior.predict(world, &setting);
        // The fracture of 4Y and 5Y is known only where patients were followed with this construct in this very class.
        let own_class = matches!(prediction.directness, Directness::Own)
            || matches!(prediction.directness, Directness::Parent(3..));
        let followed = own_class || !matches!(candidate.material, Material::Zirconia4y | Material::Zirconia5y);
        // Causes of loss share the course in time of the total: each is its share of it, so that the powers of time are taken once.
        let total: Vec<Draws> = prediction.total_loss.expected_at(&YEARS);
        let total_rate = prediction.total_loss.rate();
        let mut causes = Vec::new();
        for (process, curves) in [(Process::Loss, &prediction.loss), (Process::Complication, &prediction.complications)]
        {
            for curve in curves {
                let Some(cause) = Cause::parse(&curve.cause) else { continue };
                if candidate.construct == Construct::ImplantCrown && is_of_teeth(cause) {
                    // An implant has no pulp, no caries and no root: what studies of implant crowns count falls under `other`.
                    continue;
                }
                if cause == Cause::Chip && candidate.build == catalogue::words::Build::Monolithic {
                    // Nothing to chip off: what breaks of a monolithic body is counted as its fracture.
                    continue;
                }
                let mut caveats = Vec::new();
                if curve.little_known {
                    caveats.push(Caveat::LittleKnown);
                }
                if curve.curve.is_extrapolated(10.0) {
                    caveats.push(Caveat::Extrapolated);
                }
                causes.push(CauseRisk {
                    cause,
                    process,
                    hazard: hazard(process, curve, &total, &total_rate),
                    caveats,
                    not_known: curve.not_known || (cause == Cause::FrameworkFracture && !followed),
                });
            }
        }
        if candidate.construct == Construct::ImplantCrown {
            keep_total(&mut causes, &prediction);
        }
        let mut risks = Self {
            causes,
            prediction,
            stress_ratio: None,
            sensitivity: None,
            level: None,
            kin: 0,
            unknowns: None,
            provenance: provenance.clone(),
            shifts,
            sums: [Vec::new(), Vec::new()],
        };
        provenance.merge(&bite.provenance);
        risks.anchor(world, candidate, bite, stress, anchoring);
        risks.sums = [Process::Loss, Process::Complication].map(|p| risks.summed(p));
        if let Some(stress) = stress.filter(|_| !risks.fracture_not_known()) {
            let fracture = risks.crude(Cause::FrameworkFracture, Process::Loss, 10.0);
            risks.unknowns = Unknowns::of(bite, stress, &fracture);
        }
        if let Some(stress) = stress {
            provenance.merge(&stress.provenance);
        }
        risks.provenance.merge(&provenance);
        risks
    }

    /// Shifts the stress-driven causes.
    fn anchor(
        &mut self,
        world: &World,
        candidate: &Candidate,
        bite: &Bite,
        stress: Option<&StressPerNewton>,
        anchoring: &Anchoring,
    ) {
        if let Some(stress) = stress {
            let ratio = Draws::from_fn(world.draws(), |k| {
                (bite.case.get(k) + stress.case.get(k) - bite.reference.get(k) - stress.reference.get(k)).exp()
            });
            self.stress_ratio = Some(ratio);
        }
        for i in 0..self.causes.len() {
            let (cause, process) = (self.causes[i].cause, self.causes[i].process);
            let shifted = match cause {
                Cause::FrameworkFracture if process == Process::Loss => stress.and_then(|s| {
                    let known = !self.causes[i].not_known;
                    fracture(&self.causes[i].hazard, bite, s, known, anchoring)
                }),
                Cause::Chip if process == Process::Complication && candidate.material != Material::Metal => {
                    chip(&self.causes[i].hazard, bite, anchoring)
                }
                _ => None,
            };
            let Some(shifted) = shifted else { continue };
            if cause == Cause::FrameworkFracture {
                self.sensitivity = Some(shifted.sensitivity);
                self.level = shifted.level;
                if shifted.mechanics_only {
                    self.causes[i].caveats.push(Caveat::MechanicsOnly);
                }
                if shifted.disagrees {
                    self.causes[i].caveats.push(Caveat::Disagree);
                }
            }
            let pooled = std::mem::replace(&mut self.causes[i].hazard, shifted.hazard);
            if cause == Cause::Chip {
                self.shift_lost_chips(i, &pooled);
            }
        }
    }

    /// Chips that end in loss follow the bite as all chips do: by the ratio of shifted to pooled hazard of cause `i`.
    fn shift_lost_chips(&mut self, i: usize, pooled: &[Draws]) {
        let ratios: Vec<Draws> = self.causes[i]
            .hazard
            .iter()
            .zip(pooled)
            .map(|(case, pooled)| case.zip(pooled, |c, p| if p > 0.0 { c / p } else { 1.0 }))
            .collect();
        let lost = self.causes.iter_mut().find(|c| c.cause == Cause::Chip && c.process == Process::Loss);
        for (hazard, ratio) in lost.into_iter().flat_map(|c| c.hazard.iter_mut()).zip(&ratios) {
            *hazard = hazard.times(ratio);
        }
    }

    /// Risk of loss by any cause.
    pub fn loss(&self) -> RiskOverYears {
        self.any(Process::Loss)
    }

    /// Risk that something has to be done again.
    pub fn complication(&self) -> RiskOverYears {
        self.any(Process::Complication)
    }

    fn any(&self, process: Process) -> RiskOverYears {
        RiskOverYears(self.sum(process).iter().map(|h| h.map(|h| -(-h).exp_m1())).collect())
    }

    fn sum(&self, process: Process) -> &[Draws] {
        &self.sums[usize::from(process == Process::Complication)]
    }

    fn summed(&self, process: Process) -> Vec<Draws> {
        let n = self.causes.first().map_or(1, |c| c.hazard[0].len());
        let mut sums = vec![Draws::constant(n, 0.0); YEARS.len()];
        for cause in self.causes.iter().filter(|c| c.process == process) {
            for (sum, hazard) in sums.iter_mut().zip(&cause.hazard) {
                *sum = sum.plus(hazard);
            }
        }
        sums
    }

    /// Risk of one cause and process by a year, as its part of all causes of that process acting together.
    pub fn crude(&self, cause: Cause, process: Process, year: f64) -> Draws {
        let i = YEARS.iter().position(|&y| y >= year).unwrap_or(YEARS.len() - 1);
        let sum = &self.sum(process)[i];
        match self.causes.iter().find(|c| c.cause == cause && c.process == process) {
            Some(own) => own.hazard[i].zip(sum, |own, sum| if sum > 0.0 { -(-sum).exp_m1() * own / sum } else { 0.0 }),
            None => Draws::constant(sum.len(), 0.0),
        }
    }

    /// Expected number of events of a cause and process by a year.
    pub fn expected(&self, cause: Cause, process: Process, year: f64) -> Option<Draws> {
        let i = YEARS.iter().position(|&y| y >= year).unwrap_or(YEARS.len() - 1);
        self.causes.iter().find(|c| c.cause == cause && c.process == process).map(|c| c.hazard[i].clone())
    }

    /// True when patients tell nothing of the fracture of this material.
    pub fn fracture_not_known(&self) -> bool {
        self.causes.iter().any(|c| c.cause == Cause::FrameworkFracture && c.process == Process::Loss && c.not_known)
    }
}

/// Causes only a tooth can have.
fn is_of_teeth(cause: Cause) -> bool {
    matches!(cause, Cause::Caries | Cause::Endodontic | Cause::ToothFracture)
}

/// Losses whose causes were left out count as `other`, so that the total stays that of the studies.
fn keep_total(causes: &mut [CauseRisk], prediction: &Prediction) {
    let left_out: Vec<_> =
        prediction.loss.iter().filter(|c| Cause::parse(&c.cause).is_some_and(is_of_teeth)).map(|c| &c.curve).collect();
    let Some(other) = causes.iter_mut().find(|c| c.cause == Cause::Other && c.process == Process::Loss) else { return };
    for curve in &left_out {
        for (hazard, more) in other.hazard.iter_mut().zip(curve.expected_at(&YEARS)) {
            *hazard = hazard.plus(&more);
        }
    }
}

/// Cumulative hazard of a cause at each of [`YEARS`].
fn hazard(process: Process, cause: &evidence::CauseCurve, total: &[Draws], total_rate: &Draws) -> Vec<Draws> {
    match process {
        Process::Loss => {
            let share = cause.curve.rate().zip(total_rate, |own, all| if all > 0.0 { own / all } else { 0.0 });
            total.iter().map(|h| h.times(&share)).collect()
        }
        Process::Complication => cause.curve.expected_at(&YEARS),
    }
}

//! Facts of the trade that pictures need beside the report: how large teeth are, and where verdicts change.

use crate::arch::{Arch, Stands, Unit};
use answer::Verdict;
use catalogue::Catalogue;
use catalogue::words::{Construct, Question, Tooth};
use picture::Scene;
use plan::{PlannedOption, Report, Role};
use std::collections::BTreeMap;

/// What pictures need beside the report; empty facts leave the pictures out, never the words.
#[derive(Debug, Clone, Default)]
pub struct Facts {
    /// Width along and depth across the arch of each tooth's crown, mm.
    pub tooth_sizes: BTreeMap<Tooth, [f64; 2]>,
    /// Limits of verdicts, in the unit of the question's answer.
    pub limits: Vec<Limit>,
    /// Drawn pictures of what an option takes from its teeth, by the option's id.
    pub tissue: BTreeMap<String, Vec<Scene>>,
}

/// Where the verdict on a question changes.
#[derive(Debug, Clone, PartialEq)]
pub struct Limit {
    /// The question.
    pub question: Question,
    /// Constructs it holds for; empty: all.
    pub constructs: Vec<Construct>,
    /// Where.
    pub at: f64,
    /// The verdict beyond it.
    pub verdict: Verdict,
}

/// Rows of `verdicts.csv` that judge the very figure an answer shows: loss and fracture within 10 years. The other questions are judged
/// by several figures at once, and a limit of one must not be drawn on another.
const DRAWN: [&str; 4] = ["last_tooth_10y", "last_bridge_10y", "last_implant_10y", "break_10y"];

impl Facts {
    /// Tooth sizes and verdict limits of the catalogue, a practice's own rows among them.
    pub fn of(catalogue: &Catalogue) -> Self {
        let sizes = Tooth::all().filter_map(|t| catalogue.tooth(t).map(|d| (t, [d.mesiodistal_mm, d.buccolingual_mm])));
        let limits = catalogue.verdicts().iter().filter(|row| DRAWN.contains(&row.id.as_str())).flat_map(|row| {
            [(row.suits, Verdict::WithCare), (row.unsuitable, Verdict::Unsuitable)].map(|(at, verdict)| Limit {
                question: row.question,
                constructs: row.constructs.clone(),
                at,
                verdict,
            })
        });
        Self { tooth_sizes: sizes.collect(), limits: limits.collect(), tissue: BTreeMap::new() }
    }

    /// The arch of a report in true sizes; `None` without units or where a size is not held.
    pub(crate) fn arch(&self, report: &Report) -> Option<Arch> {
        self.arch_of(report, report.options.first())
    }

    /// The same for one way of making it; a tooth that it does not touch is drawn as it stands.
    pub(crate) fn arch_of(&self, report: &Report, option: Option<&PlannedOption>) -> Option<Arch> {
        let first = report.arch.units.first()?;
        let construct = option.map_or(Construct::Crown, |o| o.construct);
        let carries = |tooth: Tooth| {
            construct != Construct::OneWing
                || option.is_none_or(|o| o.preparation.is_empty() || o.preparation.iter().any(|p| p.tooth == tooth))
        };
        let part =
            matches!(construct, Construct::PartialCrown | Construct::Veneer | Construct::OneWing | Construct::TwoWings);
        let stands = |tooth: Tooth| match report.arch.units.iter().find(|u| u.tooth == tooth).map(|u| u.role) {
            None => Stands::Tooth,
            Some(Role::Retainer | Role::Wing) if !carries(tooth) => Stands::Tooth,
            Some(Role::Retainer) if construct == Construct::ImplantCrown => Stands::Tooth,
            Some(Role::Retainer) if !part => Stands::Crown,
            Some(Role::Retainer | Role::Wing) => Stands::Part,
            Some(Role::Pontic) if construct == Construct::ImplantCrown => Stands::Implant,
            Some(Role::Pontic) => Stands::Pontic,
            Some(Role::Implant) => Stands::Implant,
        };
        // Third molars are drawn only where they are part of the work.
        let units: Option<Vec<Unit>> = Tooth::all()
            .filter(|t| t.jaw() == first.tooth.jaw() && (t.number() < 8 || stands(*t) != Stands::Tooth))
            .map(|tooth| {
                self.tooth_sizes.get(&tooth).map(|s| Unit {
                    tooth,
                    width_mm: s[0],
                    depth_mm: s[1],
                    stands: stands(tooth),
                })
            })
            .collect();
        let joined = report
            .arch
            .units
            .windows(2)
            .filter(|pair| pair.iter().any(|u| u.role == Role::Pontic))
            .filter(|pair| {
                construct != Construct::ImplantCrown && pair.iter().all(|u| u.role == Role::Pontic || carries(u.tooth))
            })
            .map(|pair| (pair[0].tooth, pair[1].tooth))
            .collect();
        Some(Arch { title: crate::said::sentence(&report.subject), units: units?, joined })
    }

    /// Limits of one question for a construct.
    pub(crate) fn limits_of(&self, question: Question, construct: Construct) -> impl Iterator<Item = &Limit> {
        self.limits
            .iter()
            .filter(move |l| l.question == question && (l.constructs.is_empty() || l.constructs.contains(&construct)))
    }
}

//! Findings that shift causes stress does not drive: hazard ratios, each applied once and told in words.
//!
//! A ratio is drawn log-normally from its interval, shrunk towards 1 by half on the log scale where it was read for another construct or
//! material, and centred on the studies' mix: their restorations are taken to have had the finding in a share of cases drawn between 5 and
//! 40 of 100 (common practice, no source). Ratios of retention and ferrule stand in `data/hold_rules.csv`, others in `data/risk_factors.csv`.

use crate::candidates::Candidate;
use answer::{Draws, Provenance, World};
use case::Case;
use case::parts::Abutment;
use case::words::{DryField, Pulp};
use catalogue::words::{Cause, Construct, ToothClass};
use catalogue::{Catalogue, Fact};

/// Hazard ratios of a case by cause (per draw, centred), the findings in words, and what they rest on.
pub fn hazard_ratios(
    world: &World,
    case: &Case,
    candidate: &Candidate,
    catalogue: &Catalogue,
) -> (Vec<(String, Draws)>, Vec<String>, Provenance) {
    let mut found = Found { world, ratios: Vec::new(), words: Vec::new(), provenance: Provenance::default() };
    let abutments: Vec<&Abutment> = candidate.abutments.iter().filter_map(|&t| case.abutment(t)).collect();
    let rule = |id: &str| {
        catalogue.hold_rule(id).filter(|r| r.constructs.is_empty() || r.constructs.contains(&candidate.construct))
    };
    let difficult = case.mouth.dry_field == Some(DryField::WithDifficulty);
    if let Some(r) = rule("dry_field_difficult_factor").filter(|_| difficult) {
        found.add("dry field only with difficulty", &[Cause::Debonding], &r.fact, 1.0);
    }
    let short = abutments.iter().any(|a| a.wall_mm.is_some_and(|w| w < wall_rule(a)));
    if let Some(r) = rule("short_wall_factor").filter(|_| short) {
        found.add("short walls", &[Cause::Debonding], &r.fact, 1.0);
    }
    let wide = abutments.iter().any(|a| a.convergence_degrees.is_some_and(|c| c > 20.0));
    if let Some(r) = rule("wide_taper_factor").filter(|_| wide) {
        found.add("wide taper", &[Cause::Debonding], &r.fact, 1.0);
    }
    let root_filled = abutments.iter().any(|a| a.pulp == Some(Pulp::RootFilled));
    let no_ferrule = abutments
        .iter()
        .any(|a| a.pulp == Some(Pulp::RootFilled) && a.ferrule.is_some_and(|f| f.millimetres().1 < 1.5));
    if let Some(r) = rule("no_ferrule_factor").filter(|_| no_ferrule) {
        found.add("short ferrule on a root-filled tooth", &[Cause::ToothFracture], &r.fact, 1.0);
    }
    if root_filled {
        read_factor(&mut found, catalogue, candidate, "non-vital", "root-filled tooth");
    }
    if case.mouth.smoking == Some(true) {
        read_factor(&mut found, catalogue, candidate, "smoking", "smoking");
    }
    (found.ratios, found.words, found.provenance)
}

/// Height of wall asked for (Goodacre 2001): 4 mm for molars, 3 mm otherwise.
pub fn wall_rule(abutment: &Abutment) -> f64 {
    if abutment.tooth.class() == ToothClass::Molar { 4.0 } else { 3.0 }
}

/// The first usable ratio read for a factor, its own construct before others.
fn read_factor(found: &mut Found<'_>, catalogue: &Catalogue, candidate: &Candidate, factor: &str, words: &str) {
    let rows: Vec<_> = catalogue.risk_factors().iter().filter(|r| r.factor.contains(factor)).collect();
    let own = |c: Construct| rows.iter().find(|r| r.constructs.contains(&c));
    let Some(row) = own(candidate.construct).or(rows.first()) else { return };
    let direct = row.constructs.contains(&candidate.construct)
        && (row.materials.is_empty() || row.materials.contains(&candidate.material));
    let biological = [Cause::Caries, Cause::Endodontic, Cause::ToothFracture, Cause::Debonding, Cause::Other];
    let causes: Vec<Cause> = if row.causes.is_empty() {
        biological.to_vec()
    } else {
        row.causes.iter().copied().filter(|c| !c.is_stress_driven()).collect()
    };
    let borrowed = if direct { String::new() } else { ", borrowed from another construct or material".to_owned() };
    found.add(&format!("{words}{borrowed}"), &causes, &row.fact, if direct { 1.0 } else { 0.5 });
}

struct Found<'a> {
    world: &'a World,
    ratios: Vec<(String, Draws)>,
    words: Vec<String>,
    provenance: Provenance,
}

impl Found<'_> {
    fn add(&mut self, words: &str, causes: &[Cause], fact: &Fact, keep: f64) {
        let (middle, low, high) =
            (fact.figure.middle().max(1e-3), fact.figure.low.max(1e-3), fact.figure.high.max(1e-3));
        // 95 % interval: 3.92 standard deviations of the logarithm.
        let sd = ((high / low).ln() / 3.92).max(0.0);
        let field = format!("evidence/factor/{}", fact.id);
        let ln = self.world.normal(&field, keep * middle.ln(), sd);
        let share = self.world.between(&format!("{field}/share"), 0.05, 0.40);
        let centred = ln.zip(&share, |ln, share| {
            let ratio = ln.exp();
            ratio / (1.0 - share + share * ratio)
        });
        for cause in causes {
            self.ratios.push((cause.word().to_owned(), centred.clone()));
        }
        let list: Vec<&str> = causes.iter().map(|c| c.label()).collect();
        self.words.push(format!("{words} shifts {} by about {:.1}", list.join(", "), centred.mean()));
        fact.sources.iter().for_each(|s| self.provenance.add(s.clone(), fact.basis));
    }
}

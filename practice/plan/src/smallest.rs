//! Smallest connector and thinnest chewing wall that keep the risk of framework fracture under a level, for each material; what half a step more is
//! worth, what a rounder embrasure and a guard are worth, and which unknown drives the risk.
//!
//! The risk is the plan's own: pooled fracture as the level, mechanics as the change (docs/methods/strength.md, Anchoring). A dimension is tried over a
//! ladder; the smallest that keeps the mean risk under the level is found between its rungs by bisection, since risk falls with every dimension.
//! Materials of which patients tell nothing get no number. Drivers are ranges (the risk of patients who bite at the 5 and 95 % of what is not known
//! of this one, of pieces made a standard deviation smaller or larger, of the 5 and 95 % of what the studies leave open) with their share of the variance of ln hazard.

use crate::anchoring::Anchoring;
use crate::bite::Bite;
use crate::candidates::{Candidate, candidates};
use crate::dimensions::Dimensions;
use crate::mechanics::{Bodies, StressPerNewton, stress};
use crate::planned::Planned;
use crate::risks::Risks;
use crate::spread_bite::{SpreadBite, spread_bite};
use crate::unknowns::Unknowns;
use answer::{Draws, Interval, World, six_figures};
use case::Case;
use catalogue::Catalogue;
use catalogue::words::{Cause, Process};
use evidence::Posterior;
use rayon::prelude::*;
use serde::Serialize;
use std::sync::Arc;
use strength::RiskTable;

/// What is varied.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum Varied {
    /// Height of the connector; its width stays.
    ConnectorHeight,
    /// Thickness of the chewing wall.
    ChewingWall,
}

impl Varied {
    /// Sizes tried, mm.
    fn ladder(self) -> Vec<f64> {
        let (low, high, rungs) = match self {
            Self::ConnectorHeight => (1.5, 7.0, 23),
            Self::ChewingWall => (0.3, 2.5, 23),
        };
        (0..rungs).map(|i| low + (high - low) * f64::from(i) / f64::from(rungs - 1)).collect()
    }

    fn of(self, dimensions: &Dimensions, size: f64) -> Dimensions {
        match self {
            Self::ConnectorHeight => dimensions.with_connector(|c| c.height = size),
            Self::ChewingWall => dimensions.with_wall(size),
        }
    }

    fn planned(self, dimensions: &Dimensions) -> Option<(f64, Option<f64>)> {
        match self {
            Self::ConnectorHeight => dimensions.connector.map(|c| (c.height, Some(c.least_height))),
            Self::ChewingWall if dimensions.connector.is_some() => None,
            Self::ChewingWall => dimensions.occlusal().map(|t| (t, dimensions.minimum("occlusal"))),
        }
    }
}

/// What is asked.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct SmallestAsked {
    /// What is varied.
    pub varied: Varied,
    /// Highest mean risk of fracture allowed, 0 to 1.
    pub level: f64,
    /// By which year (5, 10 or 15).
    pub year: f64,
}

/// One unknown, and the risk at its two ends.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Driver {
    /// In plain words.
    pub what: String,
    /// Mean risk at the gentle end.
    pub low: f64,
    /// Mean risk at the harsh end.
    pub high: f64,
    /// Share of the variance of ln hazard that it brings, 0 to 1; all drivers sum to 1.
    pub share: f64,
}

/// The answer for one option.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct SmallestFound {
    /// Option.
    pub id: String,
    /// Its title.
    pub title: String,
    /// Size planned, mm.
    pub planned: f64,
    /// Tested minimum, mm, where there is one.
    pub tested_minimum: Option<f64>,
    /// Risk as planned.
    pub risk: Option<Interval>,
    /// Size (mm) and risk over the ladder.
    pub ladder: Vec<(f64, Interval)>,
    /// Smallest size that keeps the level, mm; `None` where no size tried does.
    pub smallest: Option<f64>,
    /// True when even the smallest size tried keeps it.
    pub below_ladder: bool,
    /// Mean risks as planned, and with 0.3 mm more, a wider embrasure (0.25 to 0.60 mm radius), a guard.
    pub worth: Vec<(String, f64)>,
    /// What a bite on several places of the wall is worth, where a wall is varied.
    pub spread_bite: Option<SpreadBite>,
    /// Unknowns, the widest first.
    pub drivers: Vec<Driver>,
    /// Why there is no number.
    pub not_known: Option<String>,
}

/// For every option that has the dimension, in the order of their titles.
pub fn smallest(
    world: &World,
    case: &Case,
    catalogue: &Catalogue,
    posterior: &Posterior,
    asked: &SmallestAsked,
) -> Vec<SmallestFound> {
    let fewer = posterior.thinned(world.draws());
    let posterior = if world.draws() < posterior.draws() { &fewer } else { posterior };
    let desk = Desk::of(world, case, catalogue, posterior, asked.year);
    let mut found: Vec<SmallestFound> =
        candidates(case, catalogue).par_iter().filter_map(|c| desk.answer(c, asked)).collect();
    found.sort_by(|a, b| a.title.cmp(&b.title).then(a.id.cmp(&b.id)));
    found
}

/// What every option is computed with.
pub(crate) struct Desk<'a> {
    world: &'a World,
    case: &'a Case,
    catalogue: &'a Catalogue,
    posterior: &'a Posterior,
    pub(crate) bite: Bite,
    anchoring: Anchoring,
    bodies: Bodies,
    year: f64,
}

impl<'a> Desk<'a> {
    /// With evidence of as many draws as the world has.
    pub(crate) fn of(
        world: &'a World,
        case: &'a Case,
        catalogue: &'a Catalogue,
        posterior: &'a Posterior,
        year: f64,
    ) -> Self {
        Self {
            world,
            case,
            catalogue,
            posterior,
            bite: Bite::of(world, case, catalogue),
            anchoring: Anchoring::of(world, Arc::new(RiskTable::default())),
            bodies: Bodies::default(),
            year,
        }
    }

    fn answer(&self, candidate: &Candidate, asked: &SmallestAsked) -> Option<SmallestFound> {
        let dimensions = Dimensions::of(self.case, candidate, self.catalogue);
        let (planned, tested_minimum) = asked.varied.planned(&dimensions)?;
        let mut found = SmallestFound {
            id: candidate.id(),
            title: candidate.title(),
            planned,
            tested_minimum,
            risk: None,
            ladder: Vec::new(),
            smallest: None,
            below_ladder: false,
            worth: Vec::new(),
            spread_bite: None,
            drivers: Vec::new(),
            not_known: None,
        };
        let risk = match self.risk(candidate, &dimensions, &self.bite) {
            Ok(risk) => risk,
            Err(why) => {
                found.not_known = Some(why);
                return Some(found);
            }
        };
        let at = |size: f64| self.risk(candidate, &asked.varied.of(&dimensions, size), &self.bite).ok();
        found.ladder =
            asked.varied.ladder().into_iter().filter_map(|s| Some((s, at(s)?.interval().rounded()))).collect();
        found.smallest = first_under(&found.ladder, asked.level, |size| at(size).map(|d| d.mean()));
        found.below_ladder = found.ladder.first().is_some_and(|l| l.1.mean <= asked.level);
        found.worth = self.worth(candidate, &dimensions, asked.varied, planned, risk.mean());
        if asked.varied == Varied::ChewingWall {
            found.spread_bite = spread_bite(self.planned(candidate, &dimensions), &self.bodies);
        }
        found.drivers = self.drivers(candidate, &dimensions, asked.varied, planned, &risk);
        found.risk = Some(risk.interval().rounded());
        Some(found)
    }

    fn planned<'b>(&'b self, candidate: &'b Candidate, dimensions: &'b Dimensions) -> Planned<'b> {
        Planned { world: self.world, case: self.case, candidate, dimensions, catalogue: self.catalogue }
    }

    pub(crate) fn stress(&self, candidate: &Candidate, dimensions: &Dimensions) -> Option<StressPerNewton> {
        stress(self.planned(candidate, dimensions), &self.bodies)
    }

    /// All risks of an option, where its fracture is known.
    pub(crate) fn risks(&self, candidate: &Candidate, stress: &StressPerNewton, bite: &Bite) -> Result<Risks, String> {
        let risks = Risks::of(
            self.world,
            self.case,
            candidate,
            self.catalogue,
            self.posterior,
            bite,
            Some(stress),
            &self.anchoring,
        );
        if risks.fracture_not_known() {
            return Err(format!("patients tell nothing of the fracture of {} here", candidate.material.label()));
        }
        Ok(risks)
    }

    /// Risk of framework fracture by the year asked.
    fn risk(&self, candidate: &Candidate, dimensions: &Dimensions, bite: &Bite) -> Result<Draws, String> {
        let stress =
            self.stress(candidate, dimensions).ok_or_else(|| "its stress or strength is not computed".to_owned())?;
        Ok(self.risks(candidate, &stress, bite)?.crude(Cause::FrameworkFracture, Process::Loss, self.year))
    }

    fn worth(
        &self,
        candidate: &Candidate,
        dimensions: &Dimensions,
        varied: Varied,
        planned: f64,
        now: f64,
    ) -> Vec<(String, f64)> {
        let mut list = vec![("as planned".to_owned(), now)];
        let mut add = |what: &str, dimensions: &Dimensions, bite: &Bite| {
            if let Ok(risk) = self.risk(candidate, dimensions, bite) {
                list.push((what.to_owned(), risk.mean()));
            }
        };
        add("0.3 mm more", &varied.of(dimensions, planned + 0.3), &self.bite);
        if planned >= 0.5 {
            add("0.3 mm less", &varied.of(dimensions, planned - 0.3), &self.bite);
        }
        if dimensions.connector.is_some() {
            for radius in [0.25, 0.6] {
                let other = dimensions.with_connector(|c| c.radius = radius);
                add(&format!("embrasures of {radius:.2} mm radius"), &other, &self.bite);
            }
            let turned = dimensions.with_connector(|c| (c.height, c.width) = (1.1 * c.height, c.width / 1.1));
            add("a tenth higher and as much narrower: the same area", &turned, &self.bite);
        }
        for (worn, what) in [(true, "a guard worn"), (false, "no guard worn")] {
            let mut case = self.case.clone();
            case.mouth.guard_worn = Some(worn);
            add(what, dimensions, &Bite::of(self.world, &case, self.catalogue));
        }
        list
    }

    /// The unknowns with the risk at their ends.
    fn drivers(
        &self,
        candidate: &Candidate,
        dimensions: &Dimensions,
        varied: Varied,
        planned: f64,
        risk: &Draws,
    ) -> Vec<Driver> {
        let Some(stress) = self.stress(candidate, dimensions) else { return Vec::new() };
        let Some(shares) = Unknowns::of(&self.bite, &stress, risk) else { return Vec::new() };
        let mut list = Vec::new();
        let ninety = 1.645 * self.bite.case_sd;
        let biting = |shift: f64| {
            let bite = Bite { case: self.bite.case.map(|f| f + shift), case_sd: 0.0, ..self.bite.clone() };
            self.risk(candidate, dimensions, &bite).map(|r| r.mean())
        };
        if let (Ok(low), Ok(high)) = (biting(-ninety), biting(ninety)) {
            let what = if self.case.mouth.bite_force_n.is_some() {
                "the measured bite's own error"
            } else {
                "the bite, which was not measured"
            };
            list.push(Driver { what: what.to_owned(), low, high, share: six_figures(shares.bite) });
        }
        let made = |by: f64| self.risk(candidate, &varied.of(dimensions, planned * by), &self.bite).map(|r| r.mean());
        if let (Ok(low), Ok(high)) = (made(1.08), made(1.0 / 1.08)) {
            let what = "how closely the laboratory keeps the dimension".to_owned();
            list.push(Driver { what, low, high, share: six_figures(shares.made) });
        }
        let told = risk.interval();
        let what = "how little the studies tell".to_owned();
        // What no draw of bite or make is in: pooled level, population's level, surface, strength.
        list.push(Driver { what, low: told.low, high: told.high, share: six_figures(shares.studies) });
        list.sort_by(|a, b| b.share.total_cmp(&a.share));
        list
    }
}

/// The smallest size whose mean is at most the level: the first rung that keeps it, then halves of the step below.
fn first_under(ladder: &[(f64, Interval)], level: f64, mean: impl Fn(f64) -> Option<f64>) -> Option<f64> {
    let i = ladder.iter().position(|l| l.1.mean <= level)?;
    let mut high = ladder[i].0;
    if i == 0 {
        return Some(high);
    }
    let mut low = ladder[i - 1].0;
    // To 0.01 mm: finer than anything can be made.
    while high - low > 0.01 {
        let middle = 0.5 * (low + high);
        if mean(middle)? <= level { high = middle } else { low = middle }
    }
    Some(high)
}

//! The one question *will it break* of an option with other dimensions, in a few milliseconds: for dragging a connector or a wall.
//!
//! The same mechanics, evidence and anchoring as the plan, nothing else: no colour, tooth or cost ([`crate::Workbench`] answers all six). Made once a case, asked often;
//! bodies asked for before are looked up.

use crate::candidates::{Candidate, candidates};
use crate::curve::{RiskOverYears, YEARS};
use crate::dimensions::Dimensions;
use crate::report::Curve;
use crate::smallest::Desk;
use crate::trial::Tried;
use answer::{Interval, World};
use case::Case;
use catalogue::Catalogue;
use catalogue::words::{Cause, Process};
use evidence::Posterior;
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

/// Fracture of an option with the dimensions tried.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct FractureTried {
    /// Option.
    pub option: String,
    /// Risk of framework fracture over the years, with its band.
    pub curve: Curve,
    /// Risk by ten years.
    pub ten_years: Interval,
    /// Stress over that of the studies' restorations.
    pub stress_ratio: Option<Interval>,
    /// How the stress was found, in words.
    pub by: String,
}

/// A case whose options are tried. The posterior given must have as many draws as the world ([`Posterior::thinned`]); 256 follow a hand.
pub struct Breaking<'a> {
    desk: Desk<'a>,
    case: &'a Case,
    catalogue: &'a Catalogue,
    list: Vec<Candidate>,
}

impl<'a> Breaking<'a> {
    /// Of a case.
    pub fn of(world: &'a World, case: &'a Case, catalogue: &'a Catalogue, posterior: &'a Posterior) -> Self {
        let desk = Desk::of(world, case, catalogue, posterior, 10.0);
        Self { desk, case, catalogue, list: candidates(case, catalogue) }
    }

    /// Ids of the options.
    pub fn options(&self) -> impl Iterator<Item = String> + '_ {
        self.list.iter().map(Candidate::id)
    }

    /// Fracture of an option with other dimensions; `None` where the case has no such option.
    ///
    /// # Errors
    /// In plain words, why there is no number: nothing brittle carries the load, no strength or no patients are known, or a dimension that none can have.
    pub fn tried(&self, option: &str, tried: &Tried) -> Option<Result<FractureTried, String>> {
        let candidate = self.list.iter().find(|c| c.id() == option)?;
        Some(self.of_candidate(candidate, tried))
    }

    fn of_candidate(&self, candidate: &Candidate, tried: &Tried) -> Result<FractureTried, String> {
        let asked = [
            ("thickness", tried.thickness),
            ("height of the connector", tried.connector_height),
            ("width of the connector", tried.connector_width),
            ("radius of the embrasure", tried.connector_radius),
        ];
        for (what, size) in asked {
            if let Some(mm) = size.filter(|mm| !(0.05..=20.0).contains(mm)) {
                return Err(format!("the {what} is {mm} mm; expected 0.05 to 20 mm"));
            }
        }
        let mut dimensions = Dimensions::of(self.case, candidate, self.catalogue).with_connector(|c| {
            c.height = tried.connector_height.unwrap_or(c.height);
            c.width = tried.connector_width.unwrap_or(c.width);
            c.radius = tried.connector_radius.unwrap_or(c.radius);
        });
        if let Some(thickness) = tried.thickness {
            dimensions = dimensions.with_wall(thickness);
        }
        let stress = self
            .desk
            .stress(candidate, &dimensions)
            .ok_or_else(|| "nothing brittle carries the load, or its strength is not known".to_owned())?;
        let risks = self.desk.risks(candidate, &stress, &self.desk.bite)?;
        let over_years =
            RiskOverYears(YEARS.iter().map(|y| risks.crude(Cause::FrameworkFracture, Process::Loss, *y)).collect());
        let prediction = &risks.prediction;
        Ok(FractureTried {
            option: candidate.id(),
            ten_years: over_years.by(10.0).interval().rounded(),
            curve: over_years.printed(prediction.longest_follow_up, prediction.arms, prediction.unit_years),
            stress_ratio: risks.stress_ratio.as_ref().map(|r| r.interval().rounded()),
            by: stress.engine.words(),
        })
    }
}

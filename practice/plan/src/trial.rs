//! One option tried with other dimensions, as fast as a hand drags: the same engines as the plan, for one option and fewer draws.
//!
//! What does not change between two trials of a case (teeth, bodies, mean risks, what is seen beneath) is kept in a [`Workbench`]. A trial changes working
//! dimensions and the taper only; the evidence, the bite and the person stay. It ranks nothing.

use crate::answers::Found;
use crate::candidates::candidates;
use crate::dimensions::Dimensions;
use crate::lose::ShownTeeth;
use crate::plan::PlanError;
use crate::report::{Curve, QuestionAnswer};
use crate::shared::{Kept, Shared};
use crate::show::Scene;
use answer::{Interval, World};
use case::{Abutment, Case};
use catalogue::Catalogue;
use evidence::Posterior;
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};
use std::sync::{Arc, Mutex};

/// Draws of a trial: an interval of a risk is then known to a fiftieth, and a drag is followed.
const DRAWS: usize = World::DRAWS / 8;

/// Dimensions tried; what is left out stays as planned.
#[derive(Debug, Clone, Copy, PartialEq, Default, Serialize, Deserialize, JsonSchema)]
pub struct Tried {
    /// Thickness of the chewing wall, mm.
    #[serde(default)]
    pub thickness: Option<f64>,
    /// Total convergence of opposite walls, degrees.
    #[serde(default)]
    pub taper: Option<f64>,
    /// Height of the connector, mm.
    #[serde(default)]
    pub connector_height: Option<f64>,
    /// Width of the connector, mm.
    #[serde(default)]
    pub connector_width: Option<f64>,
    /// Radius of the embrasure, mm.
    #[serde(default)]
    pub connector_radius: Option<f64>,
}

/// Dimensions as they stand in a trial.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct Standing {
    /// Thickness of the chewing wall, mm.
    pub thickness: Option<f64>,
    /// Its tested minimum, mm.
    pub least_thickness: Option<f64>,
    /// Total convergence, degrees, where it was given or tried.
    pub taper: Option<f64>,
    /// Height, width (mm) and embrasure radius (mm) of the connector.
    pub connector: Option<[f64; 3]>,
    /// Tested minimum of its height, mm, and of its area, mm2.
    pub least_connector: Option<[f64; 2]>,
}

/// What follows from the dimensions tried.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct Trial {
    /// The option.
    pub option: String,
    /// Its title.
    pub title: String,
    /// The dimensions that were computed with.
    pub dimensions: Standing,
    /// The six answers.
    pub questions: Vec<QuestionAnswer>,
    /// Risk of loss over the years.
    pub curve: Curve,
    /// Risk of something done again over the years.
    pub again: Curve,
    /// Stress against that of the studies' restorations, where mechanics has a say.
    pub stress_ratio: Option<Interval>,
    /// Draws it was computed with.
    pub draws: usize,
}

/// What is kept between trials.
pub struct Workbench {
    world: World,
    posterior: Posterior,
    kept: Kept,
    /// The case last tried, as it stood before, with its wish and backings: neither follows dimensions or taper.
    scene: Mutex<Option<(Case, Arc<Scene>)>>,
}

impl Workbench {
    /// With the pooled evidence, of which an evenly spaced part answers; teeth as scanned where they were.
    pub fn new(posterior: &Posterior, shown: Arc<ShownTeeth>) -> Self {
        let world = World::with_draws(1, DRAWS);
        Self {
            world,
            posterior: posterior.thinned(DRAWS),
            kept: Kept { shown, ..Kept::default() },
            scene: Mutex::default(),
        }
    }

    /// True when this very case was tried last, so that the next trial of it is a quick one.
    pub fn knows(&self, case: &Case) -> bool {
        self.kept(case).scene.is_some()
    }

    /// What is kept for a case; a poisoned lock means another trial stopped: this one does without.
    fn kept(&self, case: &Case) -> Kept {
        let last = self.scene.lock().ok();
        let scene = last.and_then(|l| l.as_ref().filter(|(known, _)| known == case).map(|(_, scene)| scene.clone()));
        Kept { scene, ..self.kept.clone() }
    }

    fn keep(&self, case: &Case, scene: &Arc<Scene>) {
        if let Ok(mut last) = self.scene.lock() {
            *last = Some((case.clone(), scene.clone()));
        }
    }

    /// An option of the case with other dimensions; `None` where the case has no such option.
    ///
    /// # Errors
    /// [`PlanError::Colour`] when a colour given cannot be.
    pub fn tried(
        &self,
        case: &Case,
        catalogue: &Catalogue,
        option: &str,
        tried: &Tried,
    ) -> Result<Option<Trial>, PlanError> {
        let Some(candidate) = candidates(case, catalogue).into_iter().find(|c| c.id() == option) else {
            return Ok(None);
        };
        let (asked, mut case) = (case, case.clone());
        if let Some(degrees) = tried.taper {
            candidate
                .abutments
                .iter()
                .for_each(|tooth| abutment(&mut case, *tooth).convergence_degrees = Some(degrees));
        }
        let dimensions = with(Dimensions::of(&case, &candidate, catalogue), tried);
        let shared = Shared::of(self.world, &case, catalogue, &self.posterior, self.kept(asked))?;
        if shared.kept.scene.is_none() {
            self.keep(asked, &shared.scene);
        }
        let one = shared.compute_with(candidate, dimensions);
        let found = Found {
            world: &shared.world,
            case: &case,
            candidate: &one.candidate,
            catalogue,
            risks: &one.risks,
            stress: one.stress.as_ref(),
            beside: &one.beside,
            shown: one.shown.as_ref(),
            lost: &one.lost,
            cost: one.cost.as_ref(),
        };
        let prediction = &one.risks.prediction;
        let curve = |risk: crate::curve::RiskOverYears| {
            risk.printed(prediction.longest_follow_up, prediction.arms, prediction.unit_years)
        };
        let taper = one.candidate.abutments.iter().find_map(|t| case.abutment(*t)?.convergence_degrees);
        Ok(Some(Trial {
            option: one.candidate.id(),
            title: one.candidate.title(),
            dimensions: standing(&one.dimensions, taper),
            questions: found.answers(),
            curve: curve(one.risks.loss()),
            again: curve(one.risks.complication()),
            stress_ratio: one.risks.stress_ratio.as_ref().map(|r| r.interval().rounded()),
            draws: self.world.draws(),
        }))
    }
}

fn with(planned: Dimensions, tried: &Tried) -> Dimensions {
    let mut dimensions = planned.with_connector(|c| {
        c.height = tried.connector_height.unwrap_or(c.height);
        c.width = tried.connector_width.unwrap_or(c.width);
        c.radius = tried.connector_radius.unwrap_or(c.radius);
    });
    if let Some(thickness) = tried.thickness {
        // The wall that carries, and what is cut for it.
        dimensions = dimensions.with_working("occlusal", thickness).with_wall(thickness);
    }
    dimensions
}

fn standing(dimensions: &Dimensions, taper: Option<f64>) -> Standing {
    Standing {
        thickness: dimensions.occlusal(),
        least_thickness: dimensions.minimum("occlusal"),
        taper,
        connector: dimensions.connector.map(|c| [c.height, c.width, c.radius]),
        least_connector: dimensions.connector.map(|c| [c.least_height, c.least_area]),
    }
}

/// The state of a tooth, begun if nothing was said of it.
fn abutment(case: &mut Case, tooth: catalogue::words::Tooth) -> &mut Abutment {
    let i = case.abutments.iter().position(|a| a.tooth == tooth).unwrap_or_else(|| {
        case.abutments.push(Abutment::unanswered(tooth));
        case.abutments.len() - 1
    });
    &mut case.abutments[i]
}

//! From a case to a ranked plan: gates, options, six questions, four criteria, one order.
//!
//! Entry points: [`plan()`] makes a [`Report`] of a case, [`plan_together`] of several that must match; [`rank()`] is the ranking alone; [`shipped_posterior`] and [`refit`] are the
//! evidence. Knows nothing of disks, clocks and papers: what day it is comes in, the report goes out.
//!
//! | step | files |
//! | --- | --- |
//! | what may be done | `gates`, `candidates`, `alternatives`, `dimensions`, `stops` |
//! | will it last, will it break | `arms`, `own`, `factors`, `bite`, `loads`, `mechanics`, `walls`, `surfaces`, `planned`, `beside` (`yields`, `fired`, `margin`, `wings`), `anchoring`, `kin`, `risks`, `unknowns`, `curve`, `failures` |
//! | will it show, what is lost, what does it cost | `show`, `lose`, `made_teeth`, `cost` |
//! | in words | `answers`, `odds`, `sentence` |
//! | one order | `criteria`, `trades`, `rank`, `shares`, `shared`, `set` |
//! | the report | `plan`, `printed`, `assemble`, `report` |
//! | what keeps a risk under a level, what follows from other dimensions, stress of its own form | `smallest` (`spread_bite`), `trial`, `full` |
//! | why a number | `why` |
//! | what would change it, what speaks against it | `search`, `probes`, `changes`, `against` |

mod against;
mod alternatives;
mod anchoring;
mod answers;
mod arms;
mod assemble;
mod beside;
mod bite;
mod breaking;
mod candidates;
mod changes;
mod cost;
mod criteria;
mod curve;
mod dimensions;
mod factors;
mod failures;
mod fired;
mod full;
mod gates;
mod kin;
mod loads;
mod lose;
mod made_teeth;
mod margin;
mod mechanics;
pub mod odds;
mod own;
mod plan;
mod planned;
mod printed;
mod probes;
mod rank;
mod report;
mod risks;
mod search;
mod sentence;
mod set;
mod shared;
mod shares;
mod show;
mod smallest;
mod spread_bite;
mod stops;
mod surfaces;
mod trades;
mod trial;
mod unknowns;
mod walls;
mod why;
mod wings;
mod yields;

pub use against::{case_against, chosen};
pub use arms::{BrokenPosterior, arms, is_current, model, refit, shipped_posterior};
pub use breaking::{Breaking, FractureTried};
pub use full::{
    BiteStress, CELL as FULL_CELL, FullAsked, FullError, FullFound, FullWork, STAGES as FULL_STAGES, colours_end, full,
};
pub use lose::{LeastOption, ShownTeeth, least};
pub use own::{OWN, OwnEvidence, before_and_after, is_own, own_groups, with_own_results};
pub use plan::{Fidelity, PlanError, Settings, plan, plan_together};
pub use rank::{Acceptability, Scale, Valued, WEIGHTS_PER_DRAW, Weighing, rank};
pub use report::*;
pub use show::{ColourChance, ColourDetail, Likeness, Masking, NoColour, SmileMatch, UnderLight, own_medium};
pub use smallest::{Driver, SmallestAsked, SmallestFound, Varied, smallest};
pub use spread_bite::SpreadBite;
pub use surfaces::{BrokenSurfaces, COLUMNS as SURFACE_COLUMNS, FRESH, Solved, Surfaces, solved};
pub use trades::weights_from_trades;
pub use trial::{Standing, Trial, Tried, Workbench};
pub use unknowns::Unknowns;
pub use why::{Input, Symbol, Why, why};

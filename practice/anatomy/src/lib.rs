//! Teeth, what a preparation takes from them, and what is built on them: forms of every tooth from published sizes, the largest
//! stump that leaves a restoration its room, answered per draw of `World`.
//!
//! | file | idea |
//! | --- | --- |
//! | `size` | average sizes of one tooth, mm |
//! | `form` | the outer form of a tooth as a solid: profiles by side, ridges and cusps |
//! | `pulp`, `chamber` | where the pulp begins under each surface and how age moves it; the pulp as a solid |
//! | `block` | the average tooth on a lattice: depth, surface, enamel, distance to the pulp at every place |
//! | `standing` | one standing tooth in every draw: sizes, finish line, wear, enamel, pulp |
//! | `wished` | the outer form scaled to a sound neighbour |
//! | `needs` | the thickness a restoration needs on each surface, less the space there already is |
//! | `stump` | the largest stump for the needs, path and taper |
//! | `reduction` | crown less stump: share, depths, enamel and dentine left, wall height, bonding area |
//! | `flat` | a preparation in one plane, as fast as a hand drags it |
//! | `designed` | a restoration as designed: thickness by surface, thin spots, connectors |
//! | `room` | span of a gap and room for a connector |
//!
//! Knows nothing of materials, studies or colours, and touches no disk. Method, checks and limits: `docs/methods/anatomy.md`.

mod arch;
mod block;
mod body;
mod built;
mod chamber;
mod compare;
mod cut_measures;
mod designed;
mod enamel;
mod flat;
mod form;
mod needs;
mod parts;
mod path;
mod preparation;
mod pulp;
mod reduction;
mod room;
mod scan;
mod side;
mod size;
mod slice;
mod standing;
mod stump;
mod unit;
mod unit_joined;
mod wished;

pub use arch::{Arch, Seat, is_mirrored};
pub use block::Shown;
pub use body::{Formula, LatticeBody, Mirrored, Part};
pub use built::{
    Abutment, Connector, Core, Layers, Pontic, PonticForm, Recess, endocrown, endocrown_preparation, implant_crown,
    layered, retainer, wall_left,
};
pub use compare::{Allowed, Checked, ZoneCheck, allows, check};
pub use cut_measures::{CutMeasures, Depth, measured};
pub use designed::{DesignNeeds, ThinSpot, ZoneThickness, connectors, crown_thickness, unit_thickness};
pub use flat::{FlatCut, FlatTooth};
pub use form::{ROOT_STUB, ToothForm};
pub use needs::Needs;
pub use parts::ToothParts;
pub use path::{CommonPath, NoCommonPath, PathCost, common_path};
pub use preparation::{Design, Preparation, direction};
pub use reduction::Reduction;
pub use room::{ConnectorRoom, connector_room, span};
pub use scan::{
    FilledScan, FittedScan, Rims, ScanFault, Unit as ScanUnit, fit_scan, in_the_same_frame, place_preparation, unit_of,
};
pub use size::{SizeError, ToothSize};
pub use slice::{Cutting, DepthMap, Outlines, area};
pub use standing::{Seen, StandingTooth};
pub use unit::{BuiltConnector, Role, Unit, UnitDesign, UnitError, UnitPart};
pub use unit_joined::Unjoined;
pub use wished::{Neighbour, beside_neighbour, size_beside};

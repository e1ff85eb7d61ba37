//! Facts and words of the trade, compiled in: what a tooth, a material, a build, a construct and a cause of failure are called,
//! and what is known of each, row by row with its source.
//!
//! Entry points: [`words`]; [`Catalogue::shipped`] and [`Catalogue::with_own`] (a practice's rows over the shipped ones); then one
//! typed look-up an idea. Every figure is a [`Fact`] that names its row and sources.
//!
//! Knows nothing of a particular patient and touches no disk: the tables are compiled in, a practice's own come as text.

mod catalogue;
mod colours;
mod design_rules;
mod economics;
mod fact;
mod failures;
mod forms;
mod guidelines;
mod index;
mod iso_classes;
mod limits;
mod materials;
mod mechanical;
mod media;
mod needs;
mod optics;
mod order_items;
mod own_colours;
mod protocols;
mod shipped;
mod sources;
mod studies;
mod teeth;
mod values;
pub mod words;

pub use table::Range;

pub use catalogue::Catalogue;
pub use colours::{ColourLimits, GradeRow, SubstrateRow, Threshold, ToothColour};
pub use design_rules::DesignRule;
pub use economics::EconomicFact;
pub use fact::Fact;
pub use failures::{ConsequenceRow, HoldRule, RiskFactor};
pub use forms::{BySide, CrownForm, Ridge};
pub use guidelines::{Guideline, Validity};
pub use index::TableSummary;
pub use iso_classes::IsoClass;
pub use limits::{StopAction, StopRow, VerdictRow};
pub use materials::{Load, MaterialClass};
pub use mechanical::MechanicalRow;
pub use media::MediumRow;
pub use needs::Need;
pub use optics::OpticalRow;
pub use order_items::OrderItem;
pub use own_colours::{OwnColour, OwnKind};
pub use protocols::ProtocolStep;
pub use studies::{CauseCounts, Study};
pub use teeth::ToothDimensions;
pub use values::{Criterion, Values};

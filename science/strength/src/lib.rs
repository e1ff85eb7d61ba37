//! From a load to years: stress of simple bodies by closed forms and of any bodies by finite elements ([`solve`] on [`multigrid`]), what it leaves of a brittle or ductile part, and the anchoring of
//! that on observed failure rates.
//!
//! - a field becomes a [`StressSpectrum`]: surface by principal stress, per newton ([`neck`], [`plate`], [`disk`], [`rim`]; [`contact`] gives single values);
//! - a spectrum and a Weibull modulus give the equivalent stress s_W ([`spectrum`]), a test specimen likewise ([`specimen`]);
//! - slow crack growth folds years of loading into one strength demand ([`fatigue`], [`lifetime`]); ductile parts yield ([`yielding`]); layers that froze together keep stress ([`cooling`]); strips peel ([`peel`]); cracks are driven on ([`splitting`]);
//! - observed risks set the level, mechanics the change ([`anchor`]).
//!
//! Lengths in mm, forces in N, stresses and moduli in MPa, times in s unless a name says years. No state.

pub mod anchor;
pub mod beam;
pub mod contact;
pub mod cooling;
pub mod designs;
pub mod disk;
mod error;
pub mod fatigue;
pub mod lifetime;
pub mod multigrid;
pub mod neck;
pub mod notch;
pub mod peel;
pub mod plate;
mod points;
pub mod rim;
mod risk_table;
pub mod solve;
pub mod specimen;
pub mod spectrum;
pub mod splitting;
pub mod surface;
pub mod weibull;
pub mod yielding;

pub use anchor::{Anchor, Anchored, Family, Footing, MeanRisk, Normal, Reference};
pub use beam::Bending;
pub use error::StrengthError;
pub use fatigue::{LoadDay, Pulse};
pub use lifetime::{Strength, failure_probability};
pub use neck::{Neck, NeckShape, neck_spectrum};
pub use plate::{Base, Plate, plate_spectrum};
pub use rim::{Rim, rim_spectrum};
pub use risk_table::RiskTable;
pub use specimen::Specimen;
pub use spectrum::{EquivalentTable, StressSpectrum};
pub use surface::ResponseSurface;

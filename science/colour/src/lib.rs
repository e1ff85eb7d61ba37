//! What colour layered scattering media show over what lies beneath them, what hides a backing, and how sure that is.
//!
//! Colour science (CIE 15): [`Spectrum`], [`Viewing`], [`Lab`], [`ciede2000`], [`srgb`]. Layered optics (two-flux theory with
//! boundaries): [`Optics`], [`Stack`], [`interface`], [`kubelka_munk`]. What is unknown, as draws: [`Family`], [`Spread`],
//! [`Ensemble`]. Own readings: [`characterise`](fn@characterise), [`Series`], [`photographed`]. Answers: [`difference`](fn@difference), [`Limits`], [`least_thickness`].
//!
//! ```
//! use colour::{Lab, ciede2000};
//! assert!(ciede2000(Lab::new(70.0, 1.0, 16.0), Lab::new(68.0, 1.0, 17.0)) < 2.0);
//! ```

mod blocks;
mod characterise;
mod difference;
mod ensemble;
mod family;
mod grey_card;
pub mod interface;
pub mod kubelka_munk;
mod lab;
mod lanes;
mod limits;
mod mask;
mod measured;
pub mod metal;
mod metamer;
mod pairs;
mod series;
mod shape_preserving;
mod spectrum;
mod spread;
pub mod srgb;
mod stack;
mod translucency;
mod viewing;

pub use characterise::{Bench, Characterised, Disc, DiscError, Reading, ReadingError, characterise};
pub use difference::{Difference, cie76, ciede2000, ciede2000_parts};
pub use ensemble::{Ensemble, LayerDraws, ModelError};
pub use family::{Family, FamilyError, Ground, Members, Opacity, Readings, backings, disc_reading};
pub use grey_card::{Field, Grey, PhotoError, photographed};
pub use interface::{Incidence, Instrument, Interface};
pub use kubelka_munk::{Optics, OpticsError};
pub use lab::{Lab, Lch, Xyz};
pub use limits::{Chances, Limits, Metric, difference};
pub use mask::{Goal, LeastThickness, Reference, least_thickness};
pub use measured::Measured;
pub use metamer::{NoSuchBody, smooth_reflectance};
pub use pairs::{ciede2000_into, ciede2000_pairs};
pub use series::{Series, SeriesError};
pub use spectrum::{BANDS, Spectrum, SpectrumError, wavelength};
pub use spread::Spread;
pub use stack::{Backing, Coupling, Layer, MOST, Stack, StackError};
pub use translucency::{contrast_ratio, translucency, translucency00};
pub use viewing::{Illuminant, IlluminantError, Observer, Viewing, Weighting};

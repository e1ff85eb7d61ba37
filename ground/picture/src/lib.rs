//! Pictures: one small scene of marks, drawn the same for page, print and terminal.
//!
//! A form ([`forms`]) turns plain data into a [`Scene`]; a scene gives an SVG text ([`svg`]), lines of text ([`text_lines`]) and
//! its data as a [`Table`]. Same scene, same bytes: numbers are written with two decimals, text is measured by an own table of
//! widths ([`measure`]), nothing asks the system for a font, a clock or a random number.
//!
//! Surfaces of facets become pictures of pixels ([`surface_picture`], PNG): a value each, stepped legend, contours, marked spots.
//!
//! Knows nothing of what is drawn, and does no input or output.

pub mod axis;
mod curve;
pub mod forms;
pub mod measure;
pub mod palette;
mod quantile;
mod raster;
mod scene;
mod screen;
mod svg;
mod table;
mod terminal;

pub use palette::{Ink, Rgb, Theme};
pub use quantile::{quantile, quantiles};
pub use raster::{Canvas, ColourMap, MarkedSpot, Steps, SurfacePicture, SurfaceValues, View, surface_picture};
pub use scene::{Anchor, Dash, Fill, Group, Mark, Pen, Scene, Shape, Spot, Text, WIDTH};
pub use screen::screen_colour;
pub use svg::{escape, svg, svg_inline};
pub use table::Table;
pub use terminal::{Charset, ascii, text_lines};

/// Why data cannot be drawn.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub enum Undrawable {
    /// Nothing was given.
    #[error("{what}: nothing to draw; give at least one value")]
    Empty {
        /// Which part of the data.
        what: String,
    },
    /// A figure is not a finite number.
    #[error("{what}: not a finite number below 1e12; leave it out and say why it is missing")]
    NotFinite {
        /// Which part of the data.
        what: String,
    },
    /// Lists that belong together differ in length, or an interval is upside down.
    #[error("{what}: {expected}")]
    Mismatch {
        /// Which part of the data.
        what: String,
        /// What was expected.
        expected: String,
    },
}

/// Largest figure that can be given a place.
const MOST: f64 = 1e12;

/// Fails with [`Undrawable::NotFinite`] unless every value is finite (and below 1e12 in size, so that differences are too).
pub(crate) fn all_finite(what: &str, values: impl IntoIterator<Item = f64>) -> Result<(), Undrawable> {
    if values.into_iter().all(|v| v.abs() <= MOST) {
        Ok(())
    } else {
        Err(Undrawable::NotFinite { what: what.to_owned() })
    }
}

/// Fails with [`Undrawable::Empty`] when there is nothing.
pub(crate) fn not_empty<T>(what: &str, items: &[T]) -> Result<(), Undrawable> {
    if items.is_empty() { Err(Undrawable::Empty { what: what.to_owned() }) } else { Ok(()) }
}

/// Fails with [`Undrawable::Mismatch`] unless the condition holds.
pub(crate) fn matching(what: &str, holds: bool, expected: &str) -> Result<(), Undrawable> {
    if holds { Ok(()) } else { Err(Undrawable::Mismatch { what: what.to_owned(), expected: expected.to_owned() }) }
}

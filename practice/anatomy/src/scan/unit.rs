//! In which unit a surface of teeth is written, told by its size.
//!
//! A tooth is 5 to 25 mm across, an arch up to 120 mm. Longest side below 0.15: metres; to 3.2: inches (an arch in inches is about 2.5, a
//! tooth 0.4; centimetres fall in the same range and are told alike); above 400: micrometres or another body.

use shape::Surface;

/// Unit of length of a file.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Unit {
    /// Millimetres.
    Millimetres,
    /// Inches or centimetres.
    InchesOrCentimetres,
    /// Metres.
    Metres,
    /// Micrometres, or no tooth.
    Micrometres,
}

/// Told by the longest side of a surface.
pub fn unit_of(surface: &Surface) -> Unit {
    let longest = surface.bound().size().into_iter().fold(0.0, f64::max);
    match longest {
        l if l < 0.15 => Unit::Metres,
        l if l < 3.2 => Unit::InchesOrCentimetres,
        l if l > 400.0 => Unit::Micrometres,
        _ => Unit::Millimetres,
    }
}

//! A crown on an implant's abutment: a cone with a shoulder that follows the gum line, and the outer form less the cone less the gap.
//!
//! With r the cone's radius at the shoulder, h its height and c its total convergence the top has radius r - h tan(c / 2). A screwed crown has a channel
//! along its axis.

use crate::body::{Formula, Part};
use crate::parts::ToothParts;
use shape::{Frustum, ShapeError, Solid};
use std::sync::Arc;

/// An abutment on an implant, mm and degrees: a cone with a shoulder that follows the gum line.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Abutment {
    /// Radius of the cone at the shoulder.
    pub radius: f64,
    /// Height of the cone above the shoulder.
    pub height: f64,
    /// Total convergence.
    pub convergence: f64,
    /// Width of the shoulder.
    pub shoulder: f64,
    /// Height of the shoulder above the enamel's edge of the tooth that stood there.
    pub level: f64,
    /// Radius of the screw's channel through the crown; 0 for a cemented crown.
    pub channel: f64,
}

impl Default for Abutment {
    /// Middle measures (common practice, no source).
    fn default() -> Self {
        Self { radius: 2.0, height: 4.0, convergence: 12.0, shoulder: 0.8, level: -0.5, channel: 0.0 }
    }
}

/// Crown and abutment in place of a tooth: (crown, abutment).
///
/// # Errors
/// Measures that cannot be.
pub fn implant_crown(parts: &ToothParts, abutment: &Abutment, gap: f64) -> Result<(Part, Part), ShapeError> {
    let Abutment { radius, height, convergence, shoulder, level, channel } = *abutment;
    for (quantity, found, range, expected) in [
        ("radius of the abutment", radius, 1.0..=4.0, "1 to 4 mm"),
        ("height of the abutment", height, 1.0..=9.0, "1 to 9 mm"),
        ("convergence of the abutment", convergence, 0.0..=40.0, "0 to 40 degrees"),
        ("width of the shoulder", shoulder, 0.0..=3.0, "0 to 3 mm"),
        ("level of the shoulder", level, -4.0..=2.0, "4 mm below to 2 mm above the enamel's edge"),
        ("radius of the channel", channel, 0.0..=1.5, "0 to 1.5 mm"),
        ("gap", gap, 0.0..=0.5, "0 to 0.5 mm"),
    ] {
        if !range.contains(&found) {
            return Err(ShapeError::OutOfRange { quantity, found, expected });
        }
    }
    let top = radius - height * (0.5 * convergence).to_radians().tan();
    let cone = Frustum::new([0.0, 0.0, level + 0.5 * height], radius, top, height)?;
    let foot = Frustum::new([0.0, 0.0, level - 1.5], 0.8 * (radius + shoulder), radius + shoulder, 3.0)?;
    let whole = shape::Union::new(cone, foot, 0.0)?;
    let body: Part = Arc::new(whole);
    let (outer, stump, form) = (parts.outer.clone(), body.clone(), parts.form.clone());
    let mut bound = outer.bound();
    bound.low[2] = level;
    let tall = form.size().crown_height;
    let crown = Formula::new(bound, move |p| {
        let solid = outer.distance(p).max(gap - stump.distance(p)).max(level - p[2]);
        if channel > 0.0 { solid.max((channel - p[0].hypot(p[1])).min(p[2] + tall)) } else { solid }
    });
    Ok((Arc::new(crown), body))
}

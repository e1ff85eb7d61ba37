//! The pulp of one tooth as a solid: half-widths towards four sides from neck to roof.
//!
//! Section: ellipse, its middle on the crown's axis at the neck and midway between facial and lingual surface at the roof; half-widths run straight between neck and roof; below the neck the canal keeps its width.

use crate::form::{ROOT_STUB, ToothForm};
use crate::pulp::{PulpWalls, Wall};
use crate::side::Side;

/// Pulp chamber of one tooth, mm, in the tooth's frame.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Chamber {
    /// Height of its roof above the facial enamel edge.
    pub(crate) roof: f64,
    /// How far its middle moves from the crown's axis towards the lip up to the roof: it keeps between the facial and lingual surface.
    forward: f64,
    /// Half-width at neck and roof, by side.
    half: [[f64; 2]; 4],
}

impl Chamber {
    /// Where the walls put it: `to_pulp` from the chewing surface down to the roof, mm; `shrink` the factor of age on its widths.
    pub(crate) fn new(form: &ToothForm, walls: &PulpWalls, top: f64, to_pulp: f64, shrink: f64) -> Self {
        let roof = (top - to_pulp).max(0.0);
        let sides = [&walls.facial, &walls.lingual, &walls.mesial, &walls.distal];
        let forward = 0.5 * (form.half_width(Side::Facial, roof) - form.half_width(Side::Lingual, roof));
        Self { roof, forward, half: std::array::from_fn(|i| half_widths(form, Side::ALL[i], sides[i], roof, shrink)) }
    }

    /// Below 0 inside; right in its zero.
    pub(crate) fn field(&self, form: &ToothForm, [x, y, z]: [f64; 3]) -> f64 {
        let up = if self.roof > 0.0 { (z / self.roof).clamp(0.0, 1.0) } else { 0.0 };
        let half = |side: Side| {
            let [neck, roof] = self.half[side.index()];
            (neck + (roof - neck) * up).max(0.05)
        };
        let y = y - form.axis(z) - self.forward * up;
        let a = half(if x > 0.0 { Side::Mesial } else { Side::Distal });
        let b = half(if y > 0.0 { Side::Facial } else { Side::Lingual });
        let sides = ((x / a).hypot(y / b) - 1.0) * a.min(b);
        sides.max(z - self.roof).max(-z - ROOT_STUB)
    }
}

/// Half-width of the pulp where its wall was measured, before age: the crown's less the wall.
pub(crate) fn measured_half_width(form: &ToothForm, side: Side, wall: &Wall, roof: f64) -> f64 {
    (form.half_width(side, if wall.at_neck { 0.0 } else { roof }) - wall.mean).max(0.0)
}

fn half_widths(form: &ToothForm, side: Side, wall: &Wall, roof: f64, shrink: f64) -> [f64; 2] {
    let measured = measured_half_width(form, side, wall, roof) * shrink;
    let other = measured * wall.other_end;
    if wall.at_neck { [measured, other] } else { [other, measured] }
}

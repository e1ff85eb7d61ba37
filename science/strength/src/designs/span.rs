//! A block carried between two caps by elliptic necks ([`super::neck`]).
//!
//! Half of it (x > 0 is one cap, the plane x = 0 halves the block), and of that the half y > 0. Load: a contact of 1.5 mm radius on the middle of the block. Read: the lower half of the neck.

use super::neck::{CONTACT, HIGH, Half, LAYER, Neck};
use super::shapes::{self, PEG, body, layer, mirror, pressed, quarter, side, springs};
use super::{Answer, Variable, solved};
use crate::solve::ModelError;
use answer::Progress;

/// Variables of a point.
pub const VARIABLES: [Variable; 6] = [
    Variable { name: "height", low: 2.0, high: 5.2, eases: Some(1.0) },
    Variable { name: "width", low: 2.0, high: 5.6, eases: Some(1.0) },
    Variable { name: "fillet radius", low: 0.25, high: 0.9, eases: Some(0.5) },
    Variable { name: "length of the middle", low: 5.0, high: 12.0, eases: None },
    Variable { name: "modulus over that of the peg", low: 3.0, high: 12.0, eases: None },
    Variable { name: "springs", low: 12.0, high: 1500.0, eases: None },
];

/// One design.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Span {
    /// Height of the neck, mm.
    pub height: f64,
    /// Width of the neck, mm.
    pub width: f64,
    /// Radius of its fillets, mm.
    pub radius: f64,
    /// Length of the middle block, mm.
    pub middle: f64,
    /// Modulus over that of the pegs.
    pub ratio: f64,
    /// Springs around the pegs, N/mm3.
    pub springs: f64,
}

impl Span {
    pub(super) fn of(v: impl Fn(usize) -> f64) -> Self {
        Self { height: v(0), width: v(1), radius: v(2), middle: v(3), ratio: v(4), springs: v(5) }
    }

    /// Solves it.
    ///
    /// # Errors
    /// Dimensions that cannot be; what the solver cannot do.
    pub fn solve(&self, finer: f64, progress: &dyn Progress) -> Result<Answer, ModelError> {
        let neck =
            Neck { height: self.height, width: self.width, radius: self.radius, block: self.middle, middle: 0.0 };
        let (cap, peg) = neck.cap()?;
        let frame = neck.frame(neck.carried()?, (cap, &peg), [0.0; 2])?;
        let built = Neck::built(&frame, neck.at());
        let bodies = vec![
            body("frame", quarter("frame", frame)?, Neck::frame_material(self.ratio)),
            body("peg", side("peg", peg)?, PEG),
        ];
        let supports = vec![mirror(0, 0)?, mirror(0, 1)?, mirror(1, 1)?, springs(1, self.springs, [false, true])?];
        let cell = Neck::cell(finer);
        let load = pressed(HIGH, CONTACT, 4.0)?;
        let mut model = shapes::model(cell, bodies, vec![layer([0, 1], LAYER)], supports, vec![load]);
        model.origin[0] = neck.at() + 0.5 * cell;
        let (zoom, group) = neck.seen(Half::Lower, built, finer)?;
        let [height, width] = built;
        let built = vec![height, width, self.radius, self.middle, self.ratio, self.springs];
        solved::answer(model, Some(&zoom), &[("neck", group)], 4.0, built, progress)
    }
}

//! A block carried on one side by an elliptic neck ([`super::neck`]), its other end free.
//!
//! The half y > 0 of it. Load: a contact of 1.5 mm radius on the middle of the block. Read: the upper half of the neck. The pull on the neck follows from balance alone, whatever the springs around the
//! peg, which stand at 1800 N/mm3, and however the block goes on beyond the load: a long block stands for several in a row with the same way from neck to load. Solved as two blocks with a second neck,
//! pressed on the outer one, four designs came within 0.5 % of s_W at m = 10 (3 % at 45).

use super::neck::{CONTACT, HIGH, Half, LAYER, Neck};
use super::shapes::{self, PEG, body, layer, mirror, pressed, side, springs};
use super::{Answer, Variable, solved};
use crate::solve::ModelError;
use answer::Progress;

/// Variables of a point.
pub const VARIABLES: [Variable; 5] = [
    Variable { name: "height", low: 2.0, high: 5.2, eases: Some(1.0) },
    Variable { name: "width", low: 2.0, high: 5.6, eases: Some(1.0) },
    Variable { name: "fillet radius", low: 0.25, high: 0.9, eases: Some(0.5) },
    Variable { name: "length of the block", low: 5.0, high: 36.0, eases: None },
    Variable { name: "modulus over that of the peg", low: 3.0, high: 12.0, eases: None },
];

/// Springs around the peg, N/mm3.
const SPRINGS: f64 = 1800.0;

/// One design.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Arm {
    /// Height of the neck, mm.
    pub height: f64,
    /// Width of the neck, mm.
    pub width: f64,
    /// Radius of its fillets, mm.
    pub radius: f64,
    /// Length of the block, mm.
    pub block: f64,
    /// Modulus over that of the peg.
    pub ratio: f64,
}

impl Arm {
    pub(super) fn of(v: impl Fn(usize) -> f64) -> Self {
        Self { height: v(0), width: v(1), radius: v(2), block: v(3), ratio: v(4) }
    }

    /// Solves it.
    ///
    /// # Errors
    /// Dimensions that cannot be; what the solver cannot do.
    pub fn solve(&self, finer: f64, progress: &dyn Progress) -> Result<Answer, ModelError> {
        let neck = Neck { height: self.height, width: self.width, radius: self.radius, block: self.block, middle: 0.0 };
        let (cap, peg) = neck.cap()?;
        let frame = neck.frame(neck.carried()?, (cap, &peg), [-0.5 * self.block, 0.0])?;
        let built = Neck::built(&frame, neck.at());
        let bodies = vec![
            body("frame", side("frame", frame)?, Neck::frame_material(self.ratio)),
            body("peg", side("peg", peg)?, PEG),
        ];
        let supports = vec![mirror(0, 1)?, mirror(1, 1)?, springs(1, SPRINGS, [false, true])?];
        let cell = Neck::cell(finer);
        let load = pressed(HIGH, CONTACT, 2.0)?;
        let mut model = shapes::model(cell, bodies, vec![layer([0, 1], LAYER)], supports, vec![load]);
        model.origin[0] = neck.at() + 0.5 * cell;
        let (zoom, group) = neck.seen(Half::Upper, built, finer)?;
        let [height, width] = built;
        let built = vec![height, width, self.radius, self.block, self.ratio];
        solved::answer(model, Some(&zoom), &[("neck", group)], 2.0, built, progress)
    }
}

//! Two blocks in a row, joined by a neck and carried between two caps by necks of the same size ([`super::neck`]).
//!
//! Half of it (the plane x = 0 halves the neck in the middle), and of that the half y > 0. Load: a contact of 1 mm radius on each of the two edges beside the neck in the middle, half a newton each, where a
//! bite bends that neck most; the surface there is rounded. Read: the lower half of the neck in the middle. The necks beside the caps bear less and are not read.

use super::neck::{HIGH, Half, LAYER, Neck, rounded_off};
use super::shapes::{self, PEG, bitten, body, layer, mirror, quarter, side, springs};
use super::{Answer, Variable, solved};
use crate::solve::ModelError;
use answer::Progress;

/// Variables of a point.
pub const VARIABLES: [Variable; 6] = [
    Variable { name: "height", low: 2.0, high: 5.2, eases: Some(1.0) },
    Variable { name: "width", low: 2.0, high: 5.6, eases: Some(1.0) },
    Variable { name: "fillet radius", low: 0.25, high: 0.9, eases: Some(0.5) },
    Variable { name: "length of each block", low: 4.0, high: 12.0, eases: None },
    Variable { name: "modulus over that of the peg", low: 3.0, high: 12.0, eases: None },
    Variable { name: "springs", low: 12.0, high: 1500.0, eases: None },
];

/// Radius of a contact, mm.
const CONTACT: f64 = 1.0;
/// Middle of a contact from the face of its block, mm.
pub(super) const INLAND: f64 = 1.3;

/// One design.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Row {
    /// Height of the necks, mm.
    pub height: f64,
    /// Width of the necks, mm.
    pub width: f64,
    /// Radius of their fillets, mm.
    pub radius: f64,
    /// Length of each block, mm.
    pub block: f64,
    /// Modulus over that of the pegs.
    pub ratio: f64,
    /// Springs around the pegs, N/mm3.
    pub springs: f64,
}

impl Row {
    pub(super) fn of(v: impl Fn(usize) -> f64) -> Self {
        Self { height: v(0), width: v(1), radius: v(2), block: v(3), ratio: v(4), springs: v(5) }
    }

    /// Solves it.
    ///
    /// # Errors
    /// Dimensions that cannot be; what the solver cannot do.
    pub fn solve(&self, finer: f64, progress: &dyn Progress) -> Result<Answer, ModelError> {
        let Self { height, width, radius, block, .. } = *self;
        let mut neck = Neck { height, width, radius, block, middle: 0.0 };
        neck.middle = 0.5 * (neck.gap() + block);
        let (cap, peg) = neck.cap()?;
        let frame = neck.frame(neck.necked(neck.carried()?, 0.0)?, (cap, &peg), [0.0; 2])?;
        let built = Neck::built(&frame, 0.0);
        let bodies = vec![
            body("frame", quarter("frame", frame)?, Neck::frame_material(self.ratio)),
            body("peg", side("peg", peg)?, PEG),
        ];
        let supports = vec![mirror(0, 0)?, mirror(0, 1)?, mirror(1, 1)?, springs(1, self.springs, [false, true])?];
        let edge = [0.5 * neck.gap() + INLAND, 0.0, HIGH - rounded_off(INLAND)];
        let load = bitten(edge, CONTACT, 2.0 * CONTACT, 4.0)?;
        let cell = Neck::cell(finer);
        let mut model = shapes::model(cell, bodies, vec![layer([0, 1], LAYER)], supports, vec![load]);
        model.origin[0] = neck.at() + 0.5 * cell;
        let (zoom, group) = neck.seen_at_middle(Half::Lower, built, finer)?;
        let [height, width] = built;
        let built = vec![height, width, radius, block, self.ratio, self.springs];
        solved::answer(model, Some(&zoom), &[("neck", group)], 4.0, built, progress)
    }
}

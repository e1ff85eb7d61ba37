//! A block carried by plates on the flanks of two pegs: each plate covers the side of a peg that faces the block and goes round the edge to the flank y < 0; nothing lies on the pegs' tops. The necks
//! are those of [`super::neck`].
//!
//! Half of it (the plane x = 0 halves the block); y is solved whole. The pegs are as high as the block, 7 mm long and wide, the plates 1 mm short of their top and rim. Load: a contact of 1.5 mm radius on
//! the middle of the block. Read: the lower half of the neck, both sides of it. The pegs stand in springs of 20 N/mm3 ([`super::span`] hangs on springs so soft by a few per cent).

use super::neck::{CONTACT, HIGH, Half, LAYER, Neck};
use super::shapes::{self, PEG, Part, ROOT, block, body, layer, lengthwise, mirror, pressed, shaped, springs};
use super::{Answer, Variable, solved};
use crate::solve::ModelError;
use answer::Progress;
use shape::Intersection;
use std::sync::Arc;

/// Variables of a point.
pub const VARIABLES: [Variable; 6] = [
    Variable { name: "height", low: 2.0, high: 5.2, eases: Some(1.0) },
    Variable { name: "width", low: 1.6, high: 5.0, eases: Some(1.0) },
    Variable { name: "fillet radius", low: 0.25, high: 0.9, eases: Some(0.5) },
    Variable { name: "length of the middle", low: 5.0, high: 12.0, eases: None },
    Variable { name: "modulus over that of the peg", low: 3.0, high: 12.0, eases: None },
    Variable { name: "thickness of the plates", low: 0.45, high: 1.2, eases: None },
];

/// Springs around the pegs, N/mm3.
const SPRINGS: f64 = 20.0;
/// Length and width of a peg, mm, and the rounding of its upright edges.
const SIDE: f64 = 7.0;
const ROUND: f64 = 1.5;
/// Plates end so far from the peg's top and over its rim, and so far beyond the peg's middle along the flank, mm.
const SHORT: f64 = 1.0;
const BEYOND: f64 = 2.0;
/// Beside the fillet of the neck a plate goes on for this, mm, and never further than to here across.
const MARGIN: f64 = 0.3;
const WIDEST: f64 = 3.4;
/// The box to look at the neck more closely ends so far within the peg, mm.
const INTO: f64 = 0.9;

/// One design.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Wings {
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
    /// Thickness of the plates, mm.
    pub plate: f64,
}

impl Wings {
    pub(super) fn of(v: impl Fn(usize) -> f64) -> Self {
        Self { height: v(0), width: v(1), radius: v(2), middle: v(3), ratio: v(4), plate: v(5) }
    }

    /// Solves it.
    ///
    /// # Errors
    /// Dimensions that cannot be; what the solver cannot do.
    pub fn solve(&self, finer: f64, progress: &dyn Progress) -> Result<Answer, ModelError> {
        let Self { height, width, radius, middle, .. } = *self;
        let neck = Neck { height, width, radius, block: middle, middle: 0.0 };
        let at = neck.at() + 0.5 * neck.gap() + self.plate + 0.5 * SIDE;
        let peg = block("peg", [at, 0.0, 0.5 * (HIGH - ROOT)], [SIDE, SIDE, HIGH + ROOT], ROUND)?;
        let frame = neck.frame(neck.carried()?, (self.plates(at)?, &peg), [0.0, -50.0])?;
        let built = Neck::built(&frame, neck.at());
        let bodies =
            vec![body("frame", lengthwise("frame", frame)?, Neck::frame_material(self.ratio)), body("peg", peg, PEG)];
        let supports = vec![mirror(0, 0)?, springs(1, SPRINGS, [false; 2])?];
        let cell = Neck::cell(finer);
        let load = pressed(HIGH, CONTACT, 2.0)?;
        let mut model = shapes::model(cell, bodies, vec![layer([0, 1], LAYER)], supports, vec![load]);
        model.origin[0] = neck.at() + 0.5 * cell;
        let (zoom, group) = neck.seen_across(Half::Lower, built, self.plate + INTO, finer)?;
        let [height, width] = built;
        let built = vec![height, width, radius, middle, self.ratio, self.plate];
        solved::answer(model, Some(&zoom), &[("neck", group)], 2.0, built, progress)
    }

    /// Plates around the peg whose middle is at `at` along x; the peg is still in it.
    fn plates(&self, at: f64) -> Result<Part, ModelError> {
        let grown = SIDE + 2.0 * self.plate;
        let around = block("plates", [at, 0.0, 0.0], [grown, grown, 60.0], ROUND + self.plate)?;
        let across = (0.5 * self.width + self.radius + MARGIN).min(WIDEST);
        let end = [at + BEYOND, across, HIGH - SHORT];
        let low = [at - 20.0, -20.0, SHORT];
        let centre = [0, 1, 2].map(|c| 0.5 * (low[c] + end[c]));
        let part = block("plates", centre, [0, 1, 2].map(|c| end[c] - low[c]), 0.0)?;
        Ok(Arc::new(shaped("plates", Intersection::new(around, part))?))
    }
}

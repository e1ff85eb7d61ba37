//! A cap on a peg, pressed on its top.
//!
//! Cap: a block rounded at its upright and upper edges by a third of its length, walls of one thickness, 5.5 mm high over its rim beside the top. Group `inside`:
//! the face towards the peg under the load (within the contact's radius and 0.8 mm).
//! Cells of four fifths of the wall (0.38 to 0.5 mm).

use super::shapes::{self, PEG, body, layer, pressed, quarter};
use super::wall::{self, PEG_HEIGHT};
use super::{Answer, Variable, solved};
use crate::solve::ModelError;
use answer::Progress;

/// Variables of a point.
pub const VARIABLES: [Variable; 6] = [
    Variable { name: "top thickness", low: 0.4, high: 2.5, eases: Some(1.0) },
    Variable { name: "side thickness", low: 0.5, high: 1.6, eases: None },
    Variable { name: "modulus over that of the peg", low: 3.0, high: 12.0, eases: None },
    Variable { name: "contact radius", low: 0.5, high: 1.2, eases: Some(1.0) },
    Variable { name: "length", low: 6.5, high: 11.0, eases: None },
    Variable { name: "layer thickness", low: 0.03, high: 0.2, eases: None },
];

/// One design.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Cap {
    /// Thickness of the top, mm.
    pub top: f64,
    /// Thickness of the sides, mm.
    pub side: f64,
    /// Modulus over that of the peg.
    pub ratio: f64,
    /// Radius of the contact, mm.
    pub contact: f64,
    /// Length and width of the cap, mm.
    pub length: f64,
    /// Thickness of the layer between cap and peg, mm.
    pub layer: f64,
}

impl Cap {
    pub(super) fn of(v: impl Fn(usize) -> f64) -> Self {
        Self { top: v(0), side: v(1), ratio: v(2), contact: v(3), length: v(4), layer: v(5) }
    }

    /// Solves it.
    ///
    /// # Errors
    /// Dimensions that leave no peg; what the solver cannot do.
    pub fn solve(&self, finer: f64, progress: &dyn Progress) -> Result<Answer, ModelError> {
        let (l, high) = (self.length, PEG_HEIGHT + self.top);
        let round = l / 3.0;
        let peg = wall::peg(l - 2.0 * self.side, (round - self.side).max(0.5))?;
        let bodies = vec![
            body(
                "cap",
                quarter("cap", wall::shell(wall::block_above(l, high, round)?, peg.clone())?)?,
                wall::material(self.ratio),
            ),
            body("peg", quarter("peg", peg.clone())?, PEG),
        ];
        let cell = (0.8 * self.top).clamp(0.38, 0.5) / finer;
        let load = pressed(high, self.contact, 4.0)?;
        let model = shapes::model(cell, bodies, vec![layer([0, 1], self.layer)], wall::held(2)?, vec![load]);
        let inside = wall::inside(peg, self.contact, [l, l])?;
        let built = vec![self.top, self.side, self.ratio, self.contact, self.length, self.layer];
        solved::answer(model, None, &[("inside", inside)], 4.0, built, progress)
    }
}

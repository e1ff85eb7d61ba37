//! A cap of two layers on a peg ([`super::cap`]), firmly joined, pressed on its outer one.
//!
//! The sides are 0.5 mm of the core and 0.7 mm of the outer layer. Group `inside`: the core's face towards the peg under the load, as of a cap.

use super::shapes::{self, PEG, body, layer, pressed, quarter};
use super::wall::{self, PEG_HEIGHT};
use super::{Answer, Variable, solved};
use crate::solve::{Bond, Group, Interface, ModelError};
use answer::Progress;

/// Variables of a point.
pub const VARIABLES: [Variable; 6] = [
    Variable { name: "core thickness", low: 0.4, high: 1.6, eases: Some(1.0) },
    Variable { name: "outer thickness", low: 0.3, high: 1.6, eases: Some(0.3) },
    Variable { name: "core's modulus over that of the peg", low: 3.0, high: 12.0, eases: None },
    Variable { name: "contact radius", low: 0.5, high: 1.2, eases: Some(1.0) },
    Variable { name: "length", low: 6.5, high: 11.0, eases: None },
    Variable { name: "layer thickness", low: 0.03, high: 0.2, eases: None },
];

/// Thickness of the sides, mm: core, outer layer.
const SIDES: [f64; 2] = [0.5, 0.7];
/// Modulus of the outer layer over that of the peg in the designs.
pub const OUTER: f64 = 4.0;
/// Number of the body that is read.
const CORE: usize = 1;

/// One design.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Layers {
    /// Thickness of the core's top, mm.
    pub core: f64,
    /// Thickness of the outer layer's top, mm.
    pub outer: f64,
    /// Modulus of core and outer layer over that of the peg.
    pub ratios: [f64; 2],
    /// Radius of the contact, mm.
    pub contact: f64,
    /// Length and width of the outer layer, mm.
    pub length: f64,
    /// Thickness of the layer between core and peg, mm.
    pub layer: f64,
}

impl Layers {
    pub(super) fn of(v: impl Fn(usize) -> f64) -> Self {
        Self { core: v(0), outer: v(1), ratios: [v(2), OUTER], contact: v(3), length: v(4), layer: v(5) }
    }

    /// Solves it.
    ///
    /// # Errors
    /// Dimensions that leave no peg; what the solver cannot do.
    pub fn solve(&self, finer: f64, progress: &dyn Progress) -> Result<Answer, ModelError> {
        let l = self.length;
        let (inner, high) = (PEG_HEIGHT + self.core, PEG_HEIGHT + self.core + self.outer);
        let [round, within] = [l / 3.0, l / 3.0 - SIDES[1]];
        let between = wall::block_above(l - 2.0 * SIDES[1], inner, within)?;
        let peg = wall::peg(l - 2.0 * (SIDES[0] + SIDES[1]), (within - SIDES[0]).max(0.5))?;
        let outer = wall::shell(wall::block_above(l, high, round)?, between.clone())?;
        let core = wall::shell(between, peg.clone())?;
        let bodies = vec![
            body("outer layer", quarter("outer layer", outer)?, wall::material(self.ratios[1])),
            body("core", quarter("core", core)?, wall::material(self.ratios[0])),
            body("peg", quarter("peg", peg.clone())?, PEG),
        ];
        let firm = Interface { name: "joined".into(), bodies: [0, CORE], bond: Bond::Firm, reach: 0.02 };
        let cell = (0.8 * self.core.min(self.outer)).clamp(0.38, 0.42) / finer;
        let load = pressed(high, self.contact, 4.0)?;
        let interfaces = vec![firm, layer([CORE, 2], self.layer)];
        let model = shapes::model(cell, bodies, interfaces, wall::held(3)?, vec![load]);
        let inside = Group { body: CORE, ..wall::inside(peg, self.contact, [l, l])? };
        let built = vec![self.core, self.outer, self.ratios[0], self.contact, l, self.layer];
        solved::answer(model, None, &[("inside", inside)], 4.0, built, progress)
    }
}

//! A plate without side walls on a peg of its length and width, pressed on its top.
//!
//! Both are rounded at their upright edges by a quarter of the shorter side; the peg is 4.5 mm high over the rim. Group `inside`: the face towards the peg under the load
//! (within the contact's radius and 0.8 mm). Cells of four fifths of the plate (0.38 to 0.5 mm).

use super::shapes::{self, PEG, Part, ROOT, block, body, half, layer, pressed, quarter, shaped};
use super::wall::{self, PEG_HEIGHT};
use super::{Answer, Variable, solved};
use crate::solve::ModelError;
use answer::Progress;
use shape::Intersection;
use std::sync::Arc;

/// Variables of a point.
pub const VARIABLES: [Variable; 6] = [
    Variable { name: "thickness", low: 0.4, high: 2.5, eases: Some(1.0) },
    Variable { name: "modulus over that of the peg", low: 3.0, high: 12.0, eases: None },
    Variable { name: "contact radius", low: 0.5, high: 1.2, eases: Some(1.0) },
    Variable { name: "length", low: 5.0, high: 11.0, eases: None },
    Variable { name: "width", low: 5.0, high: 11.0, eases: None },
    Variable { name: "layer thickness", low: 0.03, high: 0.2, eases: None },
];

/// One design.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Lid {
    /// Thickness, mm.
    pub thickness: f64,
    /// Modulus over that of the peg.
    pub ratio: f64,
    /// Radius of the contact, mm.
    pub contact: f64,
    /// Length and width, mm.
    pub size: [f64; 2],
    /// Thickness of the layer between plate and peg, mm.
    pub layer: f64,
}

impl Lid {
    pub(super) fn of(v: impl Fn(usize) -> f64) -> Self {
        Self { thickness: v(0), ratio: v(1), contact: v(2), size: [v(3), v(4)], layer: v(5) }
    }

    /// Solves it.
    ///
    /// # Errors
    /// Dimensions that cannot be; what the solver cannot do.
    pub fn solve(&self, finer: f64, progress: &dyn Progress) -> Result<Answer, ModelError> {
        let high = PEG_HEIGHT + self.thickness;
        let (plate, peg) = (self.prism([PEG_HEIGHT, high])?, self.prism([-ROOT, PEG_HEIGHT])?);
        let bodies = vec![
            body("plate", quarter("plate", plate)?, wall::material(self.ratio)),
            body("peg", quarter("peg", peg.clone())?, PEG),
        ];
        let cell = (0.8 * self.thickness).clamp(0.38, 0.5) / finer;
        let load = pressed(high, self.contact, 4.0)?;
        let model = shapes::model(cell, bodies, vec![layer([0, 1], self.layer)], wall::held(2)?, vec![load]);
        let inside = wall::inside(peg, self.contact, self.size)?;
        let built = vec![self.thickness, self.ratio, self.contact, self.size[0], self.size[1], self.layer];
        solved::answer(model, None, &[("inside", inside)], 4.0, built, progress)
    }

    /// What lies between two heights, mm.
    fn prism(&self, [low, high]: [f64; 2]) -> Result<Part, ModelError> {
        let [length, width] = self.size;
        let upright = block("plate", [0.0; 3], [length, width, 100.0], 0.25 * length.min(width))?;
        let under = half("plate", [0.0, 0.0, high], [0.0, 0.0, 1.0])?;
        let over = half("plate", [0.0, 0.0, low], [0.0, 0.0, -1.0])?;
        let between: Part = Arc::new(shaped("plate", Intersection::new(under, over))?);
        Ok(Arc::new(shaped("plate", Intersection::new(upright, between))?))
    }
}

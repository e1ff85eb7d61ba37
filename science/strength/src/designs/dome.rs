//! A dome on a peg, pressed on its top and cracked from there down: how hard a crack through its wall is driven, wherever a ball touches ([`Touches`]).
//!
//! A cap whose edges are rounded by half its length, so that its top is half a ball, on a peg of the same form. A crack in the middle plane has run from under the load to a front at some height, on
//! both sides. The wall's outer 30 % under the load stay joined, since they are pressed together there (without them the faces would overlap by five times what they open). The peg stays whole and the layer
//! between holds both halves. Each front is a solve of its own; the work of the load tells the compliance ([`crate::splitting`]).
//!
//! Limits: one plane of cracking ([`WAYS`] turns the contacts about it), firm layer, a wall without fissures; a flat top stops such a crack (docs/methods/strength.md). Cells as of [`super::cap`].

use super::shapes::{self, PEG, Part, ROOT, block, body, half, layer, lengthwise, mirror, shaped, springs};
use super::touches::{LAYER_TIMES_RATIO, Touches, fall};
use super::wall::{self, PEG_HEIGHT};
use super::{Variable, point_of};
use crate::solve::{LoadCase, ModelError, Prepared, Support};
use crate::splitting::CrackState;
use answer::Progress;
use shape::{Difference, Intersection, Solid};
use std::f64::consts::FRAC_PI_2;
use std::sync::Arc;

/// Variables of a design.
pub const VARIABLES: [Variable; 5] = [
    Variable { name: "thickness", low: 0.4, high: 2.2, eases: Some(1.0) },
    Variable { name: "modulus over that of the peg", low: 3.0, high: 70.0, eases: None },
    Variable { name: "contact radius", low: 0.5, high: 1.4, eases: None },
    Variable { name: "length", low: 8.0, high: 11.5, eases: None },
    Variable { name: "distance from the middle", low: 0.4, high: 2.0, eases: None },
];
/// Where it is pressed: how many contacts, and how far the first is turned from the axis across the crack, radians. In the middle; at two places on either side of the crack; at two on its plane; at three, one of
/// them on its plane.
pub const WAYS: [(usize, f64); 4] = [(1, 0.0), (2, 0.0), (2, FRAC_PI_2), (3, FRAC_PI_2)];
/// Fronts, as shares of the way from the peg's top down to the rim.
pub const FRONTS: [f64; 4] = [0.05, 0.2, 0.4, 0.7];
/// Share of the top's thickness that stays joined under the load.
const JOINED: f64 = 0.3;
/// Points a side of the grid on which a crack's area is counted.
const GRID: usize = 400;

/// One design.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Dome {
    /// Thickness of the wall, mm.
    pub thickness: f64,
    /// Modulus over that of the peg.
    pub ratio: f64,
    /// Radius of one contact of the area of all, mm.
    pub contact: f64,
    /// Length and width, mm.
    pub length: f64,
    /// Distance of several contacts from the middle, mm.
    pub spread: f64,
}

/// A design as solved under contacts.
#[derive(Debug, Clone, PartialEq)]
pub struct Driven {
    /// The crack at each of [`FRONTS`].
    pub states: Vec<CrackState>,
    /// Share of the crack's face, at the last front, that opens.
    pub open: f64,
}

impl Dome {
    /// Design number `i`, from 0: a Halton sequence, as [`super::Family::point`].
    pub fn design(i: usize) -> Self {
        let v = point_of(&VARIABLES, i);
        Self { thickness: v[0], ratio: v[1], contact: v[2], length: v[3], spread: v[4] }
    }

    /// Its variables.
    pub fn point(&self) -> [f64; 5] {
        [self.thickness, self.ratio, self.contact, self.length, self.spread]
    }

    /// Young's modulus (MPa) and Poisson ratio of its wall.
    pub fn material(&self) -> (f64, f64) {
        let material = wall::material(self.ratio);
        (material.young, material.poisson)
    }

    /// Solves it at every front, in each of [`WAYS`]; `finer` divides all cells (1 for the usual ones).
    ///
    /// # Errors
    /// Dimensions that leave no peg; what the solver cannot do.
    pub fn solve(&self, finer: f64, progress: &dyn Progress) -> Result<Vec<Driven>, ModelError> {
        let (l, high) = (self.length, PEG_HEIGHT + self.thickness);
        let under = l - 2.0 * self.thickness;
        let below = half("peg", [0.0, 0.0, -ROOT], [0.0, 0.0, -1.0])?;
        let peg = wall::block_above(under, PEG_HEIGHT, 0.499 * under)?;
        let peg: Part = Arc::new(shaped("peg", Intersection::new(peg, below))?);
        let outer = wall::block_above(l, high, 0.499 * l)?;
        let dome = lengthwise("dome", wall::shell(outer.clone(), peg.clone())?)?;
        let bodies =
            vec![body("dome", dome.clone(), wall::material(self.ratio)), body("peg", lengthwise("peg", peg)?, PEG)];
        let cell = (0.8 * self.thickness).clamp(0.38, 0.5) / finer;
        let mut driven = vec![Driven { states: vec![], open: 0.0 }; WAYS.len()];
        for front in FRONTS {
            let crack = self.crack(PEG_HEIGHT * (1.0 - front))?;
            let layers = vec![layer([0, 1], LAYER_TIMES_RATIO / self.ratio)];
            let model = shapes::model(cell, bodies.clone(), layers, held_but(&crack)?, self.cases(&outer)?);
            let all = Prepared::new(model, progress)?.solve(1e-5, progress)?;
            for (solution, driven) in all.iter().zip(&mut driven) {
                let opening = |at: [f64; 3]| solution.nearest(0, at).map_or(0.0, |l| l.displacement[0]);
                let (area, open) = self.face(&dome, &crack, opening);
                // A half under half a newton.
                driven.states.push(CrackState { area, compliance: 2.0 * solution.work() });
                driven.open = open;
            }
        }
        Ok(driven)
    }

    /// Pressed in each of [`WAYS`].
    fn cases(&self, outer: &Part) -> Result<Vec<LoadCase>, ModelError> {
        let height = |far: f64| PEG_HEIGHT + self.thickness - fall(far, 0.5 * self.length);
        let touches = |count| Touches { count, contact: self.contact, spread: self.spread };
        WAYS.into_iter().map(|(count, turn)| touches(count).case(outer, height, turn, 0)).collect()
    }

    /// Where the middle plane is cracked: from the joined part of the top down to a height.
    fn crack(&self, front: f64) -> Result<Part, ModelError> {
        let top = PEG_HEIGHT + (1.0 - JOINED) * self.thickness;
        block("crack", [0.0, 0.0, 0.5 * (front + top)], [1.0, 4.0 * self.length, top - front], 0.0)
    }

    /// Area of the crack, and the share of it that opens.
    fn face(&self, dome: &Part, crack: &Part, opening: impl Fn([f64; 3]) -> f64) -> (f64, f64) {
        let (wide, high) = (self.length, PEG_HEIGHT + self.thickness);
        let step = |n: usize, of: f64| (n as f64 + 0.5) / GRID as f64 * of;
        let across = |n: usize| step(n, wide) - 0.5 * wide;
        let inside = |at: &[f64; 3]| dome.distance(*at) < 0.0 && crack.distance(*at) < 0.0;
        let points: Vec<[f64; 3]> =
            (0..GRID * GRID).map(|n| [1e-6, across(n % GRID), step(n / GRID, high)]).filter(inside).collect();
        let opens = points.iter().step_by(37).filter(|at| opening(**at) > 0.0).count();
        let asked = points.iter().step_by(37).count().max(1);
        (points.len() as f64 * wide * high / (GRID * GRID) as f64, opens as f64 / asked as f64)
    }
}

/// The plane of symmetry but for the crack in the dome's, and springs around the peg.
fn held_but(crack: &Part) -> Result<Vec<Support>, ModelError> {
    let mut held = vec![mirror(0, 0)?, mirror(1, 0)?, springs(1, wall::SPRINGS, [true, false])?];
    held[0].region = Arc::new(Difference::new(held[0].region.clone(), crack.clone()));
    Ok(held)
}

//! Where a ball touches: in the middle, or on slopes around it at two places or three; and a cap pressed so.
//!
//! Round contacts at one distance from the middle bear an equal share each and push outwards by the slope they lie on; together they have the area of the one contact in the middle.
//! Half of the cap of [`super::cap`] is solved under both; what is told is ln of s_W under several over s_W under one.
//! Group `inside`: the face towards the peg as far as 0.8 mm beyond the contacts.
//!
//! Limits: flat top and straight walls (the slopes are in the direction of the load alone), equal contacts, one slope, sides of 1 mm; tension beside a contact on its own face is not read.

use super::Variable;
use super::shapes::{self, PEG, Part, body, layer, mirror, shaped, side, springs};
use super::solved::{self, Answer, GroupAnswer};
use super::wall::{self, PEG_HEIGHT};
use crate::solve::{Load, LoadCase, ModelError, Prepared, Push};
use answer::Progress;
use shape::{Difference, Offset};
use std::sync::Arc;

/// Variables of a design.
pub const VARIABLES: [Variable; 5] = [
    Variable { name: "thickness", low: 0.4, high: 2.5, eases: None },
    Variable { name: "modulus over that of the peg", low: 3.0, high: 70.0, eases: None },
    Variable { name: "contact radius", low: 0.5, high: 1.4, eases: None },
    Variable { name: "length", low: 7.0, high: 11.5, eases: None },
    Variable { name: "distance from the middle", low: 0.4, high: 2.0, eases: None },
];
/// Push outwards over push down: a slope of some 22 degrees less some 11 of friction (common practice, no source).
const OUTWARDS: f64 = 0.2;
/// How deep what is pressed is looked for, mm: not as deep as the other face.
const SKIN: f64 = 0.1;
/// Thickness of the sides, mm.
const SIDE: f64 = 1.0;
/// Thickness of the layer of 8 GPa between wall and peg times the ratio of moduli, mm: 0.08 mm under a wall of some 135 GPa, once all moduli are scaled to the peg's.
pub(super) const LAYER_TIMES_RATIO: f64 = 0.6;

/// Contacts around the middle that bear one newton.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Touches {
    /// How many.
    pub count: usize,
    /// Radius of one contact of the area of all, mm.
    pub contact: f64,
    /// Distance of each from the middle where there are several, mm.
    pub spread: f64,
}

impl Touches {
    /// Radius of each, mm.
    fn radius(&self) -> f64 {
        self.contact / (self.count as f64).sqrt()
    }

    /// How far from the middle they reach, mm.
    fn reach(&self) -> f64 {
        if self.count == 1 { self.contact } else { self.spread + self.radius() }
    }

    /// Place and push of each, the first at `turn` (radians) from the first axis.
    fn each(&self, turn: f64) -> Vec<([f64; 2], [f64; 3])> {
        let share = 1.0 / self.count as f64;
        if self.count == 1 {
            return vec![([0.0; 2], [0.0, 0.0, -1.0])];
        }
        let one = |n: usize| {
            let angle = turn + n as f64 * share * std::f64::consts::TAU;
            let out = [libm::cos(angle), libm::sin(angle)].map(|o| if o.abs() < 1e-9 { 0.0 } else { o });
            (out.map(|o| o * self.spread), [out[0] * OUTWARDS * share, out[1] * OUTWARDS * share, -share])
        };
        (0..self.count).map(one).collect()
    }

    /// What of it acts on the half of a body above the plane across axis `across`, on the face of `outer`, which is `height` mm high at a distance from the middle.
    pub(super) fn case(
        &self,
        outer: &Part,
        height: impl Fn(f64) -> f64,
        turn: f64,
        across: usize,
    ) -> Result<LoadCase, ModelError> {
        let within: Part = Arc::new(shaped("contact", Offset::new(outer.clone(), -SKIN))?);
        let radius = self.radius();
        let mut loads = Vec::new();
        for (at, push) in self.each(turn).into_iter().filter(|(at, _)| at[across] >= 0.0) {
            let share = if at[across] == 0.0 { 0.5 } else { 1.0 };
            let far = at[0].hypot(at[1]);
            let centre = [at[0], at[1], height(far)];
            let around = shapes::block("contact", centre, [2.0 * radius; 3], 0.0)?;
            let region = Arc::new(Difference::new(around, within.clone()));
            let push = Push::Contact { force: push.map(|p| p * share), centre, radius };
            loads.push(Load { name: "contact".into(), body: 0, region, push });
        }
        Ok(LoadCase { name: format!("pressed at {}", self.count), loads, given: 1.0 })
    }
}

/// A cap to be pressed.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Touched {
    /// Thickness of the top, mm.
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

impl Touched {
    pub(super) fn of(v: impl Fn(usize) -> f64) -> Self {
        Self { thickness: v(0), ratio: v(1), contact: v(2), length: v(3), spread: v(4) }
    }

    /// Solves it under one contact and under `count`; `finer` divides all cells (1 for the usual ones).
    ///
    /// # Errors
    /// Dimensions that leave no peg; what the solver cannot do.
    pub fn solve(&self, count: usize, finer: f64, progress: &dyn Progress) -> Result<Answer, ModelError> {
        let (l, high) = (self.length, PEG_HEIGHT + self.thickness);
        let round = l / 3.0;
        let peg = wall::peg(l - 2.0 * SIDE, (round - SIDE).max(0.5))?;
        let outer = wall::block_above(l, high, round)?;
        let cap = side("cap", wall::shell(outer.clone(), peg.clone())?)?;
        let bodies = vec![body("cap", cap, wall::material(self.ratio)), body("peg", side("peg", peg.clone())?, PEG)];
        let cell = (0.8 * self.thickness).clamp(0.38, 0.5) / finer;
        let held = vec![mirror(0, 1)?, mirror(1, 1)?, springs(1, wall::SPRINGS, [false, true])?];
        let touches = [1, count].map(|count| Touches { count, contact: self.contact, spread: self.spread });
        let flat_then_round = |far: f64| high - fall((far - (0.5 * l - round)).max(0.0), round);
        let cases = touches.iter().map(|t| t.case(&outer, flat_then_round, 0.0, 1)).collect::<Result<Vec<_>, _>>()?;
        let model = shapes::model(cell, bodies, vec![layer([0, 1], LAYER_TIMES_RATIO / self.ratio)], held, cases);
        let prepared = Prepared::new(model, progress)?;
        let all = prepared.solve(solved::TOLERANCE, progress)?;
        let reach = touches.iter().map(Touches::reach).fold(0.0, f64::max);
        let inside = wall::inside_half(peg, reach, [l; 2])?;
        let [one, several] = all.as_slice() else { return Err(ModelError::Empty) };
        let [one, several] = [one.group(&inside)?, several.group(&inside)?];
        let [alone, several] = [solved::told("inside", &one, 2.0)?, solved::told("inside", &several, 2.0)?];
        let ln_s = std::array::from_fn(|m| several.ln_s[m] - alone.ln_s[m]);
        Ok(Answer {
            built: vec![self.thickness, self.ratio, self.contact, self.length, self.spread],
            groups: vec![GroupAnswer { ln_s, ..several }],
            unknowns: prepared.unknowns(),
            iterations: all.iter().map(|s| s.convergence.iterations).max().unwrap_or(0),
        })
    }
}

/// How much lower a ball of that radius is at a distance from its top, mm.
pub(super) fn fall(far: f64, radius: f64) -> f64 {
    radius - (radius * radius - far * far).max(0.0).sqrt()
}

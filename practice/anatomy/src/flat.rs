//! A tooth cut from cheek to tongue, and a preparation within that cut: what is drawn while a hand drags a wall.
//!
//! Quantity: outlines in the plane x = const of stump, restoration, core and veneer. The recurrence is that of [`crate::Preparation`], taken column by
//! column in the plane alone: it asks each node for its own column and for the present surface's normal, so that the plane needs no
//! neighbours beside it. What does not change while a hand drags (distance, normal, height over the enamel's edge at each node; outlines of tooth,
//! dentine and pulp) is kept in a [`FlatTooth`].
//!
//! Departs from the bodies: the stump's distance is its value over its slope in the plane (first order), where a body has distances on its lattice;
//! pieces thinner than 0.12 mm are left out by their own thickness, where a body opens them. Limits: a path along the tooth only, the
//! present tooth as the wanted form; a drawing to scale, nothing to measure in finer than its lattice.

use crate::built::{Core, GAP_GROWS_OVER, THINNEST};
use crate::parts::ToothParts;
use crate::preparation::{Design, check, need_at, side_shares};
use crate::slice::{Cutting, Outlines, joined};
use shape::{ShapeError, Solid};

/// A tooth cut once.
pub struct FlatTooth {
    low: [f64; 2],
    cell: f64,
    counts: [usize; 2],
    nodes: Vec<Node>,
    /// Outer form.
    pub outer: Outlines,
    /// What lies under the enamel.
    pub dentine: Outlines,
    /// Pulp.
    pub pulp: Outlines,
}

/// What stays at a place of the plane.
struct Node {
    /// Distance to the outer form, mm.
    outer: f64,
    /// Its gradient.
    normal: [f64; 3],
    /// Height over the enamel's edge, mm.
    over_edge: f64,
}

/// A preparation in the plane.
#[derive(Debug, Clone, PartialEq)]
pub struct FlatCut {
    /// The stump with the root under it.
    pub stump: Outlines,
    /// The restoration; empty where none is built.
    pub restoration: Outlines,
    /// Core and veneer, where they were asked for.
    pub layers: Option<[Outlines; 2]>,
}

impl FlatTooth {
    /// `x` mm towards mesial of the middle, on squares of `cell` mm.
    ///
    /// # Errors
    /// [`ShapeError::OutOfRange`] for squares below 0.02 or above 1 mm.
    pub fn of(parts: &ToothParts, x: f64, cell: f64) -> Result<Self, ShapeError> {
        if !(0.02..=1.0).contains(&cell) {
            return Err(ShapeError::OutOfRange { quantity: "cell", found: cell, expected: "0.02 to 1 mm" });
        }
        let bound = parts.outer.bound().grown(2.0 * cell);
        let low = [bound.low[1], bound.low[2]];
        let counts = [1, 2].map(|a| (bound.size()[a] / cell).ceil() as usize + 1);
        let place = |n: usize| [x, low[0] + (n % counts[0]) as f64 * cell, low[1] + (n / counts[0]) as f64 * cell];
        let node = |n: usize| {
            let p = place(n);
            let outer = parts.outer.distance(p);
            Node { outer, normal: parts.outer.gradient(p), over_edge: p[2] - parts.form.enamel_edge(p[0]) }
        };
        let plane = Cutting::facio_lingual(x);
        Ok(Self {
            low,
            cell,
            counts,
            nodes: (0..counts[0] * counts[1]).map(node).collect(),
            outer: plane.outlines(parts.outer.as_ref(), cell),
            dentine: plane.outlines(parts.core.as_ref(), cell),
            pulp: plane.outlines(parts.pulp.as_ref(), cell),
        })
    }

    /// The largest stump for a design, what fills the room over a cement gap (mm, 0 to 0.5), and its layers.
    ///
    /// # Errors
    /// Depths, angles or a gap that cannot be, and a path that is not the tooth's own.
    pub fn cut(&self, design: &Design, gap: f64, core: Option<Core>) -> Result<FlatCut, ShapeError> {
        check(design)?;
        let out = |quantity, found, expected| Err(ShapeError::OutOfRange { quantity, found, expected });
        if !(0.0..=0.5).contains(&gap) {
            return out("cement gap", gap, "0 to 0.5 mm");
        }
        if let Some(tilt) = design.path.into_iter().find(|t| *t != 0.0) {
            return out("tilt of the path", tilt, "0 degrees in a flat section");
        }
        let stump = self.stump(design);
        let away: Vec<f64> = (0..stump.len()).map(|n| stump[n] / self.slope(&stump, n)).collect();
        let filled: Vec<f64> = (self.nodes.iter().zip(&away))
            .map(|(node, away)| {
                let over = node.over_edge - design.finish;
                let here = gap * (over / GAP_GROWS_OVER).clamp(0.0, 1.0);
                let thin = THINNEST - (away - node.outer - here);
                node.outer.max(here - away).max(-over).max(thin)
            })
            .collect();
        let layers = core.map(|core| {
            let split: Vec<f64> =
                (self.nodes.iter().zip(&away)).map(|(node, away)| core.split(node.outer, node.normal, *away)).collect();
            let part = |sign: f64| {
                self.outlines(filled.iter().zip(&split).map(|(whole, split)| whole.max(sign * split)).collect())
            };
            [part(1.0), part(-1.0)]
        });
        Ok(FlatCut { stump: self.outlines(stump), restoration: self.outlines(filled), layers })
    }

    /// The recurrence of a preparation, column by column from below.
    fn stump(&self, design: &Design) -> Vec<f64> {
        let [across, up] = self.counts;
        let rise = self.cell * (0.5 * design.convergence).to_radians().tan();
        let (_, straight) = design.sides();
        let mut values = vec![0.0; self.nodes.len()];
        for column in 0..across {
            let mut last = f64::NEG_INFINITY;
            for n in (0..up).map(|k| column + across * k) {
                let Node { outer, normal, over_edge } = &self.nodes[n];
                let over = over_edge - design.finish;
                let body = outer + need_at(design, *normal, over);
                let bound: f64 =
                    side_shares(*normal).into_iter().zip(straight).filter(|(_, s)| *s).map(|(share, _)| share).sum();
                let wall = last + rise;
                let mut g = body;
                if over > -0.5 * self.cell && *outer < 2.0 && bound > 0.5 {
                    g = body.max(wall);
                    last = (body / normal[0].hypot(normal[1]).max(0.3)).max(wall);
                }
                values[n] = outer.max(g.min(over));
            }
        }
        values
    }

    /// Steepness of values in the plane at a node; between a third and three, so that a kink throws nothing far.
    fn slope(&self, values: &[f64], n: usize) -> f64 {
        let [across, up] = self.counts;
        let (i, k) = (n % across, n / across);
        let along = |at: usize, count: usize, stride: usize| {
            let (below, above) = (usize::from(at > 0), usize::from(at + 1 < count));
            (values[n + above * stride] - values[n - below * stride]) / ((above + below).max(1) as f64 * self.cell)
        };
        along(i, across, 1).hypot(along(k, up, across)).clamp(1.0 / 3.0, 3.0)
    }

    fn outlines(&self, mut values: Vec<f64>) -> Outlines {
        let [across, up] = self.counts;
        // The rim counts as outside, so that every outline closes; a value of nothing is inside by a hair.
        for (n, v) in values.iter_mut().enumerate() {
            let rim = n % across == 0 || n % across == across - 1 || n / across == 0 || n / across == up - 1;
            if rim {
                *v = v.max(0.5 * self.cell);
            } else if *v == 0.0 {
                *v = -1e-9;
            }
        }
        let at =
            |n: usize| [self.low[0] + (n % across) as f64 * self.cell, self.low[1] + (n / across) as f64 * self.cell];
        joined(&values, across, up, at)
    }
}

//! One preparation as a solid: the largest stump that leaves the wanted outer form its thickness, can be drawn along its path and leans as asked.
//!
//! Quantity: a body S. With d the distance to the present tooth, w that to the wanted outer form (present tooth, wax-up or form), n(p) the need at a
//! place (blended by the side the nearest surface faces, the present or the wanted one, whichever asks for less; over the first millimetre grown from
//! the margin's depth to the wall's), z along the path:
//!
//! ```text
//! b = w + n            room for the restoration
//! g(z) = max( b, l(z - h) + h tan(theta) ),  l(z) = max( b / |grad_xy d|, l(z - h) + h tan(theta) )
//! S = max( d, min( g, height over the finish line ) )
//! ```
//!
//! The recurrence is that of [`crate::stump`] (many draws, measures only); here one design is kept as a body. Walls are straight only where the
//! opposite side is prepared too. n is no more than what the present surface asks for and |grad| is the present tooth's, so that w enters S monotonously: what a wax-up adds never
//! costs tooth.
//!
//! Depart from the exact largest body: need is taken along the nearest surface's normal, so that at edges between surfaces of unequal need
//! depth changes over the blend's width. Limits: one lattice of 0.2 to 0.3 mm; margins below the enamel's edge are not made.

use crate::Needs;
use crate::body::{LatticeBody, Part, sampled};
use crate::enamel::occlusal_share;
use crate::parts::ToothParts;
use crate::stump::CHAMFER;
use rayon::prelude::*;
use shape::{Aabb, Field, Motion, Placed, ShapeError, Solid};
use std::sync::Arc;

/// What is to be cut.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Design {
    /// Thickness needed by surface, mm; 0 where a surface stays.
    pub needs: Needs,
    /// Total convergence of opposite walls, degrees.
    pub convergence: f64,
    /// Tilt of the path of placement towards mesial and towards lip or cheek, degrees.
    pub path: [f64; 2],
    /// Height of the finish line above the enamel's edge, mm.
    pub finish: f64,
}

impl Default for Design {
    /// Nothing cut; 16 degrees, path along the tooth, finish line half a millimetre above the enamel's edge.
    fn default() -> Self {
        Self { needs: Needs::default(), convergence: crate::reduction::MEDIAN_CONVERGENCE, path: [0.0; 2], finish: 0.5 }
    }
}

impl Design {
    /// Unit vector of the path in the tooth's frame.
    pub fn direction(&self) -> [f64; 3] {
        direction(self.path)
    }

    /// Which of facial, lingual and proximal sides are cut, and which of them have straight walls.
    pub(crate) fn sides(&self) -> ([bool; 3], [bool; 3]) {
        let n = &self.needs;
        let cut = [n.facial > 0.0, n.lingual > 0.0, n.proximal > 0.0];
        let both = cut[0] && cut[1];
        (cut, [both, both, cut[2]])
    }
}

/// Unit vector of a path tilted by degrees towards mesial and facial.
pub fn direction([mesial, facial]: [f64; 2]) -> [f64; 3] {
    let (x, y) = (mesial.to_radians().tan(), facial.to_radians().tan());
    let length = (1.0 + x * x + y * y).sqrt();
    [x / length, y / length, 1.0 / length]
}

/// A prepared tooth.
#[derive(Clone)]
pub struct Preparation {
    /// The design.
    pub design: Design,
    /// The stump with the root under it, in the tooth's frame.
    pub stump: Part,
    /// The tooth before, in the same frame.
    pub present: Part,
    /// The outer form the restoration is to have.
    pub wanted: Part,
    /// Turns the tooth's frame so that the path stands upright.
    pub(crate) upright: Motion,
    /// The stump on its lattice, in the upright frame.
    pub(crate) lattice: Arc<LatticeBody>,
}

impl Preparation {
    /// The largest stump in a tooth's average form for its own outer form.
    ///
    /// # Errors
    /// As [`Preparation::within`].
    pub fn of(parts: &ToothParts, design: &Design, cell: f64) -> Result<Self, ShapeError> {
        Self::within(parts, parts.outer.clone(), parts.outer.clone(), design, cell)
    }

    /// The largest stump in a present tooth for a wanted outer form; `parts` gives enamel edge and frame. All share the tooth's frame.
    ///
    /// # Errors
    /// Depths, angles or a cell that cannot be.
    pub fn within(
        parts: &ToothParts,
        present: Part,
        wanted: Part,
        design: &Design,
        cell: f64,
    ) -> Result<Self, ShapeError> {
        check(design)?;
        let path = design.direction();
        let upright = upright(path)?;
        let placed = Placed::new(present.clone(), upright);
        let bound = placed.bound();
        let d = sampled(&placed, cell)?;
        let wanted_at = |n: usize| {
            let p = upright.back(place(&d, n));
            (wanted.distance(p), wanted.gradient(p))
        };
        let as_it_stands = Arc::ptr_eq(&present, &wanted);
        let wished: Option<Vec<(f64, [f64; 3])>> =
            (!as_it_stands).then(|| (0..d.values().len()).into_par_iter().map(wanted_at).collect());
        let cut = CutLattice { parts, design, upright: &upright, d: &d, wished: wished.as_deref() };
        let values = cut.values();
        let stump = d.map(|n, _| values[n]);
        let lattice = Arc::new(LatticeBody::new(&stump, bound));
        let back = upright.inverse();
        Ok(Self {
            design: *design,
            stump: Arc::new(Placed::new(lattice.clone(), back)),
            present,
            wanted,
            upright,
            lattice,
        })
    }

    /// What was taken away.
    pub fn removed(&self) -> Part {
        Arc::new(shape::Difference::new(self.present.clone(), self.stump.clone()))
    }

    /// Box around the tooth before.
    pub fn bound(&self) -> Aabb {
        self.present.bound().join(&self.wanted.bound())
    }
}

/// Place of a node.
pub(crate) fn place(field: &Field, node: usize) -> [f64; 3] {
    let [nx, ny, _] = field.nodes();
    field.place([node % nx, node / nx % ny, node / (nx * ny)])
}

/// Turns `path` onto z.
fn upright(path: [f64; 3]) -> Result<Motion, ShapeError> {
    let [x, y, z] = path;
    let sine = x.hypot(y);
    if sine < 1e-12 {
        return Ok(Motion::none());
    }
    Motion::turn([y, -x, 0.0], sine.atan2(z), [0.0; 3])
}

/// Depths, angles and heights that can be.
pub(crate) fn check(design: &Design) -> Result<(), ShapeError> {
    let n = &design.needs;
    let lengths = [n.occlusal, n.facial, n.lingual, n.proximal, n.margin];
    let out = |quantity, found, expected| Err(ShapeError::OutOfRange { quantity, found, expected });
    if let Some(found) = lengths.into_iter().find(|x| !(0.0..=6.0).contains(x)) {
        return out("depth of the preparation", found, "0 to 6 mm");
    }
    if !(0.0..=60.0).contains(&design.convergence) {
        return out("total convergence", design.convergence, "0 to 60 degrees");
    }
    if let Some(found) = design.path.into_iter().find(|x| !(-45.0..=45.0).contains(x)) {
        return out("tilt of the path", found, "-45 to 45 degrees");
    }
    if !(-1.0..=6.0).contains(&design.finish) {
        return out("height of the finish line", design.finish, "-1 to 6 mm above the enamel's edge");
    }
    Ok(())
}

/// The recurrence on one lattice.
struct CutLattice<'a> {
    parts: &'a ToothParts,
    design: &'a Design,
    upright: &'a Motion,
    d: &'a Field,
    /// Distance to the wanted outer form and its gradient in the tooth's frame, where that is not the present tooth.
    wished: Option<&'a [(f64, [f64; 3])]>,
}

/// What the recurrence needs of a node.
struct Local {
    /// Room for the restoration.
    body: f64,
    /// The same within its own section.
    own: f64,
    over_finish: f64,
    straight: bool,
}

impl CutLattice<'_> {
    fn values(&self) -> Vec<f64> {
        let [nx, ny, nz] = self.d.nodes();
        let plane = nx * ny;
        let rise = self.d.cell() * (0.5 * self.design.convergence).to_radians().tan();
        // Column by column: each needs its own lower nodes only.
        let columns: Vec<Vec<f64>> = (0..plane)
            .into_par_iter()
            .map(|column| {
                let mut last = f64::NEG_INFINITY;
                (0..nz)
                    .map(|k| {
                        let node = column + plane * k;
                        let d = self.d.values()[node];
                        let at = self.local(node, d);
                        let wall = last + rise;
                        let mut g = at.body;
                        if at.over_finish > -0.5 * self.d.cell() && at.straight {
                            g = at.body.max(wall);
                            last = at.own.max(wall);
                        }
                        d.max(g.min(at.over_finish))
                    })
                    .collect()
            })
            .collect();
        let mut values = vec![0.0; plane * nz];
        for (column, heights) in columns.iter().enumerate() {
            for (k, v) in heights.iter().enumerate() {
                values[column + plane * k] = *v;
            }
        }
        values
    }

    fn local(&self, node: usize, d: f64) -> Local {
        let normal = self.d.node_gradient(node);
        let p = self.upright.back(place(self.d, node));
        let turned = self.upright.inverse().turned(normal);
        let over_finish = p[2] - self.parts.form.enamel_edge(p[0]) - self.design.finish;
        let need = need_at(self.design, turned, over_finish);
        let across = normal[0].hypot(normal[1]);
        let body = match self.wished {
            None => d + need,
            Some(wished) => {
                let (w, normal) = wished[node];
                w + need.min(need_at(self.design, normal, over_finish))
            }
        };
        let (_, straight) = self.design.sides();
        let [facial, lingual, proximal] = side_shares(turned);
        let bound: f64 =
            [facial, lingual, proximal].into_iter().zip(straight).filter(|(_, s)| *s).map(|(share, _)| share).sum();
        // Far outside the tooth nothing is asked.
        let near = d < 2.0;
        Local { body, own: body / across.max(0.3), over_finish, straight: near && bound > 0.5 }
    }
}

/// How much a side with this outward normal is facial, lingual, proximal; adds up to 1.
pub(crate) fn side_shares([x, y, _]: [f64; 3]) -> [f64; 3] {
    let across = (x * x + y * y).max(1e-12);
    let (facial, lingual) = (y.max(0.0).powi(2) / across, y.min(0.0).powi(2) / across);
    [facial, lingual, (1.0 - facial - lingual).max(0.0)]
}

/// Need at a place whose nearest surface faces `normal`, `over_finish` mm above the finish line.
pub(crate) fn need_at(design: &Design, normal: [f64; 3], over_finish: f64) -> f64 {
    let needs = &design.needs;
    let occlusal = occlusal_share(normal);
    let up = (over_finish / CHAMFER).clamp(0.0, 1.0);
    let (cut, _) = design.sides();
    let side: f64 = side_shares(normal)
        .into_iter()
        .zip([needs.facial, needs.lingual, needs.proximal])
        .zip(cut)
        .filter(|(_, cut)| *cut)
        .map(|((share, need), _)| share * (needs.margin * (1.0 - up) + need * up))
        .sum();
    occlusal * needs.occlusal + (1.0 - occlusal) * side
}

//! A model: bodies, what joins, holds and loads them.

use super::error::ModelError;
use shape::Solid;
use std::sync::Arc;

/// Isotropic elastic constants.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Material {
    /// Young's modulus, MPa (> 0).
    pub young: f64,
    /// Poisson ratio, 0 to below 0.5.
    pub poisson: f64,
}

impl Material {
    /// Lame constants (lambda, mu), MPa.
    pub fn lame(&self) -> (f64, f64) {
        let (e, nu) = (self.young, self.poisson);
        (e * nu / ((1.0 + nu) * (1.0 - 2.0 * nu)), 0.5 * e / (1.0 + nu))
    }
}

/// One body of one material.
#[derive(Clone)]
pub struct Body {
    /// Name for messages.
    pub name: String,
    /// Its shape, mm.
    pub solid: Arc<dyn Solid>,
    /// Its material.
    pub material: Material,
    /// Free (thermal) strain, equal in all directions: expansion times change of temperature.
    pub initial_strain: f64,
}

/// How a support acts.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Given {
    /// u = offset + gradient x, held weakly; zeros clamp.
    Displacement {
        /// Offset, mm.
        offset: [f64; 3],
        /// Gradient by rows: du_i/dx_j.
        gradient: [[f64; 3]; 3],
    },
    /// Springs, N/mm3. Infinity holds without any give, 0 not at all: (infinity, 0) is a wall along which the body slides, a plane of symmetry;
    /// of an all but flat wall, what its region takes in of other faces (under a seventh of the area, over 60 degrees off) is not held.
    Foundation {
        /// Along the normal.
        normal: f64,
        /// Across it.
        tangential: f64,
    },
}

/// A support on the part of a body's surface inside a region.
#[derive(Clone)]
pub struct Support {
    /// Name for messages.
    pub name: String,
    /// Number of the body.
    pub body: usize,
    /// Surface points inside it are supported.
    pub region: Arc<dyn Solid>,
    /// How.
    pub given: Given,
}

/// What pushes or pulls.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Push {
    /// Total force, N, spread evenly over the area found.
    Force([f64; 3]),
    /// Total force, N, spread over the area found as under a round contact: proportional to sqrt(1 - (r/radius)^2), r from `centre` (Hertz
    /// 1881; Johnson 1985, Contact mechanics, memory).
    Contact {
        /// Total force, N.
        force: [f64; 3],
        /// Middle of the contact, mm.
        centre: [f64; 3],
        /// Its radius, mm.
        radius: f64,
    },
    /// Pressure against the surface, MPa (positive pushes inward).
    Pressure(f64),
    /// Force on a unit of volume of the whole body, N/mm3; the region is not asked.
    PerVolume([f64; 3]),
}

/// A load on the part of a body's surface inside a region.
#[derive(Clone)]
pub struct Load {
    /// Name for messages.
    pub name: String,
    /// Number of the body.
    pub body: usize,
    /// Surface points inside it are loaded.
    pub region: Arc<dyn Solid>,
    /// What acts there.
    pub push: Push,
}

/// Loads that act together.
#[derive(Clone)]
pub struct LoadCase {
    /// Name for messages.
    pub name: String,
    /// Its loads.
    pub loads: Vec<Load>,
    /// Factor on given displacements and on initial strains in this case: 1 where they act, 0 where the loads act alone.
    pub given: f64,
}

/// How two touching surfaces are joined.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Bond {
    /// Without any give.
    Firm,
    /// By a thin layer, as stiffness per area, N/mm3.
    Layer {
        /// E/t of the layer.
        normal: f64,
        /// G/t of the layer.
        tangential: f64,
    },
}

/// What joins the surfaces of two bodies where they touch.
#[derive(Debug, Clone, PartialEq)]
pub struct Interface {
    /// Name for messages.
    pub name: String,
    /// Numbers of the two bodies.
    pub bodies: [usize; 2],
    /// How.
    pub bond: Bond,
    /// Surfaces at most this far apart touch, mm.
    pub reach: f64,
}

/// Part of a body's surface whose stress is wanted.
#[derive(Clone)]
pub struct Group {
    /// Name.
    pub name: String,
    /// Number of the body.
    pub body: usize,
    /// Surface points inside it belong to the group.
    pub region: Arc<dyn Solid>,
    /// Surface points inside it are left out.
    pub excluded: Option<Arc<dyn Solid>>,
    /// Surface nearer than this many cells to a load, a support or the edge of an interface is left out.
    pub margin: f64,
}

/// A box solved again with smaller cells, driven by the displacements of the whole.
#[derive(Debug, Clone, PartialEq)]
pub struct Zoom {
    /// Name for messages.
    pub name: String,
    /// Middle of the box, mm.
    pub centre: [f64; 3],
    /// Its edges, mm.
    pub size: [f64; 3],
    /// Edge of its cells, mm.
    pub cell: f64,
}

/// What is to be solved.
#[derive(Clone)]
pub struct Model {
    /// Edge of a cell, mm.
    pub cell: f64,
    /// Place of a lattice corner, mm: moving it tests how far the answer hangs on the lattice.
    pub origin: [f64; 3],
    /// Bodies.
    pub bodies: Vec<Body>,
    /// Interfaces.
    pub interfaces: Vec<Interface>,
    /// Supports.
    pub supports: Vec<Support>,
    /// Load cases, solved on one set-up.
    pub cases: Vec<LoadCase>,
}

impl Model {
    pub(crate) fn check(&self) -> Result<(), ModelError> {
        let within = |part: &str, quantity, found: f64, holds: bool, expected| {
            if found.is_finite() && holds {
                return Ok(());
            }
            Err(ModelError::OutOfRange { part: part.into(), quantity, found, expected })
        };
        if self.bodies.is_empty() {
            return Err(ModelError::Empty);
        }
        within("lattice", "cell edge", self.cell, self.cell > 0.0, "a finite number above 0")?;
        for o in self.origin {
            within("lattice", "origin", o, true, "a finite number")?;
        }
        for b in &self.bodies {
            let m = b.material;
            within(&b.name, "Young's modulus", m.young, m.young > 0.0, "a finite number above 0")?;
            within(&b.name, "Poisson ratio", m.poisson, (0.0..0.5).contains(&m.poisson), "0 to below 0.5")?;
            within(&b.name, "initial strain", b.initial_strain, true, "a finite number")?;
            if !b.solid.bound().is_finite() {
                return Err(ModelError::NoMaterial(b.name.clone()));
            }
        }
        let exists = |part: &str, body: usize| {
            if body < self.bodies.len() { Ok(()) } else { Err(ModelError::NoBody { part: part.into(), body }) }
        };
        for s in &self.supports {
            exists(&s.name, s.body)?;
            let numbers: Vec<f64> = match s.given {
                Given::Displacement { offset, gradient } => {
                    offset.iter().chain(gradient.iter().flatten()).copied().collect()
                }
                Given::Foundation { normal, tangential } => {
                    for k in [normal, tangential] {
                        // Infinity is firm, so only its sign is looked at.
                        let sign = if k.is_infinite() { k.signum() } else { k };
                        within(&s.name, "foundation stiffness", sign, sign >= 0.0, "at least 0")?;
                    }
                    vec![]
                }
            };
            for x in numbers {
                within(&s.name, "given displacement", x, true, "a finite number")?;
            }
        }
        for case in &self.cases {
            within(&case.name, "factor on what is given", case.given, true, "a finite number")?;
            for l in &case.loads {
                exists(&l.name, l.body)?;
                let three =
                    |f: [f64; 3]| f.iter().try_for_each(|f| within(&l.name, "force", *f, true, "a finite number"));
                match l.push {
                    Push::Force(f) | Push::PerVolume(f) => three(f)?,
                    Push::Pressure(p) => within(&l.name, "pressure", p, true, "a finite number")?,
                    Push::Contact { force, centre, radius } => {
                        three(force)?;
                        three(centre)?;
                        within(&l.name, "contact radius", radius, radius > 0.0, "a finite number above 0")?;
                    }
                }
            }
        }
        for i in &self.interfaces {
            exists(&i.name, i.bodies[0])?;
            exists(&i.name, i.bodies[1])?;
            within(&i.name, "reach", i.reach, i.reach >= 0.0, "a finite number of at least 0")?;
            if let Bond::Layer { normal, tangential } = i.bond {
                for k in [normal, tangential] {
                    within(&i.name, "stiffness", k, k >= 0.0, "a finite number of at least 0")?;
                }
            }
        }
        Ok(())
    }
}

//! A restoration on its teeth in the arch: prepared abutments, retainers, pontics and connectors as one body of framework (and one of veneer), each
//! part its own material, in the jaw's frame.
//!
//! Retainers are cut along one common path ([`crate::common_path`]); where there is none each tooth keeps its own and the unit says so. Connectors
//! run where neighbours touch, at 55 % of the lower crown's height, and are measured as built: the smallest section between the two.

use crate::arch::{Arch, Seat};
use crate::body::{LatticeBody, Part};
use crate::built::{Connector, Core, Pontic, layered, retainer};
use crate::parts::ToothParts;
use crate::path::{CommonPath, PathCost};
use crate::preparation::{Design, Preparation};
use crate::{Needs, Seen, SizeError, StandingTooth, common_path};
use catalogue::words::Tooth;
use shape::{Plane, Section, ShapeError, Solid, smallest_section};
use std::collections::BTreeMap;
use std::sync::Arc;
use thiserror::Error;

/// Lattice that necks are measured on, mm.
const NECK_CELL: f64 = 0.2;

/// What a part is made of.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Role {
    /// Dentine with the root stub.
    Dentine,
    /// Enamel left on a stump.
    Enamel,
    /// Pulp.
    Pulp,
    /// Framework, or all of a monolithic restoration.
    Framework,
    /// Veneer.
    Veneer,
}

/// A part in the jaw's frame.
#[derive(Clone)]
pub struct UnitPart {
    /// What it is made of.
    pub role: Role,
    /// Its tooth; `None` for the framework of several.
    pub tooth: Option<Tooth>,
    /// The body.
    pub solid: Part,
}

/// How a unit is made.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct UnitDesign {
    /// Thickness of the retainers by surface, mm.
    pub needs: Needs,
    /// Total convergence, degrees.
    pub convergence: f64,
    /// Finish line above the enamel's edge, mm.
    pub finish: f64,
    /// Cement gap, mm.
    pub gap: f64,
    /// Pontics.
    pub pontic: Pontic,
    /// Connectors.
    pub connector: Connector,
    /// Core under a veneer; `None`: one material.
    pub core: Option<Core>,
    /// Age of the person, years.
    pub age: f64,
    /// Lattice, mm.
    pub cell: f64,
}

/// A connector as built.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct BuiltConnector {
    /// Between which teeth.
    pub teeth: [Tooth; 2],
    /// The smallest section.
    pub section: Section,
}

/// A unit in its arch.
#[derive(Clone)]
pub struct Unit {
    /// All parts.
    pub parts: Vec<UnitPart>,
    /// Path of placement in the jaw's frame; `None` for a single tooth without preparation.
    pub path: Option<[f64; 3]>,
    /// What the common path costs each abutment.
    pub costs: Vec<PathCost>,
    /// Connectors as built.
    pub connectors: Vec<BuiltConnector>,
    /// Prepared abutments, in their own frames, with their parts.
    pub preparations: Vec<(ToothParts, Preparation)>,
    /// Where the teeth stand.
    pub arch: Arch,
    /// What had to be done otherwise.
    pub remarks: Vec<String>,
}

/// Why a unit cannot be made.
#[derive(Debug, Clone, PartialEq, Error)]
pub enum UnitError {
    /// Teeth that do not stand beside one another.
    #[error(
        "{0} and {1} are not neighbours in one jaw; expected the teeth of the unit in their order, missing ones named too"
    )]
    NotNeighbours(Tooth, Tooth),
    /// Nothing to carry it.
    #[error("all teeth of the unit are missing; expected one standing tooth or more")]
    NothingStands,
    /// A size.
    #[error(transparent)]
    Size(#[from] SizeError),
    /// A body.
    #[error(transparent)]
    Shape(#[from] ShapeError),
}

impl Unit {
    /// Teeth in their order with their forms (all teeth of the jaw that shall stand in the arch); `missing` become pontics.
    ///
    /// # Errors
    /// [`UnitError`].
    pub fn new(
        forms: &BTreeMap<Tooth, crate::ToothForm>,
        arch: Arch,
        teeth: &[Tooth],
        missing: &[Tooth],
        design: &UnitDesign,
    ) -> Result<Self, UnitError> {
        check_order(teeth)?;
        let standing: Vec<Tooth> = teeth.iter().copied().filter(|t| !missing.contains(t)).collect();
        if standing.is_empty() {
            return Err(UnitError::NothingStands);
        }
        let mut remarks = Vec::new();
        let path = agreed_path(forms, &arch, &standing, &design.needs, &mut remarks)?;
        let mut unit = Self {
            parts: Vec::new(),
            path: Some(path.direction),
            costs: path.costs.clone(),
            connectors: Vec::new(),
            preparations: Vec::new(),
            arch,
            remarks,
        };
        let mut bodies: Vec<(Tooth, Part)> = Vec::new();
        for tooth in teeth {
            let Some(form) = forms.get(tooth) else { return Err(SizeError::Missing(*tooth).into()) };
            let Some(seat) = unit.arch.seat(*tooth).copied() else { return Err(SizeError::Missing(*tooth).into()) };
            let parts = ToothParts::new(form, design.age, design.cell)?;
            let (body, outer, inside) = if missing.contains(tooth) {
                let pontic = design.pontic.solid(&parts, design.cell)?;
                (pontic.clone(), pontic.clone(), shrunk(&pontic)?)
            } else {
                unit.prepared(&parts, &seat, &path, design)?
            };
            let framework = match design.core {
                None => body,
                Some(core) => {
                    let layers = layered(&body, &outer, &inside, core);
                    unit.add(Role::Veneer, Some(*tooth), &layers.veneer, &seat);
                    layers.core
                }
            };
            bodies.push((*tooth, seat.seated(&framework)));
        }
        unit.join(bodies, forms, missing, &design.connector)?;
        Ok(unit)
    }

    /// Cuts one abutment, adds its tissues; returns retainer, outer form and stump.
    fn prepared(
        &mut self,
        parts: &ToothParts,
        seat: &Seat,
        path: &CommonPath,
        design: &UnitDesign,
    ) -> Result<(Part, Part, Part), UnitError> {
        let tooth = parts.form.tooth();
        let tilt = path.costs.iter().find(|c| c.tooth == tooth).map_or([0.0; 2], |c| c.tilt);
        let cut = Design { needs: design.needs, convergence: design.convergence, path: tilt, finish: design.finish };
        let made = Preparation::of(parts, &cut, design.cell)?;
        let body = retainer(&made, parts, design.gap)?;
        let dentine = shape::Intersection::new(made.stump.clone(), parts.core.clone())?;
        let enamel: Part = Arc::new(shape::Difference::new(made.stump.clone(), parts.core.clone()));
        let dentine: Part = Arc::new(shape::Difference::new(dentine, parts.pulp.clone()));
        self.add(Role::Dentine, Some(tooth), &dentine, seat);
        self.add(Role::Enamel, Some(tooth), &enamel, seat);
        let pulp: Part = parts.pulp.clone();
        self.add(Role::Pulp, Some(tooth), &pulp, seat);
        let found = (body, made.wanted.clone(), made.stump.clone());
        self.preparations.push((parts.clone(), made));
        Ok(found)
    }

    fn add(&mut self, role: Role, tooth: Option<Tooth>, part: &Part, seat: &Seat) {
        self.parts.push(UnitPart { role, tooth, solid: seat.seated(part) });
    }

    /// Unites neighbours by connectors, or leaves single bodies.
    fn join(
        &mut self,
        bodies: Vec<(Tooth, Part)>,
        forms: &BTreeMap<Tooth, crate::ToothForm>,
        missing: &[Tooth],
        connector: &Connector,
    ) -> Result<(), UnitError> {
        if missing.is_empty() {
            for (tooth, solid) in bodies {
                self.parts.push(UnitPart { role: Role::Framework, tooth: Some(tooth), solid });
            }
            return Ok(());
        }
        let mut whole = bodies[0].1.clone();
        let mut spots = Vec::new();
        for pair in bodies.windows(2) {
            let teeth = [pair[0].0, pair[1].0];
            let (from, to, up) = self.contact(teeth, forms);
            whole = connector.join(whole, pair[1].1.clone(), from, to, up)?;
            spots.push((teeth, from, to, up));
        }
        for (teeth, from, to, up) in spots {
            let whole: &dyn Solid = &whole;
            let reach = 3.0 * connector.height.max(connector.width);
            let middle: [f64; 3] = std::array::from_fn(|a| 0.5 * (from[a] + to[a]));
            // Only the neck between the two: other parts of the unit lie in the same plane further off.
            let neck = LatticeBody::of(&Near { whole, middle, reach: 0.5 * reach }, NECK_CELL)?;
            let inner = |t: f64| -> [f64; 3] { std::array::from_fn(|a| middle[a] + t * (to[a] - from[a])) };
            let found =
                smallest_section(&[inner(-0.3), inner(0.3)], up, 0.2, |s| s.area, |p: &Plane| shape::section(&neck, p));
            match found {
                Ok(s) => self.connectors.push(BuiltConnector { teeth, section: s.section }),
                Err(e) => {
                    self.remarks.push(format!("the connector {}-{} could not be measured: {e}", teeth[0], teeth[1]))
                }
            }
        }
        self.parts.push(UnitPart { role: Role::Framework, tooth: None, solid: whole });
        Ok(())
    }

    /// Ends of a connector inside two neighbours, and what is up.
    fn contact(&self, teeth: [Tooth; 2], forms: &BTreeMap<Tooth, crate::ToothForm>) -> ([f64; 3], [f64; 3], [f64; 3]) {
        let inside = |tooth: Tooth, other: Tooth| {
            let (Some(form), Some(seat)) = (forms.get(&tooth), self.arch.seat(tooth)) else { return [0.0; 3] };
            let lower =
                teeth.iter().filter_map(|t| forms.get(t)).map(|f| f.size().crown_height).fold(f64::INFINITY, f64::min);
            let z = form.size().crown_height - 0.45 * lower;
            let middle = seat.place([0.0, form.axis(z), z]);
            let Some(there) = self.arch.seat(other).map(|s| s.place([0.0, 0.0, z])) else { return middle };
            let half = 0.5 * form.size().mesiodistal;
            let way = (0..2).map(|a| (there[a] - middle[a]).powi(2)).sum::<f64>().sqrt().max(1e-9);
            // 1.2 mm inside the proximal surface.
            let share = (half - 1.2) / way;
            [middle[0] + share * (there[0] - middle[0]), middle[1] + share * (there[1] - middle[1]), middle[2]]
        };
        (inside(teeth[0], teeth[1]), inside(teeth[1], teeth[0]), [0.0, 0.0, 1.0])
    }
}

/// A body within a ball.
struct Near<'a> {
    whole: &'a dyn Solid,
    middle: [f64; 3],
    reach: f64,
}

impl Solid for Near<'_> {
    fn distance(&self, p: [f64; 3]) -> f64 {
        let off = (0..3).map(|a| (p[a] - self.middle[a]).powi(2)).sum::<f64>().sqrt() - self.reach;
        if off > 0.5 { off } else { self.whole.distance(p).max(off) }
    }

    fn bound(&self) -> shape::Aabb {
        let (low, high) = (self.middle.map(|m| m - self.reach), self.middle.map(|m| m + self.reach));
        shape::Aabb { low, high }
    }
}

/// What a pontic's core is measured from: nothing, so that a coping becomes a body of its own.
fn shrunk(pontic: &Part) -> Result<Part, ShapeError> {
    Ok(Arc::new(shape::Offset::new(pontic.clone(), -2.0)?))
}

fn check_order(teeth: &[Tooth]) -> Result<(), UnitError> {
    let mut places: Vec<&Tooth> = teeth.iter().collect();
    places.sort_by_key(|t| t.place());
    for pair in places.windows(2) {
        if pair[0].next() != Some(*pair[1]) {
            return Err(UnitError::NotNeighbours(*pair[0], *pair[1]));
        }
    }
    Ok(())
}

fn agreed_path(
    forms: &BTreeMap<Tooth, crate::ToothForm>,
    arch: &Arch,
    standing: &[Tooth],
    needs: &Needs,
    remarks: &mut Vec<String>,
) -> Result<CommonPath, UnitError> {
    let world = answer::World::with_draws(1, 8);
    let mut teeth = Vec::new();
    for tooth in standing {
        let form = forms.get(tooth).ok_or(SizeError::Missing(*tooth))?;
        let seat = arch.seat(*tooth).ok_or(SizeError::Missing(*tooth))?;
        teeth.push((StandingTooth::new(&world, form, &Seen::default())?, *seat));
    }
    let pairs: Vec<(&StandingTooth, &Seat)> = teeth.iter().map(|(t, s)| (t, s)).collect();
    Ok(common_path(&pairs, needs).unwrap_or_else(|none| {
        remarks.push(none.to_string());
        none.best
    }))
}

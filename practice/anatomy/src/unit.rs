//! A restoration on its teeth in the arch: prepared abutments, retainers, pontics and connectors as one body of framework (and one of veneer), each
//! part its own material, in the jaw's frame.
//!
//! Retainers are cut along one common path ([`crate::common_path`]); where there is none each tooth keeps its own and the unit says so. Connectors
//! run where neighbours touch, at 55 % of the lower crown's height, and are measured as built: the smallest section between the two.

use crate::arch::{Arch, Seat};
use crate::body::Part;
use crate::built::{Connector, Core, Pontic, layered, retainer};
use crate::parts::ToothParts;
use crate::path::{CommonPath, PathCost};
use crate::preparation::{Design, Preparation};
use crate::unit_joined::{Contact, Unjoined};
use crate::{Needs, Seen, SizeError, StandingTooth, common_path};
use catalogue::words::Tooth;
use rayon::prelude::*;
use shape::{Section, ShapeError};
use std::collections::BTreeMap;
use std::sync::Arc;
use thiserror::Error;

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
        Unjoined::new(forms, arch, teeth, missing, design)?.joined(&design.connector)
    }
}

impl Unjoined {
    /// As [`Unit::new`], whose connectors are left open; that of the design is not looked at.
    ///
    /// # Errors
    /// As [`Unit::new`].
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
        let one = |tooth: &Tooth| Built::new(forms, &arch, *tooth, !missing.contains(tooth), &path, design);
        let built = teeth.par_iter().map(one).collect::<Result<Vec<Built>, UnitError>>()?;
        let contacts = if missing.is_empty() { Vec::new() } else { Contact::of_all(&arch, teeth, forms) };
        let mut unit = Unit {
            parts: Vec::new(),
            path: Some(path.direction),
            costs: path.costs,
            connectors: Vec::new(),
            preparations: Vec::new(),
            arch,
            remarks,
        };
        let mut bodies = Vec::new();
        for (tooth, one) in teeth.iter().zip(built) {
            unit.parts.extend(one.parts);
            unit.preparations.extend(one.preparation);
            bodies.push((*tooth, one.body));
        }
        Ok(Self { unit, bodies, contacts })
    }
}

/// What one tooth of a unit gets, in the jaw's frame.
struct Built {
    /// All but its framework.
    parts: Vec<UnitPart>,
    preparation: Option<(ToothParts, Preparation)>,
    /// Its framework.
    body: Part,
}

impl Built {
    fn new(
        forms: &BTreeMap<Tooth, crate::ToothForm>,
        arch: &Arch,
        tooth: Tooth,
        stands: bool,
        path: &CommonPath,
        design: &UnitDesign,
    ) -> Result<Self, UnitError> {
        let form = forms.get(&tooth).ok_or(SizeError::Missing(tooth))?;
        let seat = arch.seat(tooth).ok_or(SizeError::Missing(tooth))?;
        let parts = ToothParts::new(form, design.age, design.cell)?;
        let mut all: Vec<(Role, Part)> = Vec::new();
        let (body, outer, inside, preparation) = if stands {
            let (body, made) = prepared(&parts, path, design, &mut all)?;
            (body, made.wanted.clone(), made.stump.clone(), Some((parts, made)))
        } else {
            let pontic = design.pontic.solid(&parts, design.cell)?;
            (pontic.clone(), pontic.clone(), shrunk(&pontic)?, None)
        };
        let framework = match design.core {
            None => body,
            Some(core) => {
                let layers = layered(&body, &outer, &inside, core);
                all.push((Role::Veneer, layers.veneer));
                layers.core
            }
        };
        let seated = |(role, part)| UnitPart { role, tooth: Some(tooth), solid: seat.seated(&part) };
        Ok(Self { parts: all.into_iter().map(seated).collect(), preparation, body: seat.seated(&framework) })
    }
}

/// Cuts one abutment and adds its tissues; its retainer, and the stump.
fn prepared(
    parts: &ToothParts,
    path: &CommonPath,
    design: &UnitDesign,
    all: &mut Vec<(Role, Part)>,
) -> Result<(Part, Preparation), UnitError> {
    let tooth = parts.form.tooth();
    let tilt = path.costs.iter().find(|c| c.tooth == tooth).map_or([0.0; 2], |c| c.tilt);
    let cut = Design { needs: design.needs, convergence: design.convergence, path: tilt, finish: design.finish };
    let made = Preparation::of(parts, &cut, design.cell)?;
    let body = retainer(&made, parts, design.gap)?;
    let dentine = shape::Intersection::new(made.stump.clone(), parts.core.clone())?;
    let enamel = shape::Difference::new(made.stump.clone(), parts.core.clone());
    all.push((Role::Dentine, Arc::new(shape::Difference::new(dentine, parts.pulp.clone()))));
    all.push((Role::Enamel, Arc::new(enamel)));
    all.push((Role::Pulp, parts.pulp.clone()));
    Ok((body, made))
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

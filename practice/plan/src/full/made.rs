//! A restoration on its teeth as a model for the solver: bodies, cement, ligament, five places of the bite, and the surfaces looked at.
//!
//! A crown's core and the veneer all over it are two bodies ([`super::crown`]); of a unit with connectors a veneer is counted as framework. Each stump is one body of dentine with its root stub in
//! springs, cement a thin layer's stiffness. Forms are the average ones at the case's age; connectors run where neighbours touch.

use super::crown::crown;
use crate::candidates::Candidate;
use crate::dimensions::{Connector as Section, Dimensions};
use crate::surfaces::SPRINGS;
use ::anatomy::{
    Arch, Connector, Design, Formula, LatticeBody, Needs, Part, Pontic, PonticForm, Role, Seat, ToothForm, ToothParts,
    Unit, UnitDesign, Unjoined,
};
use case::Case;
use catalogue::Catalogue;
use catalogue::words::{Construct, Tooth};
use shape::{Aabb, Ball, HalfSpace, Solid};
use std::collections::BTreeMap;
use std::sync::Arc;
use strength::solve::{Body, Bond, Given, Group, Interface, Load, LoadCase, Material, Model, Push, Support};

/// Cement: thickness (mm), modulus and shear modulus (MPa).
pub(super) const CEMENT: (f64, f64, f64) = (0.06, 8e3, 3e3);
/// Radius of the contact, mm.
pub(super) const CONTACT: f64 = 1.2;
/// Lattice that bodies are made on, mm.
pub(super) const LATTICE: f64 = 0.3;
/// Lattice that the framework is kept on, mm: fine enough for its fillets.
const KEPT: f64 = 0.25;
/// How near the stump a surface counts as facing the cement, mm.
const FACING: f64 = 0.2;
/// How far apart veneer and core, each kept on its own lattice, may lie and still be joined, mm.
const JOINED: f64 = 0.05;
/// Lean of the leaning bite, degrees: the middle of what front teeth meet at (memory).
const LEAN: f64 = 45.0;

/// A model with what is looked at.
pub(super) struct Made {
    pub(super) model: Model,
    /// What breaks: the framework's.
    pub(super) seen: Vec<Seen>,
    /// What is told beside it: the veneer's.
    pub(super) beside: Vec<Group>,
    /// Height and width of connectors as built, mm.
    pub(super) built: Vec<[f64; 2]>,
    pub(super) remarks: Vec<String>,
    /// Thickness of the wall under the bite as built, mm, where a wall is looked at.
    pub(super) wall: Option<f64>,
}

/// A surface that is looked at.
pub(super) struct Seen {
    pub(super) group: Group,
    /// Its middle, where it is looked at more closely, mm.
    pub(super) spot: [f64; 3],
}

/// What it is made of.
#[derive(Clone, Copy)]
pub(super) struct Stiff {
    pub(super) framework: Material,
    pub(super) dentine: Material,
    /// Where a veneer lies all over: the framework's share of a wall, and the veneer.
    pub(super) veneer: Option<(f64, Material)>,
}

impl Made {
    /// Number of the body that is framework: the last of the restoration's.
    pub(super) fn framework(&self) -> usize {
        self.seen.first().map_or(0, |s| s.group.body)
    }
}

/// The body of the case as planned, and in the size of the studies; `cell` is that of the solver's lattice. What does not depend on the size is made once.
///
/// # Errors
/// In words, what cannot be made.
pub(super) fn made(
    case: &Case,
    candidate: &Candidate,
    [planned, studied]: [&Dimensions; 2],
    catalogue: &Catalogue,
    stiff: Stiff,
    cell: f64,
) -> Result<[Made; 2], String> {
    let (one, other) = match (planned.connector, studied.connector) {
        (Some(one), Some(other)) => {
            let teeth = |missing| Teeth::new(case, candidate, planned, catalogue, missing);
            let own = teeth(case.missing())?;
            let followed = followed(case, candidate).map(&teeth).transpose()?;
            let of = |teeth: &Teeth, c: Section| {
                teeth.united(Connector { height: c.height, width: c.width, radius: c.radius }, stiff, cell)
            };
            rayon::join(|| of(&own, one), || of(followed.as_ref().unwrap_or(&own), other))
        }
        _ => {
            let tooth = case.main_tooth().ok_or("the case names no tooth")?;
            let form = ToothForm::of(catalogue, tooth).map_err(words)?;
            let parts = ToothParts::new(&form, age(case), LATTICE).map_err(words)?;
            let of = |d: &Dimensions| {
                let mut made = crown(&parts, d, stiff, cell)?;
                made.remarks.extend(not_as_built(candidate.construct).map(str::to_owned));
                Ok(made)
            };
            rayon::join(|| of(planned), || of(studied))
        }
    };
    Ok([one?, other?])
}

/// What a construct has that the body solved for it has not.
fn not_as_built(construct: Construct) -> Option<&'static str> {
    match construct {
        Construct::Endocrown => Some("Solved as a crown on a stump: what reaches into the tooth is not in it."),
        Construct::ImplantCrown => Some("Solved on a stump of dentine in springs: an abutment of metal gives less."),
        _ => None,
    }
}

pub(super) fn words(e: impl std::fmt::Display) -> String {
    e.to_string()
}

pub(super) fn needs(dimensions: &Dimensions) -> Needs {
    let needs = Needs::from_surfaces(dimensions.surfaces());
    Needs { occlusal: dimensions.occlusal().unwrap_or(needs.occlusal), ..needs }
}

fn age(case: &Case) -> f64 {
    case.mouth.age.map_or(40.0, |a| 0.5 * (a.years().0 + a.years().1))
}

/// The missing tooth beside those that carry, where several hang on one side: the studies' patients are taken to have had one pontic then.
fn followed(case: &Case, candidate: &Candidate) -> Option<Vec<Tooth>> {
    let missing = case.missing();
    let beside = |pair: &(Tooth, Tooth)| match (missing.contains(&pair.0), missing.contains(&pair.1)) {
        (true, false) => Some(pair.0),
        (false, true) => Some(pair.1),
        _ => None,
    };
    let hang = candidate.construct.hangs_free() && missing.len() > 1;
    hang.then(|| case.connectors().iter().find_map(beside)).flatten().map(|tooth| vec![tooth])
}

/// The teeth of a unit, and which of them are missing.
struct Teeth {
    all: Vec<Tooth>,
    missing: Vec<Tooth>,
    unjoined: Unjoined,
}

impl Teeth {
    fn new(
        case: &Case,
        candidate: &Candidate,
        dimensions: &Dimensions,
        catalogue: &Catalogue,
        missing: Vec<Tooth>,
    ) -> Result<Self, String> {
        let mut all: Vec<Tooth> = case.units().iter().map(|u| u.tooth).collect();
        all.retain(|t| missing.contains(t) || candidate.abutments.contains(t));
        all.sort_by_key(|t| t.place());
        let jaw = all.first().ok_or("the case names no teeth")?.jaw();
        let forms: BTreeMap<Tooth, ToothForm> = (11..=48)
            .filter_map(|code| Tooth::new(code).ok())
            .filter(|t| t.jaw() == jaw)
            .filter_map(|t| Some((t, ToothForm::of(catalogue, t).ok()?)))
            .collect();
        let c = dimensions.connector.ok_or("the restoration has no connector")?;
        let design = UnitDesign {
            needs: needs(dimensions),
            convergence: Design::default().convergence,
            finish: 0.5,
            gap: CEMENT.0,
            pontic: Pontic::usual(PonticForm::ModifiedRidgeLap),
            connector: Connector { height: c.height, width: c.width, radius: c.radius },
            core: None,
            age: age(case),
            cell: LATTICE,
        };
        let arch = Arch::new(&forms, |_| 0.0).map_err(words)?;
        let unjoined = Unjoined::new(&forms, arch, &all, &missing, &design).map_err(words)?;
        Ok(Self { all, missing, unjoined })
    }

    fn united(&self, connector: Connector, stiff: Stiff, cell: f64) -> Result<Made, String> {
        let unit = self.unjoined.joined(&connector).map_err(words)?;
        let framework = unit.parts.iter().find(|p| p.role == Role::Framework).ok_or("no framework came of it")?;
        let framework: Part = Arc::new(LatticeBody::of(&framework.solid, KEPT).map_err(words)?);
        let mut stumps = Vec::new();
        for (parts, prepared) in &unit.preparations {
            let tooth = parts.form.tooth();
            let seat = unit.arch.seat(tooth).ok_or("an abutment has no seat")?;
            let stump: Part = prepared.stump.clone();
            stumps.push((tooth, seat.seated(&stump)));
        }
        let seen = connectors(&unit, &framework, &stumps)?;
        let cases = bites(&unit.arch, &framework, &self.all, &self.missing)?;
        let built = unit.connectors.iter().map(|c| [c.section.height, c.section.width]).collect();
        let model = model(cell, stiff, vec![body("restoration", framework, stiff.framework)], stumps, cases)?;
        let mut remarks = unit.remarks;
        if stiff.veneer.is_some() {
            remarks.push("The veneer is counted as framework.".to_owned());
        }
        Ok(Made { model, seen, beside: Vec::new(), built, remarks, wall: None })
    }
}

/// The surface around each connector, what faces cement left out.
fn connectors(unit: &Unit, framework: &Part, stumps: &[(Tooth, Part)]) -> Result<Vec<Seen>, String> {
    let inside = facing(stumps.iter().map(|s| s.1.clone()).collect(), framework.bound());
    let mut all = Vec::new();
    for c in &unit.connectors {
        let (spot, reach) = (c.section.centroid, 0.5 * c.section.height.max(c.section.width) + 1.0);
        let region: Part = Arc::new(Ball::new(spot, reach).map_err(words)?);
        let name = format!("connector {}-{}", c.teeth[0], c.teeth[1]);
        all.push(Seen { group: group(&name, 0, region, Some(inside.clone())), spot });
    }
    if all.is_empty() { Err("no connector could be measured".to_owned()) } else { Ok(all) }
}

/// Five bites: the middle of the pontic upright and leaning, the pontic's edge, both ends.
fn bites(arch: &Arch, framework: &Part, teeth: &[Tooth], missing: &[Tooth]) -> Result<Vec<LoadCase>, String> {
    let seat = |t: &Tooth| arch.seat(*t).copied().ok_or_else(|| format!("{t} has no seat"));
    // In the middle of the gap; of what hangs on one side the last.
    let free = [teeth.first(), teeth.last()].into_iter().flatten().find(|t| missing.contains(t));
    let pontic = seat(free.or(missing.get(missing.len() / 2)).ok_or("nothing is missing")?)?;
    let on = |seat: &Seat, shift: f64| {
        let [x, y, _] = seat.place([shift, 0.0, 0.0]);
        top(framework, [x, y]).ok_or_else(|| "no chewing surface was found".to_owned())
    };
    let down = [0.0, 0.0, -1.0];
    let middle = on(&pontic, 0.0)?;
    let mut all = vec![
        bite("middle of the pontic, upright", middle, down, None)?,
        bite("middle of the pontic, leaning", middle, pontic.direction(leaning([0.0, 1.0, 0.0])), None)?,
        bite("edge of the pontic, upright", on(&pontic, 2.0)?, down, None)?,
    ];
    for t in teeth.iter().filter(|t| !missing.contains(t)) {
        all.push(bite(&format!("{t}, upright"), on(&seat(t)?, 0.0)?, down, None)?);
    }
    Ok(all)
}

pub(super) fn leaning(side: [f64; 3]) -> [f64; 3] {
    let (sine, cosine) = LEAN.to_radians().sin_cos();
    [sine * side[0], sine * side[1], -cosine]
}

/// One newton, on what lies `outside` where walls are thin: surfaces within a load's region are left out of groups, and a ball reaches through a wall.
pub(super) fn bite(name: &str, at: [f64; 3], force: [f64; 3], outside: Option<&Part>) -> Result<LoadCase, String> {
    let push = Push::Contact { force, centre: at, radius: CONTACT };
    let ball: Part = Arc::new(Ball::new(at, CONTACT).map_err(words)?);
    let region = match outside {
        Some(outside) => Arc::new(shape::Intersection::new(ball, outside.clone()).map_err(words)?),
        None => ball,
    };
    Ok(LoadCase { name: name.into(), loads: vec![Load { name: name.into(), body: 0, region, push }], given: 1.0 })
}

pub(super) fn group(name: &str, body: usize, region: Part, excluded: Option<Part>) -> Group {
    Group { name: name.into(), body, region, excluded, margin: 0.5 }
}

/// What lies within reach of one of these bodies.
pub(super) fn facing(bodies: Vec<Part>, bound: Aabb) -> Part {
    let nearest = move |p: [f64; 3]| bodies.iter().fold(f64::INFINITY, |m, b| m.min(b.distance(p))) - FACING;
    Arc::new(Formula::new(bound.grown(1.0), nearest))
}

/// What lies farther from a body than this.
pub(super) fn beyond(body: Part, by: f64, bound: Aabb) -> Part {
    Arc::new(Formula::new(bound.grown(1.0), move |p| by - body.distance(p)))
}

/// The highest place of a body on an upright line.
pub(super) fn top(solid: &Part, [x, y]: [f64; 2]) -> Option<[f64; 3]> {
    let bound = solid.bound();
    let mut z = bound.high[2] + 0.5;
    while solid.distance([x, y, z]) > 0.0 {
        z -= 0.02;
        if z < bound.low[2] {
            return None;
        }
    }
    Some([x, y, z])
}

pub(super) fn body(name: &str, solid: Part, material: Material) -> Body {
    Body { name: name.into(), solid, material, initial_strain: 0.0 }
}

/// The restoration's bodies from the one that is bitten on to the one that is cemented, each firmly joined to the next, on their stumps.
pub(super) fn model(
    cell: f64,
    stiff: Stiff,
    mut bodies: Vec<Body>,
    stumps: Vec<(Tooth, Part)>,
    cases: Vec<LoadCase>,
) -> Result<Model, String> {
    let below: Part = Arc::new(HalfSpace::new([0.0, 0.0, -0.5], [0.0, 0.0, 1.0]).map_err(words)?);
    let bond = Bond::Layer { normal: CEMENT.1 / CEMENT.0, tangential: CEMENT.2 / CEMENT.0 };
    let cemented = bodies.len().saturating_sub(1);
    let joined = |i| Interface { name: "veneer on core".into(), bodies: [i, i + 1], bond: Bond::Firm, reach: JOINED };
    let (mut interfaces, mut supports): (Vec<Interface>, Vec<Support>) = ((0..cemented).map(joined).collect(), vec![]);
    for (tooth, solid) in stumps {
        let stump = bodies.len();
        bodies.push(body(&format!("stump {tooth}"), solid, stiff.dentine));
        interfaces.push(Interface {
            name: format!("cement on {tooth}"),
            bodies: [cemented, stump],
            bond,
            reach: FACING,
        });
        supports.push(Support {
            name: format!("root of {tooth}"),
            body: stump,
            region: below.clone(),
            given: Given::Foundation { normal: SPRINGS, tangential: SPRINGS / 3.0 },
        });
    }
    Ok(Model { cell, origin: [0.013, 0.021, 0.007], bodies, interfaces, supports, cases })
}

//! Parts that the families share: quarters of rounded blocks, the planes of symmetry, the peg in its springs.

use crate::solve::{Body, Bond, Given, Group, Interface, Load, LoadCase, Material, Model, ModelError, Push, Support};
use shape::{Block, HalfSpace, Intersection, ShapeError, Solid};
use std::sync::Arc;

/// A body to share.
pub(super) type Part = Arc<dyn Solid>;

/// Height of the springs' upper end under the cap's rim, mm.
const SPRINGS_BELOW: f64 = -1.0;
/// Length of the peg under the rim, mm.
pub(super) const ROOT: f64 = 3.0;
/// Modulus (MPa) and Poisson ratio of the peg.
pub(super) const PEG: Material = Material { young: 18_000.0, poisson: 0.3 };
/// Modulus of the layer between cap and peg, MPa; its shear modulus is 0.38 of it.
pub(super) const LAYER: f64 = 8_000.0;

/// What a shape says it cannot be, as the model's error.
pub(super) fn shaped<T>(part: &str, made: Result<T, ShapeError>) -> Result<T, ModelError> {
    made.map_err(|e| match e {
        ShapeError::OutOfRange { quantity, found, expected } => {
            ModelError::OutOfRange { part: part.into(), quantity, found, expected }
        }
        _ => ModelError::NoMaterial(part.into()),
    })
}

pub(super) fn block(part: &str, centre: [f64; 3], size: [f64; 3], edge: f64) -> Result<Part, ModelError> {
    let most = size.iter().fold(f64::INFINITY, |m, s| m.min(0.499 * s));
    Ok(Arc::new(shaped(part, Block::new(centre, size, edge.min(most)))?))
}

/// What lies on the far side of a plane through `at`, `normal` pointing out of it.
pub(super) fn half(part: &str, at: [f64; 3], normal: [f64; 3]) -> Result<Part, ModelError> {
    Ok(Arc::new(shaped(part, HalfSpace::new(at, normal))?))
}

/// The quarter x > 0, y > 0 of a body.
pub(super) fn quarter(part: &str, whole: Part) -> Result<Part, ModelError> {
    side(part, lengthwise(part, whole)?)
}

/// The half x > 0 of a body.
pub(super) fn lengthwise(part: &str, whole: Part) -> Result<Part, ModelError> {
    let x = half(part, [0.0; 3], [-1.0, 0.0, 0.0])?;
    Ok(Arc::new(shaped(part, Intersection::new(whole, x))?))
}

/// The side y > 0 of a body.
pub(super) fn side(part: &str, whole: Part) -> Result<Part, ModelError> {
    let y = half(part, [0.0; 3], [0.0, -1.0, 0.0])?;
    Ok(Arc::new(shaped(part, Intersection::new(whole, y))?))
}

pub(super) fn body(name: &str, solid: Part, material: Material) -> Body {
    Body { name: name.into(), solid, material, initial_strain: 0.0 }
}

/// The plane x = 0 (axis 0) or y = 0 (axis 1), along which a body slides. The region is so thin that it takes in no point of the surfaces that meet the plane: one of them, held along its own
/// normal, bore up to nine tenths of the load of a frame in soft springs.
pub(super) fn mirror(body: usize, axis: usize) -> Result<Support, ModelError> {
    let mut size = [200.0; 3];
    size[axis] = 2e-9;
    let region = block("mirror", [0.0; 3], size, 0.0)?;
    let given = Given::Foundation { normal: f64::INFINITY, tangential: 0.0 };
    Ok(Support { name: format!("mirror {axis} of body {body}"), body, region, given })
}

/// Springs around the lower part of a peg whose sides lie at `x` and `y`: not on its planes of symmetry.
pub(super) fn springs(body: usize, stiffness: f64, mirrored: [bool; 2]) -> Result<Support, ModelError> {
    let low = mirrored.map(|m| if m { 1e-3 } else { -100.0 });
    let centre = [0.5 * (low[0] + 100.0), 0.5 * (low[1] + 100.0), SPRINGS_BELOW - 50.0];
    let region = block("springs", centre, [100.0 - low[0], 100.0 - low[1], 100.0], 0.0)?;
    let given = Given::Foundation { normal: stiffness, tangential: stiffness / 3.0 };
    Ok(Support { name: format!("springs of body {body}"), body, region, given })
}

/// The layer between cap and peg, `thick` mm.
pub(super) fn layer(bodies: [usize; 2], thick: f64) -> Interface {
    let bond = Bond::Layer { normal: LAYER / thick, tangential: 0.38 * LAYER / thick };
    Interface { name: "layer".into(), bodies, bond, reach: 0.02 }
}

/// One newton down on a round contact at the top of the first body, of which one of `copies` is solved.
pub(super) fn pressed(top: f64, radius: f64, copies: f64) -> Result<LoadCase, ModelError> {
    bitten([0.0, 0.0, top], radius, 1e-3, copies)
}

/// The same around `centre`, on what surface lies within `deep` mm of height.
pub(super) fn bitten(centre: [f64; 3], radius: f64, deep: f64, copies: f64) -> Result<LoadCase, ModelError> {
    let region = block("contact", centre, [2.0 * radius, 2.0 * radius, deep], 0.0)?;
    let push = Push::Contact { force: [0.0, 0.0, -1.0 / copies], centre, radius };
    Ok(LoadCase {
        name: "pressed".into(),
        loads: vec![Load { name: "contact".into(), body: 0, region, push }],
        given: 1.0,
    })
}

pub(super) fn model(
    cell: f64,
    bodies: Vec<Body>,
    interfaces: Vec<Interface>,
    supports: Vec<Support>,
    cases: Vec<LoadCase>,
) -> Model {
    Model { cell, origin: [0.013, 0.021, 0.034], bodies, interfaces, supports, cases }
}

pub(super) fn group(name: &str, region: Part, excluded: Option<Part>) -> Group {
    Group { name: name.into(), body: 0, region, excluded, margin: 0.0 }
}

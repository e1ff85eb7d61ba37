//! A single crown on its stump: of one material, or a core with a veneer all over it as a second body, firmly joined.
//!
//! The veneer has its share of the chewing wall as the plan has it, 0.7 mm at the sides (common practice, no source; as [`strength::designs::layers`] has them) and runs out at the finish line; where there is no room for both
//! the core keeps its least thickness. What breaks is the core's face towards the stump; of the veneer its face towards the core and its outer surface around the bite are told beside it.

use super::made::{
    CEMENT, CONTACT, LATTICE, Made, Seen, Stiff, beyond, bite, body, facing, group, leaning, model, needs, top, words,
};
use crate::dimensions::Dimensions;
use ::anatomy::{Core, Design, LatticeBody, Needs, Part, Preparation, ToothParts, layered, retainer};
use shape::{Ball, Intersection};
use std::sync::Arc;
use strength::solve::Body;

/// Veneer at the sides, mm.
const SIDES: f64 = 0.7;
/// Least thickness of a core, mm (common practice, no source).
const LEAST: f64 = 0.4;
/// Lattice that a crown's bodies are kept on, mm.
const KEPT: f64 = 0.2;
/// Of the surface, what lies so far beyond the contact is looked at, mm.
const AROUND: f64 = 2.5;

pub(super) fn crown(parts: &ToothParts, dimensions: &Dimensions, stiff: Stiff, cell: f64) -> Result<Made, String> {
    let design = Design { needs: needs(dimensions), ..Design::default() };
    let prepared = Preparation::of(parts, &design, LATTICE).map_err(words)?;
    let bodies = bodies(&prepared, parts, stiff)?;
    let (Some(outer), Some(inner)) = (bodies.first(), bodies.last()) else {
        return Err("no restoration came of it".to_owned());
    };
    let (crown, core, framework) = (outer.solid.clone(), inner.solid.clone(), bodies.len() - 1);
    let stump: Part = prepared.stump.clone();
    let [place, under, base] = [&crown, &core, &stump].map(|part| top(part, [0.0, 0.0]));
    let place = place.ok_or("no chewing surface was found")?;
    let (under, base) = under.zip(base).ok_or("core or stump does not reach under the bite")?;
    // A load keeps the surfaces in its region out of what is looked at: it reaches half-way through what it bites on.
    let bitten = if framework > 0 { place[2] - under[2] } else { place[2] - base[2] };
    let outside = beyond(stump.clone(), place[2] - base[2] - 0.5 * bitten, crown.bound());
    let around: Part = Arc::new(Ball::new(place, AROUND + CONTACT).map_err(words)?);
    let near = |part: Part| -> Result<Part, String> {
        let facing = facing(vec![part], crown.bound());
        Ok(Arc::new(Intersection::new(facing, around.clone()).map_err(words)?))
    };
    let wall = group("chewing wall", framework, near(stump.clone())?, None);
    let beside = if framework > 0 {
        let bond = near(core)?;
        vec![
            group("veneer towards the core", 0, bond.clone(), None),
            group("veneer around the bite", 0, around.clone(), Some(bond)),
        ]
    } else {
        Vec::new()
    };
    let cases = vec![
        bite("middle, upright", place, [0.0, 0.0, -1.0], Some(&outside))?,
        bite("middle, leaning", place, leaning([0.0, 1.0, 0.0]), Some(&outside))?,
    ];
    let model = model(cell, stiff, bodies, vec![(parts.form.tooth(), stump)], cases)?;
    let seen = vec![Seen { group: wall, spot: place }];
    let remarks = stiff
        .veneer
        .iter()
        .map(|_| format!("Core and veneer are two bodies, firmly joined; {SIDES} mm of veneer at the sides."));
    Ok(Made { model, seen, beside, built: Vec::new(), remarks: remarks.collect(), wall: Some(under[2] - base[2]) })
}

/// The restoration's bodies, the one that is bitten on first.
fn bodies(prepared: &Preparation, parts: &ToothParts, stiff: Stiff) -> Result<Vec<Body>, String> {
    let kept = |part: &Part| -> Result<Part, String> { Ok(Arc::new(LatticeBody::of(part, KEPT).map_err(words)?)) };
    let whole = retainer(prepared, parts, CEMENT.0).map_err(words)?;
    let Some((share, veneer)) = stiff.veneer else {
        return Ok(vec![body("restoration", kept(&whole)?, stiff.framework)]);
    };
    let wall = prepared.design.needs.occlusal;
    let thick = Needs { occlusal: (1.0 - share) * wall, facial: SIDES, lingual: SIDES, proximal: SIDES, margin: 0.0 };
    let core = Core::Anatomic { veneer: thick, least: LEAST.min(share * wall) };
    let layers = layered(&whole, &prepared.wanted, &prepared.stump, core);
    Ok(vec![body("veneer", kept(&layers.veneer)?, veneer), body("core", kept(&layers.core)?, stiff.framework)])
}

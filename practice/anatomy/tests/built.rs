//! What is built on teeth: pontics keep their distance, layers fill their restoration, connectors have their height and width, a unit's parts do
//! not lie in one another.

#![allow(clippy::unwrap_used)] // helpers of tests

mod common;

use anatomy::{
    Abutment, Arch, Connector, Core, Design, Needs, Part, Pontic, PonticForm, Preparation, Recess, Role, ToothForm,
    ToothParts, Unit, UnitDesign, UnitError, endocrown, endocrown_preparation, implant_crown, layered, retainer,
    wall_left,
};
use catalogue::words::Tooth;
use shape::{Plane, Solid};
use std::collections::BTreeMap;

const CELL: f64 = 0.4;

fn tooth(code: u8) -> Tooth {
    Tooth::new(code).unwrap()
}

fn parts(code: u8) -> ToothParts {
    ToothParts::new(&common::form(tooth(code)), 40.0, CELL).unwrap()
}

/// Places spread over a body's box.
fn places(body: &dyn Solid, count: usize) -> impl Iterator<Item = [f64; 3]> {
    let bound = body.bound();
    let size = bound.size();
    (0..count).map(move |i| {
        let h = |k: f64| ((i as f64 + 1.0) * k).fract();
        std::array::from_fn(|a| bound.low[a] + size[a] * h([0.754_877, 0.569_84, 0.438_14][a]))
    })
}

#[test]
fn a_hygienic_pontic_stands_off_the_ridge_and_an_ovate_one_lies_in_it() {
    for code in [46u8, 12, 25] {
        let parts = parts(code);
        let lowest = |form: PonticForm| {
            let pontic = Pontic::usual(form).solid(&parts, 0.3).unwrap();
            places(&pontic, 20_000).filter(|p| pontic.distance(*p) < 0.0).map(|p| p[2]).fold(f64::INFINITY, f64::min)
        };
        // Half a millimetre: places are a sample, corners are rounded.
        let hygienic = lowest(PonticForm::Hygienic);
        assert!((2.8..4.2).contains(&hygienic), "{code}: {hygienic}");
        let ovate = lowest(PonticForm::Ovate);
        assert!((-1.2..=-0.2).contains(&ovate), "{code}: {ovate}");
        let lap = lowest(PonticForm::ModifiedRidgeLap);
        assert!((-0.6..1.2).contains(&lap), "{code}: {lap}");
    }
}

#[test]
fn a_ridge_lap_is_relieved_towards_the_tongue() {
    let parts = parts(14);
    let pontic = Pontic::usual(PonticForm::ModifiedRidgeLap).solid(&parts, 0.3).unwrap();
    assert!(pontic.distance([0.0, 2.0, 0.8]) < 0.0, "facially it reaches the ridge");
    assert!(pontic.distance([0.0, -2.5, 0.8]) > 0.0, "towards the tongue it does not");
}

#[test]
fn core_and_veneer_fill_the_restoration_without_overlap() {
    let parts = parts(46);
    let design = Design { needs: Needs::USUAL, ..Design::default() };
    let cut = Preparation::of(&parts, &design, CELL).unwrap();
    let crown = retainer(&cut, &parts, 0.06).unwrap();
    let veneer = Needs { occlusal: 0.7, facial: 0.6, lingual: 0.0, proximal: 0.4, margin: 0.0 };
    for core in [Core::Anatomic { veneer, least: 0.4 }, Core::Coping { thickness: 0.5 }] {
        let layers = layered(&crown, &cut.wanted, &cut.stump, core);
        let (mut in_core, mut in_veneer) = (0, 0);
        for p in places(&crown, 6000) {
            let (whole, c, v) = (crown.distance(p), layers.core.distance(p), layers.veneer.distance(p));
            assert!(!(c < -1e-9 && v < -1e-9), "{core:?}: both at {p:?}");
            assert!(whole > -1e-6 || c < 1e-6 || v < 1e-6, "{core:?}: neither at {p:?}");
            in_core += usize::from(c < 0.0);
            in_veneer += usize::from(v < 0.0);
        }
        assert!(in_core > 50 && in_veneer > 50, "{core:?}: {in_core} {in_veneer}");
    }
}

#[test]
fn a_connector_has_its_height_width_and_area() {
    let connector = Connector { height: 4.0, width: 3.0, radius: 0.5 };
    let bar = connector.bar([0.0, 0.0, 1.0], [6.0, 2.0, 1.0], [0.0, 0.0, 1.0]).unwrap();
    let found = shape::section(&*bar, &Plane::new([3.0, 1.0, 1.0], [6.0, 2.0, 0.0], [0.0, 0.0, 1.0]).unwrap()).unwrap();
    // An ellipse of 48 chords: area less by 0.3 %.
    assert!((found.area / connector.area() - 1.0).abs() < 5e-3, "{found:?}");
    assert!((found.height - 4.0).abs() < 0.02 && (found.width - 3.0).abs() < 0.02, "{found:?}");
}

#[test]
fn an_endocrown_reaches_into_the_chamber_and_an_implant_crown_sits_on_its_abutment() {
    let parts = parts(36);
    let recess = Recess::default();
    let made = endocrown_preparation(&parts, &recess, CELL).unwrap();
    assert!(made.stump.distance([0.0, 0.0, 1.0]) > 0.0, "the recess is open");
    assert!(made.stump.distance([0.0, 0.0, -1.5]) < 0.0, "its floor stands");
    let crown = endocrown(&made, &recess, 0.06).unwrap();
    for z in [1.0, -0.3] {
        assert!(crown.distance([0.0, 0.0, z]) < 0.0, "the crown fills the recess down to its floor, here {z}");
    }
    // A wider recess leaves less wall, and never more than half the tooth's width.
    let (wall, place) = wall_left(&parts, &made, &recess, CELL).unwrap();
    let wide = Recess { opening: 15.0, ..recess };
    let wider = endocrown_preparation(&parts, &wide, CELL).unwrap();
    let (thinner, _) = wall_left(&parts, &wider, &wide, CELL).unwrap();
    assert!(thinner < wall && wall < 0.5 * parts.form.size().faciolingual, "{thinner:.2} {wall:.2}");
    assert!(made.stump.distance(place).abs() < CELL, "it is measured at the recess");
    assert!(
        endocrown_preparation(&parts, &Recess { height: 9.0, ..recess }, CELL).is_err(),
        "nothing would be left to crown"
    );
    let (crown, abutment) = implant_crown(&parts, &Abutment::default(), 0.05).unwrap();
    for p in places(&crown, 4000) {
        assert!(!(crown.distance(p) < -1e-9 && abutment.distance(p) < -1e-9));
    }
    assert!(abutment.distance([0.0, 0.0, 1.0]) < 0.0 && crown.distance([0.0, 0.0, 5.0]) < 0.0);
}

fn lower() -> BTreeMap<Tooth, ToothForm> {
    (31..=38).chain(41..=48).map(|c| (tooth(c), common::form(tooth(c)))).collect()
}

fn design() -> UnitDesign {
    UnitDesign {
        needs: Needs::USUAL,
        convergence: 16.0,
        finish: 0.5,
        gap: 0.06,
        pontic: Pontic::usual(PonticForm::ModifiedRidgeLap),
        connector: Connector { height: 4.0, width: 4.0, radius: 0.5 },
        core: None,
        age: 40.0,
        cell: CELL,
    }
}

#[test]
fn a_bridge_is_one_body_on_prepared_teeth() {
    let forms = lower();
    let arch = Arch::new(&forms, |_| 0.0).unwrap();
    let teeth = [45, 46, 47].map(tooth);
    let unit = Unit::new(&forms, arch, &teeth, &[tooth(46)], &design()).unwrap();
    assert_eq!(unit.parts.iter().filter(|p| p.role == Role::Framework).count(), 1);
    assert_eq!(unit.connectors.len(), 2);
    for c in &unit.connectors {
        // Fillets and neighbours' walls add to the bar; nothing is thinner than it.
        assert!(c.section.area > 0.9 * design().connector.area(), "{c:?}");
        assert!(c.section.height > 3.6 && c.section.width > 3.6, "{c:?}");
    }
    let framework: &Part = &unit.parts.iter().find(|p| p.role == Role::Framework).unwrap().solid;
    for part in unit.parts.iter().filter(|p| p.role == Role::Dentine) {
        // Cement lies between: 0.06 mm less what two lattices lose at edges.
        let worst = places(&part.solid, 1500).filter(|p| part.solid.distance(*p) < -0.3).map(|p| framework.distance(p));
        assert!(worst.fold(f64::INFINITY, f64::min) > 0.0, "framework inside dentine of {:?}", part.tooth);
    }
    let surface = shape::Surface::of(framework, 0.5).unwrap();
    assert_eq!(surface.flaws().shells, 1, "retainers, pontic and connectors hang together");
}

#[test]
fn teeth_that_are_no_neighbours_are_refused() {
    let forms = lower();
    let arch = Arch::new(&forms, |_| 0.0).unwrap();
    let teeth = [45, 47].map(tooth);
    let error = Unit::new(&forms, arch, &teeth, &[], &design()).err().unwrap();
    assert!(matches!(error, UnitError::NotNeighbours(..)), "{error}");
}

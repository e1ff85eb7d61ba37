//! Restorations are bodies that finite elements can solve: a crown on its stump and a bridge on two, cement between as a thin layer, a bite on top. What is
//! asserted is what equilibrium and stiffness promise, not a stress.

#![allow(clippy::unwrap_used)] // helpers of tests

use anatomy::{
    Arch, Connector, Design, LatticeBody, Needs, Part, Pontic, PonticForm, Preparation, Role, ToothForm, ToothParts,
    Unit, UnitDesign, retainer,
};
use answer::NoProgress;
use catalogue::Catalogue;
use catalogue::words::Tooth;
use shape::{Ball, HalfSpace, Solid};
use std::collections::BTreeMap;
use std::sync::Arc;
use strength::solve::{
    Body, Bond, Given, Interface, Load, LoadCase, Material, Model, Prepared, Push, Solution, Support,
};

fn tooth(code: u8) -> Tooth {
    Tooth::new(code).unwrap()
}

fn body(name: &str, solid: Part, young: f64) -> Body {
    Body { name: name.into(), solid, material: Material { young, poisson: 0.3 }, initial_strain: 0.0 }
}

fn below(z: f64) -> Arc<dyn Solid> {
    Arc::new(HalfSpace::new([0.0, 0.0, z], [0.0, 0.0, 1.0]).unwrap())
}

/// Roots held by springs as of a ligament, cement of 60 micrometres, 100 N straight down on the first body at a place.
fn solved(cell: f64, bodies: Vec<Body>, top: [f64; 3]) -> Solution {
    let count = bodies.len();
    let cement = Bond::Layer { normal: 8e3 / 0.06, tangential: 3e3 / 0.06 };
    let join = |i: usize| Interface { name: format!("cement {i}"), bodies: [0, i], bond: cement, reach: 0.2 };
    let hold = |i: usize| Support {
        name: format!("root {i}"),
        body: i,
        region: below(-0.5),
        given: Given::Foundation { normal: 300.0, tangential: 100.0 },
    };
    let force = Push::Contact { force: [0.0, 0.0, -100.0], centre: top, radius: 1.2 };
    let load = Load { name: "bite".into(), body: 0, region: Arc::new(Ball::new(top, 1.2).unwrap()), push: force };
    let model = Model {
        cell,
        origin: [0.013, 0.021, 0.007],
        bodies,
        interfaces: (1..count).map(join).collect(),
        supports: (1..count).map(hold).collect(),
        cases: vec![LoadCase { name: "bite".into(), loads: vec![load], given: 1.0 }],
    };
    Prepared::new(model, &NoProgress).unwrap().solve(1e-6, &NoProgress).unwrap().remove(0)
}

/// The highest place of a body on an upright line.
fn top(solid: &Part, [x, y]: [f64; 2]) -> [f64; 3] {
    let mut z = solid.bound().high[2] + 0.5;
    while solid.distance([x, y, z]) > 0.0 {
        z -= 0.01;
        assert!(z > solid.bound().low[2], "nothing on the line");
    }
    [x, y, z]
}

/// Force that the first body hands on through its cement, N.
fn through_cement(s: &Solution, layers: usize) -> [f64; 3] {
    let mut sum = [0.0; 3];
    for p in (0..layers).flat_map(|i| s.interface(i)) {
        (0..3).for_each(|a| sum[a] += p.area * p.traction[a]);
    }
    sum
}

#[test]
fn a_crown_on_its_stump_carries_a_bite() {
    let catalogue = Catalogue::shipped().unwrap();
    let parts = ToothParts::new(&ToothForm::of(&catalogue, tooth(46)).unwrap(), 40.0, 0.3).unwrap();
    let made = Preparation::of(&parts, &Design { needs: Needs::USUAL, ..Design::default() }, 0.3).unwrap();
    let crown: Part = Arc::new(LatticeBody::of(&retainer(&made, &parts, 0.06).unwrap(), 0.2).unwrap());
    let stump: Part = made.stump.clone();
    let place = top(&crown, [0.0, 0.0]);
    let s = solved(0.8, vec![body("crown", crown, 2e5), body("stump", stump, 1.8e4)], place);
    let handed = through_cement(&s, 1);
    // What bites is handed on: the forces balance to what the iteration leaves.
    assert!(handed[0].hypot(handed[1]) < 0.01 && (handed[2] - 100.0).abs() < 0.01, "{handed:?}");
}

#[test]
fn a_bridge_on_two_stumps_carries_a_bite() {
    let catalogue = Catalogue::shipped().unwrap();
    let forms: BTreeMap<Tooth, ToothForm> =
        (31..=38).chain(41..=48).map(|c| (tooth(c), ToothForm::of(&catalogue, tooth(c)).unwrap())).collect();
    let design = UnitDesign {
        needs: Needs { occlusal: 1.2, facial: 1.0, lingual: 1.0, proximal: 1.0, margin: 0.6 },
        convergence: 16.0,
        finish: 0.5,
        gap: 0.06,
        pontic: Pontic::usual(PonticForm::ModifiedRidgeLap),
        connector: Connector { height: 4.0, width: 4.0, radius: 0.6 },
        core: None,
        age: 40.0,
        cell: 0.3,
    };
    let arch = Arch::new(&forms, |_| 0.0).unwrap();
    let unit = Unit::new(&forms, arch, &[45, 46, 47].map(tooth), &[tooth(46)], &design).unwrap();
    let framework = &unit.parts.iter().find(|p| p.role == Role::Framework).unwrap().solid;
    let framework: Part = Arc::new(LatticeBody::of(framework, 0.25).unwrap());
    let mut bodies = vec![body("framework", framework.clone(), 2e5)];
    for (parts, made) in &unit.preparations {
        let stump: Part = made.stump.clone();
        let code = parts.form.tooth();
        bodies.push(body(&format!("stump {code}"), unit.arch.seat(code).unwrap().seated(&stump), 1.8e4));
    }
    let [x, y, _] = unit.arch.seat(tooth(46)).unwrap().place([0.0; 3]);
    let s = solved(0.8, bodies, top(&framework, [x, y]));
    let handed = through_cement(&s, 2);
    assert!(handed[0].hypot(handed[1]) < 0.01 && (handed[2] - 100.0).abs() < 0.01, "{handed:?}");
}

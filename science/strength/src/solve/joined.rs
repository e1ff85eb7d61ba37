//! Where surfaces are held or joined: the points of every support and interface, gathered by the cells they lie in.

use super::cut::{Facet, Seen};
use super::joint::{Joint, Law, Point};
use super::lattice::{Field, Lattice};
use super::model::{Bond, Given, Interface, Model, Support};
use std::collections::BTreeMap;

/// Everything that holds or joins surfaces.
#[derive(Clone, Default)]
pub(crate) struct Joints {
    pub laws: Vec<Law>,
    pub joints: Vec<Joint>,
    pub fields: Vec<[usize; 2]>,
    pub points: Vec<Point>,
    /// Range of joints of each interface of the model.
    pub interfaces: Vec<std::ops::Range<usize>>,
}

/// Cell of the lattice at a place, and the place in that cell.
pub(crate) fn place(model: &Model, at: [f64; 3]) -> ([i32; 3], [f64; 3]) {
    let scaled: [f64; 3] = std::array::from_fn(|i| (at[i] - model.origin[i]) / model.cell);
    let place = scaled.map(|x| x.floor() as i32);
    (place, std::array::from_fn(|i| scaled[i] - f64::from(place[i])))
}

/// Number of the cell, or part of it, that holds a place.
pub(crate) fn part_of(model: &Model, lattice: &Lattice, body: usize, at: [i32; 3], local: [f64; 3]) -> Option<usize> {
    let low = std::array::from_fn(|i| model.origin[i] + model.cell * f64::from(at[i]));
    let seen = Seen { solid: &*model.bodies[body].solid, low, edge: model.cell };
    lattice.fields.get(body)?.part_of(at, &seen, local)
}

/// Cosine between the gradient of a body and a normal: near -1 where surfaces face each other.
fn facing(g: [f64; 3], n: [f64; 3]) -> f64 {
    let size = g.iter().map(|x| x * x).sum::<f64>().sqrt().max(1e-12);
    (0..3).map(|i| g[i] * n[i]).sum::<f64>() / size
}

/// Share of a wall's area that may lie on other faces of its body and is then not held.
const STRAY: f64 = 0.15;

/// Where a wall along which a body slides faces, when all of the surface found but a [`STRAY`] share lies within 60 degrees of its mean: the rest are rims of faces that meet the wall, which it would hold
/// along their own normals.
fn flat(support: &Support, field: &Field) -> Option<[f64; 3]> {
    let Given::Foundation { normal: f64::INFINITY, tangential: 0.0 } = support.given else { return None };
    let found: Vec<&Facet> =
        field.cells.iter().flat_map(|c| &c.facets).filter(|f| support.region.distance(f.at) < 0.0).collect();
    let mean = [0, 1, 2].map(|i| found.iter().map(|f| f.area * f.normal[i]).sum::<f64>());
    let [all, stray] = [true, false]
        .map(|all| found.iter().filter(|f| all || facing(mean, f.normal) < 0.5).map(|f| f.area).sum::<f64>());
    (stray < STRAY * all).then_some(mean)
}

impl Joints {
    /// Joints of a support; how many points there are.
    pub(crate) fn hold(&mut self, model: &Model, lattice: &Lattice, number: usize) -> usize {
        let s = &model.supports[number];
        let body = &model.bodies[s.body];
        let lame = body.material.lame();
        let stiffness = match s.given {
            Given::Displacement { .. } => [f64::INFINITY; 2],
            Given::Foundation { normal, tangential } => [normal, tangential],
        };
        let law = self.laws.len() as u32;
        self.laws.push(Law::new(stiffness, lame, None, model.cell));
        let before = self.points.len();
        let wall = flat(s, &lattice.fields[s.body]);
        let held = |f: &Facet| s.region.distance(f.at) < 0.0 && wall.is_none_or(|w| facing(w, f.normal) >= 0.5);
        for (n, cell) in lattice.fields[s.body].cells.iter().enumerate() {
            let from = self.points.len();
            for f in cell.facets.iter().filter(|f| held(f)) {
                let given = match s.given {
                    Given::Displacement { offset, gradient } => {
                        std::array::from_fn(|a| offset[a] + (0..3).map(|b| gradient[a][b] * f.at[b]).sum::<f64>())
                    }
                    Given::Foundation { .. } => [0.0; 3],
                };
                let free = (3.0 * lame.0 + 2.0 * lame.1) * body.initial_strain;
                self.points.push(Point { local: [f.local; 2], normal: f.normal, area: f.area, given, free });
            }
            self.close([n as u32; 2], [s.body; 2], law, from);
        }
        self.points.len() - before
    }

    /// Keeps the joints that count by their fields and cells.
    pub(crate) fn retain(&mut self, counts: impl Fn(&Joint, &[usize; 2]) -> bool) {
        let kept: Vec<bool> = self.joints.iter().zip(&self.fields).map(|(j, f)| counts(j, f)).collect();
        let before = |end: usize| kept[..end].iter().filter(|k| **k).count();
        self.interfaces.iter_mut().for_each(|r| *r = before(r.start)..before(r.end));
        let mut each = kept.iter();
        self.joints.retain(|_| each.next() == Some(&true));
        let mut each = kept.iter();
        self.fields.retain(|_| each.next() == Some(&true));
    }

    fn close(&mut self, cells: [u32; 2], fields: [usize; 2], law: u32, from: usize) {
        if self.points.len() > from {
            self.joints.push(Joint { cells, law, points: from..self.points.len() });
            self.fields.push(fields);
        }
    }

    /// Joints of an interface, gathered by pair of cells; how many points there are.
    pub(crate) fn join(&mut self, model: &Model, lattice: &Lattice, i: &Interface) -> usize {
        let [a, b] = i.bodies;
        let h = model.cell;
        let [ma, mb] = i.bodies.map(|k| model.bodies[k].material.lame());
        let stiffness = match i.bond {
            Bond::Firm => [f64::INFINITY; 2],
            Bond::Layer { normal, tangential } => [normal, tangential],
        };
        let law = Law::new(stiffness, ma, Some(mb), h);
        let bulk = |k: usize, l: (f64, f64)| (3.0 * l.0 + 2.0 * l.1) * model.bodies[k].initial_strain;
        let free: f64 =
            law.sides.iter().zip([(a, ma), (b, mb)]).map(|(s, (k, l))| s.map_or(0.0, |s| s.share * bulk(k, l))).sum();
        let mut pairs: BTreeMap<(usize, usize), Vec<Point>> = BTreeMap::new();
        for (ca, cell) in lattice.fields[a].cells.iter().enumerate() {
            for f in &cell.facets {
                let other = &model.bodies[b].solid;
                if other.distance(f.at).abs() > i.reach || facing(other.gradient(f.at), f.normal) > -0.5 {
                    continue;
                }
                let found = [0.0, 1e-6, 0.05, 0.2].iter().find_map(|by| {
                    let moved = std::array::from_fn(|c| f.at[c] + by * h * f.normal[c]);
                    let (place, local) = place(model, moved);
                    part_of(model, lattice, b, place, local)
                });
                let Some(cb) = found else { continue };
                let other = lattice.fields[b].cells[cb].at;
                let local = std::array::from_fn(|c| (f.at[c] - model.origin[c]) / h - f64::from(other[c]));
                let point = Point { local: [f.local, local], normal: f.normal, area: f.area, given: [0.0; 3], free };
                pairs.entry((ca, cb)).or_default().push(point);
            }
        }
        let (first, before, number) = (self.joints.len(), self.points.len(), self.laws.len() as u32);
        self.laws.push(law);
        for ((ca, cb), points) in pairs {
            let from = self.points.len();
            self.points.extend(points);
            self.close([ca as u32, cb as u32], [a, b], number, from);
        }
        self.interfaces.push(first..self.joints.len());
        self.points.len() - before
    }
}

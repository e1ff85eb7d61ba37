//! Active cells of every body and the numbering of their nodes: by z, then body, y, x, so that layers of cells touch ranges of nodes.
//!
//! A cell whose material falls into parts stands once for every part; nodes are shared along links only ([`Links`]).

use super::basis::GAUSS5;
use super::charts::charts;
use super::cut::{Cut, Facet, Parting, Portion, Seen, cut};
use super::error::ModelError;
use super::links::Links;
use super::model::Model;
use rayon::prelude::*;
use shape::Solid;
use std::collections::{BTreeMap, BTreeSet};
use std::ops::Range;

/// An active cell, or a part of one.
#[derive(Clone)]
pub(crate) struct Cell {
    pub at: [i32; 3],
    /// Its 27 nodes, x fastest.
    pub nodes: [u32; 27],
    /// Weights of the part inside; `None` when it is whole.
    pub weights: Option<Box<[f64; 125]>>,
    pub facets: Vec<Facet>,
    /// Places on walls of the cell (low and high x, y, z) where there is material; until links are made.
    pub doors: Vec<(u8, [f64; 3])>,
    /// Field of the trilinear level it belongs to.
    pub chart: u32,
}

impl Cell {
    /// Whether it lies in a window of the lattice (high end left out).
    pub(crate) fn is_in(&self, [low, high]: [[i32; 3]; 2]) -> bool {
        (0..3).all(|i| (low[i]..high[i]).contains(&self.at[i]))
    }

    /// Share of the cell that is inside.
    pub(crate) fn share(&self, edge: f64) -> f64 {
        self.weights.as_ref().map_or(1.0, |w| w.iter().sum::<f64>() / edge.powi(3))
    }
}

impl Cell {
    /// Middle of the part inside, in the unit cell.
    pub(crate) fn middle(&self) -> [f64; 3] {
        let Some(weights) = &self.weights else { return [0.5; 3] };
        let sum: f64 = weights.iter().sum();
        let mut out = [0.0; 3];
        for (n, w) in weights.iter().enumerate() {
            let at = [n % 5, n / 5 % 5, n / 25].map(|i| GAUSS5[i].0);
            (0..3).for_each(|i| out[i] += w * at[i] / sum);
        }
        out
    }
}

/// Active cells of one body, sorted by z, y, x; parts of a cell follow each other.
pub(crate) struct Field {
    pub cells: Vec<Cell>,
    /// How cells in several parts are divided.
    pub partings: BTreeMap<[i32; 3], Parting>,
    pub links: Links,
    low: [i32; 3],
    size: [usize; 3],
    grid: Vec<u32>,
}

const NONE: u32 = u32::MAX;

impl Field {
    /// Number of the active cell at a place of the lattice.
    pub(crate) fn find(&self, at: [i32; 3]) -> Option<usize> {
        let p: [usize; 3] = std::array::from_fn(|i| (at[i].wrapping_sub(self.low[i])) as u32 as usize);
        if (0..3).any(|i| p[i] >= self.size[i]) {
            return None;
        }
        let n = self.grid[p[0] + self.size[0] * (p[1] + self.size[1] * p[2])];
        (n != NONE).then_some(n as usize)
    }

    /// All parts of the cell at a place.
    pub(crate) fn parts_at(&self, at: [i32; 3]) -> Range<usize> {
        let count = || self.partings.get(&at).map_or(1, |p| p.count);
        self.find(at).map_or(0..0, |first| first..first + count())
    }

    /// The cell, or the part of it, that holds a place of the unit cell.
    pub(crate) fn part_of(&self, at: [i32; 3], seen: &Seen, local: [f64; 3]) -> Option<usize> {
        let first = self.find(at)?;
        Some(first + self.partings.get(&at).map_or(0, |p| p.owner(seen, local)))
    }

    /// Whether all cells share the nodes they touch at.
    pub(crate) fn is_plain(&self) -> bool {
        self.links.contested.is_empty()
    }
}

/// All bodies on one lattice.
pub(crate) struct Lattice {
    pub fields: Vec<Field>,
    /// Field and place (half cells) of every node.
    pub places: Vec<(u32, [i32; 3])>,
    /// Body of every field of the trilinear level.
    pub charts: Vec<usize>,
    /// Nodes that stand in several of those fields, and which.
    pub seams: BTreeMap<u32, Vec<u32>>,
    /// The field of every other node.
    chart: Vec<u32>,
}

impl Lattice {
    /// Cuts every body; with a window only cells within it (lattice places, high end left out).
    pub(crate) fn new(
        model: &Model,
        window: Option<[[i32; 3]; 2]>,
        progress: &dyn answer::Progress,
    ) -> Result<Self, ModelError> {
        let mut fields = vec![];
        for (done, body) in model.bodies.iter().enumerate() {
            progress.check(done, model.bodies.len())?;
            let (cells, partings) = cut_all(model, &body.name, &*body.solid, window)?;
            if cells.is_empty() && window.is_none() {
                return Err(ModelError::NoMaterial(body.name.clone()));
            }
            let mut field = field(cells, partings);
            field.links = Links::new(&field, &*body.solid, model.origin, model.cell);
            field.cells.iter_mut().for_each(|c| c.doors = vec![]);
            fields.push(field);
        }
        if fields.iter().all(|f| f.cells.is_empty()) {
            return Err(ModelError::NoMaterial("of the zoom".into()));
        }
        let places = number(&mut fields);
        let charts = charts(&mut fields);
        let mut out =
            Self { fields, chart: places.iter().map(|p| p.0).collect(), places, charts, seams: BTreeMap::new() };
        out.find_seams();
        Ok(out)
    }

    /// Fields of the trilinear level that a node stands in.
    pub(crate) fn charts_of(&self, node: u32) -> &[u32] {
        self.seams.get(&node).map_or(std::slice::from_ref(&self.chart[node as usize]), Vec::as_slice)
    }

    /// The cells within a window and, hushed, those in `beside` (field and number), with the nodes of all; and the new number of every cell of every field that is kept.
    pub(crate) fn part(
        &self,
        window: [[i32; 3]; 2],
        beside: &BTreeSet<(usize, u32)>,
    ) -> (Self, Vec<BTreeMap<u32, u32>>) {
        let (mut fields, mut numbers) = (vec![], vec![]);
        for (n, all) in self.fields.iter().enumerate() {
            let is_kept = |k: usize, c: &Cell| c.is_in(window) || beside.contains(&(n, k as u32));
            let kept = || all.cells.iter().enumerate().filter(|(k, c)| is_kept(*k, c));
            numbers.push(kept().zip(0..).map(|((old, _), new)| (old as u32, new)).collect());
            fields.push(field(kept().map(|(_, c)| c.clone()).collect(), BTreeMap::new()));
        }
        let (places, charts) = (self.places.clone(), self.charts.clone());
        let mut out = Self { fields, places, charts, seams: self.seams.clone(), chart: self.chart.clone() };
        out.hush_beyond(window);
        (out, numbers)
    }

    /// Cells beyond a window keep their nodes, but have no stiffness and no surface any more.
    pub(crate) fn hush_beyond(&mut self, window: [[i32; 3]; 2]) {
        for cell in self.fields.iter_mut().flat_map(|f| &mut f.cells).filter(|c| !c.is_in(window)) {
            cell.weights = Some(Box::new([0.0; 125]));
            cell.facets = vec![];
        }
    }

    fn find_seams(&mut self) {
        let mut seen = vec![NONE; self.places.len()];
        for cell in self.fields.iter().filter(|f| !f.is_plain()).flat_map(|f| &f.cells) {
            for node in cell.nodes {
                let first = &mut seen[node as usize];
                if *first == NONE {
                    *first = cell.chart;
                    self.chart[node as usize] = cell.chart;
                } else if *first != cell.chart {
                    let all = self.seams.entry(node).or_insert_with(|| vec![*first]);
                    if !all.contains(&cell.chart) {
                        all.push(cell.chart);
                    }
                }
            }
        }
    }
}

type CellsAndPartings = (Vec<Cell>, BTreeMap<[i32; 3], Parting>);

fn cut_all(
    model: &Model,
    name: &str,
    solid: &dyn Solid,
    window: Option<[[i32; 3]; 2]>,
) -> Result<CellsAndPartings, ModelError> {
    let h = model.cell;
    let bound = solid.bound();
    let mut low: [i64; 3] = std::array::from_fn(|i| ((bound.low[i] - model.origin[i]) / h).floor() as i64 - 1);
    let mut high: [i64; 3] = std::array::from_fn(|i| ((bound.high[i] - model.origin[i]) / h).floor() as i64 + 1);
    if let Some([from, to]) = window {
        low = std::array::from_fn(|i| low[i].max(from[i].into()));
        high = std::array::from_fn(|i| high[i].min(i64::from(to[i]) - 1));
    }
    if (0..3).any(|i| high[i] < low[i]) {
        return Ok((vec![], BTreeMap::new()));
    }
    let [nx, ny, nz]: [i64; 3] = std::array::from_fn(|i| high[i] - low[i] + 1);
    if nx.saturating_mul(ny).saturating_mul(nz) > 1 << 29 || low.iter().chain(&high).any(|x| x.abs() > 1 << 26) {
        return Err(ModelError::OutOfRange {
            part: name.into(),
            quantity: "cells in its bound",
            found: nx as f64 * ny as f64 * nz as f64,
            expected: "fewer than 5e8: make the cells larger",
        });
    }
    let corner = |at: [i32; 3]| std::array::from_fn(|i| model.origin[i] + h * f64::from(at[i]));
    let rows: Vec<Vec<([i32; 3], Cut)>> = (0..ny * nz)
        .into_par_iter()
        .map(|row| {
            let (y, z) = (low[1] + row % ny, low[2] + row / ny);
            let at = (low[0]..=high[0]).map(|x| [x as i32, y as i32, z as i32]);
            let cuts = at.map(|at| (at, cut(solid, corner(at), h, &[])));
            cuts.filter(|(_, c)| !matches!(c, Cut::Empty)).collect()
        })
        .collect();
    let mut cuts: Vec<([i32; 3], Cut)> = rows.into_iter().flatten().collect();
    follow_slots(&mut cuts, |at, hints, beside, ways| {
        let mut hints = hints.to_vec();
        for (from, to) in ways {
            let low: [f64; 3] = corner(beside);
            let at = |k: i32| -> [f64; 3] {
                let t = f64::from(k) / f64::from(LOOKS);
                std::array::from_fn(|i| low[i] + h * (from[i] + t * (to[i] - from[i])))
            };
            let inside: Vec<bool> = (0..=LOOKS).map(|k| solid.distance(at(k)) < 0.0).collect();
            hints.extend((1..=LOOKS).filter(|k| inside[*k as usize] != inside[*k as usize - 1]).map(at));
        }
        cut(solid, corner(at), h, &hints)
    });
    let (mut cells, mut partings) = (vec![], BTreeMap::new());
    for (at, cut) in cuts {
        let cell = |weights, facets, doors| Cell { at, nodes: [0; 27], weights, facets, doors, chart: 0 };
        let part = |p: Portion| cell(Some(p.weights), p.facets, p.doors);
        match cut {
            Cut::Empty => {}
            Cut::Full => cells.push(cell(None, vec![], vec![])),
            Cut::Part(p) => cells.push(part(p)),
            Cut::Parts(parting, all) => {
                cells.extend(all.into_iter().map(part));
                partings.insert(at, parting);
            }
        }
    }
    Ok((cells, partings))
}

/// Places looked at on a way across a slot.
const LOOKS: i32 = 40;

/// Cells beside one in several parts are cut again with its surface as a hint: in a thin slice of material the walls of a slot are easily missed, and one cell
/// that misses it ties both sides together.
///
/// `again` cuts a cell with hints and with ways between parts of the cell beside it on their common wall, which cross the slot.
fn follow_slots(
    cuts: &mut [([i32; 3], Cut)],
    again: impl Fn([i32; 3], &[[f64; 3]], [i32; 3], &[([f64; 3], [f64; 3])]) -> Cut,
) {
    let key = |at: &[i32; 3]| [at[2], at[1], at[0]];
    let mut open: Vec<usize> = (0..cuts.len()).filter(|k| matches!(cuts[*k].1, Cut::Parts(..))).collect();
    while let Some(from) = open.pop() {
        let (at, Cut::Parts(_, parts)) = &cuts[from] else { continue };
        let (at, facets): (_, Vec<&Facet>) = (*at, parts.iter().flat_map(|p| &p.facets).collect());
        let hints: Vec<[f64; 3]> = facets.iter().step_by(facets.len().div_ceil(48)).map(|f| f.at).collect();
        for k in 0..6 {
            let mut beside = at;
            beside[k / 2] += 2 * (k % 2) as i32 - 1;
            let Ok(n) = cuts.binary_search_by_key(&key(&beside), |(at, _)| key(at)) else { continue };
            let (Cut::Part(_) | Cut::Full, Cut::Parts(_, parts)) = (&cuts[n].1, &cuts[from].1) else { continue };
            let doors = |p: &Portion| -> Vec<[f64; 3]> {
                p.doors.iter().filter(|(w, _)| usize::from(*w) == k).map(|(_, p)| *p).take(4).collect()
            };
            let doors: Vec<Vec<[f64; 3]>> = parts.iter().map(doors).collect();
            let pairs = (0..doors.len()).flat_map(|a| (0..a).map(move |b| (a, b)));
            let ways: Vec<([f64; 3], [f64; 3])> = pairs
                .flat_map(|(a, b)| doors[a].iter().flat_map(|p| doors[b].iter().map(|q| (*p, *q))).collect::<Vec<_>>())
                .take(32)
                .collect();
            if let Cut::Parts(parting, all) = again(beside, &hints, at, &ways) {
                cuts[n].1 = Cut::Parts(parting, all);
                open.push(n);
            }
        }
    }
}

fn field(cells: Vec<Cell>, partings: BTreeMap<[i32; 3], Parting>) -> Field {
    let links = Links::default();
    let (mut low, mut high) = ([i32::MAX; 3], [i32::MIN; 3]);
    for c in &cells {
        for i in 0..3 {
            low[i] = low[i].min(c.at[i]);
            high[i] = high[i].max(c.at[i]);
        }
    }
    if cells.is_empty() {
        return Field { cells, partings, links, low: [0; 3], size: [0; 3], grid: vec![] };
    }
    let size: [usize; 3] = std::array::from_fn(|i| (high[i] - low[i] + 1) as usize);
    let mut grid = vec![NONE; size.iter().product()];
    for (n, c) in cells.iter().enumerate().rev() {
        let p: [usize; 3] = std::array::from_fn(|i| (c.at[i] - low[i]) as usize);
        grid[p[0] + size[0] * (p[1] + size[1] * p[2])] = n as u32;
    }
    Field { cells, partings, links, low, size, grid }
}

/// Numbers the nodes plane by plane of half cells and tells every cell its own.
fn number(fields: &mut [Field]) -> Vec<(u32, [i32; 3])> {
    let mut places = vec![];
    let from = fields.iter().filter(|f| !f.cells.is_empty()).map(|f| 2 * f.low[2]).min().unwrap_or(0);
    let to = fields.iter().map(|f| 2 * (f.low[2] + f.size[2] as i32)).max().unwrap_or(0);
    for z in from..=to {
        for (n, field) in fields.iter_mut().enumerate() {
            if field.cells.is_empty() {
                continue;
            }
            // Layers of cells that hold this plane: one, or two at a whole cell.
            let upper = z.div_euclid(2);
            let layers = if z.rem_euclid(2) == 0 { upper - 1..=upper } else { upper..=upper };
            let begin = field.cells.partition_point(|c| c.at[2] < *layers.start());
            let end = field.cells.partition_point(|c| c.at[2] <= *layers.end());
            let (wide, low) = (2 * field.size[0] + 1, field.low);
            let mut plane = vec![NONE; wide * (2 * field.size[1] + 1)];
            let contested = |x: i32, y: i32| field.links.contested.contains_key(&[z, y, x]);
            let plain = field.is_plain();
            let spot = |at: [i32; 3], i: usize| {
                let x = 2 * (at[0] - low[0]) as usize + i % 3;
                x + wide * (2 * (at[1] - low[1]) as usize + i / 3)
            };
            for cell in &field.cells[begin..end] {
                (0..9).for_each(|i| plane[spot(cell.at, i)] = 0);
            }
            for (k, node) in plane.iter_mut().enumerate().filter(|(_, node)| **node == 0) {
                let (x, y) = (2 * low[0] + (k % wide) as i32, 2 * low[1] + (k / wide) as i32);
                if plain || !contested(x, y) {
                    *node = places.len() as u32;
                    places.push((n as u32, [x, y, z]));
                }
            }
            for cell in &mut field.cells[begin..end] {
                let layer = (z - 2 * cell.at[2]) as usize;
                (0..9).for_each(|i| cell.nodes[9 * layer + i] = plane[spot(cell.at, i)]);
            }
            number_contested(field, n as u32, z, &mut places);
        }
    }
    places
}

/// Numbers the nodes of a plane that stand at one place and are not the same.
fn number_contested(field: &mut Field, number: u32, z: i32, places: &mut Vec<(u32, [i32; 3])>) {
    let Field { cells, links, .. } = field;
    for ([_, y, x], classes) in links.contested.range([z, i32::MIN, i32::MIN]..=[z, i32::MAX, i32::MAX]) {
        for class in classes {
            for cell in class {
                let cell = &mut cells[*cell as usize];
                let at = [x - 2 * cell.at[0], y - 2 * cell.at[1], z - 2 * cell.at[2]].map(|k| k as usize);
                cell.nodes[at[0] + 3 * at[1] + 9 * at[2]] = places.len() as u32;
            }
            places.push((number, [*x, *y, z]));
        }
    }
}

//! Zooms: the part of a model in a box again with smaller cells, its held nodes moved as the whole moves there.

use super::basis::shape;
use super::error::ModelError;
use super::joined::{part_of, place};
use super::lattice::{Cell, Lattice};
use super::model::{Load, Model, Zoom};
use super::right_side::{spread, spread_where};
use super::solver::{Prepared, Solution};
use shape::Solid;
use std::collections::{BTreeMap, BTreeSet};
use std::sync::Arc;

/// A held node of a zoom, and the nodes of the whole that move it with their shares.
pub(crate) struct Carried {
    pub node: u32,
    pub by: Vec<(u32, f64)>,
}

/// Shares smaller than this are rounding.
const NOTHING: f64 = 1e-12;

impl Carried {
    /// A node that moves as a cell does at a place of the unit cell.
    pub(crate) fn new(node: u32, cell: &Cell, local: [f64; 3]) -> Self {
        let shares = cell.nodes.into_iter().zip(shape(local).0);
        Self { node, by: shares.filter(|(_, s)| s.abs() > NOTHING).collect() }
    }

    /// Adds the displacement of the node where the whole moves by `outer`.
    pub(crate) fn add_to(&self, outer: &[f64], to: &mut [f64]) {
        for (from, share) in &self.by {
            (0..3).for_each(|i| to[3 * self.node as usize + i] += share * outer[3 * *from as usize + i]);
        }
    }
}

impl Solution {
    /// Solves the part of the model in a box again with smaller cells. Nodes on walls of the box take the displacement of `whole`, which
    /// should be right there: keep the box five radii of the detail away from it..
    ///
    /// # Errors
    /// As [`Prepared::new`] and [`Prepared::solve`]; a box without material; cells that are not smaller.
    pub fn zoom(
        whole: &[Self],
        zoom: &Zoom,
        tolerance: f64,
        progress: &dyn answer::Progress,
    ) -> Result<Vec<Self>, ModelError> {
        let Some(first) = whole.first() else { return Ok(vec![]) };
        let outer = &first.prepared;
        // On planes of the lattice: outward, but by less than a quarter of a cell inward; one cell at least.
        let [low, high] = planes(zoom, outer.model.origin, zoom.cell, 0.25);
        let high = std::array::from_fn(|i| high[i].max(low[i].saturating_add(1)));
        let prepared = Arc::new(outer.in_box(zoom, zoom.cell, [low, high], progress)?);
        let carried = prepared.carried(outer, zoom)?;
        let of_case = |s: &Self| {
            let mut held = vec![0.0; prepared.unknowns()];
            carried.iter().for_each(|c| c.add_to(&s.displacement, &mut held));
            held
        };
        let held: Vec<_> = whole.iter().map(of_case).collect();
        prepared.solve_from(&held, tolerance, progress)
    }
}

/// Planes of a lattice around a box: outward, but by less than a share `inward` of a cell inward.
pub(crate) fn planes(zoom: &Zoom, origin: [f64; 3], cell: f64, inward: f64) -> [[i32; 3]; 2] {
    let most = f64::from(1 << 26);
    let at = |i: usize, side: f64| (zoom.centre[i] + side * zoom.size[i] - origin[i]) / cell;
    let low = std::array::from_fn(|i| (at(i, -0.5) + inward).floor().clamp(-most, most) as i32);
    [low, std::array::from_fn(|i| (at(i, 0.5) - inward).ceil().clamp(-most, most) as i32)]
}

/// A place in the material of a cell.
pub(crate) fn in_material(model: &Model, solid: &dyn Solid, cell: &Cell) -> [f64; 3] {
    let (centre, h) = (cell.middle(), model.cell);
    let at: [f64; 3] = std::array::from_fn(|i| model.origin[i] + h * (f64::from(cell.at[i]) + centre[i]));
    // The middle of a bent part may lie outside it; a step below its surface does not.
    match cell.facets.first() {
        Some(f) if solid.distance(at) >= 0.0 => std::array::from_fn(|i| f.at[i] - 1e-3 * h * f.normal[i]),
        _ => at,
    }
}

impl Prepared {
    /// The model within a window of the lattice of smaller cells.
    ///
    /// # Errors
    /// As [`Solution::zoom`].
    fn in_box(
        &self,
        zoom: &Zoom,
        cell: f64,
        window: [[i32; 3]; 2],
        progress: &dyn answer::Progress,
    ) -> Result<Self, ModelError> {
        let (model, lattice) = self.cut_again(zoom, cell, window, progress)?;
        let spread = self.spread_within(&lattice, model.origin, cell, window);
        Self::set_up(model, lattice, spread, Some(window))
    }

    /// The model with smaller cells, and its lattice within a window.
    pub(crate) fn cut_again(
        &self,
        zoom: &Zoom,
        cell: f64,
        window: [[i32; 3]; 2],
        progress: &dyn answer::Progress,
    ) -> Result<(Model, Lattice), ModelError> {
        let mut model = self.model.clone();
        model.cell = cell;
        model.check()?;
        if cell > self.model.cell {
            return Err(ModelError::OutOfRange {
                part: zoom.name.clone(),
                quantity: "cell edge",
                found: cell,
                expected: "at most that of the whole",
            });
        }
        let lattice = Lattice::new(&model, Some(window), progress).map_err(|e| match e {
            ModelError::NoMaterial(_) => ModelError::NoMaterial(zoom.name.clone()),
            other => other,
        })?;
        Ok((model, lattice))
    }

    /// What moves every held node of this zoom of a whole.
    fn carried(&self, outer: &Self, zoom: &Zoom) -> Result<Vec<Carried>, ModelError> {
        let inside = self.material_by(&outer.lattice);
        self.fine.fixed.iter().map(|n| self.carried_as_whole(outer, &inside, *n, zoom)).collect()
    }

    /// What moves a held node where the whole moves as it does at its place.
    pub(crate) fn carried_as_whole(
        &self,
        outer: &Self,
        inside: &BTreeMap<u32, [f64; 3]>,
        node: u32,
        zoom: &Zoom,
    ) -> Result<Carried, ModelError> {
        let field = self.lattice.places[node as usize].0 as usize;
        let at = self.place_of(node);
        let found = match inside.get(&node) {
            Some(inside) => outer.touching_cell(field, *inside, at),
            None => outer.near_cell(field, at),
        };
        found
            .map(|(cell, local)| Carried::new(node, cell, local))
            .ok_or_else(|| ModelError::Missed { zoom: zoom.name.clone(), body: self.model.bodies[field].name.clone() })
    }

    /// Place of a node, mm.
    pub(crate) fn place_of(&self, node: u32) -> [f64; 3] {
        let p = self.lattice.places[node as usize].1;
        std::array::from_fn(|i| self.model.origin[i] + 0.5 * self.model.cell * f64::from(p[i]))
    }

    /// Sums of the shares of every load over the whole surface as a zoom needs them: what its own finer points sum to, over the part of the load that
    /// lies in the box. The points of the whole may be too few for a load smaller than a cell; where none of it lies in the box their sum stays.
    pub(crate) fn spread_within(
        &self,
        fine: &Lattice,
        origin: [f64; 3],
        h: f64,
        window: [[i32; 3]; 2],
    ) -> Vec<Vec<f64>> {
        let inside = |p: [f64; 3]| {
            (0..3).all(|i| {
                let x = (p[i] - origin[i]) / h;
                x >= f64::from(window[0][i]) && x <= f64::from(window[1][i])
            })
        };
        let of = |load: &Load, total: f64| {
            let part = spread_where(&self.lattice, load, inside) / total;
            let found = spread(fine, load);
            if part > 0.0 && found > 0.0 { found / part } else { total }
        };
        let cases = self.model.cases.iter().zip(&self.spread);
        cases.map(|(case, totals)| case.loads.iter().zip(totals).map(|(l, t)| of(l, *t)).collect()).collect()
    }

    /// A place in the material of a cell of each held node, where the body has slots in one of two lattices: it tells on which side of them the node is.
    pub(crate) fn material_by(&self, outer: &Lattice) -> BTreeMap<u32, [f64; 3]> {
        let mut out = BTreeMap::new();
        let fixed: BTreeSet<u32> = self.fine.fixed.iter().copied().collect();
        for ((field, other), body) in self.lattice.fields.iter().zip(&outer.fields).zip(&self.model.bodies) {
            if field.is_plain() && other.is_plain() {
                continue;
            }
            let firm = field.cells.iter().filter(|c| c.share(self.model.cell) > 0.0);
            for cell in firm.filter(|c| c.nodes.iter().any(|n| fixed.contains(n))) {
                let at = in_material(&self.model, &*body.solid, cell);
                cell.nodes.iter().filter(|n| fixed.contains(n)).for_each(|n| {
                    out.entry(*n).or_insert(at);
                });
            }
        }
        out
    }

    /// The nearest active cell at most `far` cells away from a place (the part that holds it), and the place in that cell.
    pub(crate) fn nearest_cell(&self, body: usize, at: [f64; 3], far: i32) -> Option<(&Cell, [f64; 3])> {
        let scaled: [f64; 3] = std::array::from_fn(|i| (at[i] - self.model.origin[i]) / self.model.cell);
        let place = scaled.map(|x| x.floor() as i32);
        let field = self.lattice.fields.get(body)?;
        let side = 2 * far + 1;
        let best = (0..side.pow(3))
            .filter_map(|k| {
                let step = [k % side - far, k / side % side - far, k / side / side - far];
                let other: [i32; 3] = std::array::from_fn(|i| place[i] + step[i]);
                let cell = &field.cells[field.find(other)?];
                let off = (0..3).map(|i| (scaled[i] - f64::from(other[i]) - 0.5).powi(2)).sum::<f64>();
                Some((off, cell.at))
            })
            .min_by(|a, b| a.0.total_cmp(&b.0))?
            .1;
        let local = std::array::from_fn(|i| scaled[i] - f64::from(best[i]));
        Some((&field.cells[part_of(&self.model, &self.lattice, body, best, local)?], local))
    }

    /// As above, at most two cells away.
    fn near_cell(&self, body: usize, at: [f64; 3]) -> Option<(&Cell, [f64; 3])> {
        (0..=2).find_map(|far| self.nearest_cell(body, at, far))
    }

    /// The cell at a place that moves as the material at `inside` does, both may lie on different sides of a slot: that at the place where it touches the
    /// cell at `inside`, else the latter.
    fn touching_cell(&self, body: usize, inside: [f64; 3], at: [f64; 3]) -> Option<(&Cell, [f64; 3])> {
        let field = self.lattice.fields.get(body)?;
        let (there, local) = place(&self.model, inside);
        let Some(own) = part_of(&self.model, &self.lattice, body, there, local) else {
            return self.near_cell(body, at);
        };
        let own = &field.cells[own];
        let (there, _) = place(&self.model, at);
        let shares = |c: &&Cell| c.nodes.iter().any(|n| own.nodes.contains(n));
        let cell = field.cells[field.parts_at(there)].iter().find(shares).unwrap_or(own);
        let local = std::array::from_fn(|i| (at[i] - self.model.origin[i]) / self.model.cell - f64::from(cell.at[i]));
        Some((cell, local))
    }
}

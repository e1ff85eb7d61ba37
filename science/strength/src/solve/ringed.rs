//! A zoom that gives back, set up: its lattice reaches one cell beyond the walls of the box. Those cells have no stiffness and move as the whole does there; ghost faces across the
//! walls tie slivers on both sides to what lies beyond, as in one lattice.

use super::driven::driven_beyond;
use super::error::ModelError;
use super::joined::{part_of, place};
use super::lattice::Cell;
use super::model::Zoom;
use super::slabs::faces;
use super::solver::Prepared;
use super::zoom::{Carried, in_material};
use std::collections::{BTreeMap, BTreeSet};

/// Cell of the whole (number in its field) around the material of each cell beyond the walls (field and number).
type Around = BTreeMap<(usize, u32), usize>;

impl Prepared {
    /// The model within a window of the lattice of smaller cells, `times` of which fit into one of this whole; and what moves its held nodes.
    ///
    /// # Errors
    /// As [`super::Solution::zoom`].
    pub(crate) fn in_ringed_box(
        &self,
        zoom: &Zoom,
        times: i32,
        window: [[i32; 3]; 2],
        progress: &dyn answer::Progress,
    ) -> Result<(Self, Vec<Carried>), ModelError> {
        let edge = self.model.cell / f64::from(times);
        let wide = [window[0].map(|x| x.saturating_sub(1)), window[1].map(|x| x.saturating_add(1))];
        let (model, mut lattice) = self.cut_again(zoom, edge, wide, progress)?;
        let is_in = |n: usize, k: usize| lattice.fields[n].cells[k].is_in(window);
        if !lattice.fields.iter().flat_map(|f| &f.cells).any(|c| c.is_in(window)) {
            return Err(ModelError::NoMaterial(zoom.name.clone()));
        }
        let mut around = Around::new();
        for (n, (field, body)) in lattice.fields.iter().zip(&model.bodies).enumerate() {
            for (k, cell) in field.cells.iter().enumerate().filter(|(_, c)| !c.is_in(window)) {
                let (at, local) = place(&self.model, in_material(&model, &*body.solid, cell));
                let found = part_of(&self.model, &self.lattice, n, at, local);
                around.extend(found.map(|found| ((n, k as u32), found)));
            }
        }
        let counts = |n: usize, k: usize| is_in(n, k) || around.contains_key(&(n, k as u32));
        let mut joints = Self::joined(&model, &lattice, false)?;
        joints.retain(|j, f| is_in(f[0], j.cells[0] as usize) && counts(f[1], j.cells[1] as usize));
        let mut ghosts = faces(&lattice, edge, &joints.joints, &joints.fields);
        ghosts.retain(|(n, a, b, ..)| (is_in(*n, *a) || is_in(*n, *b)) && counts(*n, *a) && counts(*n, *b));
        for (n, a, b, _, factor) in &mut ghosts {
            // Across a wall the penalty is that of the larger cell.
            if !(is_in(*n, *a) && is_in(*n, *b)) {
                *factor *= f64::from(times);
            }
        }
        let ends = ghosts.iter().flat_map(|(n, a, b, ..)| [(*n, *a as u32), (*n, *b as u32)]);
        let pairs = joints.joints.iter().zip(&joints.fields);
        let ends = ends.chain(pairs.flat_map(|(j, f)| [(f[0], j.cells[0]), (f[1], j.cells[1])]));
        let beyond: BTreeSet<(usize, u32)> = ends.filter(|(n, k)| !is_in(*n, *k as usize)).collect();
        lattice.hush_beyond(window);
        let spread = self.spread_within(&lattice, model.origin, edge, window);
        let held = driven_beyond(&lattice, &joints, window, edge);
        let out = Self::assembled(model, lattice, spread, joints, ghosts, held);
        let carried = out.carried_from(self, zoom, window, &around, &beyond)?;
        Ok((out, carried))
    }

    /// Held nodes of cells beyond the walls that a face or a joint asks for follow the cell of the whole around them; those on walls and in pieces that nothing holds follow the whole there.
    fn carried_from(
        &self,
        outer: &Self,
        zoom: &Zoom,
        window: [[i32; 3]; 2],
        around: &Around,
        beyond: &BTreeSet<(usize, u32)>,
    ) -> Result<Vec<Carried>, ModelError> {
        let is_outside = |n: u32| {
            let p = self.lattice.places[n as usize].1;
            (0..3).any(|i| p[i] < 2 * window[0][i] || p[i] > 2 * window[1][i])
        };
        let mut by: BTreeMap<u32, &Cell> = BTreeMap::new();
        let mut asked: BTreeSet<u32> = BTreeSet::new();
        for (n, k) in beyond {
            let nodes = self.lattice.fields[*n].cells[*k as usize].nodes;
            asked.extend(nodes);
            let Some(whole) = around.get(&(*n, *k)) else { continue };
            let whole = &outer.lattice.fields[*n].cells[*whole];
            by.extend(nodes.into_iter().filter(|n| is_outside(*n)).map(|n| (n, whole)));
        }
        let own = self.lattice.fields.iter().flat_map(|f| &f.cells).filter(|c| c.is_in(window));
        asked.extend(own.flat_map(|c| c.nodes));
        let material = self.material_by(&outer.lattice);
        let (origin, edge) = (outer.model.origin, outer.model.cell);
        let one = |node: &u32| match by.get(node) {
            Some(cell) => {
                let at = self.place_of(*node);
                let local = std::array::from_fn(|i| (at[i] - origin[i]) / edge - f64::from(cell.at[i]));
                Ok(Carried::new(*node, cell, local))
            }
            None => self.carried_as_whole(outer, &material, *node, zoom),
        };
        self.fine.fixed.iter().filter(|n| asked.contains(n)).map(one).collect()
    }
}

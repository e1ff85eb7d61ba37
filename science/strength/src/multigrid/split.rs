//! Stiff pieces on lattices of their own: the finest system written anew before it is coarsened.
//!
//! On coarse levels one lattice ties together whatever lies within a coarse cell: pieces that touch, or leave a narrow gap, are glued there, and their turning
//! against one another, which costs little energy, is lost. So every node falls to one owner, a piece or the rest of its field, and each owner has a field of its own.
//! Cells whose corners have one owner keep their matrix in its field; a cell of several becomes a patch between them. That is the same system, but coarse functions
//! of one owner end at its own nodes: every piece moves as a rigid body on every level, however near the next, and stiff material is never coarsened together with soft.
//! Cells of several owners also stand in the field of each, without stiffness, so that around every node there are the corners of a cell.
//! After the doubling of unknowns on both sides of a face: Hansbo, Hansbo 2004, Comput. Methods Appl. Mech. Engrg. 193, 3523-3540, 10.1016/j.cma.2003.12.041 (memory).

use rayon::prelude::*;

use super::element::Cubes;
use super::inclusions::corners;
use super::nodes::Nodes;
use super::system::{CellMatrix, FixedNode, Patch, PatchMatrix, TrilinearField, TrilinearSystem, packed_len};

/// What stands for a corner that another owner has.
const NOBODY: u32 = u32::MAX;
/// Least numbers a thread takes at once.
const BLOCK: usize = 8_192;
/// A cell without stiffness.
const NOTHING: CellMatrix = CellMatrix::Uniform { lambda: 0.0, mu: 0.0 };

/// A system written with a field for each piece.
#[derive(Debug, Clone)]
pub(super) struct Split {
    pub system: TrilinearSystem,
    pub nodes: Nodes,
    /// Field of the system as given that each field is part of.
    pub parents: Vec<u32>,
    pub ways: Ways,
}

/// Vectors of the system as given to those of the system with pieces, and back.
#[derive(Debug, Clone)]
pub(super) struct Ways {
    /// Node as given of each node, or `NOBODY`.
    given: Vec<u32>,
    /// Node of each node as given.
    own: Vec<u32>,
    /// Working space: a vector of the system with pieces.
    pub wide: Vec<f32>,
}

impl Split {
    /// `system` with a field for each of `pieces` (nodes of one field each); `None` where a cell, patch or support has no nodes.
    pub(super) fn new(system: &TrilinearSystem, nodes: &Nodes, pieces: &[Vec<u32>]) -> Option<Self> {
        let (owner, parents) = owners(system, nodes, pieces)?;
        let (fields, mut patches) = part(system, nodes, &owner, parents.len())?;
        let mine = |(field, at): (u32, [i32; 3])| Some((owner[nodes.find(field, at)?], at));
        for patch in &system.patches {
            let nodes = patch.nodes.iter().map(|node| mine(*node)).collect::<Option<_>>()?;
            patches.push(Patch { nodes, matrix: patch.matrix.clone() });
        }
        let hold = |f: &FixedNode| Some(FixedNode { field: mine((f.field, f.node))?.0, ..*f });
        let fixed = system.fixed.iter().map(hold).collect::<Option<_>>()?;
        let all = Nodes::new(&fields);
        let ways = Ways::new(nodes, &all, &owner, &parents)?;
        Some(Self {
            system: TrilinearSystem { spacing: system.spacing, fields, patches, fixed },
            nodes: all,
            parents,
            ways,
        })
    }
}

/// Field of each node, pieces after the fields as given; and the field as given that each is part of.
fn owners(system: &TrilinearSystem, nodes: &Nodes, pieces: &[Vec<u32>]) -> Option<(Vec<u32>, Vec<u32>)> {
    let mut owner = vec![0u32; nodes.count];
    nodes.runs.iter().for_each(|run| owner[run.start as usize..][..run.len as usize].fill(run.field));
    let mut parents: Vec<u32> = (0..system.fields.len() as u32).collect();
    for piece in pieces {
        let number = parents.len() as u32;
        parents.push(owner[*piece.first()? as usize]);
        piece.iter().for_each(|node| owner[*node as usize] = number);
    }
    Some((owner, parents))
}

/// Cells of each owner, and patches for the cells of several.
fn part(
    system: &TrilinearSystem,
    nodes: &Nodes,
    owner: &[u32],
    count: usize,
) -> Option<(Vec<TrilinearField>, Vec<Patch>)> {
    let mut fields = vec![TrilinearField::default(); count];
    let mut patches = Vec::new();
    let mut cubes = Cubes::new(system.spacing);
    for (number, field) in (0..).zip(&system.fields) {
        for (at, matrix) in &field.cells {
            let here = corners(nodes, number, *at)?.map(|node| owner[node as usize]);
            if here.iter().all(|o| *o == here[0]) {
                fields[here[0] as usize].cells.push((*at, matrix.clone()));
                continue;
            }
            patches.push(between(*at, here, matrix, &mut cubes));
            for (_, o) in here.iter().enumerate().filter(|(k, o)| !here[..*k].contains(o)) {
                fields[*o as usize].cells.push((*at, NOTHING));
            }
        }
    }
    Some((fields, patches))
}

/// A cell as a patch between the owners of its corners.
fn between(at: [i32; 3], owners: [u32; 8], matrix: &CellMatrix, cubes: &mut Cubes) -> Patch {
    let place = |k: usize| std::array::from_fn(|d| at[d] + (k >> d & 1) as i32);
    let nodes = owners.iter().enumerate().map(|(k, o)| (*o, place(k))).collect();
    let packed = match matrix {
        CellMatrix::Own(own) => own.to_vec(),
        CellMatrix::Uniform { lambda, mu } => {
            let cube = cubes.number(*lambda, *mu);
            let mut all = Vec::with_capacity(packed_len(24));
            (0..24).for_each(|i| all.extend((0..=i).map(|j| cubes.entry(cube, i, j))));
            all
        }
    };
    Patch { nodes, matrix: PatchMatrix::Full(packed) }
}

impl Ways {
    fn new(nodes: &Nodes, all: &Nodes, owner: &[u32], parents: &[u32]) -> Option<Self> {
        let mut given = vec![NOBODY; all.count];
        let mut own = vec![NOBODY; nodes.count];
        for run in &all.runs {
            let first = nodes.find(parents[run.field as usize], [run.x, run.y, run.z])? as u32;
            for (here, there) in (run.start..run.start + run.len).zip(first..) {
                if owner[there as usize] == run.field {
                    given[here as usize] = there;
                    own[there as usize] = here;
                }
            }
        }
        let wide = vec![0.0; 3 * all.count];
        own.iter().all(|node| *node != NOBODY).then_some(Self { given, own, wide })
    }

    /// The vector of the system with pieces, in `wide`, of one of the system as given.
    pub(super) fn part(&mut self, vector: &[f32]) {
        let (n, given) = (vector.len() / 3, &self.given);
        for (whole, wide) in vector.chunks_exact(n).zip(self.wide.chunks_exact_mut(given.len())) {
            let take = |node: &u32| if *node == NOBODY { 0.0 } else { whole[*node as usize] };
            wide.par_iter_mut().zip(given).with_min_len(BLOCK).for_each(|(value, node)| *value = take(node));
        }
    }

    /// Adds a vector of the system with pieces to one of the system as given.
    pub(super) fn join(&self, wide: &[f32], vector: &mut [f32]) {
        let n = vector.len() / 3;
        for (whole, wide) in vector.chunks_exact_mut(n).zip(wide.chunks_exact(self.given.len())) {
            let add = |(value, node): (&mut f32, &u32)| *value += wide[*node as usize];
            whole.par_iter_mut().zip(&self.own).with_min_len(BLOCK).for_each(add);
        }
    }

    /// Bytes held.
    pub(super) fn bytes(&self) -> usize {
        4 * (self.given.len() + self.own.len() + self.wide.len())
    }
}

#[cfg(test)]
mod tests {
    use super::super::blocks::BlockRows;
    use super::super::coarsen::coarsen;
    use super::super::inclusions::pieces;
    use super::super::parts::components;
    use super::super::transfer::Transfer;
    use super::*;

    /// Two stiff balls that meet in a soft block, one end of it held.
    fn touching() -> TrilinearSystem {
        let ball = |at: [i32; 3], middle: f64| {
            let off = [(at[0], middle), (at[1], 6.5), (at[2], 6.5)];
            off.iter().map(|(v, m)| (f64::from(*v) + 0.5 - m).powi(2)).sum::<f64>() < 16.0
        };
        let cell = |k: i32| {
            let at = [k % 20, k / 20 % 13, k / 260];
            let stiff = if ball(at, 5.9) || ball(at, 14.4) { 1e3 } else { 1.0 };
            (at, CellMatrix::Uniform { lambda: 0.6 * stiff, mu: 0.4 * stiff })
        };
        let cells = (0..20 * 13 * 13).map(cell).collect();
        let held = |k: i32| FixedNode { field: 0, node: [0, k % 14, k / 14], components: [true; 3] };
        let fixed = (0..196).map(held).collect();
        TrilinearSystem { spacing: 0.5, fields: vec![TrilinearField { cells }], patches: Vec::new(), fixed }
    }

    fn energy(system: &TrilinearSystem, nodes: &Nodes, u: &[f32]) -> f64 {
        let matrix = BlockRows::<f64>::assemble(system, nodes, true).unwrap();
        let u: Vec<f64> = u.iter().map(|v| f64::from(*v)).collect();
        let x = components(&u, nodes.count);
        let row = |row: usize| {
            let node = matrix.node[row] as usize;
            matrix.row_product(row, x).iter().zip(x).map(|(f, x)| f * x[node]).sum::<f64>()
        };
        (0..matrix.node.len()).map(row).sum()
    }

    #[test]
    fn a_split_system_is_the_same_system() {
        let system = touching();
        let nodes = Nodes::new(&system.fields);
        let found = pieces(&system, &nodes);
        assert_eq!(found.len(), 2);
        let mut split = Split::new(&system, &nodes, &found).unwrap();
        let u: Vec<f32> = (0..3 * nodes.count).map(|k| (k * 7919 % 1013) as f32 / 506.5 - 1.0).collect();
        split.ways.part(&u);
        let (one, other) = (energy(&system, &nodes, &u), energy(&split.system, &split.nodes, &split.ways.wide));
        // The motion is told in f32.
        assert!((one / other - 1.0).abs() < 1e-6, "{one} {other}");
        let mut back = vec![0.0; u.len()];
        split.ways.join(&split.ways.wide, &mut back);
        assert_eq!(back, u);
    }

    /// Turning one of two touching pieces, which one coarse lattice for both cannot show: coarse displacements do it exactly, level by level.
    #[test]
    fn coarse_levels_turn_one_piece_and_leave_the_next() {
        let system = touching();
        let nodes = Nodes::new(&system.fields);
        let found = pieces(&system, &nodes);
        let split = Split::new(&system, &nodes, &found).unwrap();
        let turn = |at: [i32; 3], h: f32| [-h * at[1] as f32, h * at[0] as f32, 0.0f32];
        let on = |nodes: &Nodes, h: f32| {
            let mut u = vec![0.0f32; 3 * nodes.count];
            for run in nodes.runs.iter().filter(|r| r.field == 1) {
                for k in 0..run.len {
                    let motion = turn([run.x + k as i32, run.y, run.z], h);
                    (0..3).for_each(|c| u[c * nodes.count + (run.start + k) as usize] = motion[c]);
                }
            }
            u
        };
        let mut wanted = vec![0.0f32; 3 * nodes.count];
        split.ways.join(&on(&split.nodes, 1.0), &mut wanted);
        assert!((0..nodes.count).all(|n| found[0].contains(&(n as u32)) || wanted[n] == 0.0));
        let fine = energy(&system, &nodes, &wanted);
        let (mut level, mut level_nodes, mut h) = (split.system, split.nodes, 1.0);
        let mut held = super::super::coarsen::held(&level.fixed, &level_nodes).unwrap();
        for _ in 0..3 {
            let coarse = coarsen(&level, &level_nodes, &held);
            let coarse_nodes = Nodes::new(&coarse.fields);
            h *= 2.0;
            let above = on(&coarse_nodes, h);
            let mut below = vec![0.0f32; 3 * level_nodes.count];
            Transfer::new(&level_nodes, &coarse_nodes).prolong(&above, &mut below);
            assert_eq!(below, on(&level_nodes, 0.5 * h));
            let found = energy(&coarse, &coarse_nodes, &above);
            // The motion is told in f32, and a turn of a stiff cell is a small difference of large forces.
            assert!((found / fine - 1.0).abs() < 1e-3, "{found} {fine}");
            held = super::super::coarsen::held(&coarse.fixed, &coarse_nodes).unwrap();
            (level, level_nodes) = (coarse, coarse_nodes);
        }
    }
}

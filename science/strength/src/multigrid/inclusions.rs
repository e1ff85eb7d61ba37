//! Coarse correction by the rigid motions of stiff inclusions.
//!
//! A stiff piece inside a softer field moves as a whole at little energy, and polynomials on coarse cells cannot show that: without help the
//! iterations grow with the contrast. On each coarse level the cells that hold much stiffer material than the field's softest are gathered into
//! pieces, parted at their necks; W = six rigid motions of each piece's nodes, zero elsewhere, and x += W (W^T A W)^-1 W^T r before and after the way down.
//! Since every corner of those coarse cells moves rigidly, so does all stiff material in them, whatever its shape.
//! Source of the idea: subspace corrections by rigid modes of stiff parts, Jonsthovel, van Gijzen, MacLachlan, Vuik, Scarpas 2012,
//! Comput. Mech. 50, 321-333, 10.1007/s00466-011-0661-y; here on every level and inside the cycle. Coarse cells spread what is stiff until pieces run
//! into one another, so the finest level is then given several cycles of those below it in place of one. Limits: at most 64 pieces a level,
//! the largest first; pieces that touch a held node, or make up most of the field, are left out.

use super::element::{Cubes, cube_stiffness};
use super::necks::parted;
use super::nodes::Nodes;
use super::parts;
use super::system::{CellMatrix, TrilinearSystem, packed, packed_len};

/// Cells above this many times the softest count as stiff.
const STIFF: f64 = 10.0;
/// From this contrast on the levels below the finest are visited several times: below it fewer and dearer iterations take longer.
const VERY_STIFF: f64 = 100.0;
/// Most pieces of a level.
const MOST: usize = 64;

/// Pieces of a level and the factor of their coupling.
#[derive(Debug, Clone)]
pub(crate) struct Inclusions {
    /// Nodes of each piece.
    pieces: Vec<Vec<u32>>,
    /// Place of each node from the middle of its piece, over the piece's radius.
    places: Vec<Vec<[f64; 3]>>,
    /// Cholesky factor of W^T A W, packed.
    factor: Vec<f64>,
    /// How many times as stiff as the softest the stiffest cell is.
    contrast: f64,
}

/// Softest uniform shear modulus of each field; `None` where the field has no uniform cell.
pub(crate) fn softest(system: &TrilinearSystem) -> Vec<Option<(f64, f64)>> {
    let soft = |cells: &[([i32; 3], CellMatrix)]| {
        cells
            .iter()
            .filter_map(|(_, m)| if let CellMatrix::Uniform { lambda, mu } = m { Some((*lambda, *mu)) } else { None })
            .min_by(|a, b| a.1.total_cmp(&b.1))
    };
    system.fields.iter().map(|f| soft(&f.cells)).collect()
}

/// Displacement of a node in each of the six motions of its piece.
fn motions(p: [f64; 3]) -> [[f64; 3]; 6] {
    [[1.0, 0.0, 0.0], [0.0, 1.0, 0.0], [0.0, 0.0, 1.0], [0.0, -p[2], p[1]], [p[2], 0.0, -p[0]], [-p[1], p[0], 0.0]]
}

impl Inclusions {
    /// Pieces of a level; `None` when it has none.
    pub(crate) fn find(
        system: &TrilinearSystem,
        nodes: &Nodes,
        held: &[u8],
        softest: &[Option<(f64, f64)>],
    ) -> Option<Self> {
        let (stiff, contrast) = stiff_cells(system, nodes, softest)?;
        if stiff.is_empty() {
            return None;
        }
        let field_nodes =
            |field: u32| nodes.runs.iter().filter(|r| r.field == field).map(|r| r.len as usize).sum::<usize>();
        let free = |piece: &Vec<u32>| {
            piece.iter().all(|n| held.get(*n as usize).is_none_or(|m| *m == 0))
                && 2 * piece.len() < field_nodes(nodes.field_of(piece[0] as usize))
        };
        let mut pieces = parted(nodes.count, &stiff, MOST);
        pieces.retain(free);
        pieces.truncate(MOST);
        if pieces.is_empty() {
            return None;
        }
        let places = pieces.iter().map(|piece| places_of(piece, nodes)).collect();
        let mut inclusions = Self { pieces, places, factor: Vec::new(), contrast };
        inclusions.factor = cholesky(inclusions.coupling(system, nodes)?)?;
        Some(inclusions)
    }

    /// Cycles of the next level in one of this.
    pub(crate) fn visits(&self) -> usize {
        if self.contrast < VERY_STIFF { 1 } else { 3 }
    }

    /// W^T A W, summed over cells and patches that touch a piece.
    fn coupling(&self, system: &TrilinearSystem, nodes: &Nodes) -> Option<Vec<f64>> {
        let mut of_node = vec![(u32::MAX, 0u32); nodes.count];
        for (piece, members) in self.pieces.iter().enumerate() {
            for (local, node) in members.iter().enumerate() {
                of_node[*node as usize] = (piece as u32, local as u32);
            }
        }
        let mut sum = vec![0.0; packed_len(6 * self.pieces.len())];
        let mut add = |corner: &[u32], entry: &dyn Fn(usize, usize) -> f64| {
            let touched = corner.iter().any(|n| of_node[*n as usize].0 != u32::MAX);
            if !touched {
                return;
            }
            let rows: Vec<Option<(usize, [[f64; 3]; 6])>> = corner
                .iter()
                .map(|n| {
                    let (piece, local) = of_node[*n as usize];
                    (piece != u32::MAX).then(|| (piece as usize, motions(self.places[piece as usize][local as usize])))
                })
                .collect();
            for (i, row) in rows.iter().enumerate() {
                let Some((p, mine)) = row else { continue };
                for (j, column) in rows.iter().enumerate() {
                    let Some((q, other)) = column else { continue };
                    let block: [[f64; 3]; 3] =
                        std::array::from_fn(|a| std::array::from_fn(|b| entry(3 * i + a, 3 * j + b)));
                    for (k, left) in mine.iter().enumerate() {
                        let half: [f64; 3] = std::array::from_fn(|b| (0..3).map(|a| left[a] * block[a][b]).sum());
                        for (l, right) in other.iter().enumerate() {
                            let (to, from) = (6 * p + k, 6 * q + l);
                            if from <= to {
                                sum[packed(to, from)] += (0..3).map(|b| half[b] * right[b]).sum::<f64>();
                            }
                        }
                    }
                }
            }
        };
        let mut cubes = Cubes::new(system.spacing);
        for (number, field) in system.fields.iter().enumerate() {
            for (at, matrix) in &field.cells {
                let corner = corners(nodes, number as u32, *at)?;
                match matrix {
                    CellMatrix::Own(own) => add(&corner, &|i, j| f64::from(own[packed(i, j)])),
                    CellMatrix::Uniform { lambda, mu } => {
                        let cube = cubes.number(*lambda, *mu);
                        add(&corner, &|i, j| cubes.entry(cube, i, j));
                    }
                }
            }
        }
        for patch in &system.patches {
            let corner: Option<Vec<u32>> =
                patch.nodes.iter().map(|(f, at)| nodes.find(*f, *at).map(|n| n as u32)).collect();
            add(&corner?, &|i, j| patch.entry(i / 3, i % 3, j / 3, j % 3));
        }
        Some(sum)
    }

    /// x += W (W^T A W)^-1 W^T r.
    pub(crate) fn correct(&self, r: &[f32], x: &mut [f32]) {
        let n = r.len() / 3;
        let r = parts::components(r, n);
        let mut v = vec![0.0f64; 6 * self.pieces.len()];
        for ((piece, places), six) in self.pieces.iter().zip(&self.places).zip(v.chunks_exact_mut(6)) {
            for (node, place) in piece.iter().zip(places) {
                let force = r.map(|c| f64::from(c[*node as usize]));
                for (sum, motion) in six.iter_mut().zip(motions(*place)) {
                    *sum += motion[0] * force[0] + motion[1] * force[1] + motion[2] * force[2];
                }
            }
        }
        substitute(&self.factor, &mut v);
        for ((piece, places), six) in self.pieces.iter().zip(&self.places).zip(v.chunks_exact(6)) {
            for (node, place) in piece.iter().zip(places) {
                let all = motions(*place);
                for c in 0..3 {
                    x[c * n + *node as usize] += (0..6).map(|k| six[k] * all[k][c]).sum::<f64>() as f32;
                }
            }
        }
    }
}

/// Corners of the cells that hold much stiffer material than their field's softest, and how many times as stiff the stiffest is.
fn stiff_cells(
    system: &TrilinearSystem,
    nodes: &Nodes,
    softest: &[Option<(f64, f64)>],
) -> Option<(Vec<[u32; 8]>, f64)> {
    let (mut stiff, mut contrast) = (Vec::new(), 1.0f64);
    for (number, field) in system.fields.iter().enumerate() {
        let Some((lambda, mu)) = softest.get(number).copied().flatten() else { continue };
        let soft = trace(&CellMatrix::Uniform { lambda, mu }, system.spacing);
        let mut known: Vec<((f64, f64), f64)> = Vec::new();
        for (at, matrix) in &field.cells {
            let times = match matrix {
                CellMatrix::Own(_) => trace(matrix, system.spacing) / soft,
                CellMatrix::Uniform { lambda, mu } => {
                    let key = (*lambda, *mu);
                    let seen = known.iter().find(|(k, _)| *k == key).map(|(_, times)| *times);
                    seen.unwrap_or_else(|| {
                        let times = trace(matrix, system.spacing) / soft;
                        known.push((key, times));
                        times
                    })
                }
            };
            if times > STIFF {
                contrast = contrast.max(times);
                stiff.push(corners(nodes, number as u32, *at)?);
            }
        }
    }
    Some((stiff, contrast))
}

/// Trace of a cell's stiffness.
fn trace(matrix: &CellMatrix, spacing: f64) -> f64 {
    match matrix {
        CellMatrix::Own(own) => (0..24).map(|i| f64::from(own[packed(i, i)])).sum(),
        CellMatrix::Uniform { lambda, mu } => {
            let k = cube_stiffness(*lambda, *mu, spacing);
            (0..24).map(|i| k[25 * i]).sum()
        }
    }
}

fn corners(nodes: &Nodes, field: u32, at: [i32; 3]) -> Option<[u32; 8]> {
    let mut all = [0; 8];
    for (k, corner) in all.iter_mut().enumerate() {
        let k = k as i32;
        *corner = nodes.find(field, [at[0] + (k & 1), at[1] + (k >> 1 & 1), at[2] + (k >> 2)])? as u32;
    }
    Some(all)
}

/// Places of a piece's nodes from their middle, over their largest distance from it.
fn places_of(piece: &[u32], nodes: &Nodes) -> Vec<[f64; 3]> {
    let mut places: Vec<[f64; 3]> = piece.iter().map(|n| nodes.place_of(*n as usize).map(f64::from)).collect();
    let middle: [f64; 3] = std::array::from_fn(|d| places.iter().map(|p| p[d]).sum::<f64>() / places.len() as f64);
    let mut radius = 0.0f64;
    for p in &mut places {
        for d in 0..3 {
            p[d] -= middle[d];
            radius = radius.max(p[d].abs());
        }
    }
    places.iter_mut().flatten().for_each(|v| *v /= radius.max(0.5));
    places
}

/// Packed Cholesky factor; `None` where the matrix is not positive.
fn cholesky(mut a: Vec<f64>) -> Option<Vec<f64>> {
    let n = (0..).find(|n| packed_len(*n) >= a.len())?;
    for i in 0..n {
        for j in 0..=i {
            let diagonal = a[packed(i, i)];
            let sum: f64 = (0..j).map(|k| a[packed(i, k)] * a[packed(j, k)]).sum();
            let value = a[packed(i, j)] - sum;
            if i == j {
                if value.is_nan() || value <= 1e-9 * diagonal.abs() {
                    return None;
                }
                a[packed(i, i)] = value.sqrt();
            } else {
                a[packed(i, j)] = value / a[packed(j, j)];
            }
        }
    }
    Some(a)
}

/// Solves with a packed Cholesky factor in place.
fn substitute(factor: &[f64], v: &mut [f64]) {
    for i in 0..v.len() {
        let sum: f64 = (0..i).map(|k| factor[packed(i, k)] * v[k]).sum();
        v[i] = (v[i] - sum) / factor[packed(i, i)];
    }
    for i in (0..v.len()).rev() {
        v[i] /= factor[packed(i, i)];
        for k in 0..i {
            v[k] -= factor[packed(i, k)] * v[i];
        }
    }
}

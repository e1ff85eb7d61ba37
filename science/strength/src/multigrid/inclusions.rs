//! Stiff inclusions of a system: pieces much stiffer than the softest material of their field.
//!
//! A stiff piece inside a softer field moves as a whole at little energy, and polynomials on coarse cells that hold both cannot show that: without help the
//! iterations grow with the contrast. What is done about it stands in `split`. Limits: at most 64 pieces, the largest first (each takes 24 unknowns of the
//! coarsest level at least); a piece that makes up half of its field is left in it, since what is softer lies within it then.

use super::element::cube_stiffness;
use super::necks::parted;
use super::nodes::Nodes;
use super::system::{CellMatrix, TrilinearSystem, packed};

/// Cells above this many times the softest count as stiff.
const STIFF: f64 = 10.0;
/// Most pieces of a system.
const MOST: usize = 64;

/// Nodes of each stiff piece, parted at its necks; no piece has nodes of two fields. Empty where there is none.
pub(super) fn pieces(system: &TrilinearSystem, nodes: &Nodes) -> Vec<Vec<u32>> {
    let Some(stiff) = stiff_cells(system, nodes).filter(|stiff| !stiff.is_empty()) else { return Vec::new() };
    let mut whole = vec![0usize; system.fields.len()];
    nodes.runs.iter().for_each(|run| whole[run.field as usize] += run.len as usize);
    let mut pieces = parted(nodes.count, &stiff, MOST);
    pieces.retain(|piece| 2 * piece.len() < whole[nodes.field_of(piece[0] as usize) as usize]);
    pieces.truncate(MOST);
    pieces
}

/// Softest uniform shear modulus of each field; `None` where the field has no uniform cell.
fn softest(system: &TrilinearSystem) -> Vec<Option<(f64, f64)>> {
    let soft = |cells: &[([i32; 3], CellMatrix)]| {
        cells
            .iter()
            .filter_map(|(_, m)| if let CellMatrix::Uniform { lambda, mu } = m { Some((*lambda, *mu)) } else { None })
            .min_by(|a, b| a.1.total_cmp(&b.1))
    };
    system.fields.iter().map(|f| soft(&f.cells)).collect()
}

/// Corners of the cells that hold much stiffer material than their field's softest.
fn stiff_cells(system: &TrilinearSystem, nodes: &Nodes) -> Option<Vec<[u32; 8]>> {
    let mut stiff = Vec::new();
    let softest = softest(system);
    for (number, field) in system.fields.iter().enumerate() {
        let Some((lambda, mu)) = softest[number] else { continue };
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
                stiff.push(corners(nodes, number as u32, *at)?);
            }
        }
    }
    Some(stiff)
}

/// Trace of a cell's stiffness.
fn trace(matrix: &CellMatrix, spacing: f64) -> f64 {
    match matrix {
        CellMatrix::Own(own) => (0..24).map(|i| own[packed(i, i)]).sum(),
        CellMatrix::Uniform { lambda, mu } => {
            let k = cube_stiffness(*lambda, *mu, spacing);
            (0..24).map(|i| k[25 * i]).sum()
        }
    }
}

/// Nodes at the corners of a cell.
pub(super) fn corners(nodes: &Nodes, field: u32, at: [i32; 3]) -> Option<[u32; 8]> {
    let mut all = [0; 8];
    for (k, corner) in all.iter_mut().enumerate() {
        let k = k as i32;
        *corner = nodes.find(field, [at[0] + (k & 1), at[1] + (k >> 1 & 1), at[2] + (k >> 2)])? as u32;
    }
    Some(all)
}

//! Direct solution of the coarsest level: Cholesky within the envelope of a reverse Cuthill-McKee order, in f64.
//!
//! Row i of L is kept from its first non-zero column to the diagonal: L_ij = (A_ij - sum_k L_ik L_jk) / L_jj. A pivot that has lost all but
//! a few 1e-7 of its diagonal (the matrix comes from f32 products) may mean a motion without resistance: the finest level decides, and the shape
//! of the motion tells which field moves.
//! Order: Cuthill, McKee 1969, Proc. 24th ACM National Conference, 157-172, 10.1145/800195.805928; reversal and envelope: George, Liu 1981,
//! Computer Solution of Large Sparse Positive Definite Systems (Prentice-Hall).

use super::blocks::BlockRows;
use super::error::SolveError;
use super::nodes::Nodes;

/// Share of the diagonal below which a pivot counts as none: a few roundings of f32 matrices.
const VANISHED: f64 = 3e-7;

/// Triangular factor of the coarsest stiffness.
#[derive(Debug, Clone)]
pub(crate) struct Factor {
    /// Unknown (by place in the level's vector) at each position of the order.
    order: Vec<u32>,
    /// First column of each row, and where the row begins in `values`.
    first: Vec<u32>,
    start: Vec<usize>,
    values: Vec<f64>,
}

impl Factor {
    /// Of the assembled matrix; `fixed` unknowns are left out. `moves_freely` tells whether nothing resists a motion of this level on the
    /// finest one either; one that is resisted there is left to the smoothers.
    pub(crate) fn new(
        matrix: &BlockRows<f64>,
        nodes: &Nodes,
        fixed: &[u32],
        moves_freely: impl Fn(&[f32]) -> bool,
    ) -> Result<Self, SolveError> {
        let count = nodes.count;
        let mut free = vec![true; 3 * count];
        fixed.iter().for_each(|at| free[*at as usize] = false);
        let sequence = cuthill_mckee(matrix, count);
        let mut position = vec![u32::MAX; 3 * count];
        let mut order = Vec::new();
        for node in sequence {
            for c in 0..3 {
                let unknown = c * count + node as usize;
                if free[unknown] {
                    position[unknown] = order.len() as u32;
                    order.push(unknown as u32);
                }
            }
        }
        let n = order.len();
        let mut first: Vec<u32> = (0..n as u32).collect();
        for_entries(matrix, count, |row, column, _| {
            let (i, j) = (position[row], position[column]);
            if i != u32::MAX && j < i {
                first[i as usize] = first[i as usize].min(j);
            }
        });
        let mut start = Vec::with_capacity(n + 1);
        let mut length = 0;
        for (i, f) in first.iter().enumerate() {
            start.push(length);
            length += i - *f as usize + 1;
        }
        start.push(length);
        let mut values = vec![0.0; length];
        for_entries(matrix, count, |row, column, value| {
            let (i, j) = (position[row], position[column]);
            if i != u32::MAX && j <= i {
                values[start[i as usize] + (j - first[i as usize]) as usize] = value;
            }
        });
        let mut factor = Self { order, first, start, values };
        let mut from = 0;
        while let Err(row) = factor.factorise(from) {
            let motion = factor.motion(row);
            let mut whole = vec![0.0f32; 3 * count];
            for (at, value) in factor.order.iter().zip(&motion) {
                whole[*at as usize] = *value as f32;
            }
            if moves_freely(&whole) {
                return Err(SolveError::Unsupported { fields: factor.movers(&motion, nodes) });
            }
            factor.leave_out(row);
            from = row + 1;
        }
        Ok(factor)
    }

    /// Overwrites the rows of the matrix from `begin` on by its factor; the row without resistance if there is one.
    fn factorise(&mut self, begin: usize) -> Result<(), usize> {
        for i in begin..self.order.len() {
            let (done, rest) = self.values.split_at_mut(self.start[i]);
            let from = self.first[i] as usize;
            let row = &mut rest[..=i - from];
            let diagonal = row[i - from];
            for j in from..i {
                let other_from = self.first[j] as usize;
                let other = &done[self.start[j]..self.start[j + 1]];
                let low = from.max(other_from);
                let sum = dot(&row[low - from..j - from], &other[low - other_from..j - other_from]);
                row[j - from] = (row[j - from] - sum) / other[j - other_from];
            }
            let pivot = diagonal - dot(&row[..i - from], &row[..i - from]);
            if pivot.is_nan() || pivot <= VANISHED * diagonal {
                return Err(i);
            }
            row[i - from] = pivot.sqrt();
        }
        Ok(())
    }

    /// Holds an unknown that is a combination of those before it.
    fn leave_out(&mut self, row: usize) {
        let line = &mut self.values[self.start[row]..self.start[row + 1]];
        line.fill(0.0);
        if let Some(last) = line.last_mut() {
            *last = f64::INFINITY;
        }
    }

    /// The motion without resistance found at `row`: L^T v = e over the rows before it.
    fn motion(&self, row: usize) -> Vec<f64> {
        let mut motion = vec![0.0; row + 1];
        motion[row] = 1.0;
        let from = self.first[row] as usize;
        for (m, l) in motion[from..row].iter_mut().zip(&self.values[self.start[row]..]) {
            *m = -l;
        }
        for i in (0..row).rev() {
            let from = self.first[i] as usize;
            let line = &self.values[self.start[i]..self.start[i + 1]];
            motion[i] /= line[i - from];
            let value = motion[i];
            for (m, l) in motion[from..i].iter_mut().zip(line) {
                *m -= value * l;
            }
        }
        motion
    }

    /// Fields that take part in a motion.
    fn movers(&self, motion: &[f64], nodes: &Nodes) -> Vec<u32> {
        let mut largest = vec![0.0f64; 1 + nodes.runs.iter().map(|r| r.field as usize).max().unwrap_or(0)];
        for (at, value) in motion.iter().enumerate() {
            let field = nodes.field_of(self.order[at] as usize % nodes.count) as usize;
            largest[field] = largest[field].max(value.abs());
        }
        let top = largest.iter().fold(0.0f64, |a, b| a.max(*b));
        (0..largest.len() as u32).filter(|f| largest[*f as usize] > 1e-3 * top).collect()
    }

    /// Solves in place; held unknowns become zero.
    pub(crate) fn solve(&self, right: &[f32], solution: &mut [f32]) {
        let n = self.order.len();
        let mut v: Vec<f64> = self.order.iter().map(|at| f64::from(right[*at as usize])).collect();
        for i in 0..n {
            let from = self.first[i] as usize;
            let line = &self.values[self.start[i]..self.start[i + 1]];
            v[i] = (v[i] - dot(&line[..i - from], &v[from..i])) / line[i - from];
        }
        for i in (0..n).rev() {
            let from = self.first[i] as usize;
            let line = &self.values[self.start[i]..self.start[i + 1]];
            v[i] /= line[i - from];
            let value = v[i];
            for (m, l) in v[from..i].iter_mut().zip(line) {
                *m -= value * l;
            }
        }
        solution.fill(0.0);
        for (at, value) in self.order.iter().zip(&v) {
            solution[*at as usize] = *value as f32;
        }
    }

    /// Bytes held.
    pub(crate) fn bytes(&self) -> usize {
        self.values.len() * 8
    }
}

fn dot(a: &[f64], b: &[f64]) -> f64 {
    super::parts::lanes(a, b)
}

/// Every entry of the matrix by unknowns.
fn for_entries(matrix: &BlockRows<f64>, count: usize, mut entry: impl FnMut(usize, usize, f64)) {
    for (row, &node) in matrix.node.iter().enumerate() {
        for k in matrix.first[row]..matrix.first[row + 1] {
            let other = matrix.column[k] as usize;
            for a in 0..3 {
                for b in 0..3 {
                    entry(a * count + node as usize, b * count + other, matrix.block[k][3 * a + b]);
                }
            }
        }
    }
}

/// Nodes in reverse Cuthill-McKee order.
fn cuthill_mckee(matrix: &BlockRows<f64>, count: usize) -> Vec<u32> {
    let mut row_of = vec![u32::MAX; count];
    for (row, &node) in matrix.node.iter().enumerate() {
        row_of[node as usize] = row as u32;
    }
    let neighbours = |node: u32| -> &[u32] {
        match row_of[node as usize] {
            u32::MAX => &[],
            row => &matrix.column[matrix.first[row as usize]..matrix.first[row as usize + 1]],
        }
    };
    let degree = |node: u32| neighbours(node).len();
    let mut seen = vec![false; count];
    let mut order: Vec<u32> = Vec::with_capacity(count);
    for seed in 0..count as u32 {
        if seen[seed as usize] {
            continue;
        }
        let root = far_end(far_end(seed, count, &neighbours), count, &neighbours);
        let mut head = order.len();
        order.push(root);
        seen[root as usize] = true;
        while head < order.len() {
            let mut next: Vec<u32> = neighbours(order[head]).iter().copied().filter(|n| !seen[*n as usize]).collect();
            next.sort_by_key(|n| (degree(*n), *n));
            for n in next {
                seen[n as usize] = true;
                order.push(n);
            }
            head += 1;
        }
    }
    order.reverse();
    order
}

/// A node as far as possible from `from`, of least degree among those.
fn far_end<'a>(from: u32, count: usize, neighbours: &impl Fn(u32) -> &'a [u32]) -> u32 {
    let mut depth = vec![u32::MAX; count];
    depth[from as usize] = 0;
    let mut queue = vec![from];
    let mut head = 0;
    while head < queue.len() {
        let node = queue[head];
        for &n in neighbours(node) {
            if depth[n as usize] == u32::MAX {
                depth[n as usize] = depth[node as usize] + 1;
                queue.push(n);
            }
        }
        head += 1;
    }
    let last = queue.last().map_or(0, |n| depth[*n as usize]);
    queue.into_iter().filter(|n| depth[*n as usize] == last).min_by_key(|n| (neighbours(*n).len(), *n)).unwrap_or(from)
}

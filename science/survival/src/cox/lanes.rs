//! Sums over rows of numbers in the widest vectors of the machine, multiplying and adding apart, so that their results are the same on all of them.
//!
//! Rows have `q` numbers, a multiple of 4. Where `W` is above 0 it is q/4, known to the compiler, which then keeps a whole row in registers; 0 stands
//! for any width.

/// Rows whose numbers stay in the nearest cache.
const BLOCK: usize = 256;

/// Calls a function for the width of a row: `wide!(q, function(arguments))`.
macro_rules! wide {
    ($q:expr, $($path:ident)::+ ($($argument:expr),* $(,)?)) => {
        match $q / 4 {
            1 => $($path)::+::<1>($($argument),*),
            2 => $($path)::+::<2>($($argument),*),
            3 => $($path)::+::<3>($($argument),*),
            4 => $($path)::+::<4>($($argument),*),
            _ => $($path)::+::<0>($($argument),*),
        }
    };
}
pub(super) use wide;

/// Numbers of a row.
#[inline(always)]
fn width<const W: usize>(q: usize) -> usize {
    if W > 0 { 4 * W } else { q }
}

/// Row `i`.
#[inline(always)]
pub(super) fn row<const W: usize>(rows: &[f64], i: usize, q: usize) -> &[f64] {
    let q = width::<W>(q);
    &rows[i * q..(i + 1) * q]
}

/// Row `i`, to be changed.
#[inline(always)]
pub(super) fn row_mut<const W: usize>(rows: &mut [f64], i: usize, q: usize) -> &mut [f64] {
    let q = width::<W>(q);
    &mut rows[i * q..(i + 1) * q]
}

/// Sum of products.
#[inline(always)]
pub(super) fn dot(a: &[f64], b: &[f64]) -> f64 {
    let mut sums = [0.0; 4];
    for (a, b) in a.chunks_exact(4).zip(b.chunks_exact(4)) {
        for l in 0..4 {
            sums[l] += a[l] * b[l];
        }
    }
    (sums[0] + sums[2]) + (sums[1] + sums[3])
}

/// Adds a multiple of a row.
#[inline(always)]
pub(super) fn add_scaled(sum: &mut [f64], x: &[f64], scale: f64) {
    // Four are read before any is written: otherwise the compiler must think that they overlap, and takes them one by one.
    for (sum, x) in sum.as_chunks_mut::<4>().0.iter_mut().zip(x.as_chunks::<4>().0) {
        let (mut four, x) = (*sum, *x);
        for l in 0..4 {
            four[l] += scale * x[l];
        }
        *sum = four;
    }
}

/// `sum_i w_i x_i x_i'`, lower blocks of 4 x 4.
#[inline(always)]
pub(super) fn weighted_gram<const W: usize>(x: &[f64], q: usize, weights: &[f64]) -> Vec<f64> {
    let q = width::<W>(q);
    let mut gram = vec![0.0; q * q];
    for (x, w) in x.chunks(BLOCK * q).zip(weights.chunks(BLOCK)) {
        for i in (0..q).step_by(4) {
            for j in (0..=i).step_by(4) {
                let block = block::<W>(x, q, w, i, j);
                for u in 0..4 {
                    for v in 0..4 {
                        gram[(i + u) * q + j + v] += block[u][v];
                    }
                }
            }
        }
    }
    gram
}

#[inline(always)]
fn block<const W: usize>(x: &[f64], q: usize, weights: &[f64], i: usize, j: usize) -> [[f64; 4]; 4] {
    let q = width::<W>(q);
    let mut sums = [[0.0; 4]; 4];
    for (row, &w) in x.chunks_exact(q).zip(weights) {
        let (a, b) = (&row[i..i + 4], &row[j..j + 4]);
        let mut weighted = [0.0; 4];
        for v in 0..4 {
            weighted[v] = w * b[v];
        }
        for u in 0..4 {
            for v in 0..4 {
                sums[u][v] += a[u] * weighted[v];
            }
        }
    }
    sums
}

//! Fixed parts of a vector that threads may write at the same time.
//!
//! Vectors of a level stand component by component: unknown (node n, component c) at `c * count + n`. Parts are ranges of nodes that do
//! not touch; each is handed out as three slices. The parts depend on the problem only, never on the number of threads.

use std::ops::Range;

use rayon::prelude::*;

/// Below this many nodes a loop is not worth the threads.
pub(crate) const SERIAL: usize = 6_000;

/// Three slices a part, in the order of `parts` (ascending, disjoint).
pub(crate) fn split<'a, T>(vector: &'a mut [T], count: usize, parts: &[Range<usize>]) -> Vec<[&'a mut [T]; 3]> {
    let (x, rest) = vector.split_at_mut(count);
    let (y, z) = rest.split_at_mut(count);
    let mut columns = [x, y, z].map(|column| pieces(column, parts).into_iter());
    let mut all = Vec::with_capacity(parts.len());
    while let [Some(a), Some(b), Some(c)] = columns.each_mut().map(Iterator::next) {
        all.push([a, b, c]);
    }
    all
}

fn pieces<'a, T>(column: &'a mut [T], parts: &[Range<usize>]) -> Vec<&'a mut [T]> {
    let mut rest = column;
    let mut done = 0;
    let mut all = Vec::with_capacity(parts.len());
    for part in parts {
        let (_, tail) = rest.split_at_mut(part.start - done);
        let (piece, tail) = tail.split_at_mut(part.len());
        all.push(piece);
        rest = tail;
        done = part.end;
    }
    all
}

/// The three components of a vector.
#[inline(always)]
pub(crate) fn components<T>(vector: &[T], count: usize) -> [&[T]; 3] {
    [&vector[..count], &vector[count..2 * count], &vector[2 * count..3 * count]]
}

/// Runs `work` on every item, on all threads if the level is large enough.
pub(crate) fn for_each<I: Send>(items: Vec<I>, count: usize, work: impl Fn(I) + Sync + Send) {
    if count < SERIAL {
        items.into_iter().for_each(work);
    } else {
        items.into_par_iter().for_each(work);
    }
}

/// Numbers of a block in a sum over a whole vector.
const BLOCK: usize = 8_192;

/// Scalar product, summed in blocks of fixed size and in their order.
pub(crate) fn dot(a: &[f64], b: &[f64]) -> f64 {
    sum_blocks(a.len(), |range| lanes(&a[range.clone()], &b[range]))
}

/// Sum over fixed blocks of 0..len, in their order.
pub(crate) fn sum_blocks(len: usize, block: impl Fn(Range<usize>) -> f64 + Sync + Send) -> f64 {
    let range = |k: usize| k * BLOCK..((k + 1) * BLOCK).min(len);
    let blocks = len.div_ceil(BLOCK);
    if len < 3 * SERIAL {
        (0..blocks).map(|k| block(range(k))).sum()
    } else {
        let parts: Vec<f64> = (0..blocks).into_par_iter().map(|k| block(range(k))).collect();
        parts.iter().sum()
    }
}

/// Scalar product in eight interleaved sums.
#[inline(always)]
pub(crate) fn lanes(a: &[f64], b: &[f64]) -> f64 {
    let mut sums = [0.0; 8];
    let (a8, b8) = (a.chunks_exact(8), b.chunks_exact(8));
    let tail: f64 = a8.remainder().iter().zip(b8.remainder()).map(|(x, y)| x * y).sum();
    for (x, y) in a8.zip(b8) {
        for l in 0..8 {
            sums[l] += x[l] * y[l];
        }
    }
    sums.iter().sum::<f64>() + tail
}

//! Work over draws in blocks of fixed size: the same bytes at any number of threads.

use rayon::prelude::*;

/// Draws in one block.
const BLOCK: usize = 64;

/// `f` of every draw in order; of several errors the one of the lowest draw.
pub(crate) fn each<T: Send, E: Send>(n: usize, f: impl Fn(usize) -> Result<T, E> + Sync) -> Result<Vec<T>, E> {
    let blocks: Vec<Result<Vec<T>, E>> = (0..n.div_ceil(BLOCK))
        .into_par_iter()
        .map(|block| (block * BLOCK..((block + 1) * BLOCK).min(n)).map(&f).collect())
        .collect();
    let mut all = Vec::with_capacity(n);
    for block in blocks {
        all.extend(block?);
    }
    Ok(all)
}

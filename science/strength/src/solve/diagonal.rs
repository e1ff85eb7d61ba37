//! The 3 x 3 diagonal blocks of cells, and their inverses.

use super::basis::{GAUSS3, GAUSS5, shape};

/// Slopes of the 27 shape functions at Q x Q x Q Gauss points, 1/mm.
pub(crate) fn gradients<const Q: usize>(edge: f64) -> Vec<[[f64; 3]; 27]> {
    let rule = |q: usize| if Q == 3 { GAUSS3[q].0 } else { GAUSS5[q].0 };
    (0..Q.pow(3)).map(|n| shape([n % Q, n / Q % Q, n / Q / Q].map(rule)).1.map(|g| g.map(|x| x / edge))).collect()
}

/// The 3 x 3 diagonal blocks of a cell.
pub(crate) fn diagonal_of(weights: &[f64], gradients: &[[[f64; 3]; 27]], (lambda, mu): (f64, f64)) -> [[f64; 9]; 27] {
    let mut out = [[0.0; 9]; 27];
    for (w, g) in weights.iter().zip(gradients) {
        for (block, g) in out.iter_mut().zip(g) {
            let size = mu * (g[0] * g[0] + g[1] * g[1] + g[2] * g[2]);
            for a in 0..3 {
                for b in 0..3 {
                    block[3 * a + b] += w * ((lambda + mu) * g[a] * g[b] + if a == b { size } else { 0.0 });
                }
            }
        }
    }
    out
}

pub(crate) fn add_blocks(d: &mut [[f64; 9]], nodes: &[u32; 27], blocks: &[[f64; 9]; 27]) {
    for (n, b) in nodes.iter().zip(blocks) {
        d[*n as usize].iter_mut().zip(b).for_each(|(d, b)| *d += b);
    }
}

pub(crate) fn inverse(m: &[f64; 9]) -> [f32; 6] {
    let minor = |a: usize, b: usize, c: usize, d: usize| m[a] * m[d] - m[b] * m[c];
    let cof = [
        minor(4, 5, 7, 8),
        minor(0, 2, 6, 8),
        minor(0, 1, 3, 4),
        minor(2, 1, 8, 7),
        minor(2, 0, 5, 3),
        minor(1, 2, 4, 5),
    ];
    let det = m[0] * cof[0] + m[1] * minor(5, 3, 8, 6) + m[2] * minor(3, 4, 6, 7);
    if det > 0.0 { cof.map(|x| (x / det) as f32) } else { [0.0; 6] }
}

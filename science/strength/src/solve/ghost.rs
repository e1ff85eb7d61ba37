//! Penalty on the jumps of first and second normal derivatives over a face between two cells of one body.
//!
//! g1 h [du/dn]^2 + g2 h^3 [d2u/dn2]^2 over the face, times lambda + 2 mu: a displacement quadratic over both cells costs nothing, a
//! sliver is tied to its neighbour (Burman 2010, C R Math 348:1217-1220, memory; second derivatives as in Burman, Hansbo 2012, Appl
//! Numer Math 62:328-341, memory).

const FIRST: f64 = 1e-2;
const SECOND: f64 = 1e-3;

/// 45 x 45 matrix by node (5 along the normal, then 3 x 3 over the face), per unit of modulus and cell edge.
pub(crate) fn face() -> Vec<f64> {
    const MASS: [[f64; 3]; 3] = [[4.0, 2.0, -1.0], [2.0, 16.0, 2.0], [-1.0, 2.0, 4.0]];
    const SLOPE: [f64; 5] = [1.0, -4.0, 6.0, -4.0, 1.0];
    const BEND: [f64; 5] = [4.0, -8.0, 0.0, 8.0, -4.0];
    let mut out = vec![0.0; 45 * 45];
    for i in 0..45 {
        for j in 0..45 {
            let mass = MASS[i / 5 % 3][j / 5 % 3] * MASS[i / 15][j / 15] / 900.0;
            let jump = FIRST * SLOPE[i % 5] * SLOPE[j % 5] + SECOND * BEND[i % 5] * BEND[j % 5];
            out[i * 45 + j] = mass * jump;
        }
    }
    out
}

/// Place of face node `i` in half cells from the lower cell's lowest corner, for a face across `axis`.
pub(crate) fn place(i: usize, axis: usize) -> [i32; 3] {
    let mut at = [0; 3];
    at[axis] = (i % 5) as i32;
    at[(axis + 1) % 3] = (i / 5 % 3) as i32;
    at[(axis + 2) % 3] = (i / 15) as i32;
    at
}

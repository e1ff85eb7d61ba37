//! The 27 quadratic shape functions of a unit cell, and the 5-point Gauss rule that carries cell integrals.

/// Values of the three quadratics with nodes 0, 1/2, 1.
pub(crate) fn values(x: f64) -> [f64; 3] {
    [2.0 * (x - 0.5) * (x - 1.0), 4.0 * x * (1.0 - x), 2.0 * x * (x - 0.5)]
}

/// Their slopes.
pub(crate) fn slopes(x: f64) -> [f64; 3] {
    [4.0 * x - 3.0, 4.0 - 8.0 * x, 4.0 * x - 1.0]
}

/// Place of node `n` (x fastest) in half cells.
pub(crate) fn corner(n: usize) -> [usize; 3] {
    [n % 3, n / 3 % 3, n / 9]
}

/// Shape functions at `x` of the unit cell and their gradients in units of 1/cell.
pub(crate) fn shape(x: [f64; 3]) -> ([f64; 27], [[f64; 3]; 27]) {
    let (v, s) = (x.map(values), x.map(slopes));
    let mut n = [0.0; 27];
    let mut g = [[0.0; 3]; 27];
    for i in 0..27 {
        let [a, b, c] = corner(i);
        n[i] = v[0][a] * v[1][b] * v[2][c];
        g[i] = [s[0][a] * v[1][b] * v[2][c], v[0][a] * s[1][b] * v[2][c], v[0][a] * v[1][b] * s[2][c]];
    }
    (n, g)
}

/// Gauss-Legendre points and weights on 0..1.
pub(crate) const GAUSS5: [(f64, f64); 5] = [
    (0.046910077030668, 0.118463442528094544),
    (0.230765344947158454, 0.239314335249683234),
    (0.5, 0.284444444444444444),
    (0.769234655052841546, 0.239314335249683234),
    (0.953089922969332, 0.118463442528094544),
];
/// As above, 4 points.
pub(crate) const GAUSS4: [(f64, f64); 4] = [
    (0.0694318442029737124, 0.173927422568726929),
    (0.330009478207571868, 0.326072577431273071),
    (0.669990521792428132, 0.326072577431273071),
    (0.930568155797026288, 0.173927422568726929),
];

/// One over the products of distances between the points of [`GAUSS5`].
const APART: [f64; 5] = {
    let mut out = [1.0; 5];
    let mut k = 0;
    while k < 25 {
        let (i, j) = (k / 5, k % 5);
        if i != j {
            out[i] /= GAUSS5[i].0 - GAUSS5[j].0;
        }
        k += 1;
    }
    out
};

/// Values at `x` of the five Lagrange polynomials through the points of [`GAUSS5`].
#[inline(always)]
pub(crate) fn lagrange(x: f64) -> [f64; 5] {
    let [a, b, c] = [x - GAUSS5[0].0, x - GAUSS5[1].0, x - GAUSS5[2].0];
    let [d, e] = [x - GAUSS5[3].0, x - GAUSS5[4].0];
    let (ab, de) = (a * b, d * e);
    let [i, j, k, l, m] = APART;
    [b * c * de * i, a * c * de * j, ab * de * k, ab * c * e * l, ab * c * d * m]
}

/// As above, 3 points.
pub(crate) const GAUSS3: [(f64, f64); 3] =
    [(0.112701665379258311, 5.0 / 18.0), (0.5, 8.0 / 18.0), (0.887298334620741689, 5.0 / 18.0)];

/// Slopes of the eight trilinear shape functions of the unit cell.
pub(crate) fn trilinear(x: [f64; 3]) -> ([f64; 8], [[f64; 3]; 8]) {
    let side = |c: usize, i: usize| if c >> i & 1 == 1 { (x[i], 1.0) } else { (1.0 - x[i], -1.0) };
    let mut n = [0.0; 8];
    let mut g = [[0.0; 3]; 8];
    for c in 0..8 {
        let [a, b, d] = [side(c, 0), side(c, 1), side(c, 2)];
        n[c] = a.0 * b.0 * d.0;
        g[c] = [a.1 * b.0 * d.0, a.0 * b.1 * d.0, a.0 * b.0 * d.1];
    }
    (n, g)
}

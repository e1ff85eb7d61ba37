//! Gauss quadrature rules of any order: Legendre on -1..1 (weight 1) and Hermite on the real line (weight exp(-x^2)).
//!
//! Nodes are the eigenvalues of the Jacobi matrix (Golub, Welsch 1969, Math Comp 23:221-230, doi 10.1090/S0025-5718-69-99647-1), found by
//! bisection on Sturm counts and polished by Newton; weights are the inverse Christoffel sums 1/sum p_k(x)^2 of the orthonormal
//! polynomials. Nodes ascend; the rule is symmetric to the last bit. Weights below 1e-290 may read 0 (Hermite beyond n = 350).

/// Nodes and weights.
#[derive(Debug, Clone, PartialEq)]
pub struct Rule {
    /// Ascending nodes.
    pub nodes: Vec<f64>,
    /// Weights, in the order of the nodes.
    pub weights: Vec<f64>,
}

impl Rule {
    /// Weighted sum of `f` over the nodes.
    pub fn apply(&self, mut f: impl FnMut(f64) -> f64) -> f64 {
        crate::sum::compensated(self.nodes.iter().zip(&self.weights).map(|(&x, &w)| w * f(x)))
    }

    /// The same rule for another interval, for a rule on -1..1.
    pub fn on(&self, low: f64, high: f64) -> Self {
        let (half, middle) = (0.5 * (high - low), 0.5 * (high + low));
        Self {
            nodes: self.nodes.iter().map(|x| middle + half * x).collect(),
            weights: self.weights.iter().map(|w| half * w).collect(),
        }
    }
}

/// Gauss-Legendre rule of `n` nodes: exact for polynomials of degree 2n - 1. An order of 0 is read as 1.
pub fn legendre(n: usize) -> Rule {
    rule(n.max(1), 2.0, 1.0, |k| {
        let k = k as f64;
        k / (4.0 * k * k - 1.0).sqrt()
    })
}

/// Gauss-Hermite rule of `n` nodes for the weight exp(-x^2) ("physicists'"). An order of 0 is read as 1.
pub fn hermite(n: usize) -> Rule {
    let bound = (2.0 * n.max(1) as f64 + 2.0).sqrt();
    rule(n.max(1), std::f64::consts::PI.sqrt(), bound, |k| (0.5 * k as f64).sqrt())
}

/// A symmetric rule from its off-diagonal recurrence coefficients: x p_{k-1} = b_k p_k + b_{k-1} p_{k-2}.
fn rule(n: usize, mass: f64, bound: f64, off_diagonal: impl Fn(usize) -> f64) -> Rule {
    let b: Vec<f64> = (0..=n).map(|k| if k == 0 { 0.0 } else { off_diagonal(k) }).collect();
    let (mut nodes, mut weights) = (vec![0.0; n], vec![0.0; n]);
    for i in n / 2..n {
        let x = if n % 2 == 1 && i == n / 2 { 0.0 } else { polish(&b, mass, bisect(&b, i, bound)) };
        let w = 1.0 / christoffel(&b, mass, x);
        (nodes[i], weights[i]) = (x, w);
        (nodes[n - 1 - i], weights[n - 1 - i]) = (-x, w);
    }
    Rule { nodes, weights }
}

/// Number of eigenvalues below x, by the Sturm sequence of the tridiagonal matrix.
fn count_below(b: &[f64], x: f64) -> usize {
    let mut count = 0;
    let mut d = -x;
    for &bk in &b[1..] {
        if d < 0.0 {
            count += 1;
        }
        if d == 0.0 {
            d = f64::EPSILON * bk.abs().max(1e-30);
        }
        d = -x - bk * bk / d;
    }
    count
}

/// The eigenvalue number `index` (ascending, from 0), to about 1e-10.
fn bisect(b: &[f64], index: usize, bound: f64) -> f64 {
    let (mut low, mut high) = (0.0, bound);
    while high - low > 1e-10 * bound {
        let middle = 0.5 * (low + high);
        if count_below(b, middle) > index {
            high = middle;
        } else {
            low = middle;
        }
    }
    0.5 * (low + high)
}

/// Newton on the orthonormal polynomial of degree n.
fn polish(b: &[f64], mass: f64, start: f64) -> f64 {
    let n = b.len() - 1;
    let mut x = start;
    for _ in 0..3 {
        let (mut p0, mut p1) = (0.0, mass.sqrt().recip());
        let (mut d0, mut d1) = (0.0, 0.0);
        for k in 1..=n {
            let p2 = (x * p1 - b[k - 1] * p0) / b[k];
            let d2 = (p1 + x * d1 - b[k - 1] * d0) / b[k];
            (p0, p1, d0, d1) = (p1, p2, d1, d2);
        }
        x -= p1 / d1;
    }
    x
}

/// Sum of the squares of the orthonormal polynomials of degree 0..n-1.
fn christoffel(b: &[f64], mass: f64, x: f64) -> f64 {
    let n = b.len() - 1;
    let (mut p0, mut p1) = (0.0, mass.sqrt().recip());
    let mut total = p1 * p1;
    for k in 1..n {
        (p0, p1) = (p1, (x * p1 - b[k - 1] * p0) / b[k]);
        total += p1 * p1;
    }
    total
}

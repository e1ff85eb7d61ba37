//! Gauss quadrature by the eigenvalues' equivalent: Newton steps on the orthogonal polynomials.

/// Nodes and weights of a rule.
#[derive(Debug, Clone, PartialEq)]
pub struct Rule {
    /// Nodes, ascending.
    pub nodes: Vec<f64>,
    /// Weights, all positive.
    pub weights: Vec<f64>,
}

impl Rule {
    /// Sum of weight times f(node), in order.
    pub fn integrate(&self, mut f: impl FnMut(f64) -> f64) -> f64 {
        self.nodes.iter().zip(&self.weights).map(|(&x, &w)| w * f(x)).sum()
    }
}

/// Gauss-Legendre rule of n nodes on -1..1 (weight 1), exact for polynomials of degree 2n-1.
pub fn legendre(n: usize) -> Rule {
    let mut rule = Rule { nodes: vec![0.0; n], weights: vec![0.0; n] };
    for i in 0..n.div_ceil(2) {
        let mut x = (std::f64::consts::PI * (i as f64 + 0.75) / (n as f64 + 0.5)).cos();
        let mut slope = 1.0;
        for _ in 0..100 {
            let (mut p, mut before) = (1.0, 0.0);
            for j in 0..n {
                (p, before) = (((2 * j + 1) as f64 * x * p - j as f64 * before) / (j + 1) as f64, p);
            }
            slope = n as f64 * (x * p - before) / (x * x - 1.0);
            let step = p / slope;
            x -= step;
            if step.abs() < 1e-16 {
                break;
            }
        }
        let weight = 2.0 / ((1.0 - x * x) * slope * slope);
        (rule.nodes[i], rule.nodes[n - 1 - i]) = (-x, x);
        (rule.weights[i], rule.weights[n - 1 - i]) = (weight, weight);
    }
    if n % 2 == 1 {
        rule.nodes[n / 2] = 0.0;
    }
    rule
}

/// Gauss-Hermite rule of n nodes for expectations of a standard normal variable: sum of w f(x) = E f(Z); weights sum to 1.
/// Nodes from the eigenvalues of the recurrence matrix (Golub, Welsch 1969, Math Comp 23:221-230, doi 10.1090/S0025-5718-69-99647-1).
pub fn hermite(n: usize) -> Rule {
    let mut matrix = vec![0.0; n * n];
    for i in 1..n {
        matrix[i * n + i - 1] = (i as f64).sqrt();
        matrix[(i - 1) * n + i] = (i as f64).sqrt();
    }
    let (mut nodes, _) = crate::dense::symmetric_eigen(&matrix, n);
    // Exact symmetry about zero, so that odd functions integrate to zero.
    for i in 0..n / 2 {
        let x = 0.5 * (nodes[n - 1 - i] - nodes[i]);
        (nodes[i], nodes[n - 1 - i]) = (-x, x);
    }
    if n % 2 == 1 {
        nodes[n / 2] = 0.0;
    }
    let nodes: Vec<f64> = nodes.iter().map(|&x| polish(x, n)).collect();
    let weights = nodes.iter().map(|&x| 1.0 / normalised(x, n).0.iter().map(|p| p * p).sum::<f64>()).collect();
    Rule { nodes, weights }
}

/// Orthonormal probabilists' Hermite polynomials 0..n-1 at x, and the n-th.
fn normalised(x: f64, n: usize) -> (Vec<f64>, f64) {
    let mut values = Vec::with_capacity(n + 1);
    let (mut p, mut before) = (1.0, 0.0);
    for j in 0..=n {
        values.push(p);
        (p, before) = ((x * p - (j as f64).sqrt() * before) / ((j + 1) as f64).sqrt(), p);
    }
    let last = values.pop().unwrap_or(1.0);
    (values, last)
}

/// Two Newton steps on the n-th polynomial.
fn polish(mut x: f64, n: usize) -> f64 {
    for _ in 0..2 {
        let (lower, p) = normalised(x, n);
        let slope = (n as f64).sqrt() * lower[n - 1];
        if slope != 0.0 {
            x -= p / slope;
        }
    }
    x
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn rules_are_exact_for_the_polynomials_they_promise() {
        for n in [1usize, 2, 5, 16, 32] {
            let legendre = legendre(n);
            let degree = 2 * n - 2;
            // Integral of x^d over -1..1 is 2/(d+1) for even d.
            assert!((legendre.integrate(|x| x.powi(degree as i32)) - 2.0 / (degree + 1) as f64).abs() < 1e-13);
            let hermite = hermite(n);
            assert!((hermite.weights.iter().sum::<f64>() - 1.0).abs() < 1e-13);
            if n > 2 {
                // E Z^4 = 3.
                assert!((hermite.integrate(|x| x.powi(4)) - 3.0).abs() < 1e-11);
            }
        }
        // E exp(Z) = exp(1/2); 20 nodes are exact to 1e-13 (tail term of the expansion below it).
        assert!((hermite(20).integrate(f64::exp) - 0.5f64.exp()).abs() < 1e-12);
    }
}

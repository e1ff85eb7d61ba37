//! Fixed points of a slowly contracting map x -> g(x): the next point is that mean of earlier ones whose change is smallest.
//!
//! Anderson 1965, J ACM 12:547-560, doi 10.1145/321296.321305 (memory): with steps f = g(x) - x the weights minimise |sum w f|, sum w = 1; for a linear map
//! it goes as fast as GMRES (Walker, Ni 2011, SIAM J Numer Anal 49:1715-1735, doi 10.1137/10078356X, memory).

/// Earlier points kept.
const KEPT: usize = 8;
/// A difference that keeps less than this share of its length beside the others says nothing new.
const NEW: f64 = 1e-6;

/// Points met and the steps made from them.
#[derive(Default)]
pub(crate) struct Mixing {
    met: Vec<(Vec<f64>, Vec<f64>)>,
}

impl Mixing {
    /// The point after `x`, from which the map makes the step `step`.
    pub(crate) fn next(&mut self, x: &[f64], step: &[f64]) -> Vec<f64> {
        self.met.push((x.to_vec(), step.to_vec()));
        if self.met.len() > KEPT {
            self.met.remove(0);
        }
        // Differences between points that follow each other, made orthogonal by their steps, newest first.
        let mut basis: Vec<(Vec<f64>, Vec<f64>)> = vec![];
        let (mut x, mut rest) = (x.to_vec(), step.to_vec());
        for pair in self.met.windows(2).rev() {
            let [mut d, mut s] = [difference(&pair[1].0, &pair[0].0), difference(&pair[1].1, &pair[0].1)];
            let whole = dot(&s, &s);
            for (e, t) in &basis {
                let along = dot(&s, t);
                add(&mut s, -along, t);
                add(&mut d, -along, e);
            }
            let left = dot(&s, &s);
            if left <= NEW * NEW * whole || left == 0.0 {
                continue;
            }
            let unit = 1.0 / left.sqrt();
            s.iter_mut().chain(&mut d).for_each(|v| *v *= unit);
            basis.push((d, s));
        }
        for (d, s) in &basis {
            let along = dot(&rest, s);
            add(&mut rest, -along, s);
            add(&mut x, -along, d);
        }
        add(&mut x, 1.0, &rest);
        x
    }
}

fn dot(a: &[f64], b: &[f64]) -> f64 {
    a.iter().zip(b).map(|(a, b)| a * b).sum()
}

fn difference(a: &[f64], b: &[f64]) -> Vec<f64> {
    a.iter().zip(b).map(|(a, b)| a - b).collect()
}

fn add(to: &mut [f64], times: f64, by: &[f64]) {
    to.iter_mut().zip(by).for_each(|(t, b)| *t += times * b);
}

#[cfg(test)]
mod tests {
    use super::{Mixing, dot};

    #[test]
    fn a_linear_map_in_n_unknowns_is_at_rest_after_n_steps_even_where_it_grows() {
        // Step of x: b - A x, with A of eigenvalues 0.1, 0.5, 1, 2.5: alone the last one would grow.
        let (slopes, b) = ([0.1, 0.5, 1.0, 2.5], [1.0, -2.0, 0.5, 3.0]);
        let mut mixing = Mixing::default();
        let mut x = vec![0.0; 4];
        for _ in 0..6 {
            let step: Vec<f64> = (0..4).map(|i| b[i] - slopes[i] * x[i]).collect();
            if dot(&step, &step) < 1e-24 {
                break;
            }
            x = mixing.next(&x, &step);
        }
        for i in 0..4 {
            assert!((x[i] - b[i] / slopes[i]).abs() < 1e-9, "{x:?}");
        }
    }
}

//! A seeded sampler for smooth densities of some hundred coordinates, with diagnostics.

mod adapt;
pub mod diagnostics;
mod nuts;
mod stream;

pub(crate) use nuts::{Target, chain};
pub(crate) use stream::Stream;

#[cfg(test)]
mod tests {
    use super::*;

    /// Independent normals of very different widths, and one funnel-like pair.
    struct Normals;
    impl Target for Normals {
        fn dimension(&self) -> usize {
            3
        }
        fn log_density(&self, q: &[f64], g: &mut [f64]) -> f64 {
            let sd = [1.0, 0.01, 20.0];
            (0..3)
                .map(|i| {
                    let z = (q[i] - i as f64) / sd[i];
                    g[i] = -z / sd[i];
                    -0.5 * z * z
                })
                .sum()
        }
    }

    #[test]
    fn normals_of_unlike_widths_are_recovered() {
        let chains: Vec<_> = (0..4)
            .map(|c| chain(&Normals, &mut Stream::new(3, format!("test/{c}")), 400, 1000, || true).unwrap())
            .collect();
        for (i, sd) in [1.0, 0.01, 20.0].into_iter().enumerate() {
            let columns: Vec<Vec<f64>> = chains.iter().map(|c| c.draws.iter().map(|d| d[i]).collect()).collect();
            let size = diagnostics::effective_size(&columns);
            assert!(diagnostics::r_hat(&columns) < 1.02 && size > 1000.0, "coordinate {i}: size {size}");
            let all = columns.concat();
            let mean = all.iter().sum::<f64>() / all.len() as f64;
            let var = all.iter().map(|x| (x - mean).powi(2)).sum::<f64>() / all.len() as f64;
            // Four standard errors at 1000 effective draws.
            assert!((mean - i as f64).abs() < 4.0 * sd / 1000f64.sqrt());
            assert!((var.sqrt() / sd - 1.0).abs() < 4.0 / 2000f64.sqrt());
        }
    }

    #[test]
    fn chains_that_have_not_met_are_seen() {
        let apart: Vec<Vec<f64>> =
            (0..4).map(|c| (0..200).map(|i| f64::from(c) + 0.1 * f64::from(i % 7)).collect()).collect();
        assert!(diagnostics::r_hat(&apart) > 1.5);
    }
}

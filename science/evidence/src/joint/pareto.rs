//! Importance weights made reliable: the largest are replaced by the quantiles of a generalised Pareto fit, and draws resampled by them.
//!
//! Vehtari, Simpson, Gelman, Yao, Gabry 2024, J Mach Learn Res 25:1-58 (Pareto-smoothed importance sampling); fit of the tail: Zhang, Stephens 2009,
//! Technometrics 51:316-325, doi 10.1198/tech.2009.08017. A shape above 0.7 says that the weights do not carry.

/// Normalised weights with a smoothed tail, and the shape of the tail.
pub(super) fn smoothed(log_weights: &[f64]) -> (Vec<f64>, f64) {
    let n = log_weights.len();
    let top = log_weights.iter().copied().fold(f64::NEG_INFINITY, f64::max);
    let mut weights: Vec<f64> = log_weights.iter().map(|l| (l - top).exp()).collect();
    let tail = ((3.0 * (n as f64).sqrt()).min(0.2 * n as f64)).ceil() as usize;
    let mut order: Vec<usize> = (0..n).collect();
    order.sort_by(|&a, &b| weights[a].total_cmp(&weights[b]).then(a.cmp(&b)));
    let mut shape = f64::NEG_INFINITY;
    if tail >= 5 && n > tail {
        let cutoff = weights[order[n - tail - 1]];
        let excess: Vec<f64> = order[n - tail..].iter().map(|&i| weights[i] - cutoff).collect();
        // Equal weights have no tail to smooth.
        if excess[tail - 1] > 1e-12 {
            let (k, sigma) = generalised_pareto(&excess);
            shape = k;
            for (j, &i) in order[n - tail..].iter().enumerate() {
                let p = (j as f64 + 0.5) / tail as f64;
                let quantile =
                    if k.abs() < 1e-10 { -sigma * (-p).ln_1p() } else { sigma / k * ((-k * (-p).ln_1p()).exp_m1()) };
                weights[i] = (cutoff + quantile).min(1.0);
            }
        }
    }
    let total = numerics::sum::compensated(weights.iter().copied());
    weights.iter_mut().for_each(|w| *w /= total);
    (weights, shape)
}

/// Shape and scale of a generalised Pareto distribution from ascending excesses (Zhang, Stephens 2009; the shape is drawn towards
/// 1/2 by ten pseudo-observations, as in the smoothing paper).
fn generalised_pareto(x: &[f64]) -> (f64, f64) {
    let n = x.len();
    let m = 30 + (n as f64).sqrt() as usize;
    let quarter = x[((n as f64 / 4.0 + 0.5).floor() as usize).max(1) - 1].max(1e-300);
    let largest = x[n - 1];
    let thetas: Vec<f64> =
        (1..=m).map(|i| 1.0 / largest + (1.0 - (m as f64 / (i as f64 - 0.5)).sqrt()) / (3.0 * quarter)).collect();
    let mean_log = |theta: f64| x.iter().map(|v| (-theta * v).ln_1p()).sum::<f64>() / n as f64;
    let profile: Vec<f64> = thetas
        .iter()
        .map(|&theta| {
            let k = mean_log(theta);
            n as f64 * ((-theta / k).ln() - k - 1.0)
        })
        .collect();
    let total = numerics::sum::log_sum_exp(&profile);
    let theta: f64 = thetas.iter().zip(&profile).map(|(t, l)| t * (l - total).exp()).sum();
    let k = mean_log(theta);
    let sigma = -k / theta;
    ((k * n as f64 + 10.0 * 0.5) / (n as f64 + 10.0), sigma)
}

/// As many indices as weights, each drawn in proportion to its weight, evenly.
pub(super) fn systematic(weights: &[f64], u: f64) -> Vec<usize> {
    let n = weights.len();
    let mut chosen = Vec::with_capacity(n);
    let (mut i, mut sum) = (0, weights[0]);
    for j in 0..n {
        let at = (j as f64 + u) / n as f64;
        while sum < at && i + 1 < n {
            i += 1;
            sum += weights[i];
        }
        chosen.push(i);
    }
    chosen
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_pareto_shape_of_a_known_tail_comes_back() {
        for k in [0.2_f64, 0.6, 1.0] {
            let x: Vec<f64> = (0..400).map(|i| ((1.0 - (f64::from(i) + 0.5) / 400.0).powf(-k) - 1.0) / k).collect();
            let (found, sigma) = generalised_pareto(&x);
            // Shrunk by ten pseudo-observations among 400; the sampling error at 400 is (1 + k)/20.
            assert!((found - k).abs() < 0.06 && (sigma - 1.0).abs() < 0.1, "{k}: {found}, {sigma}");
        }
    }

    #[test]
    fn resampling_follows_the_weights() {
        let chosen = systematic(&[0.5, 0.0, 0.25, 0.25], 0.3);
        assert_eq!(chosen, [0, 0, 2, 3]);
    }
}

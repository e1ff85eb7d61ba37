//! Whether chains have met: rank-normalised split R-hat and bulk effective sample size.
//!
//! Vehtari, Gelman, Simpson, Carpenter, Buerkner 2021, Bayesian Anal 16:667-718, doi 10.1214/20-BA1221 (equations 3, 4, 10, 14); the
//! autocorrelation sum by Geyer 1992's initial monotone sequence, Stat Sci 7:473-483, doi 10.1214/ss/1177011137.

/// R-hat of chains (rank-normalised, split); 1 for a constant.
pub fn r_hat(chains: &[Vec<f64>]) -> f64 {
    let z = rank_normalised(&split(chains));
    let folded: Vec<Vec<f64>> = fold(&split(chains));
    plain_r_hat(&z).max(plain_r_hat(&rank_normalised(&folded)))
}

/// Bulk effective sample size of chains.
pub fn effective_size(chains: &[Vec<f64>]) -> f64 {
    let z = rank_normalised(&split(chains));
    let (m, n) = (z.len() as f64, z.first().map_or(0, Vec::len));
    if n < 4 {
        return m * n as f64;
    }
    let means: Vec<f64> = z.iter().map(|c| mean(c)).collect();
    let within = z.iter().map(|c| variance(c)).sum::<f64>() / m;
    let total = within * (n as f64 - 1.0) / n as f64 + variance(&means);
    if total <= 0.0 || total.is_nan() {
        return m * n as f64;
    }
    let rho = |lag: usize| {
        let covariance: f64 = z.iter().zip(&means).map(|(c, mu)| autocovariance(c, *mu, lag)).sum::<f64>() / m;
        1.0 - (within - covariance * n as f64 / (n as f64 - 1.0)) / total
    };
    let (mut sum, mut before) = (0.0, f64::INFINITY);
    let mut lag = 0;
    while lag + 1 < n {
        let pair = rho(lag) + rho(lag + 1);
        if pair < 0.0 {
            break;
        }
        before = pair.min(before);
        sum += before;
        lag += 2;
    }
    let tau = (2.0 * sum - 1.0).max(1.0 / (m * n as f64).log10());
    m * n as f64 / tau
}

fn split(chains: &[Vec<f64>]) -> Vec<Vec<f64>> {
    chains
        .iter()
        .flat_map(|c| {
            let h = c.len() / 2;
            [c[..h].to_vec(), c[c.len() - h..].to_vec()]
        })
        .collect()
}

fn fold(chains: &[Vec<f64>]) -> Vec<Vec<f64>> {
    let mut all: Vec<f64> = chains.concat();
    all.sort_by(f64::total_cmp);
    let median = all.get(all.len() / 2).copied().unwrap_or(0.0);
    chains.iter().map(|c| c.iter().map(|x| (x - median).abs()).collect()).collect()
}

/// Normal scores of the pooled ranks (equal values share their mean rank).
fn rank_normalised(chains: &[Vec<f64>]) -> Vec<Vec<f64>> {
    let mut order: Vec<(f64, usize, usize)> =
        chains.iter().enumerate().flat_map(|(c, v)| v.iter().enumerate().map(move |(i, x)| (*x, c, i))).collect();
    order.sort_by(|a, b| a.0.total_cmp(&b.0));
    let total = order.len() as f64;
    let mut z: Vec<Vec<f64>> = chains.iter().map(|c| vec![0.0; c.len()]).collect();
    let mut i = 0;
    while i < order.len() {
        let mut j = i;
        while j + 1 < order.len() && order[j + 1].0 == order[i].0 {
            j += 1;
        }
        let rank = 0.5 * (i + j) as f64 + 1.0;
        let score = numerics::normal::quantile((rank - 0.375) / (total + 0.25));
        for &(_, c, k) in &order[i..=j] {
            z[c][k] = score;
        }
        i = j + 1;
    }
    z
}

fn plain_r_hat(chains: &[Vec<f64>]) -> f64 {
    let n = chains.first().map_or(0, Vec::len) as f64;
    let means: Vec<f64> = chains.iter().map(|c| mean(c)).collect();
    let within = chains.iter().map(|c| variance(c)).sum::<f64>() / chains.len() as f64;
    if within <= 0.0 || within.is_nan() {
        return if variance(&means) > 0.0 { f64::INFINITY } else { 1.0 };
    }
    (((n - 1.0) / n * within + variance(&means)) / within).sqrt()
}

fn mean(x: &[f64]) -> f64 {
    x.iter().sum::<f64>() / x.len() as f64
}

fn variance(x: &[f64]) -> f64 {
    let m = mean(x);
    x.iter().map(|v| (v - m).powi(2)).sum::<f64>() / (x.len() as f64 - 1.0).max(1.0)
}

fn autocovariance(x: &[f64], mu: f64, lag: usize) -> f64 {
    x[lag..].iter().zip(x).map(|(a, b)| (a - mu) * (b - mu)).sum::<f64>() / x.len() as f64
}

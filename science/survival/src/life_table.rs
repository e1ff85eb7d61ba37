//! Actuarial life table by intervals of time.
//!
//! Of n' = n - w/2 effectively exposed (w withdrawn within the interval) a share `q = d/n'` fails; S is the product of 1 - q, with Greenwood's variance; the hazard is
//! `d/(h (n' - d/2))` over width h, with the variance of Gehan 1969, J Chronic Dis 21:629-644, doi 10.1016/0021-9681(69)90035-6; density `S q/h`. Cutler, Ederer 1958, J
//! Chronic Dis 8:699-712, doi 10.1016/0021-9681(58)90126-7. Limits: withdrawals spread evenly within intervals; no delayed entry.

use serde::Serialize;

/// One interval `from <= t < to`.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct LifeInterval {
    /// Start.
    pub from: f64,
    /// End.
    pub to: f64,
    /// Units that entered it.
    pub entered: f64,
    /// Withdrawn within.
    pub withdrawn: f64,
    /// Effectively exposed.
    pub effective: f64,
    /// Events within.
    pub events: f64,
    /// Share failing.
    pub failing: f64,
    /// Survival at the end.
    pub survival: f64,
    /// Its standard error.
    pub survival_se: f64,
    /// Hazard.
    pub hazard: f64,
    /// Its standard error.
    pub hazard_se: f64,
    /// Density of failures.
    pub density: f64,
}

/// Life table of rows (any cause is the event) between ascending breaks; rows beyond the last break stay in and leave later.
pub fn life_table(exit: &[f64], failed: impl Fn(usize) -> bool, breaks: &[f64]) -> Vec<LifeInterval> {
    let intervals = breaks.len().saturating_sub(1);
    let (mut events, mut withdrawn, mut units) = (vec![0.0; intervals], vec![0.0; intervals], 0.0);
    for (row, &t) in exit.iter().enumerate() {
        let Some(at) = breaks.partition_point(|&b| b <= t).checked_sub(1) else { continue };
        units += 1.0;
        let counts = if failed(row) { &mut events } else { &mut withdrawn };
        if let Some(count) = counts.get_mut(at) {
            *count += 1.0;
        }
    }
    let (mut survival, mut greenwood) = (1.0, 0.0);
    (0..intervals)
        .map(|i| {
            let (from, to, entered) = (breaks[i], breaks[i + 1], units);
            let (d, w, h) = (events[i], withdrawn[i], to - from);
            let effective = entered - w / 2.0;
            let failing = d / effective;
            let density = survival * failing / h;
            survival *= 1.0 - failing;
            greenwood += failing / (effective * (1.0 - failing));
            let hazard = d / (h * (effective - d / 2.0));
            units -= d + w;
            LifeInterval {
                from,
                to,
                entered,
                withdrawn: w,
                effective,
                events: d,
                failing,
                survival,
                survival_se: survival * f64::sqrt(greenwood),
                hazard,
                hazard_se: hazard * ((1.0 - (hazard * h / 2.0).powi(2)) / (effective * failing)).sqrt(),
                density,
            }
        })
        .collect()
}

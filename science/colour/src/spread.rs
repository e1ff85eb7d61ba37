//! A colour known with scatter, as draws.

use crate::Lab;
use answer::World;
use serde::{Deserialize, Serialize};

/// What is known of a colour.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Spread {
    /// Mean and standard deviation of each coordinate, taken as independent.
    Normal {
        /// Mean.
        mean: Lab,
        /// Standard deviation of each coordinate.
        sd: Lab,
    },
    /// Anything between two corners, all equally credible.
    Between {
        /// Lower ends.
        low: Lab,
        /// Upper ends.
        high: Lab,
    },
}

impl Spread {
    /// A colour known exactly.
    pub fn exactly(lab: Lab) -> Self {
        Self::Normal { mean: lab, sd: Lab::new(0.0, 0.0, 0.0) }
    }

    /// One colour per draw; fields `{field}/l`, `{field}/a`, `{field}/b`. Lightness is kept within 1 to 99.
    pub fn draws(&self, world: &World, field: &str) -> Vec<Lab> {
        let axes = |pick: fn(&Lab) -> f64, axis: &str| {
            let name = format!("{field}/{axis}");
            match self {
                Self::Normal { mean, sd } => world.normal(&name, pick(mean), pick(sd)),
                Self::Between { low, high } => world.between(&name, pick(low), pick(high)),
            }
        };
        let (l, a, b) = (axes(|c| c.l, "l"), axes(|c| c.a, "a"), axes(|c| c.b, "b"));
        (0..world.draws()).map(|k| Lab::new(l.get(k).clamp(1.0, 99.0), a.get(k), b.get(k))).collect()
    }
}

//! How likely a difference is seen side by side and refused: limits of bench and mouth from the data, half each.

use super::NoColour;
use super::detail::ColourChance;
use answer::{Draws, Provenance, World};
use catalogue::Catalogue;
use colour::{Lab, Limits, Metric, difference};

/// The two settings a restoration is judged in.
pub(super) struct Judge {
    pub bench: Limits,
    pub mouth: Limits,
    pub provenance: Provenance,
}

impl Judge {
    /// Limits as the data hold them.
    pub fn of(catalogue: &Catalogue) -> Result<Self, NoColour> {
        let limits = |setting: &str, formula: &str, metric| {
            let found = catalogue
                .colour_limits(setting, formula)
                .ok_or_else(|| NoColour(format!("no limits of colour difference for `{setting}` in thresholds.csv")))?;
            let limits = Limits { metric, seen: found.seen, unacceptable: found.unacceptable, sd_log: found.sd_log };
            Ok((limits, found.provenance))
        };
        let (bench, from_bench) = limits("bench", "CIEDE2000", Metric::Ciede2000)?;
        let (mouth, from_mouth) = limits("in_mouth", "CIELAB", Metric::Cie76)?;
        Ok(Self { bench, mouth, provenance: from_bench.and(&from_mouth) })
    }

    /// Chances by bench and by mouth, everybody looking.
    pub fn chances(&self, seen: &[Lab], wish: &[Lab], world: &World) -> [ColourChance; 2] {
        [self.bench, self.mouth].map(|limits| {
            let c = limits.chances(seen, wish, world);
            ColourChance { seen: c.seen, remade: c.unacceptable }
        })
    }

    /// Share of the two settings that refuse, per draw.
    pub fn refused(&self, seen: &[Lab], wish: &[Lab], world: &World) -> Draws {
        let of = |limits: Limits| {
            difference(seen, wish, limits.metric).zip(&limits.unacceptable(world), |d, l| f64::from(u8::from(d > l)))
        };
        of(self.bench).zip(&of(self.mouth), |a, b| 0.5 * (a + b))
    }
}

//! One path of placement for all abutments of a bridge, and what it costs each of them.
//!
//! Quantity: the direction p (in the jaw's frame) that takes the least tissue from all abutments together,
//! argmin over p of sum V_i (r_i(p) + (1 - cos a_i(p)) / 2), V_i a crown's volume, r_i the share of it removed, a_i the angle between p and the tooth's
//! own axis, on the average teeth under the depths given. The second term (common practice, no source) keeps the path by the axes where volume hardly
//! depends on it, since the pulp lies along the axis. A compass search of eight directions at a time
//! from the middle of the teeth's own best paths, steps halved from 8 degrees to 0.5. For one abutment it returns that tooth's best path.
//!
//! Cost: share removed on the common path less that on the tooth's own, and the dentine it leaves. A wall that stands steeper on one side is
//! paid by one that leans more on the other, so that moderate tilts cost little volume and much more of the dentine on the side leant from. There
//! is **no** common path when two abutments lean more than 30 degrees from one another (textbook rule of 25 to 30, memory), when the best one meets
//! a pulp that the tooth's own path spares by half a millimetre more, or leaves less than a tenth of a crown: then the unit needs two parts, or a
//! pulp treated, or a tooth moved first.

use crate::arch::Seat;
use crate::reduction::MEDIAN_CONVERGENCE;
use crate::stump::{Cut, LANES, Shape, Walls, Wish};
use crate::{Needs, StandingTooth};
use catalogue::words::Tooth;
use thiserror::Error;

/// A path for several abutments.
#[derive(Debug, Clone, PartialEq)]
pub struct CommonPath {
    /// Unit vector in the jaw's frame.
    pub direction: [f64; 3],
    /// What it costs.
    pub costs: Vec<PathCost>,
}

/// What a common path costs one abutment, on its average form.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct PathCost {
    /// Which tooth.
    pub tooth: Tooth,
    /// Tilt of the path in its own frame, towards mesial and towards lip or cheek, degrees.
    pub tilt: [f64; 2],
    /// Share of the crown removed on its own best path and on the common one.
    pub share: [f64; 2],
    /// Least dentine over the pulp on both, mm.
    pub dentine: [f64; 2],
}

impl PathCost {
    /// Share of the crown that the common path costs on top.
    pub fn extra(&self) -> f64 {
        self.share[1] - self.share[0]
    }
}

/// Abutments without a path in common.
#[derive(Debug, Clone, PartialEq, Error)]
#[error(
    "abutments {teeth} have no common path: on the best one {tooth}, {tilt:.0} degrees off its axis, {why}; expected a path that spares every pulp; plan two parts, treat or move the tooth, or choose other abutments"
)]
pub struct NoCommonPath {
    /// The abutments.
    pub teeth: String,
    /// The one that suffers most.
    pub tooth: Tooth,
    /// Angle between path and its axis, degrees.
    pub tilt: f64,
    /// What happens to it.
    pub why: String,
    /// The best path nevertheless, so that a plan can go on.
    pub best: CommonPath,
}

/// Greatest angle between axes that one path is thought to serve, degrees (textbook rule of 25 to 30, memory).
const MOST_APART: f64 = 30.0;

/// Finds the path for teeth in their seats under `needs`.
///
/// # Errors
/// [`NoCommonPath`], which carries the best path there is.
pub fn common_path(abutments: &[(&StandingTooth, &Seat)], needs: &Needs) -> Result<CommonPath, Box<NoCommonPath>> {
    let tangent = (0.5 * MEDIAN_CONVERGENCE).to_radians().tan();
    let search = Search { abutments, needs, tangent };
    let own: Vec<[f64; 3]> =
        abutments.iter().map(|(tooth, seat)| seat.direction(unit([tooth.tilt[0], tooth.tilt[1], 1.0]))).collect();
    let mut here = unit(own.iter().fold([0.0; 3], |s, d| std::array::from_fn(|a| s[a] + d[a])));
    let mut best = search.removed(&[here; LANES])[0];
    let mut step = 8f64.to_radians();
    while step > 0.4f64.to_radians() {
        let tries = around(here, step);
        let found = search.removed(&tries);
        let least = (0..LANES).min_by(|a, b| found[*a].total_cmp(&found[*b])).unwrap_or(0);
        if found[least] < best - 1e-9 {
            (best, here) = (found[least], tries[least]);
        } else {
            step *= 0.5;
        }
    }
    let costs = abutments.iter().map(|(tooth, seat)| search.cost(tooth, seat, here)).collect();
    search.judged(CommonPath { direction: here, costs })
}

struct Search<'a> {
    abutments: &'a [(&'a StandingTooth, &'a Seat)],
    needs: &'a Needs,
    tangent: f64,
}

impl Search<'_> {
    /// What each of eight directions takes from all abutments, mm3; endless where a tooth would lie down.
    fn removed(&self, directions: &[[f64; 3]; LANES]) -> [f64; LANES] {
        let mut sums = [0.0; LANES];
        for (tooth, seat) in self.abutments {
            let tilts = directions.map(|d| tilt(seat, d));
            let cuts = self.cuts(tooth, &tilts.map(|t| t.unwrap_or([0.0; 2])));
            for l in 0..LANES {
                let whole = tooth.block.volume;
                let cosine = seat.direction_back(directions[l])[2];
                let off_axis = 0.5 * (1.0 - cosine);
                sums[l] += if tilts[l].is_some() { whole * (cuts[l].removed_share + off_axis) } else { f64::INFINITY };
            }
        }
        sums
    }

    fn cuts(&self, tooth: &StandingTooth, tilts: &[[f64; 2]; LANES]) -> [Cut; LANES] {
        let wishes = tilts.map(|tilt| Wish {
            needs: *self.needs,
            shape: Shape::AVERAGE,
            walls: Walls { tangent: self.tangent, tilt },
        });
        tooth.block.cut(&wishes)
    }

    fn cost(&self, tooth: &StandingTooth, seat: &Seat, path: [f64; 3]) -> PathCost {
        let common = tilt(seat, path).unwrap_or([0.0; 2]);
        let mut tilts = [tooth.tilt; LANES];
        tilts[1] = common;
        let cuts = self.cuts(tooth, &tilts);
        PathCost {
            tooth: tooth.tooth(),
            tilt: common.map(|t| t.atan().to_degrees()),
            share: [cuts[0].removed_share, cuts[1].removed_share],
            dentine: [cuts[0].dentine_over_pulp, cuts[1].dentine_over_pulp],
        }
    }

    /// Greatest angle between the axes of two abutments, degrees.
    fn most_apart(&self) -> f64 {
        let axes: Vec<[f64; 3]> = self.abutments.iter().map(|(_, seat)| seat.direction([0.0, 0.0, 1.0])).collect();
        let angle = |a: &[f64; 3], b: &[f64; 3]| (0..3).map(|i| a[i] * b[i]).sum::<f64>().clamp(-1.0, 1.0).acos();
        let pairs = axes.iter().flat_map(|a| axes.iter().map(move |b| angle(a, b)));
        pairs.fold(0.0, f64::max).to_degrees()
    }

    fn judged(&self, path: CommonPath) -> Result<CommonPath, Box<NoCommonPath>> {
        let several = self.abutments.len() > 1;
        let meets = |c: &PathCost| c.dentine[1] < 0.0 && c.dentine[1] < c.dentine[0] - 0.5;
        let apart = self.most_apart();
        let suffers = |c: &&PathCost| several && (meets(c) || c.share[1] > 0.9 || apart > MOST_APART);
        let lean = |c: &PathCost| c.tilt[0].hypot(c.tilt[1]);
        let Some(worst) = path.costs.iter().filter(suffers).max_by(|a, b| lean(a).total_cmp(&lean(b))).copied() else {
            return Ok(path);
        };
        let why = if worst.share[1] > 0.9 {
            format!("loses {:.0} % of its crown", 100.0 * worst.share[1])
        } else if meets(&worst) {
            format!("has its pulp met ({:.1} mm over it on its own path)", worst.dentine[0])
        } else {
            format!(
                "keeps {:.1} mm over its pulp; the axes lie {apart:.0} degrees apart, the rule is 30 at most",
                worst.dentine[1]
            )
        };
        let teeth = path.costs.iter().map(|c| c.tooth.to_string()).collect::<Vec<_>>().join(", ");
        let tilt = worst.tilt[0].hypot(worst.tilt[1]);
        Err(Box::new(NoCommonPath { teeth, tooth: worst.tooth, tilt, why, best: path }))
    }
}

/// Tangents of a path's tilt in a tooth's frame; `None` beyond 60 degrees.
fn tilt(seat: &Seat, path: [f64; 3]) -> Option<[f64; 2]> {
    let [x, y, z] = seat.direction_back(path);
    (z > 0.5).then(|| [x / z, y / z])
}

fn around(d: [f64; 3], step: f64) -> [[f64; 3]; LANES] {
    let across = unit(if d[0].abs() < 0.9 { [0.0, d[2], -d[1]] } else { [-d[2], 0.0, d[0]] });
    let other =
        [d[1] * across[2] - d[2] * across[1], d[2] * across[0] - d[0] * across[2], d[0] * across[1] - d[1] * across[0]];
    std::array::from_fn(|k| {
        let (s, c) = (std::f64::consts::TAU * k as f64 / LANES as f64).sin_cos();
        unit(std::array::from_fn(|a| d[a] + step.tan() * (c * across[a] + s * other[a])))
    })
}

fn unit(d: [f64; 3]) -> [f64; 3] {
    let length = d.iter().map(|x| x * x).sum::<f64>().sqrt();
    if length > 0.0 { d.map(|x| x / length) } else { [0.0, 0.0, 1.0] }
}

impl StandingTooth {
    /// The same tooth prepared along another path: tilt towards mesial and towards lip or cheek, degrees.
    #[must_use]
    pub fn along(&self, tilt: [f64; 2]) -> Self {
        Self { tilt: tilt.map(|t| t.clamp(-60.0, 60.0).to_radians().tan()), ..self.clone() }
    }

    /// Tilt of the path it is prepared along, towards mesial and towards lip or cheek, degrees.
    pub fn path(&self) -> [f64; 2] {
        self.tilt.map(|t| t.atan().to_degrees())
    }
}

//! The top of a crown as a height over its section: ridges with sloping flanks, the higher one showing.
//!
//! h(x, y) = smooth max over ridges of Z(tau) - tan(s) (sqrt(d^2 + r^2) - r): d the distance to the ridge's line in the section, Z its
//! height at the nearest place, s the slope of its flanks, r the rounding of the ridge's back. Fissures are where flanks meet.

use catalogue::Ridge;

/// Rounding of a ridge's back and of the valleys between flanks, mm (common practice, no source).
const BACK: f64 = 0.6;
const VALLEY: f64 = 0.5;

/// Chewing surface of a back tooth, or edge of a front tooth.
#[derive(Debug, Clone)]
pub(crate) struct ChewingSurface {
    ridges: Vec<Segment>,
    /// What the valleys' rounding adds at the highest place, taken off again.
    excess: f64,
}

#[derive(Debug, Clone, Copy)]
struct Segment {
    from: [f64; 2],
    along: [f64; 2],
    per_length: f64,
    heights: [f64; 2],
    tangent: f64,
}

impl ChewingSurface {
    /// Ridges scaled to half the greatest widths (mesiodistal, faciolingual) and the height of the crown, mm.
    pub(crate) fn new(ridges: &[&Ridge], half: [f64; 2], height: f64) -> Self {
        let segments = ridges.iter().map(|r| {
            let [a, b] = r.ends.map(|e| [e[0] * half[0], e[1] * half[1], e[2] * height]);
            let along = [b[0] - a[0], b[1] - a[1]];
            let length2 = along[0] * along[0] + along[1] * along[1];
            Segment {
                from: [a[0], a[1]],
                along,
                per_length: if length2 > 0.0 { 1.0 / length2 } else { 0.0 },
                heights: [a[2], b[2]],
                tangent: r.slope_degrees.to_radians().tan(),
            }
        });
        let mut surface = Self { ridges: segments.collect(), excess: 0.0 };
        let highest = surface
            .ridges
            .iter()
            .flat_map(|s| [s.from, [s.from[0] + s.along[0], s.from[1] + s.along[1]]])
            .map(|[x, y]| surface.height(x, y))
            .fold(height, f64::max);
        surface.excess = highest - height;
        surface
    }

    /// Height of the top above the neck at a place of the section, mm.
    pub(crate) fn height(&self, x: f64, y: f64) -> f64 {
        let mut top = f64::NEG_INFINITY;
        for s in &self.ridges {
            let (dx, dy) = (x - s.from[0], y - s.from[1]);
            let tau = ((dx * s.along[0] + dy * s.along[1]) * s.per_length).clamp(0.0, 1.0);
            let (ex, ey) = (dx - tau * s.along[0], dy - tau * s.along[1]);
            let flank = s.tangent * ((ex * ex + ey * ey + BACK * BACK).sqrt() - BACK);
            top = smooth_max(top, s.heights[0] + (s.heights[1] - s.heights[0]) * tau - flank, VALLEY);
        }
        top - self.excess
    }
}

/// The greater of two, rounded over `k`: max + (k - |a - b|)^2 / (4 k) within k of each other.
pub(crate) fn smooth_max(a: f64, b: f64, k: f64) -> f64 {
    let near = (k - (a - b).abs()).max(0.0);
    a.max(b) + 0.25 * near * near / k
}

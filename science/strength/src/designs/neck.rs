//! The neck between a cap and a block, which two families share: a block carried on one side or on both.
//!
//! The cap is 9 mm long and wide, 6.5 mm high, its wall 1 mm thick, on a peg in springs; the block is as high less 1 mm at its lower side. Both are rounded by 2.5 mm and stand 2.2 radii of the
//! fillet apart at their faces; the neck between them is an elliptic bar along x, its fillets a rolling ball's, which fits in the gap.
//! Group `neck`: the outer surface of one half of the neck, lower or upper, up to 0.6 mm beyond the gap along x and 0.5 mm around it. The whole on cells of 0.45 mm; zoom: that part
//! and 0.35 to 0.8 mm around, cells of half the fillet's radius (0.12 to 0.25 mm). In both an empty layer of cells parts the blocks: see [`CELL`].
//! Height and width of the neck are told as built, at its middle.

use super::shapes::{PEG, Part, ROOT, block, group, half, shaped};
use crate::solve::{Group, Material, ModelError, Zoom};
use shape::{Aabb, Band, Difference, Intersection, Solid, Union};
use std::sync::Arc;

/// Length and width of a cap, mm.
const CAP: f64 = 9.0;
/// Height of a cap, mm.
pub(super) const HIGH: f64 = 6.5;
/// Wall of a cap, mm.
const WALL: f64 = 1.0;
/// Gap between faces over the fillet's radius: a ball of that radius fits in, so that the fillets are the gap's root and fill no more of it.
const GAP: f64 = 2.2;
/// Rounding of blocks, mm.
const ROUND: f64 = 2.5;
/// Middle of the neck over the rim, mm.
const MIDDLE: f64 = 3.6;
/// Layer between cap and peg, mm.
pub(super) const LAYER: f64 = 0.06;
/// Lattice that the frame's distances are kept on, mm, and what is kept beyond its end along x and the plane y = 0.
const BAND: f64 = 0.14;
const SPARE: f64 = 1.0;
/// Cells of the whole, mm: narrower than the gap, which has the middle of a cell in its own, so that nothing bridges it.
const CELL: f64 = 0.45;
/// Zoom beyond the gap's walls along x towards the cap (short of the peg) and towards the block, beyond the neck, and over planes within it, mm.
const REACH: f64 = 0.95;
const INWARD: f64 = 1.4;
const AROUND: f64 = 1.3;
const PAST: f64 = 0.2;
/// What is read: so far beyond the gap's walls along x, and beyond the neck, mm. The first cells along a zoom's walls are not: where the gap crosses
/// a wall the whole may drive a node as the other side moves, which left a spot of several times the stress.
const SEEN: [f64; 2] = [0.6, 0.5];
/// Radius of the contact, mm.
pub(super) const CONTACT: f64 = 1.5;
/// Poisson ratio of the frame.
const POISSON: f64 = 0.25;

/// Length of the block whose necks have their middles `apart` mm from each other (or, of a block on one side, whose middle is half of that from its neck), with fillets of `radius` mm.
pub fn block_length(apart: f64, radius: f64) -> f64 {
    apart - GAP * radius
}

/// The half of a neck that is in tension.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Half {
    /// Of a block carried on both sides.
    Lower,
    /// Of a block carried on one side.
    Upper,
}

impl Half {
    fn way(self) -> f64 {
        match self {
            Self::Lower => -1.0,
            Self::Upper => 1.0,
        }
    }
}

/// A bar of elliptic section along x at the neck's height: distance to first order, f |f|^-1 with f = (k - 1) k, k the radius in units of the ellipse.
struct Bar {
    height: f64,
    width: f64,
}

impl Solid for Bar {
    fn distance(&self, [_, y, z]: [f64; 3]) -> f64 {
        let (b, a) = (0.5 * self.width, 0.5 * self.height);
        let z = z - MIDDLE;
        let k = (y / b).hypot(z / a);
        let slope = (y / (b * b)).hypot(z / (a * a));
        if slope < 1e-9 { -a.min(b) } else { k * (k - 1.0) / slope }
    }

    fn bound(&self) -> Aabb {
        let (b, a) = (0.5 * self.width, 0.5 * self.height);
        Aabb { low: [-60.0, -b, MIDDLE - a], high: [60.0, b, MIDDLE + a] }
    }
}

/// A neck at the end of a block whose middle is at x = 0.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Neck {
    /// Height, mm.
    pub(super) height: f64,
    /// Width, mm.
    pub(super) width: f64,
    /// Radius of its fillets, mm.
    pub(super) radius: f64,
    /// Length of the block, mm.
    pub(super) block: f64,
}

impl Neck {
    fn gap(&self) -> f64 {
        GAP * self.radius
    }

    /// Where the middle of the gap is along x, mm.
    pub(super) fn at(&self) -> f64 {
        0.5 * (self.block + self.gap())
    }

    /// Cells of the whole, mm.
    pub(super) fn cell(finer: f64) -> f64 {
        CELL / finer
    }

    /// Material of a frame `ratio` times as stiff as the peg.
    pub(super) fn frame_material(ratio: f64) -> Material {
        Material { young: PEG.young * ratio, poisson: POISSON }
    }

    /// The frame (from x = `from` on, and a little more; whole in y) and the peg of the cap.
    pub(super) fn parts(&self, from: f64) -> Result<(Part, Part), ModelError> {
        let gap = self.gap();
        let cap_at = 0.5 * self.block + gap + 0.5 * CAP;
        let middle = block("middle", [0.0, 0.0, 0.5 * (HIGH + 1.0)], [self.block, CAP, HIGH - 1.0], ROUND)?;
        let cap = block("cap", [cap_at, 0.0, 0.5 * HIGH - 5.0], [CAP, CAP, HIGH + 10.0], ROUND)?;
        let above = half("cap", [0.0; 3], [0.0, 0.0, -1.0])?;
        let cap: Part = Arc::new(shaped("cap", Intersection::new(cap, above))?);
        let long = Bar { height: self.height, width: self.width };
        let cut = block("neck", [self.at(), 0.0, MIDDLE], [gap + 3.0, 20.0, 20.0], 0.0)?;
        let neck: Part = Arc::new(shaped("neck", Intersection::new(long, cut))?);
        let one: Part = Arc::new(shaped("neck", Union::new(middle, neck, self.radius))?);
        let both: Part = Arc::new(shaped("neck", Union::new(one, cap, self.radius))?);
        // Fillets are dear to ask: their distances are kept on a lattice, of the part that is solved and a little more.
        let near = block("frame", [50.0 + from - SPARE, 50.0 - SPARE, 0.0], [100.0, 100.0, 100.0], 0.0)?;
        let part = shaped("frame", Intersection::new(both, near))?;
        let both = shaped("frame", Band::of(&part, BAND, 4.0 * BAND))?;
        let (inner, top) = (CAP - 2.0 * WALL, HIGH - WALL);
        let peg = block("peg", [cap_at, 0.0, 0.5 * (top - ROOT)], [inner, inner, top + ROOT], (ROUND - WALL).max(0.5))?;
        Ok((Arc::new(Difference::new(both, peg.clone())), peg))
    }

    /// Height and width as built, mm.
    pub(super) fn built(&self, frame: &Part) -> [f64; 2] {
        let edge = |way: [f64; 2]| {
            let along = |t: f64| frame.distance([self.at(), t * way[0], MIDDLE + t * way[1]]);
            let (mut low, mut high) = (0.2, 9.0);
            for _ in 0..60 {
                let middle = 0.5 * (low + high);
                if along(middle) < 0.0 { low = middle } else { high = middle }
            }
            low
        };
        [edge([0.0, 1.0]) + edge([0.0, -1.0]), 2.0 * edge([1.0, 0.0])]
    }

    /// The box to look at one half of the neck more closely, and what is read in it.
    pub(super) fn seen(&self, tense: Half, built: [f64; 2], finer: f64) -> Result<(Zoom, Group), ModelError> {
        let (at, gap, way) = (self.at(), self.gap(), tense.way());
        let [high, wide] = built.map(|x| 0.5 * x);
        let zoom = Zoom {
            name: "neck".into(),
            centre: [
                at + 0.5 * (REACH - INWARD),
                0.5 * (wide + AROUND - PAST),
                MIDDLE + 0.5 * way * (high + AROUND - PAST),
            ],
            size: [INWARD + gap + REACH, wide + AROUND + PAST, high + AROUND + PAST],
            cell: self.close(finer),
        };
        let [high, wide] = [high, wide].map(|half| half + SEEN[1]);
        let centre = [at, 0.5 * wide + 1e-3, MIDDLE + 0.5 * way * high];
        let region = block("neck", centre, [gap + 2.0 * SEEN[0], wide, high], 0.0)?;
        Ok((zoom, group("neck", region, None)))
    }

    /// Cells of the zoom: half the fillet's radius or less, so that its wall short of the peg lies on a plane of the lattice whose cells of the whole have the gap in
    /// the middle of one.
    fn close(&self, finer: f64) -> f64 {
        let wanted = (0.5 * self.radius).clamp(0.15, 0.25) / finer;
        let way = REACH + 0.5 * (self.gap() - Self::cell(finer));
        way / (way / wanted).ceil()
    }
}

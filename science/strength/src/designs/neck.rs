//! The neck between a cap and a block, which families share: a block carried on one side or on both, or two in a row.
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

/// Length of the block whose necks have their middles `apart` mm from each other (or, of a block on one side, that is pressed half of that from its neck), with fillets of `radius` mm.
pub fn block_length(apart: f64, radius: f64) -> f64 {
    apart - GAP * radius
}

/// How far the rounded upper edge of a block lies under its top, `inland` mm from its face.
pub(super) fn rounded_off(inland: f64) -> f64 {
    ROUND - (ROUND.powi(2) - (ROUND - inland.min(ROUND)).powi(2)).sqrt()
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

/// A neck at the end of a block.
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
    /// Where the middle of the block is along x, mm.
    pub(super) middle: f64,
}

impl Neck {
    pub(super) fn gap(&self) -> f64 {
        GAP * self.radius
    }

    /// Where the middle of the gap is along x, mm.
    pub(super) fn at(&self) -> f64 {
        self.middle + 0.5 * (self.block + self.gap())
    }

    /// Cells of the whole, mm.
    pub(super) fn cell(finer: f64) -> f64 {
        CELL / finer
    }

    /// Material of a frame `ratio` times as stiff as the peg.
    pub(super) fn frame_material(ratio: f64) -> Material {
        Material { young: PEG.young * ratio, poisson: POISSON }
    }

    /// The block, whole.
    pub(super) fn carried(&self) -> Result<Part, ModelError> {
        block("middle", [self.middle, 0.0, 0.5 * (HIGH + 1.0)], [self.block, CAP, HIGH - 1.0], ROUND)
    }

    /// A part with a neck more, its gap's middle at `at` along x.
    pub(super) fn necked(&self, part: Part, at: f64) -> Result<Part, ModelError> {
        let long = Bar { height: self.height, width: self.width };
        let cut = block("neck", [at, 0.0, MIDDLE], [self.gap() + 3.0, 20.0, 20.0], 0.0)?;
        let neck: Part = Arc::new(shaped("neck", Intersection::new(long, cut))?);
        Ok(Arc::new(shaped("neck", Union::new(part, neck, self.radius))?))
    }

    /// The cap beyond the neck, solid, and its peg.
    pub(super) fn cap(&self) -> Result<(Part, Part), ModelError> {
        let at = self.at() + 0.5 * (self.gap() + CAP);
        let cap = block("cap", [at, 0.0, 0.5 * HIGH - 5.0], [CAP, CAP, HIGH + 10.0], ROUND)?;
        let above = half("cap", [0.0; 3], [0.0, 0.0, -1.0])?;
        let cap: Part = Arc::new(shaped("cap", Intersection::new(cap, above))?);
        let (inner, top) = (CAP - 2.0 * WALL, HIGH - WALL);
        let peg = block("peg", [at, 0.0, 0.5 * (top - ROOT)], [inner, inner, top + ROOT], (ROUND - WALL).max(0.5))?;
        Ok((cap, peg))
    }

    /// The frame: a part that is carried, the neck, and what holds it less its peg; from `from` on along x and y, and a little more.
    pub(super) fn frame(&self, carried: Part, (held, peg): (Part, &Part), from: [f64; 2]) -> Result<Part, ModelError> {
        let one = self.necked(carried, self.at())?;
        let both: Part = Arc::new(shaped("neck", Union::new(one, held, self.radius))?);
        // Fillets are dear to ask: their distances are kept on a lattice, of the part that is solved and a little more.
        let [x, y] = from.map(|from| 50.0 + from - SPARE);
        let near = block("frame", [x, y, 0.0], [100.0, 100.0, 100.0], 0.0)?;
        let part = shaped("frame", Intersection::new(both, near))?;
        let both = shaped("frame", Band::of(&part, BAND, 4.0 * BAND))?;
        Ok(Arc::new(Difference::new(both, peg.clone())))
    }

    /// Height and width as built in the middle of a gap at `at` along x, mm.
    pub(super) fn built(frame: &Part, at: f64) -> [f64; 2] {
        let edge = |way: [f64; 2]| {
            let along = |t: f64| frame.distance([at, t * way[0], MIDDLE + t * way[1]]);
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
        let near = Near { x: self.beside(REACH), y: Self::mirrored(built), cell: self.close(REACH, finer) };
        near.boxes(tense, built)
    }

    /// The same of a neck whose middle is on the plane of symmetry x = 0.
    pub(super) fn seen_at_middle(&self, tense: Half, built: [f64; 2], finer: f64) -> Result<(Zoom, Group), ModelError> {
        let half = 0.5 * self.gap();
        let x = [[-PAST, half + INWARD], [1e-3, half + SEEN[0]]];
        Near { x, y: Self::mirrored(built), cell: self.wanted(finer) }.boxes(tense, built)
    }

    /// The same of a neck that is solved whole across, the box `reach` mm beyond the gap.
    pub(super) fn seen_across(
        &self,
        tense: Half,
        built: [f64; 2],
        reach: f64,
        finer: f64,
    ) -> Result<(Zoom, Group), ModelError> {
        let wide = 0.5 * built[1];
        let y = [AROUND, SEEN[1]].map(|more| [-wide - more, wide + more]);
        Near { x: self.beside(reach), y, cell: self.close(reach, finer) }.boxes(tense, built)
    }

    /// Ranges of x beside the gap: of the zoom, and of what is read.
    fn beside(&self, reach: f64) -> [[f64; 2]; 2] {
        let (at, half) = (self.at(), 0.5 * self.gap());
        [[at - half - INWARD, at + half + reach], [at - half - SEEN[0], at + half + SEEN[0]]]
    }

    /// Ranges of y beside the plane of symmetry y = 0.
    fn mirrored(built: [f64; 2]) -> [[f64; 2]; 2] {
        let wide = 0.5 * built[1];
        [[-PAST, wide + AROUND], [1e-3, wide + SEEN[1]]]
    }

    /// Cells wanted of a zoom: half the fillet's radius or less.
    fn wanted(&self, finer: f64) -> f64 {
        (0.5 * self.radius).clamp(0.15, 0.25) / finer
    }

    /// The same or a little less, so that the zoom's wall `reach` mm beyond the gap lies on a plane of the lattice whose cells of the whole have the gap in the middle of one.
    fn close(&self, reach: f64, finer: f64) -> f64 {
        let way = reach + 0.5 * (self.gap() - Self::cell(finer));
        way / (way / self.wanted(finer)).ceil()
    }
}

/// Where a neck is looked at more closely: ranges of x and y, first of the zoom, then of what is read.
struct Near {
    x: [[f64; 2]; 2],
    y: [[f64; 2]; 2],
    cell: f64,
}

impl Near {
    fn boxes(&self, tense: Half, [height, _]: [f64; 2]) -> Result<(Zoom, Group), ModelError> {
        let half = 0.5 * height;
        let z = [[-PAST, half + AROUND], [0.0, half + SEEN[1]]].map(|z| z.map(|z| MIDDLE + tense.way() * z));
        let middle = |range: [f64; 2]| 0.5 * (range[0] + range[1]);
        let long = |range: [f64; 2]| (range[1] - range[0]).abs();
        let [zoomed, read] = [0, 1].map(|n| [self.x[n], self.y[n], z[n]]);
        let zoom = Zoom { name: "neck".into(), centre: zoomed.map(middle), size: zoomed.map(long), cell: self.cell };
        let region = block("neck", read.map(middle), read.map(long), 0.0)?;
        Ok((zoom, group("neck", region, None)))
    }
}

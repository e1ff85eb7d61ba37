//! A block carried between two caps by elliptic necks.
//!
//! Half of it (x > 0 is one cap, the plane x = 0 halves the middle block), and of that the half y > 0. Caps are 9 mm long and wide, 6 mm high, walls 1 mm thick, on pegs in
//! springs; the middle block is as high less 1 mm at its lower side. Blocks are rounded by 2.5 mm and stand 2.2 radii of the fillet apart at their faces; the neck between
//! them is an elliptic bar along x, its fillets a rolling ball's, which fits in the gap. Load: a contact of 1.5 mm radius on the middle.
//! Group `neck`: the outer surface of the neck's lower half up to 0.6 mm beyond the gap along x and 0.5 mm around it. The whole on cells of 0.45 mm; zoom: that part
//! and 0.35 to 0.8 mm around, cells of half the fillet's radius (0.12 to 0.25 mm). In both an empty layer of cells parts the blocks: see [`CELL`].
//! Height and width of the neck are told as built, at its middle.

use super::shapes::{
    self, PEG, Part, ROOT, block, body, group, half, layer, mirror, pressed, quarter, shaped, side, springs,
};
use super::{Answer, Variable, solved};
use crate::solve::{Material, ModelError, Zoom};
use answer::Progress;
use shape::{Aabb, Band, Difference, Intersection, Solid, Union};
use std::sync::Arc;

/// Variables of a point.
pub const VARIABLES: [Variable; 6] = [
    Variable { name: "height", low: 2.0, high: 5.2, eases: true },
    Variable { name: "width", low: 2.0, high: 5.6, eases: true },
    Variable { name: "fillet radius", low: 0.25, high: 0.9, eases: true },
    Variable { name: "length of the middle", low: 5.0, high: 12.0, eases: false },
    Variable { name: "modulus over that of the peg", low: 3.0, high: 12.0, eases: false },
    Variable { name: "springs", low: 400.0, high: 8000.0, eases: false },
];

/// Length and width of a cap, mm.
const CAP: f64 = 9.0;
/// Height of a cap, mm.
const HIGH: f64 = 6.5;
/// Wall of a cap, mm.
const WALL: f64 = 1.0;
/// Gap between faces over the fillet's radius: a ball of that radius fits in, so that the fillets are the gap's root and fill no more of it.
const GAP: f64 = 2.2;
/// Rounding of blocks, mm.
const ROUND: f64 = 2.5;
/// Middle of the neck over the rim, mm.
const NECK: f64 = 3.6;
/// Layer between cap and peg, mm.
const LAYER: f64 = 0.06;
/// Lattice that the frame's distances are kept on, mm, and what is kept beyond the planes of symmetry.
const BAND: f64 = 0.14;
const SPARE: f64 = 1.0;
/// Cells of the whole, mm: narrower than the gap, which has the middle of a cell in its own, so that nothing bridges it.
const CELL: f64 = 0.45;
/// Zoom beyond the gap's walls along x towards the cap (short of the peg) and towards the middle block, beyond the neck, and over planes within it, mm.
const REACH: f64 = 0.95;
const INWARD: f64 = 1.4;
const AROUND: f64 = 1.3;
const PAST: f64 = 0.2;
/// What is read: so far beyond the gap's walls along x, and beyond the neck, mm. The first cells along a zoom's walls are not: where the gap crosses
/// a wall the whole may drive a node as the other side moves, which left a spot of several times the stress.
const SEEN: [f64; 2] = [0.6, 0.5];
/// Radius of the contact, mm.
const CONTACT: f64 = 1.5;

/// A bar of elliptic section along x at the neck's height: distance to first order, f |f|^-1 with f = (k - 1) k, k the radius in units of the ellipse.
struct Bar {
    height: f64,
    width: f64,
}

impl Solid for Bar {
    fn distance(&self, [_, y, z]: [f64; 3]) -> f64 {
        let (b, a) = (0.5 * self.width, 0.5 * self.height);
        let z = z - NECK;
        let k = (y / b).hypot(z / a);
        let slope = (y / (b * b)).hypot(z / (a * a));
        if slope < 1e-9 { -a.min(b) } else { k * (k - 1.0) / slope }
    }

    fn bound(&self) -> Aabb {
        let (b, a) = (0.5 * self.width, 0.5 * self.height);
        Aabb { low: [-60.0, -b, NECK - a], high: [60.0, b, NECK + a] }
    }
}

/// One design.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Span {
    /// Height of the neck, mm.
    pub height: f64,
    /// Width of the neck, mm.
    pub width: f64,
    /// Radius of its fillets, mm.
    pub radius: f64,
    /// Length of the middle block, mm.
    pub middle: f64,
    /// Modulus over that of the pegs.
    pub ratio: f64,
    /// Springs around the pegs, N/mm3.
    pub springs: f64,
}

impl Span {
    pub(super) fn of(v: impl Fn(usize) -> f64) -> Self {
        Self { height: v(0), width: v(1), radius: v(2), middle: v(3), ratio: v(4), springs: v(5) }
    }

    /// Solves it.
    ///
    /// # Errors
    /// Dimensions that cannot be; what the solver cannot do.
    pub fn solve(&self, finer: f64, progress: &dyn Progress) -> Result<Answer, ModelError> {
        let gap = GAP * self.radius;
        let at = 0.5 * (self.middle + gap);
        let (frame, peg) = self.parts(at)?;
        let built = self.built(&frame, at);
        let material = Material { young: PEG.young * self.ratio, poisson: 0.25 };
        let bodies = vec![body("frame", quarter("frame", frame)?, material), body("peg", side("peg", peg)?, PEG)];
        let supports = vec![mirror(0, 0)?, mirror(0, 1)?, mirror(1, 1)?, springs(1, self.springs, [false, true])?];
        let coarse = CELL / finer;
        let mut model = shapes::model(coarse, bodies, vec![layer([0, 1], LAYER)], supports, pressed(HIGH, CONTACT)?);
        model.origin[0] = at + 0.5 * coarse;
        let [high, wide] = [0.5 * built[0], 0.5 * built[1]];
        let zoom = Zoom {
            name: "neck".into(),
            centre: [at + 0.5 * (REACH - INWARD), 0.5 * (wide + AROUND - PAST), NECK - 0.5 * (high + AROUND - PAST)],
            size: [INWARD + gap + REACH, wide + AROUND + PAST, high + AROUND + PAST],
            cell: self.close(coarse, finer),
        };
        let [high, wide] = [high, wide].map(|half| half + SEEN[1]);
        let region = block("neck", [at, 0.5 * wide + 1e-3, NECK - 0.5 * high], [gap + 2.0 * SEEN[0], wide, high], 0.0)?;
        solved::answer(model, Some(&zoom), &[("neck", group("neck", region, None))], 4.0, built, progress)
    }

    /// Cells of the zoom: half the fillet's radius or less, so that its wall short of the peg lies on a plane of the lattice whose cells of the whole have the gap in
    /// the middle of one.
    fn close(&self, coarse: f64, finer: f64) -> f64 {
        let wanted = (0.5 * self.radius).clamp(0.15, 0.25) / finer;
        let way = REACH + 0.5 * (GAP * self.radius - coarse);
        way / (way / wanted).ceil()
    }

    /// The frame, whole in y and running on over x = 0, and the peg of one cap.
    fn parts(&self, at: f64) -> Result<(Part, Part), ModelError> {
        let gap = GAP * self.radius;
        let cap_at = 0.5 * self.middle + gap + 0.5 * CAP;
        let middle = block("middle", [0.0, 0.0, 0.5 * (HIGH + 1.0)], [self.middle, CAP, HIGH - 1.0], ROUND)?;
        let cap = block("cap", [cap_at, 0.0, 0.5 * HIGH - 5.0], [CAP, CAP, HIGH + 10.0], ROUND)?;
        let above = half("cap", [0.0; 3], [0.0, 0.0, -1.0])?;
        let cap: Part = Arc::new(shaped("cap", Intersection::new(cap, above))?);
        let long = Bar { height: self.height, width: self.width };
        let cut = block("neck", [at, 0.0, NECK], [gap + 3.0, 20.0, 20.0], 0.0)?;
        let neck: Part = Arc::new(shaped("neck", Intersection::new(long, cut))?);
        let one: Part = Arc::new(shaped("neck", Union::new(middle, neck, self.radius))?);
        let both: Part = Arc::new(shaped("neck", Union::new(one, cap, self.radius))?);
        // Fillets are dear to ask: their distances are kept on a lattice, of the quarter that is solved and a little more.
        let near = block("frame", [50.0 - SPARE, 50.0 - SPARE, 0.0], [100.0, 100.0, 100.0], 0.0)?;
        let part = shaped("frame", Intersection::new(both, near))?;
        let both = shaped("frame", Band::of(&part, BAND, 4.0 * BAND))?;
        let (inner, top) = (CAP - 2.0 * WALL, HIGH - WALL);
        let peg = block("peg", [cap_at, 0.0, 0.5 * (top - ROOT)], [inner, inner, top + ROOT], (ROUND - WALL).max(0.5))?;
        Ok((Arc::new(Difference::new(both, peg.clone())), peg))
    }

    /// Variables with height and width as built.
    fn built(&self, frame: &Part, at: f64) -> Vec<f64> {
        let edge = |way: [f64; 3]| {
            let along = |t: f64| frame.distance([at, t * way[1], NECK + t * way[2]]);
            let (mut low, mut high) = (0.2, 9.0);
            for _ in 0..60 {
                let middle = 0.5 * (low + high);
                if along(middle) < 0.0 { low = middle } else { high = middle }
            }
            low
        };
        let height = edge([0.0, 0.0, 1.0]) + edge([0.0, 0.0, -1.0]);
        vec![height, 2.0 * edge([0.0, 1.0, 0.0]), self.radius, self.middle, self.ratio, self.springs]
    }
}

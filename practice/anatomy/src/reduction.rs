//! Crown less stump: what a preparation takes away and what it leaves, per draw.
//!
//! The stump stands on the finish line. Towards a prepared side d its half-width at height z above the finish line is
//!
//! s_d(z) = min( a_d(0) - m - z tan(theta), a_d(z) - t_d(z) ),  t_d(z) = m + (D_d - m) min(z / 1 mm, 1),
//!
//! with a_d the crown's half-width, m the depth at the finish line, D_d the depth needed at mid-height and theta half the total
//! convergence. The straight wall (first term) binds only where the opposite side is prepared too: a facing on one side has no path of
//! placement to keep. The top comes down by the occlusal depth along the cusps.
//!
//! Depths scatter as LogNormal(ln need, 0.15^2): a freehand group missed the depth of guided ones by 15 % (Ram 2015: 1.23 against
//! 1.45 mm). Total convergence is LogNormal with median 16 and 95 % below 27 degrees: 10 to 20 asked for (Goodacre 2001), 26.7 the
//! mean of 75 preparations in practice (Guth 2013); in between, since neither is everybody.
//!
//! Properties held by tests: more need never leaves more stump; space never costs tissue; crown = removed + stump; mirror teeth agree.

use crate::outline::{Outline, SLICES, Side};
use crate::standing::OneTooth;
use crate::{Needs, StandingTooth};
use answer::{Basis, Caveat, Draws, Provenance};
use catalogue::words::Surface;

/// Height over which the margin's depth grows to the wall's, mm.
const CHAMFER: f64 = 1.0;

/// What a preparation takes and leaves, a value per draw of the tooth's `World`.
#[derive(Debug, Clone, PartialEq)]
pub struct Reduction {
    /// Share of the crown removed, by volume (0..1).
    pub volume_share: Draws,
    /// Volume of the stump above the finish line and of what stays below it, mm3.
    pub stump_volume: Draws,
    /// Depth cut by surface, mm: at the top for `Occlusal`, at the finish line for `Margin`, mean over the wall's height for the
    /// others, bulge of the crown and convergence included.
    pub depths: Vec<(Surface, Draws)>,
    /// Share of the prepared surface that still lies in enamel (0..1).
    pub enamel_left: Draws,
    /// Share of the finish line that lies in enamel (0..1).
    pub margin_in_enamel: Draws,
    /// Least dentine between any prepared surface and the pulp, mm; below 0 the pulp is met.
    pub dentine_over_pulp: Draws,
    /// Height of the stump's walls, from the finish line to where the chewing surface begins, mm.
    pub wall_height: Draws,
    /// Prepared surface, mm2.
    pub bonding_area: Draws,
    /// Total convergence of opposite walls, degrees.
    pub convergence: Draws,
    /// Facts used.
    pub provenance: Provenance,
    /// Marks to be shown beside it.
    pub caveats: Vec<Caveat>,
}

impl Reduction {
    /// Chance that less than `limit` mm of dentine stays over the pulp (0..1).
    pub fn chance_below(&self, limit: f64) -> f64 {
        self.dentine_over_pulp.share(|d| d < limit)
    }

    /// Depth cut on one surface, mm; `None` where it is not cut.
    pub fn depth(&self, surface: Surface) -> Option<&Draws> {
        self.depths.iter().find(|(s, _)| *s == surface).map(|(_, d)| d)
    }
}

impl StandingTooth {
    /// What it loses to a preparation for `needs`; give what is left to cut after [`Needs::with_space`].
    pub fn reduction(&self, needs: &Needs) -> Reduction {
        let world = &self.world;
        let scatter = |surface: &str| world.log_normal(&format!("anatomy/preparation/{surface}"), 1.0, 0.15);
        let [occlusal, facial, lingual, proximal, margin] =
            ["occlusal", "facial", "lingual", "proximal", "margin"].map(scatter);
        let spread = (27.0_f64 / 16.0).ln() / 1.645; // puts 27 degrees at the 95 % quantile
        let convergence = world.log_normal("anatomy/preparation/convergence", 16.0, spread);
        let cuts: Vec<Cut> = (0..self.draws.len())
            .map(|k| {
                let achieved = Needs {
                    occlusal: needs.occlusal * occlusal.get(k),
                    facial: needs.facial * facial.get(k),
                    lingual: needs.lingual * lingual.get(k),
                    proximal: needs.proximal * proximal.get(k),
                    margin: needs.margin * margin.get(k),
                };
                cut(&self.draws[k], &achieved, (0.5 * convergence.get(k)).to_radians().tan())
            })
            .collect();
        let each = |f: fn(&Cut) -> f64| Draws::from_fn(cuts.len(), |k| f(&cuts[k]));
        let depth = |surface: Surface| {
            (needs.of(surface) > 0.0).then(|| Draws::from_fn(cuts.len(), |k| cuts[k].depth(surface)))
        };
        let mut provenance = self.provenance.clone();
        for id in ["ram2015", "goodacre2001", "guth2013"] {
            provenance.add(id, Basis::Read);
        }
        provenance.add("common_practice", Basis::CommonPractice);
        Reduction {
            volume_share: each(|c| c.removed_share),
            stump_volume: each(|c| c.stump_volume),
            depths: Surface::ALL.iter().filter_map(|&s| Some((s, depth(s)?))).collect(),
            enamel_left: each(|c| c.enamel_left),
            margin_in_enamel: each(|c| c.margin_in_enamel),
            dentine_over_pulp: each(|c| c.dentine_over_pulp),
            wall_height: each(|c| c.wall_height),
            bonding_area: each(|c| c.bonding_area),
            convergence,
            provenance,
            caveats: self.caveats.clone(),
        }
    }
}

/// One draw's preparation.
#[derive(Debug, Clone, Copy)]
struct Cut {
    removed_share: f64,
    stump_volume: f64,
    /// By side, mean over the wall.
    axial: [f64; 4],
    occlusal: f64,
    margin: f64,
    enamel_left: f64,
    margin_in_enamel: f64,
    dentine_over_pulp: f64,
    wall_height: f64,
    bonding_area: f64,
}

impl Cut {
    fn depth(&self, surface: Surface) -> f64 {
        let [facial, lingual, mesial, distal] = self.axial;
        match surface {
            Surface::Occlusal => self.occlusal,
            Surface::Facial => facial,
            Surface::Lingual => lingual,
            Surface::Proximal => 0.5 * (mesial + distal),
            Surface::Margin => self.margin,
        }
    }
}

/// The stump inside one crown.
struct Stump<'a> {
    tooth: &'a OneTooth,
    /// Needed depth by side.
    depth: [f64; 4],
    /// Whether a straight wall binds, by side.
    straight: [bool; 4],
    margin: f64,
    tangent: f64,
    /// Height of its top.
    top: f64,
}

impl Stump<'_> {
    /// Height of the finish line towards a side: it follows the enamel's edge.
    fn finish(&self, side: Side) -> f64 {
        (self.tooth.finish + self.tooth.outline.enamel_edge[side.index()]).min(self.top)
    }

    fn is_cut(&self, side: Side) -> bool {
        self.depth[side.index()] > 0.0
    }

    fn half_width(&self, side: Side, z: f64) -> f64 {
        let (i, outline) = (side.index(), &self.tooth.outline);
        let crown = outline.half_width(side, z);
        let up = z - self.finish(side);
        if !self.is_cut(side) || up < 0.0 {
            return crown;
        }
        let needed = self.margin + (self.depth[i] - self.margin) * (up / CHAMFER).min(1.0);
        let along_crown = crown - needed;
        let wall = outline.half_width(side, self.finish(side)) - self.margin - up * self.tangent;
        if self.straight[i] { wall.min(along_crown).max(0.0) } else { along_crown.max(0.0) }
    }
}

fn cut(tooth: &OneTooth, needs: &Needs, tangent: f64) -> Cut {
    let outline = &tooth.outline;
    let depth = [needs.facial, needs.lingual, needs.proximal, needs.proximal];
    let opposite = [1, 0, 3, 2];
    let stump = Stump {
        tooth,
        depth,
        straight: std::array::from_fn(|i| depth[i] > 0.0 && depth[opposite[i]] > 0.0),
        margin: needs.margin,
        tangent,
        top: (outline.height - needs.occlusal).max(tooth.finish),
    };
    let crown_volume = tooth.crown_volume();
    // Sliced alike, so that a preparation of nothing removes nothing.
    let stump_volume = outline.volume(
        0.0,
        outline.height,
        |side, z| if z < stump.top { stump.half_width(side, z) } else { 0.0 },
        stump.top,
    );
    let walls = walls(&stump);
    let top_area = if needs.occlusal > 0.0 { top_area(outline, &stump) } else { 0.0 };
    let top_enamel = if needs.occlusal < tooth.enamel[1] { top_area } else { 0.0 };
    let prepared = walls.area + top_area;
    let share =
        |part: f64, whole: f64, of_nothing: f64| if whole > 0.0 { (part / whole).clamp(0.0, 1.0) } else { of_nothing };
    Cut {
        removed_share: (1.0 - stump_volume / crown_volume).clamp(0.0, 1.0),
        stump_volume,
        axial: walls.depth,
        occlusal: needs.occlusal.min(outline.height),
        margin: needs.margin,
        enamel_left: share(walls.in_enamel + top_enamel, prepared, 1.0),
        margin_in_enamel: share(walls.margin_in_enamel, walls.margin_length, 1.0),
        dentine_over_pulp: dentine_over_pulp(tooth, &stump, needs),
        wall_height: (stump.top - outline.roof - tooth.finish).max(0.0),
        bonding_area: prepared,
    }
}

struct Walls {
    area: f64,
    in_enamel: f64,
    margin_length: f64,
    margin_in_enamel: f64,
    depth: [f64; 4],
}

/// The prepared sides, slice by slice: each side is a quarter of the girth of its slice.
fn walls(stump: &Stump) -> Walls {
    let tooth = stump.tooth;
    let mut walls = Walls { area: 0.0, in_enamel: 0.0, margin_length: 0.0, margin_in_enamel: 0.0, depth: [0.0; 4] };
    for side in Side::ALL.into_iter().filter(|s| stump.is_cut(*s)) {
        let finish = stump.finish(side);
        let slice = (stump.top - finish).max(0.0) / SLICES as f64;
        let length = quarter_girth(stump, finish);
        walls.margin_length += length;
        walls.margin_in_enamel += if stump.margin < tooth.axial_enamel(side, finish) { length } else { 0.0 };
        for i in 0..SLICES {
            let z = finish + (i as f64 + 0.5) * slice;
            let depth = tooth.outline.half_width(side, z) - stump.half_width(side, z);
            let area = quarter_girth(stump, z) * slice * tooth.outline.standing_share(stump.top - z);
            walls.area += area;
            walls.in_enamel += if depth < tooth.axial_enamel(side, z) { area } else { 0.0 };
            walls.depth[side.index()] += depth / SLICES as f64;
        }
    }
    walls
}

/// A quarter of the girth of the stump's section at height z, mm: Ramanujan's first form for an ellipse of its mean half-axes.
fn quarter_girth(stump: &Stump, z: f64) -> f64 {
    let [f, l, m, d] = Side::ALL.map(|side| stump.half_width(side, z));
    let (a, b) = (0.5 * (f + l), 0.5 * (m + d));
    std::f64::consts::FRAC_PI_4 * (3.0 * (a + b) - ((3.0 * a + b) * (a + 3.0 * b)).max(0.0).sqrt())
}

/// The stump's top surface, mm2; cusps slope, so a back tooth's is larger than its section: roof over a quarter of the width.
fn top_area(outline: &Outline, stump: &Stump) -> f64 {
    let z = (stump.top - outline.roof).max(stump.tooth.finish);
    let half_widths = Side::ALL.map(|side| stump.half_width(side, z));
    let section = outline.area(half_widths);
    let run = 0.5 * (half_widths[0] + half_widths[1]);
    if outline.roof > 0.0 && run > 0.0 { section * (1.0 + (outline.roof / run).powi(2)).sqrt() } else { section }
}

/// Least dentine over the pulp: under the top, and beside every prepared side between its finish line and the pulp's roof.
fn dentine_over_pulp(tooth: &OneTooth, stump: &Stump, needs: &Needs) -> f64 {
    let outline = &tooth.outline;
    let to_roof = outline.height - outline.roof - tooth.roof;
    let over = to_roof - needs.occlusal.max(tooth.enamel[1]);
    let mut least = if needs.occlusal > 0.0 { over } else { f64::INFINITY };
    for side in Side::ALL.into_iter().filter(|s| stump.is_cut(*s)) {
        let from = stump.finish(side);
        let to = tooth.roof.max(from);
        for i in 0..=8 {
            let z = from + (to - from) * f64::from(i) / 8.0;
            let to_surface = stump.half_width(side, z);
            let in_enamel = outline.half_width(side, z) - tooth.axial_enamel(side, z);
            least = least.min(to_surface.min(in_enamel) - tooth.pulp_half_width(side, z));
        }
    }
    if least.is_finite() { least } else { to_roof - tooth.enamel[1] }
}

//! At the stump: planned against achieved by surface, where to take more or block out, and what the achieved preparation still allows.
//!
//! A place of the achieved surface is `off` mm deeper (+) or shallower (-) than planned: its distance inside the planned stump. Room for a
//! restoration is its distance to the wanted outer form; a surface allows a need when 95 % of its area has that room less 0.1 mm (what a
//! scan and its alignment can be off: common practice, no source).

use crate::Needs;
use crate::body::Part;
use crate::cut_measures::{CutMeasures, measured};
use crate::enamel::occlusal_share;
use crate::parts::ToothParts;
use crate::preparation::{Preparation, place, side_shares};
use crate::scan::FilledScan;
use catalogue::words::Surface as Zone;
use rayon::prelude::*;
use shape::{ShapeError, Solid, Surface};
use std::fmt;
use std::sync::Arc;

/// What scan and alignment can be off, mm.
const SLACK: f64 = 0.1;
/// Areas smaller than this are not worth a word, mm2.
const LEAST_AREA: f64 = 0.5;
/// Depth that counts as prepared, mm.
const CUT: f64 = 0.1;

/// One surface, planned and achieved, mm.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct ZoneCheck {
    /// Which.
    pub zone: Zone,
    /// Mean depth planned.
    pub planned: f64,
    /// Mean depth achieved.
    pub achieved: f64,
    /// Room that 95 % of the area has for a restoration.
    pub least: f64,
    /// Area shallower than planned, mm2, and by how much at most.
    pub short_area: f64,
    /// Most that is lacking.
    pub short_by: f64,
}

impl ZoneCheck {
    /// What to do.
    pub fn words(&self) -> String {
        if self.short_area > LEAST_AREA {
            format!("take up to {:.1} mm more over {:.1} mm²", self.short_by, self.short_area)
        } else if self.achieved > self.planned + 0.3 {
            format!("{:.1} mm deeper than planned on average", self.achieved - self.planned)
        } else {
            "as planned".to_owned()
        }
    }
}

/// A preparation checked.
#[derive(Debug, Clone, PartialEq)]
pub struct Checked {
    /// Measures of what was achieved.
    pub achieved: CutMeasures,
    /// By surface.
    pub surfaces: Vec<ZoneCheck>,
    /// Undercut along the planned path: area mm2, depth mm.
    pub block_out: [f64; 2],
    /// Deeper (+) or shallower (-) than planned at each place of the achieved surface; `None` where nothing is prepared.
    pub off: Vec<Option<f64>>,
}

/// Checks an achieved surface (tooth's frame) against a plan.
///
/// # Errors
/// A surface or stump that cannot be measured.
pub fn check(planned: &Preparation, parts: &ToothParts, achieved: &Surface) -> Result<Checked, ShapeError> {
    let wished = planned.measures(parts)?;
    let mut found = measured(achieved, &planned.present, parts, planned.design.path, planned.design.finish)?;
    (found.crown, found.removed) = removed(planned, parts, achieved);
    let facets: Vec<Facet> = (0..achieved.facets().len() as u32)
        .into_par_iter()
        .filter_map(|f| Facet::of(planned, parts, achieved, f))
        .collect();
    let zones = [Zone::Occlusal, Zone::Facial, Zone::Lingual, Zone::Proximal];
    let surfaces = zones.into_iter().enumerate().filter_map(|(z, zone)| {
        let depth = wished.depth(zone).map(|d| d.mean);
        zone_check(zone, z, depth, found.depth(zone).map_or(0.0, |d| d.mean), &facets)
    });
    let floor = planned.design.finish - 0.5;
    let off = achieved
        .points()
        .par_iter()
        .map(|p| {
            let prepared = p[2] - parts.form.enamel_edge(p[0]) > floor && -planned.present.distance(*p) > -CUT;
            prepared.then(|| -planned.stump.distance(*p))
        })
        .collect();
    Ok(Checked { block_out: found.undercut, surfaces: surfaces.collect(), achieved: found, off })
}

/// Crown before and what was taken from it, mm3; the planned stump stands in where the scan does not reach.
fn removed(planned: &Preparation, parts: &ToothParts, achieved: &Surface) -> (f64, f64) {
    let Ok(surface) = Surface::new(achieved.points().to_vec(), achieved.facets().to_vec()) else { return (0.0, 0.0) };
    let after: Part = Arc::new(FilledScan::new(Arc::new(surface), planned.stump.clone()));
    let field = planned.lattice.field();
    let cell = field.cell();
    let share = |d: f64| (0.5 - d / cell).clamp(0.0, 1.0);
    let sums: Vec<[f64; 2]> = (0..field.values().len())
        .into_par_iter()
        .filter_map(|n| {
            let p = planned.upright.back(place(field, n));
            let whole = share(planned.present.distance(p));
            (whole > 0.0 && p[2] > parts.form.enamel_edge(p[0]))
                .then(|| [whole, (whole - share(after.distance(p))).max(0.0)])
        })
        .collect();
    let sum = |i: usize| sums.iter().map(|s| s[i]).sum::<f64>() * cell.powi(3);
    (sum(0), sum(1))
}

struct Facet {
    area: f64,
    off: f64,
    room: f64,
    zones: [f64; 4],
}

impl Facet {
    fn of(planned: &Preparation, parts: &ToothParts, achieved: &Surface, f: u32) -> Option<Self> {
        let middle = achieved.middle(f);
        let over = middle[2] - parts.form.enamel_edge(middle[0]) - planned.design.finish;
        // The margin's own millimetre is judged by its finish line, not by depth.
        if over < 0.5 {
            return None;
        }
        let normal = planned.present.gradient(middle);
        let occlusal = occlusal_share(normal);
        let [facial, lingual, proximal] = side_shares(normal).map(|s| (1.0 - occlusal) * s);
        Some(Self {
            area: achieved.facet_area(f),
            off: -planned.stump.distance(middle),
            room: -planned.wanted.distance(middle),
            zones: [occlusal, facial, lingual, proximal],
        })
    }
}

fn zone_check(zone: Zone, z: usize, planned: Option<f64>, achieved: f64, facets: &[Facet]) -> Option<ZoneCheck> {
    let mine: Vec<&Facet> = facets.iter().filter(|f| f.zones[z] > 0.5).collect();
    let area: f64 = mine.iter().map(|f| f.area).sum();
    if area < LEAST_AREA || (planned.is_none() && achieved < CUT) {
        return None;
    }
    let mut by_room: Vec<(f64, f64)> = mine.iter().map(|f| (f.room, f.area)).collect();
    by_room.sort_by(|a, b| a.0.total_cmp(&b.0));
    let mut sum = 0.0;
    let least = by_room.iter().find(|(_, a)| {
        sum += a;
        sum >= 0.05 * area
    });
    let short = mine.iter().filter(|f| f.off < -SLACK);
    let (short_area, short_by) = short.fold((0.0, 0.0f64), |(area, by), f| (area + f.area, by.max(-f.off)));
    Some(ZoneCheck {
        zone,
        planned: planned.unwrap_or(0.0),
        achieved,
        least: least.map_or(0.0, |l| l.0),
        short_area,
        short_by,
    })
}

/// Whether an achieved preparation allows an option.
#[derive(Debug, Clone, PartialEq)]
pub enum Allowed {
    /// All surfaces have the room.
    Yes,
    /// These lack so much, mm.
    Short(Vec<(Zone, f64)>),
}

impl Allowed {
    /// True when nothing lacks.
    pub fn is_allowed(&self) -> bool {
        *self == Self::Yes
    }
}

impl fmt::Display for Allowed {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Yes => f.write_str("the room is there"),
            Self::Short(zones) => {
                let words: Vec<String> = zones
                    .iter()
                    .map(|(zone, by)| format!("{by:.1} mm short on the {} surface", zone.label()))
                    .collect();
                f.write_str(&words.join(", "))
            }
        }
    }
}

/// What an achieved preparation allows.
pub fn allows(found: &Checked, needs: &Needs) -> Allowed {
    let lacking = |zone: Zone| {
        let need = needs.of(zone);
        let room = found.surfaces.iter().find(|s| s.zone == zone).map_or(0.0, |s| s.least);
        let by = need - room - SLACK;
        (need > 0.0 && by > 0.0).then_some((zone, by))
    };
    let zones: Vec<_> =
        [Zone::Occlusal, Zone::Facial, Zone::Lingual, Zone::Proximal].into_iter().filter_map(lacking).collect();
    if zones.is_empty() { Allowed::Yes } else { Allowed::Short(zones) }
}

//! What a preparation took and left, measured on its surface in the trade's words.
//!
//! Depth at a place of the prepared surface is the true distance to the tooth before; which surface it belongs to is told by the direction of
//! the tooth before at its nearest place. Convergence, undercut and wall height are those of the prepared surface along the path.

use crate::body::{LatticeBody, Part};
use crate::enamel::{EnamelForm, occlusal_share};
use crate::parts::ToothParts;
use crate::preparation::{Preparation, direction, place, side_shares};
use catalogue::words::Surface as Zone;
use rayon::prelude::*;
use shape::{ShapeError, Solid, Surface, Withdrawal};

/// Depth on one surface, weighted by area, mm.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Depth {
    /// Which surface.
    pub zone: Zone,
    /// Mean.
    pub mean: f64,
    /// 5 % and 95 % quantiles.
    pub range: [f64; 2],
    /// Area prepared, mm2.
    pub area: f64,
}

/// Measures of one preparation.
#[derive(Debug, Clone, PartialEq)]
pub struct CutMeasures {
    /// Crown above the enamel's edge before, mm3.
    pub crown: f64,
    /// Taken away, mm3.
    pub removed: f64,
    /// Depths by surface, prepared ones only.
    pub depths: Vec<Depth>,
    /// Area prepared, mm2.
    pub area: f64,
    /// Share of it in enamel.
    pub enamel_left: f64,
    /// Least dentine between prepared surface and pulp, mm, and where; `None` where nothing is prepared.
    pub dentine: Option<(f64, [f64; 3])>,
    /// Mean height of the finish line above the enamel's edge, mm; below 0 it lies on root.
    pub margin_above_edge: f64,
    /// Total convergence of opposite walls, degrees: mean, least, greatest; `None` without opposite walls.
    pub convergence: Option<[f64; 3]>,
    /// Height of the walls along the path, mm.
    pub wall_height: f64,
    /// Undercut along the path: area mm2, greatest depth mm.
    pub undercut: [f64; 2],
}

impl CutMeasures {
    /// Share of the crown taken away.
    pub fn share(&self) -> f64 {
        if self.crown > 0.0 { self.removed / self.crown } else { 0.0 }
    }

    /// Depth on one surface.
    pub fn depth(&self, zone: Zone) -> Option<&Depth> {
        self.depths.iter().find(|d| d.zone == zone)
    }
}

/// Least depth that counts as prepared, mm.
const CUT: f64 = 0.05;
/// A wall leans less than this from the path, degrees.
const WALL: f64 = 45.0;

impl Preparation {
    /// Measures of the stump; `parts` gives enamel and pulp.
    ///
    /// # Errors
    /// A stump without material.
    pub fn measures(&self, parts: &ToothParts) -> Result<CutMeasures, ShapeError> {
        let cell = self.lattice.field().cell();
        let surface = Surface::of(&*self.stump, cell)?;
        let mut found = measured(&surface, &self.present, parts, self.design.path, self.design.finish)?;
        let field = self.lattice.field();
        let before = shape::Placed::new(self.present.clone(), self.upright);
        let share = |d: f64| (0.5 - d / cell).clamp(0.0, 1.0);
        let sums: Vec<[f64; 2]> = (0..field.values().len())
            .into_par_iter()
            .filter_map(|n| {
                let p = place(field, n);
                let own = self.upright.back(p);
                (own[2] > parts.form.enamel_edge(own[0])).then(|| {
                    let whole = share(before.distance(p));
                    [whole, (whole - share(field.values()[n])).max(0.0)]
                })
            })
            .collect();
        let sum = |i: usize| sums.iter().map(|s| s[i]).sum::<f64>() * cell.powi(3);
        (found.crown, found.removed) = (sum(0), sum(1));
        Ok(found)
    }
}

/// A facet of a prepared surface.
struct Facet {
    depth: f64,
    area: f64,
    zones: [f64; 4],
    in_enamel: bool,
    dentine: f64,
    middle: [f64; 3],
}

/// Measures of any stump surface (as cut, or scanned) in the tooth's frame, against the tooth before; volumes are left 0.
///
/// # Errors
/// A path without direction.
pub fn measured(
    surface: &Surface,
    before: &Part,
    parts: &ToothParts,
    path: [f64; 2],
    finish: f64,
) -> Result<CutMeasures, ShapeError> {
    let enamel = EnamelForm::of(&parts.form);
    let facets: Vec<(u32, Facet)> = (0..surface.facets().len() as u32)
        .into_par_iter()
        .filter_map(|f| facet(surface, f, before, parts, &enamel).map(|x| (f, x)))
        .collect();
    let area: f64 = facets.iter().map(|(_, f)| f.area).sum();
    let zones = [Zone::Occlusal, Zone::Facial, Zone::Lingual, Zone::Proximal];
    let depths = zones.into_iter().enumerate().filter_map(|(z, zone)| depth(zone, z, &facets)).collect();
    let in_enamel: f64 = facets.iter().filter(|(_, f)| f.in_enamel).map(|(_, f)| f.area).sum();
    let nearest = facets.iter().map(|(_, f)| (f.dentine, f.middle)).min_by(|a, b| a.0.total_cmp(&b.0));
    let direction = direction(path);
    let prepared = sub_surface(surface, facets.iter().map(|(f, _)| *f));
    let (mut convergence, mut wall_height, mut undercut) = (None, 0.0, [0.0; 2]);
    if let Some(prepared) = &prepared {
        if let Ok(c) = shape::convergence(prepared, direction, WALL.to_radians()) {
            convergence = Some([c.mean, c.range[0], c.range[1]].map(f64::to_degrees));
            wall_height = c.wall_height;
        }
        let least_depth = 0.06;
        let found = shape::undercut(prepared, direction, &Withdrawal { floor: 0.0, least_depth })?;
        undercut = [found.area, found.depth];
    }
    Ok(CutMeasures {
        crown: 0.0,
        removed: 0.0,
        depths,
        area,
        enamel_left: if area > 0.0 { in_enamel / area } else { 1.0 },
        dentine: nearest,
        margin_above_edge: margin(&facets, parts).unwrap_or(finish),
        convergence,
        wall_height,
        undercut,
    })
}

fn facet(surface: &Surface, f: u32, before: &Part, parts: &ToothParts, enamel: &EnamelForm) -> Option<Facet> {
    let middle = surface.middle(f);
    let depth = -before.distance(middle);
    if depth < CUT {
        return None;
    }
    let normal = before.gradient(middle);
    let occlusal = occlusal_share(normal);
    let [facial, lingual, proximal] = side_shares(normal).map(|s| (1.0 - occlusal) * s);
    let above_edge = middle[2] - parts.form.enamel_edge(middle[0]);
    let here = if above_edge > 0.0 { enamel.thickness(occlusal, above_edge) } else { 0.0 };
    let left = (here - depth).max(0.0);
    Some(Facet {
        depth,
        area: surface.facet_area(f),
        zones: [occlusal, facial, lingual, proximal],
        in_enamel: left > 0.0,
        dentine: parts.pulp.distance(middle) - left,
        middle,
    })
}

fn depth(zone: Zone, z: usize, facets: &[(u32, Facet)]) -> Option<Depth> {
    let mut weighed: Vec<(f64, f64)> =
        facets.iter().map(|(_, f)| (f.depth, f.area * f.zones[z])).filter(|(_, w)| *w > 0.0).collect();
    let area: f64 = weighed.iter().map(|(_, w)| w).sum();
    if area < 0.5 {
        return None;
    }
    weighed.sort_by(|a, b| a.0.total_cmp(&b.0));
    let mean = weighed.iter().map(|(d, w)| d * w).sum::<f64>() / area;
    let quantile = |q: f64| {
        let mut sum = 0.0;
        let at = weighed.iter().find(|(_, w)| {
            sum += w;
            sum >= q * area
        });
        at.or(weighed.last()).map_or(mean, |x| x.0)
    };
    Some(Depth { zone, mean, range: [quantile(0.05), quantile(0.95)], area })
}

/// Mean height of the prepared surface's outer rim over the enamel's edge: the lowest facet cut by 0.15 mm or more in each of 24 sectors, `None`
/// where nothing is.
fn margin(facets: &[(u32, Facet)], parts: &ToothParts) -> Option<f64> {
    const SECTORS: usize = 24;
    const CLEARLY: f64 = 0.15;
    let mut lowest = [f64::INFINITY; SECTORS];
    for p in facets.iter().filter(|(_, f)| f.depth >= CLEARLY).map(|(_, f)| f.middle) {
        let turn = p[1].atan2(p[0]) / std::f64::consts::TAU;
        let sector = (turn.rem_euclid(1.0) * SECTORS as f64) as usize % SECTORS;
        lowest[sector] = lowest[sector].min(p[2] - parts.form.enamel_edge(p[0]));
    }
    let known: Vec<f64> = lowest.into_iter().filter(|h| h.is_finite()).collect();
    (!known.is_empty()).then(|| known.iter().sum::<f64>() / known.len() as f64)
}

/// Chosen facets of a surface with their places; `None` when none is chosen.
pub(crate) fn sub_surface(surface: &Surface, facets: impl Iterator<Item = u32>) -> Option<Surface> {
    let mut number = vec![u32::MAX; surface.points().len()];
    let mut points = Vec::new();
    let mut kept = Vec::new();
    for f in facets {
        kept.push(surface.facets()[f as usize].map(|v| {
            let slot = &mut number[v as usize];
            if *slot == u32::MAX {
                *slot = points.len() as u32;
                points.push(surface.points()[v as usize]);
            }
            *slot
        }));
    }
    Surface::new(points, kept).ok()
}

/// Volume of a body above the enamel's edge of a tooth, mm3.
pub(crate) fn volume_above_edge(body: &LatticeBody, parts: &ToothParts) -> f64 {
    let field = body.field();
    field.volume_where(|n| {
        let p = place(field, n);
        p[2] > parts.form.enamel_edge(p[0])
    })
}

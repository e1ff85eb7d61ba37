//! A restoration as designed or made: thickness by surface, spots thinner than it needs, connectors where its teeth meet.
//!
//! Thickness is told at places of the inside (the face towards the tooth), as the largest ball in the wall that touches there
//! (`shape::thickness_at_points`): never above what a calliper reads, and not fooled by sharp outer edges, where only small balls fit. The outside is
//! what is seen from level or above, with the flat of the finish line and a pontic's base. The millimetre next to the rim runs out to the finish
//! line and is not judged. Connectors are the deepest waists of height times width along the restoration, one fewer than its teeth; each is then the
//! smallest of all planes near its waist.

use crate::Needs;
use crate::enamel::occlusal_share;
use crate::preparation::side_shares;
use catalogue::words::Surface as Zone;
use rayon::prelude::*;
use shape::{Plane, Section, ShapeError, Surface, cut, smallest_section, spots_below, thickness_at_points};
use std::collections::HashMap;

/// Width of the rim that is not judged, mm.
const RIM: f64 = 1.0;
/// Steepest way down an outward normal of an outer wall points; the inside of the roof points further down.
const OVERHANG: f64 = -0.7;
/// Spots smaller than this are not worth a word, mm2.
const LEAST_AREA: f64 = 0.1;

/// A spot thinner than needed.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct ThinSpot {
    /// Its thinnest place.
    pub place: [f64; 3],
    /// Thickness there, mm.
    pub least: f64,
    /// Area below the need, mm2.
    pub area: f64,
}

/// One surface of a restoration.
#[derive(Debug, Clone, PartialEq)]
pub struct ZoneThickness {
    /// Which; `None`: the walls all round, where lip and tongue are not told apart.
    pub zone: Option<Zone>,
    /// Area judged, mm2.
    pub area: f64,
    /// Median over the area, mm.
    pub usual: f64,
    /// Least of all but the thinnest hundredth of the area, mm: facets like needles measure nothing.
    pub least: f64,
    /// Spots below the working thickness, worst first.
    pub below_working: Vec<ThinSpot>,
    /// Spots below the tested minimum, worst first.
    pub below_tested: Vec<ThinSpot>,
}

/// What a restoration needs by surface, mm.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct DesignNeeds {
    /// Working thickness.
    pub working: Needs,
    /// Tested minimum.
    pub tested: Needs,
}

/// Thickness of a restoration on one tooth, in the tooth's frame (x mesial, y facial, z to the other jaw).
pub fn crown_thickness(surface: &Surface, needs: &DesignNeeds) -> Vec<ZoneThickness> {
    let zones = [Zone::Occlusal, Zone::Facial, Zone::Lingual, Zone::Proximal];
    let which = |n: [f64; 3]| {
        let occlusal = occlusal_share(n);
        let [facial, lingual, proximal] = side_shares(n).map(|s| (1.0 - occlusal) * s);
        [occlusal, facial, lingual, proximal].iter().position(|share| *share > 0.5)
    };
    let need = |z: usize| (needs.working.of(zones[z]), needs.tested.of(zones[z]));
    by_zone(surface, &zones.map(Some), which, need)
}

/// Thickness of a restoration on several teeth, z to the other jaw: chewing surface, and walls all round against the least of their needs.
pub fn unit_thickness(surface: &Surface, needs: &DesignNeeds) -> Vec<ZoneThickness> {
    let walls = |n: &Needs| n.facial.min(n.lingual).min(n.proximal);
    let which = |n: [f64; 3]| Some(usize::from(occlusal_share(n) <= 0.5));
    let need = |z: usize| match z {
        0 => (needs.working.occlusal, needs.tested.occlusal),
        _ => (walls(&needs.working), walls(&needs.tested)),
    };
    by_zone(surface, &[Some(Zone::Occlusal), None], which, need)
}

fn by_zone(
    surface: &Surface,
    zones: &[Option<Zone>],
    which: impl Fn([f64; 3]) -> Option<usize>,
    need: impl Fn(usize) -> (f64, f64),
) -> Vec<ZoneThickness> {
    let judged = judged(surface);
    // Over the facets around its corners: a needle of a facet alone measures nothing.
    let at_corners = thickness_at_points(surface);
    let thick = |f: usize| surface.facets()[f].iter().map(|v| at_corners[*v as usize].ball).sum::<f64>() / 3.0;
    let zone_of: Vec<Option<usize>> = surface
        .normals()
        .iter()
        .zip(&judged)
        .map(|(n, judged)| if *judged { which(n.map(|x| -x)) } else { None })
        .collect();
    let of = |z: usize| {
        let values: Vec<Option<f64>> =
            zone_of.iter().enumerate().map(|(f, zone)| (*zone == Some(z)).then(|| thick(f))).collect();
        let mut sorted: Vec<(f64, f64)> =
            (0u32..).zip(&values).filter_map(|(f, v)| Some(((*v)?, surface.facet_area(f)))).collect();
        sorted.sort_by(|a, b| a.0.total_cmp(&b.0));
        let area: f64 = sorted.iter().map(|s| s.1).sum();
        let share = |wanted: f64| {
            let mut sum = 0.0;
            let reached = |s: &&(f64, f64)| {
                sum += s.1;
                sum >= wanted * area
            };
            sorted.iter().find(reached).map(|s| s.0)
        };
        let (working, tested) = need(z);
        Some(ZoneThickness {
            zone: zones[z],
            area,
            usual: share(0.5)?,
            least: share(0.01)?,
            below_working: thin(surface, &values, working),
            below_tested: thin(surface, &values, tested),
        })
    };
    (0..zones.len()).filter_map(of).collect()
}

fn thin(surface: &Surface, values: &[Option<f64>], need: f64) -> Vec<ThinSpot> {
    let spots = spots_below(surface, values, need).into_iter().filter(|s| s.area > LEAST_AREA);
    spots.map(|s| ThinSpot { place: s.place, least: s.least, area: s.area }).collect()
}

/// Facets of the inside further than [`RIM`] from the outside.
fn judged(surface: &Surface) -> Vec<bool> {
    let outer = outside(surface);
    let rim = Near::new(rim(surface, &outer));
    outer.iter().zip(0u32..).map(|(outer, f)| !*outer && !rim.within(surface.middle(f))).collect()
}

/// Facets that are seen from somewhere level or above; of those that point down the ones that are not walled in: the flat of a finish line and a
/// pontic's base, not the inside of a roof.
fn outside(surface: &Surface) -> Vec<bool> {
    let skip = 1e-6 * surface.bound().diagonal();
    let around = |count: u32, rise: f64| {
        (0..count).map(move |k| {
            let (s, c) = (std::f64::consts::TAU * f64::from(k) / f64::from(count)).sin_cos();
            [c * (1.0 - rise * rise).sqrt(), s * (1.0 - rise * rise).sqrt(), rise]
        })
    };
    let upward: Vec<[f64; 3]> = around(16, 0.26).chain([[0.0, 0.0, 1.0]]).collect();
    let level: Vec<[f64; 3]> = around(8, 0.05).collect();
    let is_outside = |f: u32| {
        let (n, middle) = (surface.normals()[f as usize], surface.middle(f));
        let leaves = |from: [f64; 3], d: &[f64; 3]| surface.ray(from, *d, skip).is_none();
        if n[2] > OVERHANG {
            return upward.iter().any(|d| (0..3).map(|a| d[a] * n[a]).sum::<f64>() > 0.1 && leaves(middle, d));
        }
        let below: [f64; 3] = std::array::from_fn(|a| middle[a] + 0.05 * n[a]);
        level.iter().filter(|d| leaves(below, d)).count() > 2
    };
    (0..surface.facets().len() as u32).into_par_iter().map(is_outside).collect()
}

/// Corners that outside and inside share.
fn rim(surface: &Surface, outer: &[bool]) -> Vec<[f64; 3]> {
    let mut seen = vec![[false; 2]; surface.points().len()];
    for (corners, outer) in surface.facets().iter().zip(outer) {
        corners.iter().for_each(|v| seen[*v as usize][usize::from(*outer)] = true);
    }
    surface.points().iter().zip(seen).filter(|(_, s)| s[0] && s[1]).map(|(p, _)| *p).collect()
}

/// Places in boxes of [`RIM`].
struct Near {
    boxes: HashMap<[i64; 3], Vec<[f64; 3]>>,
}

impl Near {
    fn new(places: Vec<[f64; 3]>) -> Self {
        let mut boxes: HashMap<[i64; 3], Vec<[f64; 3]>> = HashMap::new();
        places.into_iter().for_each(|p| boxes.entry(key(p)).or_default().push(p));
        Self { boxes }
    }

    fn within(&self, p: [f64; 3]) -> bool {
        let at = key(p);
        let close = |q: &[f64; 3]| (0..3).map(|a| (p[a] - q[a]).powi(2)).sum::<f64>() < RIM * RIM;
        (0..27i64).any(|k| {
            let step = [k % 3 - 1, k / 3 % 3 - 1, k / 9 - 1];
            let there = std::array::from_fn(|a| at[a] + step[a]);
            self.boxes.get(&there).is_some_and(|list| list.iter().any(close))
        })
    }
}

fn key(p: [f64; 3]) -> [i64; 3] {
    p.map(|x| (x / RIM).floor() as i64)
}

/// Connectors of a restoration on `teeth` teeth, z to the other jaw, in their order along its longest extent; fewer where it has fewer waists.
///
/// # Errors
/// A surface that no plane cuts, or that does not close.
pub fn connectors(surface: &Surface, teeth: usize) -> Result<Vec<Section>, ShapeError> {
    const STEP: f64 = 0.2;
    let up = [0.0, 0.0, 1.0];
    let along = longest(surface);
    let reach = |p: &[f64; 3]| p[0] * along[0] + p[1] * along[1];
    let (low, high) =
        surface.points().iter().map(reach).fold((f64::INFINITY, f64::NEG_INFINITY), |(l, h), x| (l.min(x), h.max(x)));
    let centre = surface.bound().centre();
    let place = |t: f64| -> [f64; 3] {
        let shift = t - reach(&centre);
        [centre[0] + shift * along[0], centre[1] + shift * along[1], centre[2]]
    };
    let count = ((high - low) / STEP) as usize;
    let mut sizes = Vec::with_capacity(count);
    for i in 1..count {
        let at = low + i as f64 * STEP;
        match cut(surface, &Plane::new(place(at), along, up)?, None) {
            Ok(s) => sizes.push((at, s.height * s.width)),
            Err(ShapeError::NoSection) => {}
            Err(e) => return Err(e),
        }
    }
    let mut found = Vec::new();
    for at in waists(&sizes, teeth.saturating_sub(1)) {
        let path = [place(at - 0.8), place(at + 0.8)];
        let smallest = smallest_section(&path, up, 0.3, |s| s.area, |p: &Plane| cut(surface, p, None))?;
        found.push(smallest.section);
    }
    Ok(found)
}

/// Direction across z along which a surface lies: across it the surface is narrowest.
fn longest(surface: &Surface) -> [f64; 3] {
    let across = |degrees: u32| {
        let (s, c) = f64::from(degrees).to_radians().sin_cos();
        let ends = surface.points().iter().map(|p| c * p[1] - s * p[0]);
        let (low, high) = ends.fold((f64::INFINITY, f64::NEG_INFINITY), |(l, h), x| (l.min(x), h.max(x)));
        (high - low, [c, s, 0.0])
    };
    let best = (0..180).map(across).min_by(|a, b| a.0.total_cmp(&b.0));
    best.map_or([1.0, 0.0, 0.0], |b| b.1)
}

/// Rise between two waists that makes them two.
const RISE: f64 = 1.1;

/// The `most` deepest minima of a curve, in their order: depth is the lower of the greatest values on both sides, over the minimum.
fn waists(curve: &[(f64, f64)], most: usize) -> Vec<f64> {
    let highest = |part: &[(f64, f64)]| part.iter().map(|c| c.1).fold(0.0, f64::max);
    let mut minima: Vec<(f64, usize)> = Vec::new();
    for i in 1..curve.len().saturating_sub(1) {
        let here = curve[i].1;
        if here <= curve[i - 1].1 && here <= curve[i + 1].1 {
            // Only up to the next lower place on either side: a shallow dip beside a deep one stays shallow.
            let left = curve[..i].iter().rposition(|c| c.1 < here).map_or(0, |k| k + 1);
            let right = curve[i + 1..].iter().position(|c| c.1 < here).map_or(curve.len(), |k| i + 1 + k);
            let depth = highest(&curve[left..=i]).min(highest(&curve[i..right])) / here.max(1e-9);
            minima.push((depth, i));
        }
    }
    minima.sort_by(|a, b| b.0.total_cmp(&a.0));
    let mut kept: Vec<usize> = Vec::new();
    for (_, i) in minima.into_iter().filter(|m| m.0 > RISE) {
        let apart = |k: &usize| {
            let (a, b) = (i.min(*k), i.max(*k));
            highest(&curve[a..=b]) > RISE * curve[a].1.max(curve[b].1)
        };
        if kept.len() < most && kept.iter().all(apart) {
            kept.push(i);
        }
    }
    kept.sort_unstable();
    kept.into_iter().map(|i| curve[i].0).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn two_waists_of_three_humps_are_found_and_a_ripple_is_not() {
        let curve: Vec<(f64, f64)> = (0..300)
            .map(|i| {
                let x = f64::from(i) * 0.1;
                (x, 60.0 - 40.0 * (x * std::f64::consts::TAU / 10.0).cos() + 0.5 * (9.0 * x).sin())
            })
            .collect();
        let found = waists(&curve, 2);
        assert!(found.len() == 2 && (found[0] - 10.0).abs() < 0.5 && (found[1] - 20.0).abs() < 0.5, "{found:?}");
    }
}

//! What a direction of withdrawal leaves behind: facets that something lies over, their area and depth.
//!
//! A facet is undercut when a ray from it along the direction meets the surface: it faces away, or another part hides it. The **depth** is how
//! far it would have to stand out, square to the direction and along its own horizontal normal, to be free: the reading of a gauge against a
//! rod along the direction. The underside of a body, which no direction from above can free, can be left out ([`crate::Withdrawal`]).

use crate::solid::{ShapeError, at_least_zero};
use crate::surface::Surface;
use crate::vector::{V, add, cross, dot, norm, scale, sub, unit};
use rayon::prelude::*;

/// What counts as undercut.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Withdrawal {
    /// Facets whose normal lies within this angle (radian) of the direction opposite to the withdrawal are the underside and left out, if
    /// nothing lies under them; 0 leaves nothing out.
    pub floor: f64,
    /// Least depth: facets of a curved wall overhang one another by the square of their size over eight radii, scans by their noise.
    pub least_depth: f64,
}

/// What is undercut for a direction.
#[derive(Debug, Clone, PartialEq)]
pub struct Undercut {
    /// The direction of withdrawal, unit.
    pub direction: [f64; 3],
    /// Undercut facets.
    pub facets: Vec<u32>,
    /// Depth of each of them.
    pub depths: Vec<f64>,
    /// Their area.
    pub area: f64,
    /// Greatest depth.
    pub depth: f64,
    /// Where the greatest depth is.
    pub deepest: Option<[f64; 3]>,
}

/// Facets that cannot be drawn along `direction`.
///
/// # Errors
/// No direction; a floor beyond a right angle, a depth below 0.
pub fn undercut(surface: &Surface, direction: [f64; 3], what: &Withdrawal) -> Result<Undercut, ShapeError> {
    let d = unit(direction).ok_or(ShapeError::NoDirection("direction of withdrawal"))?;
    let scene = Scene::new(surface, what)?;
    let found: Vec<(u32, f64)> = scene.hidden(d).into_par_iter().map(|f| (f, scene.depth(f, d))).collect();
    let area = found.iter().map(|(f, _)| surface.facet_area(*f)).sum();
    let deepest = found.iter().max_by(|a, b| a.1.total_cmp(&b.1).then(b.0.cmp(&a.0)));
    Ok(Undercut {
        direction: d,
        area,
        depth: deepest.map_or(0.0, |x| x.1),
        deepest: deepest.map(|x| surface.middle(x.0)),
        facets: found.iter().map(|x| x.0).collect(),
        depths: found.iter().map(|x| x.1).collect(),
    })
}

/// The direction within `cone` (radian) of `around` that leaves the least undercut; where several leave none, the one that walls lean
/// from most evenly (least square of what they lack to 10 degrees).
pub fn best_direction(
    surface: &Surface,
    around: [f64; 3],
    cone: f64,
    what: &Withdrawal,
) -> Result<Undercut, ShapeError> {
    let axis = unit(around).ok_or(ShapeError::NoDirection("direction of withdrawal"))?;
    if !(0.0..=std::f64::consts::PI).contains(&cone) {
        return Err(ShapeError::OutOfRange { quantity: "cone", found: cone, expected: "0 to pi" });
    }
    let scene = Scene::new(surface, what)?;
    let mut candidates: Vec<(f64, V)> = spread(axis, cone).into_par_iter().map(|d| (scene.steepness(d), d)).collect();
    candidates.sort_by(|a, b| a.0.total_cmp(&b.0));
    candidates.truncate(12);
    let score = |d: V| (scene.hidden_area(d), scene.steepness(d));
    let mut scored: Vec<((f64, f64), V)> = candidates.par_iter().map(|(_, d)| (score(*d), *d)).collect();
    scored.sort_by(|a, b| better(a.0, b.0, scene.whole));
    let (mut best, mut here) = scored[0];
    let mut step = 0.06f64.min(cone.max(1e-9));
    // Two scores within the tolerance of one another could take turns: the count ends that.
    for _ in 0..MOST_STEPS {
        if step < 1e-3 {
            break;
        }
        let (u, v) = square(here);
        let tries: Vec<V> = (0..8)
            .map(|k| {
                let (s, c) = (std::f64::consts::FRAC_PI_4 * f64::from(k)).sin_cos();
                let leant = add(here, scale(add(scale(u, c), scale(v, s)), step));
                unit(leant).unwrap_or(here)
            })
            .filter(|d| dot(*d, axis) >= cone.cos() - 1e-12)
            .collect();
        let there = tries
            .par_iter()
            .map(|d| (score(*d), *d))
            .collect::<Vec<_>>()
            .into_iter()
            .min_by(|a, b| better(a.0, b.0, scene.whole));
        match there {
            Some((s, d)) if better(s, best, scene.whole).is_lt() => (best, here) = (s, d),
            _ => step *= 0.5,
        }
    }
    undercut(surface, here, what)
}

/// Steps of the compass search.
const MOST_STEPS: usize = 40;

/// Less undercut first; areas that differ by less than a hundred-thousandth count as the same.
fn better(a: (f64, f64), b: (f64, f64), whole: f64) -> std::cmp::Ordering {
    if (a.0 - b.0).abs() > 1e-5 * whole { a.0.total_cmp(&b.0) } else { a.1.total_cmp(&b.1) }
}

struct Scene<'a> {
    surface: &'a Surface,
    off: f64,
    floor: f64,
    least: f64,
    reach: f64,
    whole: f64,
}

impl<'a> Scene<'a> {
    fn new(surface: &'a Surface, what: &Withdrawal) -> Result<Self, ShapeError> {
        let reach = surface.bound().diagonal();
        if !(0.0..=std::f64::consts::FRAC_PI_2).contains(&what.floor) {
            let expected = "0 to a right angle";
            return Err(ShapeError::OutOfRange { quantity: "angle of the floor", found: what.floor, expected });
        }
        let least = at_least_zero("least depth of an undercut", what.least_depth)?;
        Ok(Self { surface, off: 1e-7 * reach, floor: what.floor, least, reach, whole: surface.area() })
    }

    /// Along the facet's normal, square to a direction.
    fn out(&self, f: u32, d: V) -> Option<V> {
        let n = self.surface.normals()[f as usize];
        let level = sub(n, scale(d, dot(n, d)));
        // Facets square to the direction have no such side.
        unit(level).filter(|_| norm(level) > 1e-6)
    }

    fn start(&self, f: u32) -> V {
        add(self.surface.middle(f), scale(self.surface.normals()[f as usize], self.off))
    }

    fn floor(&self, f: u32, d: V) -> bool {
        let n = self.surface.normals()[f as usize];
        self.floor > 0.0
            && dot(n, d) <= -self.floor.cos()
            && self.surface.ray(self.start(f), scale(d, -1.0), 0.0).is_none()
    }

    /// Facets that the surface keeps from leaving, but for what counts as the floor.
    fn hidden(&self, d: V) -> Vec<u32> {
        let facets: Vec<u32> =
            (0u32..).zip(self.surface.normals()).filter(|(_, n)| dot(**n, **n) > 0.0).map(|x| x.0).collect();
        let standing_out = |f: &u32| {
            let out = self.out(*f, d).map_or([0.0; 3], |out| scale(out, self.least));
            (add(self.start(*f), out), d)
        };
        let rays: Vec<(V, V)> = facets.par_iter().map(standing_out).collect();
        let met = self.surface.rays(&rays, self.off);
        let held = facets.into_par_iter().zip(met).filter(|(f, met)| met.is_some() && !self.floor(*f, d));
        held.map(|(f, _)| f).collect()
    }

    fn hidden_area(&self, d: V) -> f64 {
        self.hidden(d).into_iter().map(|f| self.surface.facet_area(f)).sum()
    }

    /// What the walls lack to a lean of 10 degrees, squared, by area.
    fn steepness(&self, d: V) -> f64 {
        let wanted = 10f64.to_radians().sin();
        let floor = self.floor.cos();
        let of = |(f, n): (usize, &V)| {
            let lean = dot(*n, d);
            let counts = self.floor <= 0.0 || lean > -floor;
            if counts { self.surface.facet_area(f as u32) * (wanted - lean).max(0.0).powi(2) } else { 0.0 }
        };
        self.surface.normals().iter().enumerate().map(of).sum()
    }

    fn depth(&self, f: u32, d: V) -> f64 {
        let Some(out) = self.out(f, d) else { return 0.0 };
        let start = self.start(f);
        let free = |s: f64| self.surface.ray(add(start, scale(out, s)), d, self.off).is_none();
        let stride = self.reach / 64.0;
        let Some(last) = (1..=64).map(|k| stride * f64::from(k)).find(|s| free(*s)) else { return self.reach };
        let (mut low, mut high) = (last - stride, last);
        for _ in 0..40 {
            let middle = 0.5 * (low + high);
            if free(middle) {
                high = middle;
            } else {
                low = middle;
            }
        }
        high
    }
}

/// Directions within a cone, about two degrees apart (sunflower).
fn spread(axis: V, cone: f64) -> Vec<V> {
    let (u, v) = square(axis);
    let area = 2.0 * std::f64::consts::PI * (1.0 - cone.cos());
    let count = (area / 0.0012).ceil().clamp(1.0, 12_000.0) as usize;
    (0..=count)
        .filter_map(|k| {
            let z = 1.0 - (1.0 - cone.cos()) * k as f64 / count as f64;
            let (s, c) = (k as f64 * 2.399963229728653).sin_cos();
            let r = (1.0 - z * z).max(0.0).sqrt();
            unit(add(scale(axis, z), add(scale(u, r * c), scale(v, r * s))))
        })
        .collect()
}

/// Two directions square to one and to each other.
pub(super) fn square(d: V) -> (V, V) {
    let least = (0..3).fold(0, |a, i| if d[i].abs() < d[a].abs() { i } else { a });
    let mut e = [0.0; 3];
    e[least] = 1.0;
    let across = cross(d, e);
    let u = scale(across, 1.0 / norm(across));
    (u, cross(d, u))
}

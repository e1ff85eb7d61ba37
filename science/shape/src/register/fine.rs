//! Fine alignment: point to plane, outliers trimmed.
//!
//! Samples of equal area on the moving surface; each step pairs every sample with the nearest place of the fixed surface, drops pairs whose
//! normals differ by more than 60 degrees or whose distance is beyond three robust standard deviations (1.4826 median |d|, never below a tenth of the
//! tolerance), and moves by the least squares of the distances along the fixed normals (Chen and Medioni 1992, Image Vis Comput 10:145-155,
//! doi 10.1016/0262-8856(92)90066-C), directions that the pairs do not fix left alone. It stops when a step is lost in rounding.
//!
//! Quality: share of the moving surface within the tolerance (overlap), root mean square of these distances, and the motions that the surfaces
//! leave free ([`super::Freedom`]). Too little overlap is an error, not a result.

use super::freedom::{Freedom, freedoms};
use crate::eigen::symmetric;
use crate::motion::Motion;
use crate::solid::{ShapeError, positive};
use crate::surface::Surface;
use crate::vector::{V, add, cross, dot, norm, scale, sub};
use rayon::prelude::*;

/// How to align.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Fit {
    /// Distance up to which a place of the moving surface counts as lying on the fixed one.
    pub tolerance: f64,
    /// Least share of the moving surface that must, 0 to 1.
    pub least_overlap: f64,
    /// Samples on the moving surface.
    pub samples: usize,
    /// Most steps.
    pub steps: usize,
}

impl Default for Fit {
    fn default() -> Self {
        Self { tolerance: 0.1, least_overlap: 0.7, samples: 6000, steps: 100 }
    }
}

/// A fine alignment with its quality.
#[derive(Debug, Clone, PartialEq)]
pub struct Aligned {
    /// Where the moving surface goes.
    pub motion: Motion,
    /// Root mean square distance of the places within the tolerance.
    pub rms: f64,
    /// Share of the moving surface within the tolerance, 0 to 1.
    pub overlap: f64,
    /// Motions that the surfaces do not fix.
    pub freedoms: Vec<Freedom>,
    /// Smallest over greatest eigenvalue of the normal equations: near 0 where something slides.
    pub conditioning: f64,
}

/// Lays `moving` on `fixed`, starting from `start`.
///
/// # Errors
/// A tolerance not above 0, a surface without area, surfaces that do not belong together ([`ShapeError::DoNotBelong`]).
pub fn align(moving: &Surface, fixed: &Surface, start: Motion, fit: &Fit) -> Result<Aligned, ShapeError> {
    positive("tolerance", fit.tolerance)?;
    let samples = Sampled::of(moving, fit.samples.max(50))?;
    let motion = refine(&samples, fixed, start, fit);
    let pairs = samples.pairs(fixed, &motion);
    let close: Vec<&Pair> = pairs.iter().flatten().filter(|p| p.off.abs() <= fit.tolerance).collect();
    let overlap = close.len() as f64 / samples.places.len() as f64;
    if overlap < fit.least_overlap || close.len() < 12 {
        return Err(ShapeError::DoNotBelong {
            overlap: 100.0 * overlap,
            least: 100.0 * fit.least_overlap,
            tolerance: fit.tolerance,
        });
    }
    let rms = (close.iter().map(|p| p.off * p.off).sum::<f64>() / close.len() as f64).sqrt();
    let system = System::of(close.iter().copied());
    let (values, vectors) = symmetric(system.matrix);
    Ok(Aligned {
        motion,
        rms,
        overlap,
        freedoms: freedoms(&values, &vectors, system.centre, system.radius),
        conditioning: values[5] / values[0],
    })
}

/// Places of equal area on a surface.
pub(super) struct Sampled {
    pub(super) places: Vec<V>,
    normals: Vec<V>,
}

/// A sample and its partner.
#[derive(Debug, Clone, Copy)]
pub(super) struct Pair {
    place: V,
    normal: V,
    /// Along the partner's normal.
    off: f64,
    apart: f64,
}

impl Sampled {
    pub(super) fn of(surface: &Surface, count: usize) -> Result<Self, ShapeError> {
        let whole = surface.area();
        if whole <= 0.0 {
            return Err(ShapeError::Empty);
        }
        let (step, mut sum, mut taken) = (whole / count as f64, 0.0, 0usize);
        let (mut places, mut normals) = (Vec::with_capacity(count), Vec::with_capacity(count));
        for (f, n) in surface.normals().iter().enumerate() {
            sum += surface.facet_area(f as u32);
            while taken < count && (taken as f64 + 0.5) * step < sum {
                let at = |k: f64| ((taken + 1) as f64 * k).fract();
                let (r, t) = (at(0.7548776662).sqrt(), at(0.5698402910));
                let [a, b, c] = surface.corners(f as u32);
                places.push(add(scale(a, 1.0 - r), add(scale(b, r * (1.0 - t)), scale(c, r * t))));
                normals.push(*n);
                taken += 1;
            }
        }
        Ok(Self { places, normals })
    }

    fn pairs(&self, fixed: &Surface, motion: &Motion) -> Vec<Option<Pair>> {
        let partner = |(p, n): (&V, &V)| {
            let place = motion.apply(*p);
            let nearest = fixed.closest(place);
            let normal = fixed.normals()[nearest.facet as usize];
            let way = sub(place, nearest.place);
            let same_side = dot(motion.turned(*n), normal) > 0.5;
            same_side.then(|| Pair { place, normal, off: dot(way, normal), apart: norm(way) })
        };
        self.places.par_iter().zip(&self.normals).map(partner).collect()
    }

    /// Mean distance of the nearer seven in ten.
    pub(super) fn trimmed(&self, fixed: &Surface, motion: &Motion) -> f64 {
        let far = fixed.bound().diagonal();
        let mut apart: Vec<f64> = self.pairs(fixed, motion).iter().map(|p| p.map_or(far, |p| p.apart)).collect();
        apart.sort_by(f64::total_cmp);
        let kept = (apart.len() * 7 / 10).max(1);
        apart.iter().take(kept).sum::<f64>() / kept as f64
    }
}

/// Steps until nothing moves.
pub(super) fn refine(samples: &Sampled, fixed: &Surface, start: Motion, fit: &Fit) -> Motion {
    let mut motion = start;
    for _ in 0..fit.steps {
        let pairs: Vec<Pair> = samples.pairs(fixed, &motion).into_iter().flatten().collect();
        if pairs.len() < 12 {
            break;
        }
        let mut apart: Vec<f64> = pairs.iter().map(|p| p.apart).collect();
        apart.sort_by(f64::total_cmp);
        let limit = (3.0 * 1.4826 * apart[apart.len() / 2]).max(0.1 * fit.tolerance);
        let system = System::of(pairs.iter().filter(|p| p.apart <= limit));
        let (step, size) = system.step();
        motion = motion.then(&step);
        if size < 1e-12 * system.radius {
            break;
        }
    }
    motion
}

/// Normal equations of a small motion about the pairs' centre; turns are scaled by the radius, so that all six unknowns are lengths.
struct System {
    matrix: [[f64; 6]; 6],
    right: [f64; 6],
    centre: V,
    radius: f64,
}

impl System {
    fn of<'a>(pairs: impl Iterator<Item = &'a Pair> + Clone) -> Self {
        let count = pairs.clone().count().max(1) as f64;
        let centre = scale(pairs.clone().fold([0.0; 3], |m, p| add(m, p.place)), 1.0 / count);
        let square = |p: &Pair| {
            let d = sub(p.place, centre);
            dot(d, d)
        };
        let radius = (pairs.clone().map(square).sum::<f64>() / count).sqrt().max(f64::MIN_POSITIVE);
        let (mut matrix, mut right) = ([[0.0; 6]; 6], [0.0; 6]);
        for p in pairs {
            let turn = scale(cross(sub(p.place, centre), p.normal), 1.0 / radius);
            let row = [turn[0], turn[1], turn[2], p.normal[0], p.normal[1], p.normal[2]];
            for i in 0..6 {
                right[i] -= row[i] * p.off / count;
                for (m, x) in matrix[i].iter_mut().zip(row) {
                    *m += row[i] * x / count;
                }
            }
        }
        Self { matrix, right, centre, radius }
    }

    /// The step and its length.
    fn step(&self) -> (Motion, f64) {
        let (values, vectors) = symmetric(self.matrix);
        let mut x = [0.0; 6];
        for (value, vector) in values.iter().zip(vectors) {
            if *value > 1e-9 * values[0] {
                let along = (0..6).map(|i| vector[i] * self.right[i]).sum::<f64>() / value;
                (0..6).for_each(|i| x[i] += along * vector[i]);
            }
        }
        let turn = scale([x[0], x[1], x[2]], 1.0 / self.radius);
        let angle = norm(turn).min(0.5);
        let shift = [x[3], x[4], x[5]];
        let about = match Motion::turn(turn, angle, [0.0; 3]) {
            Ok(m) => m,
            Err(_) => Motion::none(),
        };
        let back = sub(self.centre, about.apply(self.centre));
        let step = Motion::of_rows(about.rows(), add(back, shift));
        (step, (0..6).map(|i| x[i] * x[i]).sum::<f64>().sqrt())
    }
}

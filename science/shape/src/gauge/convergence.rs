//! How walls converge towards a direction: the total angle between opposite walls.
//!
//! The lean of a wall facet is asin(n.d): the angle between the facet and the direction, positive where it can be drawn. Walls are facets that
//! lean less than `wall` either way. Leans are averaged by area in 36 sectors around the direction; the total angle in a sector is its lean plus
//! that of the sector opposite. Facets about which something lies overhead count as any other: see [`crate::undercut`] for those.

use super::undercut::square;
use crate::solid::ShapeError;
use crate::surface::Surface;
use crate::vector::{dot, unit};

const SECTORS: usize = 36;

/// Angles between opposite walls, radian.
#[derive(Debug, Clone, PartialEq)]
pub struct Convergence {
    /// Mean over sectors by area.
    pub mean: f64,
    /// Least and greatest of a pair of opposite sectors.
    pub range: [f64; 2],
    /// Direction, square to the direction of withdrawal, in which the greatest angle is.
    pub widest: [f64; 3],
    /// Area of the walls.
    pub wall_area: f64,
    /// Height of the walls along the direction.
    pub wall_height: f64,
}

/// Convergence of the walls towards `direction`; `wall` is the greatest lean of a wall (radian).
///
/// # Errors
/// No direction; no pair of opposite walls.
pub fn convergence(surface: &Surface, direction: [f64; 3], wall: f64) -> Result<Convergence, ShapeError> {
    let d = unit(direction).ok_or(ShapeError::NoDirection("direction of withdrawal"))?;
    let (u, v) = square(d);
    let mut sectors = [(0.0, 0.0); SECTORS];
    let (mut low, mut high) = (f64::INFINITY, f64::NEG_INFINITY);
    for (f, n) in surface.normals().iter().enumerate() {
        let lean = dot(*n, d).clamp(-1.0, 1.0).asin();
        if dot(*n, *n) == 0.0 || lean.abs() >= wall {
            continue;
        }
        let turn = dot(*n, v).atan2(dot(*n, u)) / (2.0 * std::f64::consts::PI);
        let sector = (turn.rem_euclid(1.0) * SECTORS as f64) as usize % SECTORS;
        let area = surface.facet_area(f as u32);
        sectors[sector] = (sectors[sector].0 + area * lean, sectors[sector].1 + area);
        for p in surface.corners(f as u32) {
            (low, high) = (low.min(dot(p, d)), high.max(dot(p, d)));
        }
    }
    let lean = |s: usize| (sectors[s].1 > 0.0).then(|| sectors[s].0 / sectors[s].1);
    let pairs: Vec<(usize, f64, f64)> = (0..SECTORS / 2)
        .filter_map(|s| {
            let other = s + SECTORS / 2;
            Some((s, lean(s)? + lean(other)?, sectors[s].1 + sectors[other].1))
        })
        .collect();
    let area: f64 = pairs.iter().map(|p| p.2).sum();
    let widest = pairs.iter().max_by(|a, b| a.1.total_cmp(&b.1)).ok_or(ShapeError::NoSection)?;
    let (sine, cosine) = (2.0 * std::f64::consts::PI * (widest.0 as f64 + 0.5) / SECTORS as f64).sin_cos();
    Ok(Convergence {
        mean: pairs.iter().map(|p| p.1 * p.2).sum::<f64>() / area,
        range: [pairs.iter().map(|p| p.1).fold(f64::INFINITY, f64::min), widest.1],
        widest: std::array::from_fn(|i| cosine * u[i] + sine * v[i]),
        wall_area: sectors.iter().map(|s| s.1).sum(),
        wall_height: high - low,
    })
}

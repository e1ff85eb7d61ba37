//! Wall thickness in two ways, both defined at every facet and place.
//!
//! - **ray**: length from the place inward against its normal to the next facet; none where the ray leaves through a hole.
//! - **ball**: diameter of the largest ball inside the body that touches the surface at the place. Found by shrinking (Ma, Bae, Choi 2012, Vis
//!   Comput 28:7-19, doi 10.1007/s00371-011-0594-7): with centre c = p - r n and nearest place q of the surface, r' = |p-q|^2/(2 n.(p-q)) until
//!   nothing lies within the ball. Never above the ray.
//!
//! At a place shared by facets the ball is that of its facets, weighted by area: at the corner of a polyhedron no ball fits, which says nothing of
//! the wall. Ball values follow the facets' own curvature: on a coarse surface they are a little less than on the body.

use crate::surface::Surface;
use crate::vector::{V, add, dot, scale, sub};
use rayon::prelude::*;

/// Thickness at a place.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Thickness {
    /// Where.
    pub place: [f64; 3],
    /// Along the inward normal; `None` where nothing lies there.
    pub ray: Option<f64>,
    /// Diameter of the largest inscribed ball that touches there.
    pub ball: f64,
}

/// At the centroid of each facet.
pub fn thickness_at_facets(surface: &Surface) -> Vec<Thickness> {
    let skip = skip(surface);
    let places: Vec<V> = (0..surface.facets().len() as u32).into_par_iter().map(|f| surface.middle(f)).collect();
    let rays = inward(surface, &places, surface.normals(), skip);
    let all = places.into_par_iter().zip(surface.normals()).zip(rays);
    all.map(|((place, normal), ray)| Thickness { place, ray, ball: ball(surface, place, *normal, ray, skip) }).collect()
}

/// At each place of the surface.
pub fn thickness_at_points(surface: &Surface) -> Vec<Thickness> {
    let (skip, at_facets) = (skip(surface), thickness_at_facets(surface));
    let mut sums = vec![(0.0, 0.0); surface.points().len()];
    for (f, corners) in surface.facets().iter().enumerate() {
        let area = surface.facet_area(f as u32);
        for v in corners {
            let s = &mut sums[*v as usize];
            *s = (s.0 + area * at_facets[f].ball, s.1 + area);
        }
    }
    let rays = inward(surface, surface.points(), surface.point_normals(), skip);
    let places = surface.points().par_iter().zip(rays).zip(sums);
    places
        .map(|((place, ray), (sum, area))| Thickness {
            place: *place,
            ray,
            ball: if area > 0.0 { sum / area } else { 0.0 },
        })
        .collect()
}

/// Share of its radius by which a ball may be too large.
const TOUCHES: f64 = 2e-5;

/// Hits nearer than this are the facet the ray starts from.
fn skip(surface: &Surface) -> f64 {
    1e-7 * surface.bound().diagonal()
}

/// Lengths from places against their normals to the next facet.
fn inward(surface: &Surface, places: &[V], normals: &[V], skip: f64) -> Vec<Option<f64>> {
    let rays: Vec<(V, V)> = places.iter().zip(normals).map(|(p, n)| (*p, scale(*n, -1.0))).collect();
    surface.rays(&rays, skip).into_iter().map(|met| met.map(|m| m.along)).collect()
}

fn ball(surface: &Surface, place: V, normal: V, ray: Option<f64>, skip: f64) -> f64 {
    if dot(normal, normal) == 0.0 {
        return 0.0;
    }
    let mut r = 0.5 * ray.unwrap_or_else(|| surface.bound().diagonal());
    for _ in 0..60 {
        let centre = add(place, scale(normal, -r));
        let Some(q) = surface.closest_within(centre, r * (1.0 - TOUCHES) - skip) else { break };
        let off = sub(place, q.place);
        let towards = dot(normal, off);
        if towards <= 0.0 {
            break;
        }
        let next = dot(off, off) / (2.0 * towards);
        if next >= r * (1.0 - 1e-12) {
            break;
        }
        r = next;
    }
    2.0 * r
}

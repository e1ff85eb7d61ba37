//! Ball, block with rounded edges, ellipsoid, capsule: exact distances.

use crate::solid::{Aabb, ShapeError, Solid, at_least_zero, finite, positive};
use crate::vector::{add, dot, norm, scale, sub};

/// A ball.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Ball {
    centre: [f64; 3],
    radius: f64,
}

impl Ball {
    /// Errors unless the radius is above 0.
    pub fn new(centre: [f64; 3], radius: f64) -> Result<Self, ShapeError> {
        Ok(Self { centre: finite("centre of the ball", centre)?, radius: positive("radius of the ball", radius)? })
    }
}

impl Solid for Ball {
    fn distance(&self, p: [f64; 3]) -> f64 {
        norm(sub(p, self.centre)) - self.radius
    }
    fn bound(&self) -> Aabb {
        Aabb { low: self.centre, high: self.centre }.grown(self.radius)
    }
}

/// A block along the axes with all edges rounded by one radius.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Block {
    centre: [f64; 3],
    half: [f64; 3],
    edge: f64,
}

impl Block {
    /// Full edge lengths `size`, edge radius at most half the shortest edge.
    pub fn new(centre: [f64; 3], size: [f64; 3], edge: f64) -> Result<Self, ShapeError> {
        finite("centre of the block", centre)?;
        for s in size {
            positive("edge length of the block", s)?;
        }
        at_least_zero("edge radius of the block", edge)?;
        let half = scale(size, 0.5);
        if half.iter().any(|h| edge > *h) {
            let expected = "at most half the shortest edge";
            return Err(ShapeError::OutOfRange { quantity: "edge radius of the block", found: edge, expected });
        }
        Ok(Self { centre, half, edge })
    }
}

impl Solid for Block {
    fn distance(&self, p: [f64; 3]) -> f64 {
        let d = sub(p, self.centre);
        let q: [f64; 3] = std::array::from_fn(|i| d[i].abs() - self.half[i] + self.edge);
        let inside = q[0].max(q[1]).max(q[2]).min(0.0);
        norm(q.map(|x| x.max(0.0))) + inside - self.edge
    }
    fn bound(&self) -> Aabb {
        Aabb { low: sub(self.centre, self.half), high: add(self.centre, self.half) }
    }
}

/// An ellipsoid along the axes. Closest point by the root of its one-parameter form (Eberly 2013, Distance from a point to an
/// ellipsoid, Geometric Tools, memory), by Newton to machine precision.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Ellipsoid {
    centre: [f64; 3],
    semi: [f64; 3],
}

impl Ellipsoid {
    /// Semi-axes along x, y, z.
    pub fn new(centre: [f64; 3], semi: [f64; 3]) -> Result<Self, ShapeError> {
        finite("centre of the ellipsoid", centre)?;
        for s in semi {
            positive("semi-axis of the ellipsoid", s)?;
        }
        Ok(Self { centre, semi })
    }
}

impl Solid for Ellipsoid {
    fn distance(&self, p: [f64; 3]) -> f64 {
        let y = sub(p, self.centre).map(f64::abs);
        let e = self.semi;
        let inside = (0..3).map(|i| (y[i] / e[i]).powi(2)).sum::<f64>() < 1.0;
        let shortest = if e[0] <= e[1] && e[0] <= e[2] {
            0
        } else if e[1] <= e[2] {
            1
        } else {
            2
        };
        let s = e[shortest];
        // Closest point x_i = e_i^2 y_i/(t + e_i^2) with sum (x_i/e_i)^2 = 1; the root lies above -s^2.
        let point = |t: f64| -> [f64; 3] { std::array::from_fn(|i| e[i] * e[i] * y[i] / (t + e[i] * e[i])) };
        let excess = |t: f64| point(t).iter().zip(&e).map(|(x, e)| (x / e).powi(2)).sum::<f64>() - 1.0;
        let mut low = s * y[shortest] - s * s;
        if y[shortest] == 0.0 {
            // Without a component along the shortest axis the closest point may leave the plane of the other two.
            let almost = std::array::from_fn::<f64, 3, _>(|i| {
                let gap = e[i] * e[i] - s * s;
                if gap > 0.0 { e[i] * e[i] * y[i] / gap } else { 0.0 }
            });
            let used: f64 = (0..3).map(|i| (almost[i] / e[i]).powi(2)).sum();
            let round = (0..3).any(|i| i != shortest && e[i] == s && y[i] > 0.0);
            if used < 1.0 && !round {
                let mut x = almost;
                x[shortest] = s * (1.0 - used).sqrt();
                return -norm(sub(y, x));
            }
            low = low.max(-s * s * (1.0 - 1e-15));
        }
        // The excess is convex and falls above -s^2, so Newton from the low side climbs to the root without passing it.
        let slope = |t: f64| (0..3).map(|i| -2.0 * (e[i] * y[i]).powi(2) / (t + e[i] * e[i]).powi(3)).sum::<f64>();
        let mut t = low;
        for _ in 0..200 {
            let next = t - excess(t) / slope(t);
            if next.is_nan() || next <= t {
                break;
            }
            t = next;
        }
        let d = norm(sub(y, point(t)));
        if inside { -d } else { d }
    }
    fn bound(&self) -> Aabb {
        Aabb { low: sub(self.centre, self.semi), high: add(self.centre, self.semi) }
    }
}

/// All points within a radius of a segment.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Capsule {
    from: [f64; 3],
    along: [f64; 3],
    radius: f64,
}

impl Capsule {
    /// Ends of the segment (they may coincide) and radius.
    pub fn new(from: [f64; 3], to: [f64; 3], radius: f64) -> Result<Self, ShapeError> {
        let (from, to) = (finite("start of the capsule", from)?, finite("end of the capsule", to)?);
        Ok(Self { from, along: sub(to, from), radius: positive("radius of the capsule", radius)? })
    }
}

impl Solid for Capsule {
    fn distance(&self, p: [f64; 3]) -> f64 {
        let d = sub(p, self.from);
        let length2 = dot(self.along, self.along);
        let t = if length2 > 0.0 { (dot(d, self.along) / length2).clamp(0.0, 1.0) } else { 0.0 };
        norm(sub(d, scale(self.along, t))) - self.radius
    }
    fn bound(&self) -> Aabb {
        let to = add(self.from, self.along);
        Aabb { low: self.from, high: self.from }.join(&Aabb { low: to, high: to }).grown(self.radius)
    }
}

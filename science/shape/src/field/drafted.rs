//! The largest part of a body without undercut along z, with at least a given taper, standing on a floor.
//!
//! Section by section upward: g(z) = max( g_R(z), g(z - h) + h tan(theta) ), g_R the body's distance within its own section (its distance over
//! the horizontal part of its gradient). What has left the section stays outside above; every wall leans in by at least theta. Below the floor
//! the body `below` stands as it is.

use super::Field;

/// Least horizontal part of a gradient that counts: where a surface lies flatter, its distance is taken as it is.
const FLATTEST: f64 = 0.3;

impl Field {
    /// The drafted body (the floor must lie inside the body, away from its flat ends): `floor` gives the height at which walls begin over each place of the section, `tangent` that of the angle between wall and
    /// z. Both fields share a lattice.
    #[must_use]
    pub fn drafted(&self, below: &Self, floor: impl Fn(f64, f64) -> f64, tangent: f64) -> Self {
        let [nx, ny, nz] = self.nodes;
        let plane = nx * ny;
        let mut values = below.values.clone();
        let rise = self.cell * tangent;
        let mut last = vec![f64::NEG_INFINITY; plane];
        let floors: Vec<f64> = (0..plane)
            .map(|n| {
                let [x, y, _] = self.place([n % nx, n / nx, 0]);
                floor(x, y)
            })
            .collect();
        for k in 0..nz {
            let z = self.origin[2] + k as f64 * self.cell;
            for n in 0..plane {
                if z < floors[n] {
                    continue;
                }
                let node = n + plane * k;
                let [gx, gy, _] = self.node_gradient(node);
                let own = self.values[node] / (gx * gx + gy * gy).sqrt().max(FLATTEST);
                last[n] = own.max(last[n] + rise);
                values[node] = last[n].max(below.values[node]);
            }
        }
        Self { values, ..self.lattice() }
    }
}

#[cfg(test)]
mod tests {
    use crate::{Ball, Block, Field, Solid};

    #[test]
    fn a_ball_keeps_its_upper_half_and_a_straight_foot() {
        let ball = Ball::new([0.0; 3], 3.0).unwrap();
        let body = Field::of(&ball, 0.1).unwrap();
        // From its widest place upwards nothing is undercut.
        let upper = body.drafted(&body, |_, _| 0.0, 0.0);
        assert!((upper.volume() / body.volume() - 1.0).abs() < 2e-3);
        // From -1.8 upwards walls rise straight from the section there, radius 2.4, to where the ball meets them again at 1.8.
        let straight = body.drafted(&body, |_, _| -1.8, 0.0).redistanced();
        let cylinder = std::f64::consts::PI * 2.4f64.powi(2) * 3.6;
        let cap = std::f64::consts::PI * 1.2f64.powi(2) * (3.0 - 0.4);
        let found = straight.volume();
        // 2 %: walls move in steps of the lattice.
        assert!((found / (cylinder + 2.0 * cap) - 1.0).abs() < 0.02, "{found}");
    }

    #[test]
    fn walls_lean_in_by_the_taper() {
        let block = Block::new([0.0, 0.0, 1.0], [4.0, 4.0, 6.0], 0.0).unwrap();
        let body = Field::of(&block, 0.1).unwrap();
        let tapered = body.drafted(&body, |_, _| 0.0, 0.1).redistanced();
        // A frustum of half-width 2 at the foot and 1.6 at 4 mm.
        // It stands on 2 mm of the block.
        let exact = 32.0 + 4.0 / 3.0 * (16.0 + 4.0 * 1.6 * 1.6 + (16.0f64 * 4.0 * 1.6 * 1.6).sqrt());
        assert!((tapered.volume() / exact - 1.0).abs() < 0.02, "{} against {exact}", tapered.volume());
        assert!(tapered.distance([1.9, 0.0, 3.0]) > 0.0 && tapered.distance([1.6, 0.0, 3.0]) < 0.0);
    }
}

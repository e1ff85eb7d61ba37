//! Volume and area of a distance field.
//!
//! V = h^3 sum H(-d / h), H the ramp from 0 at -1/2 to 1 at 1/2; A = h^2 sum delta(d / h) |grad d|, delta the hat of half-width one
//! cell. Both are second order for distances (Engquist, Tornberg, Tsai 2005, J Comput Phys 207:28-51, memory).

use super::Field;

impl Field {
    /// Volume inside.
    pub fn volume(&self) -> f64 {
        self.volume_where(|_| true)
    }

    /// Volume inside over the nodes that are wanted.
    pub fn volume_where(&self, wanted: impl Fn(usize) -> bool) -> f64 {
        let h = self.cell;
        let shares = self.values.iter().enumerate().filter(|(n, _)| wanted(*n));
        shares.map(|(_, d)| (0.5 - d / h).clamp(0.0, 1.0)).sum::<f64>() * h.powi(3)
    }

    /// Area of the surface over the nodes that are wanted.
    pub fn area_where(&self, wanted: impl Fn(usize) -> bool) -> f64 {
        let h = self.cell;
        let near = self.values.iter().enumerate().filter(|(n, d)| d.abs() < h && wanted(*n));
        near.map(|(n, d)| (1.0 - d.abs() / h) * crate::vector::norm(self.node_gradient(n))).sum::<f64>() * h * h
    }

    /// Area of the surface.
    pub fn area(&self) -> f64 {
        self.area_where(|_| true)
    }
}

#[cfg(test)]
mod tests {
    use crate::{Ball, Field};

    #[test]
    fn a_ball_has_its_volume_area_and_distances() {
        let ball = Ball::new([0.1, -0.2, 0.05], 3.0).unwrap();
        // A field with the ball's zero and nothing else of it.
        let bound = crate::Solid::bound(&ball);
        let squared = |_: &(), p: [f64; 3]| {
            let d = crate::Solid::distance(&ball, p) + 3.0;
            d * d * d - 27.0
        };
        let mut last = f64::INFINITY;
        for cell in [0.4, 0.2, 0.1] {
            let field = Field::of_columns(&bound, cell, |_, _| (), squared).unwrap().redistanced();
            let volume = field.volume() / (36.0 * std::f64::consts::PI) - 1.0;
            let area = field.area() / (36.0 * std::f64::consts::PI) - 1.0;
            let off = |from: f64, to: f64| {
                let [nx, ny, _] = field.nodes();
                let at = |n: usize| crate::Solid::distance(&ball, field.place([n % nx, n / nx % ny, n / (nx * ny)]));
                let between =
                    (0..field.values().len()).map(|n| (n, at(n))).filter(|(_, d)| (from..to).contains(&d.abs()));
                between.map(|(n, d)| (field.values()[n] - d).abs()).fold(0.0, f64::max)
            };
            let (near, far) = (off(0.0, 0.8), off(0.8, 3.0));
            // A quarter of a cell near the surface, one and a half in the middle of the ball where all ways meet, falling with the cell; measures
            // by the second order of their sums.
            assert!(near < 0.25 * cell && far < 1.5 * cell && far < last, "distance off by {near}, {far} at {cell}");
            assert!(volume.abs() < 0.06 * cell * cell + 1e-4, "volume off by {volume} at {cell}");
            assert!(area.abs() < 0.3 * cell * cell + 1e-3, "area off by {area} at {cell}");
            last = far;
        }
    }
}

//! True distances from a field that is only right in its zero: fast sweeping for |grad d| = 1 (Zhao 2005, Math Comput 74:603-627,
//! memory).
//!
//! Nodes beside the surface start at (sum over axes of 1 / d_a^2)^(-1/2), d_a the distance to the crossing along axis a by linear
//! interpolation; that is exact for planes. Eight sweeps of the upwind update fill the rest.

use super::Field;

impl Field {
    /// The same body with distances.
    #[must_use]
    pub fn redistanced(&self) -> Self {
        let mut distance = self.beside_the_surface();
        let fixed: Vec<bool> = distance.iter().map(|d| d.is_finite()).collect();
        for sweep in 0..8 {
            self.sweep(&mut distance, &fixed, [sweep & 1 == 1, sweep >> 1 & 1 == 1, sweep >> 2 & 1 == 1]);
        }
        let signed = distance.iter().zip(&self.values).map(|(d, v)| if *v < 0.0 { -d } else { *d });
        Self { values: signed.collect(), ..self.lattice() }
    }

    /// Distance of nodes with a neighbour of the other sign; infinite elsewhere.
    fn beside_the_surface(&self) -> Vec<f64> {
        let [nx, ny, nz] = self.nodes;
        let (counts, strides) = ([nx, ny, nz], [1, nx, nx * ny]);
        let mut distance = vec![f64::INFINITY; self.values.len()];
        for (node, d) in distance.iter_mut().enumerate() {
            let at = [node % nx, node / nx % ny, node / (nx * ny)];
            let v = self.values[node];
            let mut inverse_squares = 0.0;
            for a in 0..3 {
                let mut nearest = f64::INFINITY;
                for (there, other) in
                    [(at[a] > 0, node.wrapping_sub(strides[a])), (at[a] + 1 < counts[a], node + strides[a])]
                {
                    if there && (self.values[other] < 0.0) != (v < 0.0) {
                        nearest = nearest.min(v / (v - self.values[other]) * self.cell);
                    }
                }
                if nearest.is_finite() {
                    inverse_squares += 1.0 / nearest.max(1e-9 * self.cell).powi(2);
                }
            }
            if inverse_squares > 0.0 {
                *d = 1.0 / inverse_squares.sqrt();
            }
        }
        distance
    }

    fn sweep(&self, distance: &mut [f64], fixed: &[bool], back: [bool; 3]) {
        let [nx, ny, nz] = self.nodes;
        let step = |i: usize, n: usize, back: bool| if back { n - 1 - i } else { i };
        let least = |d: &[f64], node: usize, at: usize, n: usize, stride: usize| {
            let below = if at > 0 { d[node - stride] } else { f64::INFINITY };
            let above = if at + 1 < n { d[node + stride] } else { f64::INFINITY };
            below.min(above)
        };
        for k in (0..nz).map(|k| step(k, nz, back[2])) {
            for j in (0..ny).map(|j| step(j, ny, back[1])) {
                for i in (0..nx).map(|i| step(i, nx, back[0])) {
                    let node = i + nx * (j + ny * k);
                    if fixed[node] {
                        continue;
                    }
                    let near = [
                        least(distance, node, i, nx, 1),
                        least(distance, node, j, ny, nx),
                        least(distance, node, k, nz, nx * ny),
                    ];
                    distance[node] = distance[node].min(upwind(near, self.cell));
                }
            }
        }
    }
}

/// Distance at a node from the least of its neighbours along each axis: the root of sum over axes of max(d - d_a, 0)^2 = h^2.
fn upwind(mut near: [f64; 3], h: f64) -> f64 {
    near.sort_by(f64::total_cmp);
    let [a, b, c] = near;
    if !a.is_finite() {
        return f64::INFINITY;
    }
    let one = a + h;
    if one <= b {
        return one;
    }
    let two = 0.5 * (a + b + (2.0 * h * h - (a - b) * (a - b)).max(0.0).sqrt());
    if two <= c {
        return two;
    }
    let sum = a + b + c;
    let squares = a * a + b * b + c * c;
    (sum + (sum * sum - 3.0 * (squares - h * h)).max(0.0).sqrt()) / 3.0
}

//! True distances from a field that is only right in its zero, by handing closest points from node to node (Danielsson 1980, Comput
//! Graph Image Process 14:227-248, memory: there for pictures of two values).
//!
//! Nodes beside the surface get their closest point by two Newton steps along the gradient of the trilinear field. Eight sweeps hand points to
//! neighbours behind; each node keeps the nearest it was offered. Errors: of the second order in the cell at the surface, and
//! elsewhere a fraction of a cell. The foot of each node on the tangent plane at its point, moved onto the surface, removes most of the rest.

use super::Field;
use crate::vector::{dot, norm, sub};

impl Field {
    /// The same body with distances.
    #[must_use]
    pub fn redistanced(&self) -> Self {
        self.redistanced_where(|_| true)
    }

    /// The same body with distances; nodes that are not wanted get theirs to the nearest point found beside the surface only, which is cheaper.
    #[must_use]
    pub fn redistanced_where(&self, wanted: impl Fn(usize) -> bool) -> Self {
        let mut closest = self.points_beside_the_surface();
        let mut distance: Vec<f64> = closest
            .iter()
            .enumerate()
            .map(|(n, c)| c.map_or(f64::INFINITY, |c| norm(sub(self.place(self.at(n)), c))))
            .collect();
        for sweep in 0..8 {
            self.hand_on(&mut closest, &mut distance, [sweep & 1 == 1, sweep >> 1 & 1 == 1, sweep >> 2 & 1 == 1]);
        }
        for (n, d) in distance.iter_mut().enumerate() {
            if let Some(point) = closest[n].filter(|_| wanted(n)) {
                *d = d.min(self.refined(self.place(self.at(n)), point));
            }
        }
        let signed = distance.iter().zip(&self.values).map(|(d, v)| if *v < 0.0 { -d } else { *d });
        Self { values: signed.collect(), ..self.lattice() }
    }

    pub(super) fn at(&self, node: usize) -> [usize; 3] {
        let [nx, ny, _] = self.nodes;
        [node % nx, node / nx % ny, node / (nx * ny)]
    }

    /// Closest points of nodes that have a neighbour of the other sign.
    fn points_beside_the_surface(&self) -> Vec<Option<[f64; 3]>> {
        let [nx, ny, _] = self.nodes;
        let strides = [1, nx, nx * ny];
        let beside = |node: usize| {
            let at = self.at(node);
            let inside = self.values[node] < 0.0;
            (0..3).any(|a| {
                (at[a] > 0 && (self.values[node - strides[a]] < 0.0) != inside)
                    || (at[a] + 1 < self.nodes[a] && (self.values[node + strides[a]] < 0.0) != inside)
            })
        };
        (0..self.values.len()).map(|n| beside(n).then(|| self.projected(n))).collect()
    }

    /// Distance by the foot of a place on the tangent plane of a point, moved onto the surface.
    fn refined(&self, place: [f64; 3], point: [f64; 3]) -> f64 {
        let gradient = self.gradient_of_cell(point);
        let slope2 = dot(gradient, gradient);
        if slope2 <= 0.0 {
            return f64::INFINITY;
        }
        let off = dot(sub(place, point), gradient) / slope2;
        let mut foot: [f64; 3] = std::array::from_fn(|a| place[a] - off * gradient[a]);
        // A foot further than a cell from the point lies where the plane no longer speaks for the surface.
        let aside = norm(sub(foot, point));
        if aside > self.cell {
            foot = std::array::from_fn(|a| point[a] + (foot[a] - point[a]) * self.cell / aside);
        }
        norm(sub(place, self.onto_surface(foot, gradient)))
    }

    /// A node moved onto the zero of the trilinear field.
    fn projected(&self, node: usize) -> [f64; 3] {
        self.onto_surface(self.place(self.at(node)), self.node_gradient(node))
    }

    /// Two Newton steps towards the zero of the trilinear field, moving by at most two cells.
    fn onto_surface(&self, start: [f64; 3], mut gradient: [f64; 3]) -> [f64; 3] {
        let mut p = start;
        for _ in 0..2 {
            let slope2 = dot(gradient, gradient);
            if slope2 <= 0.0 {
                break;
            }
            let step = self.value(p) / slope2;
            p = std::array::from_fn(|a| {
                let limit = 2.0 * self.cell;
                (p[a] - step * gradient[a]).clamp(start[a] - limit, start[a] + limit)
            });
            gradient = self.gradient_of_cell(p);
        }
        p
    }

    /// Gradient of the trilinear field over half a cell to each side.
    fn gradient_of_cell(&self, p: [f64; 3]) -> [f64; 3] {
        let half = 0.5 * self.cell;
        std::array::from_fn(|a| {
            let (mut low, mut high) = (p, p);
            low[a] -= half;
            high[a] += half;
            (self.value(high) - self.value(low)) / self.cell
        })
    }

    fn hand_on(&self, closest: &mut [Option<[f64; 3]>], distance: &mut [f64], back: [bool; 3]) {
        let [nx, ny, nz] = self.nodes;
        let order = |i: usize, n: usize, back: bool| if back { n - 1 - i } else { i };
        let behind =
            |i: usize, n: usize, back: bool| if back { (i + 1 < n).then_some(i + 1) } else { i.checked_sub(1) };
        for k in (0..nz).map(|k| order(k, nz, back[2])) {
            for j in (0..ny).map(|j| order(j, ny, back[1])) {
                for i in (0..nx).map(|i| order(i, nx, back[0])) {
                    let node = i + nx * (j + ny * k);
                    let place = self.place([i, j, k]);
                    for code in 1..8usize {
                        let pick = |bit: usize, at: usize, n: usize, back: bool| {
                            if bit == 1 { behind(at, n, back) } else { Some(at) }
                        };
                        let (Some(a), Some(b), Some(c)) = (
                            pick(code & 1, i, nx, back[0]),
                            pick(code >> 1 & 1, j, ny, back[1]),
                            pick(code >> 2, k, nz, back[2]),
                        ) else {
                            continue;
                        };
                        let Some(point) = closest[a + nx * (b + ny * c)] else { continue };
                        let d = norm(sub(place, point));
                        if d < distance[node] {
                            distance[node] = d;
                            closest[node] = Some(point);
                        }
                    }
                }
            }
        }
    }
}

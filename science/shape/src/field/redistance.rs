//! True distances from a field that is only right in its zero, by handing closest points from node to node (Danielsson 1980, Comput
//! Graph Image Process 14:227-248, memory: there for pictures of two values).
//!
//! Nodes beside the surface get their closest point by two Newton steps along the gradient of the trilinear field. Eight sweeps hand points to
//! neighbours behind; each node keeps the nearest it was offered. Errors: of the second order in the cell at the surface, and
//! elsewhere a fraction of a cell. The foot of each node on the tangent plane at its point, moved onto the surface, removes most of the rest.

use super::Field;
use crate::vector::{dot, norm, sub};
use rayon::prelude::*;

/// A point of the surface beside a node, and the gradient there.
struct Foot {
    point: [f64; 3],
    gradient: [f64; 3],
}

/// Nodes that nothing was handed to yet.
const NONE: u32 = u32::MAX;

impl Field {
    /// The same body with distances.
    #[must_use]
    pub fn redistanced(&self) -> Self {
        self.redistanced_where(|_| true)
    }

    /// The same body with distances; nodes that are not wanted get theirs to the nearest point found beside the surface only, which is cheaper.
    #[must_use]
    pub fn redistanced_where(&self, wanted: impl Fn(usize) -> bool + Sync) -> Self {
        let beside: Vec<usize> = (0..self.values.len()).filter(|n| self.is_beside_the_surface(*n)).collect();
        let feet: Vec<Foot> = beside.par_iter().map(|n| self.foot(*n)).collect();
        let mut closest = vec![NONE; self.values.len()];
        let mut distance = vec![f64::INFINITY; self.values.len()];
        for ((n, foot), number) in beside.iter().zip(&feet).zip(0..) {
            closest[*n] = number;
            distance[*n] = norm(sub(self.place(self.at(*n)), foot.point));
        }
        for sweep in 0..8 {
            self.hand_on(
                &feet,
                &mut closest,
                &mut distance,
                [sweep & 1 == 1, sweep >> 1 & 1 == 1, sweep >> 2 & 1 == 1],
            );
        }
        let signed = |n: usize| {
            let d = match feet.get(closest[n] as usize) {
                Some(foot) if wanted(n) => distance[n].min(self.refined(self.place(self.at(n)), foot)),
                _ => distance[n],
            };
            if self.values[n] < 0.0 { -d } else { d }
        };
        Self { values: (0..self.values.len()).into_par_iter().map(signed).collect(), ..self.lattice() }
    }

    pub(super) fn at(&self, node: usize) -> [usize; 3] {
        let [nx, ny, _] = self.nodes;
        [node % nx, node / nx % ny, node / (nx * ny)]
    }

    /// Whether a neighbour has the other sign.
    fn is_beside_the_surface(&self, node: usize) -> bool {
        let [nx, ny, _] = self.nodes;
        let strides = [1, nx, nx * ny];
        let at = self.at(node);
        let inside = self.values[node] < 0.0;
        (0..3).any(|a| {
            (at[a] > 0 && (self.values[node - strides[a]] < 0.0) != inside)
                || (at[a] + 1 < self.nodes[a] && (self.values[node + strides[a]] < 0.0) != inside)
        })
    }

    /// A node moved onto the zero of the trilinear field.
    fn foot(&self, node: usize) -> Foot {
        let point = self.onto_surface(self.place(self.at(node)), self.node_gradient(node));
        Foot { point, gradient: self.gradient_of_cell(point) }
    }

    /// Distance by the foot of a place on the tangent plane of a point, moved onto the surface.
    fn refined(&self, place: [f64; 3], &Foot { point, gradient }: &Foot) -> f64 {
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

    /// Two Newton steps towards the zero of the trilinear field, moving by at most two cells.
    fn onto_surface(&self, start: [f64; 3], gradient: [f64; 3]) -> [f64; 3] {
        let limit = 2.0 * self.cell;
        let moved = |p: [f64; 3], gradient: [f64; 3]| -> Option<[f64; 3]> {
            let slope2 = dot(gradient, gradient);
            let step = self.value(p) / slope2;
            let to = |a: usize| (p[a] - step * gradient[a]).clamp(start[a] - limit, start[a] + limit);
            (slope2 > 0.0).then(|| std::array::from_fn(to))
        };
        let Some(p) = moved(start, gradient) else { return start };
        moved(p, self.gradient_of_cell(p)).unwrap_or(p)
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

    /// One sweep: every node takes the closest point of a neighbour behind it where that is nearer than its own.
    fn hand_on(&self, feet: &[Foot], closest: &mut [u32], distance: &mut [f64], back: [bool; 3]) {
        let [nx, ny, nz] = self.nodes;
        let order = |i: usize, n: usize, back: bool| if back { n - 1 - i } else { i };
        // Steps in the list of nodes to the seven neighbours behind, without those beyond an end of the lattice.
        let behind: [isize; 3] = std::array::from_fn(|a| [1, nx, nx * ny][a] as isize * if back[a] { 1 } else { -1 });
        let steps = |begins: [bool; 3]| -> Vec<isize> {
            let codes = (1..8usize).filter(|code| (0..3).all(|a| code >> a & 1 == 0 || !begins[a]));
            codes.map(|code| (0..3).map(|a| behind[a] * (code >> a & 1) as isize).sum()).collect()
        };
        for k in 0..nz {
            for j in 0..ny {
                let (y, z) = (order(j, ny, back[1]), order(k, nz, back[2]));
                let (first, others) = (steps([true, j == 0, k == 0]), steps([false, j == 0, k == 0]));
                for i in 0..nx {
                    let x = order(i, nx, back[0]);
                    let (node, place) = (x + nx * (y + ny * z), self.place([x, y, z]));
                    let (mut own, mut least) = (closest[node], distance[node]);
                    for step in if i == 0 { &first } else { &others } {
                        let offered = closest[node.wrapping_add_signed(*step)];
                        if offered == NONE || offered == own {
                            continue;
                        }
                        let d = norm(sub(place, feet[offered as usize].point));
                        if d < least {
                            (own, least) = (offered, d);
                        }
                    }
                    (closest[node], distance[node]) = (own, least);
                }
            }
        }
    }
}

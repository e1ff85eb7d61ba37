//! Integrals over the part of a cell inside a solid, and over the surface in it.
//!
//! Volume integrals are carried as weights at the 125 points of the 5 x 5 x 5 Gauss rule (moment fitting by interpolation; Mueller, Kummer,
//! Oberlack 2013, Int J Numer Meth Eng 96:512-528, doi 10.1002/nme.4569, memory). Three ways of cutting, by what the gradient says of the surface in a cell:
//! - flat pieces only, edges and corners included: the planes cut the cell into convex pieces, kept or dropped whole ([`flat`]); exact;
//! - one smooth piece: tetrahedra with quadratic facets whose nodes lie on the true surface ([`curved`]); fourth power of the cell;
//! - a sharp edge between curved pieces: the cell is halved up to three times, then cut by tangent planes.
//!
//! Flat and curved cuts close up exactly, so the divergence theorem, and with it the patch test, holds as far as the rules are exact.

mod curved;
mod flat;
mod parting;
mod sheets;
mod spread;

use super::basis::{GAUSS5, lagrange};
pub(crate) use parting::{Parting, Seat, Seen, face_each_other, face_within};
use shape::{STEEPEST, Solid};
use sheets::{MOST, Plane, Sheets, flat_plane, is_same, sheets};
use spread::Spread;

/// A point of the surface.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Facet {
    /// Place in the unit cell, and in space (mm).
    pub local: [f64; 3],
    pub at: [f64; 3],
    /// Outward normal.
    pub normal: [f64; 3],
    /// Area, mm2.
    pub area: f64,
}

/// What a cell holds of a solid.
pub(crate) enum Cut {
    /// Nothing.
    Empty,
    /// All of it is inside.
    Full,
    /// Some, in one piece.
    Part(Portion),
    /// Pieces that do not touch inside the cell.
    Parts(Parting, Vec<Portion>),
}

/// Material in a cell: weights (mm3) at the 125 points, x fastest, and the surface.
pub(crate) struct Portion {
    pub weights: Box<[f64; 125]>,
    pub facets: Vec<Facet>,
    /// Places where it touches walls of the cell (low and high x, y, z).
    pub doors: Vec<(u8, V)>,
}

/// Halvings before a sharp edge between curved pieces is cut by tangent planes.
const DEEPEST: u32 = 3;

type V = [f64; 3];
fn sub(a: V, b: V) -> V {
    [a[0] - b[0], a[1] - b[1], a[2] - b[2]]
}
fn along(a: V, t: f64, b: V) -> V {
    [a[0] + t * b[0], a[1] + t * b[1], a[2] + t * b[2]]
}
fn dot(a: V, b: V) -> f64 {
    a[0] * b[0] + a[1] * b[1] + a[2] * b[2]
}
fn cross(a: V, b: V) -> V {
    [a[1] * b[2] - a[2] * b[1], a[2] * b[0] - a[0] * b[2], a[0] * b[1] - a[1] * b[0]]
}
fn norm(a: V) -> f64 {
    dot(a, a).sqrt()
}

/// Cuts the cell with lowest corner `low` and the given edge. Surface is looked for near `hints` (mm) as well.
pub(crate) fn cut(solid: &dyn Solid, low: V, edge: f64, hints: &[V]) -> Cut {
    let middle = solid.distance(low.map(|x| x + 0.5 * edge));
    if middle.abs() > STEEPEST * 0.5 * edge * 3f64.sqrt() {
        return if middle < 0.0 { Cut::Full } else { Cut::Empty };
    }
    let hints: Vec<V> = hints.iter().map(|p| std::array::from_fn(|i| (p[i] - low[i]) / edge)).collect();
    let seen = Seen { solid, low, edge };
    let mut near = Near { planes: planes_at(&seen, &hints), hints };
    let (mut whole, mut seats) = gathered(&seen, &near, None);
    if face_each_other(&whole.facets.iter().collect::<Vec<_>>()) {
        // A wall of a slot seen in one part of the cell is looked for in all of it.
        let some: Vec<V> = whole.facets.iter().step_by(whole.facets.len().div_ceil(48)).map(|f| f.local).collect();
        let before = near.planes.len();
        for plane in planes_at(&seen, &some) {
            if !near.planes.iter().any(|p| is_same(p, &plane)) {
                near.planes.push(plane);
            }
        }
        if near.planes.len() > before {
            (whole, seats) = gathered(&seen, &near, None);
        }
    }
    let share = |p: &Portion| p.weights.iter().sum::<f64>() / edge.powi(3);
    let volume = share(&whole);
    if volume < NOTHING {
        return Cut::Empty;
    }
    if whole.facets.is_empty() && (volume - 1.0).abs() < 1e-9 {
        return Cut::Full;
    }
    if face_each_other(&whole.facets.iter().collect::<Vec<_>>())
        && let Some(mut parting) =
            Parting::find(&seen, &seats).or_else(|| Parting::of_ending_slot(&seen, &seats, &whole.facets))
    {
        loop {
            let part = |k| gathered(&seen, &near, Some((&parting, k))).0;
            let parts: Vec<Portion> = (0..parting.count).map(part).collect();
            let empty: Vec<bool> = parts.iter().map(|p| share(p) < NOTHING).collect();
            if !empty.contains(&true) {
                return Cut::Parts(parting, parts);
            }
            if !parting.drop_parts(&seen, &empty) {
                break;
            }
        }
    }
    Cut::Part(whole)
}

/// Shares of a cell below this are none.
const NOTHING: f64 = 1e-13;

/// The material of a cell, or of one part of it.
fn gathered(seen: &Seen, near: &Near, only: Option<(&Parting, usize)>) -> (Portion, Vec<Seat>) {
    let mut g = Gather::new(seen, near, only);
    g.region([0.0; 3], 1.0, 0);
    g.close();
    let counts = |n: usize| only.is_none_or(|(parting, part)| parting.of_piece(n) == part);
    let seats = g.seats.iter().enumerate().filter(|(n, _)| counts(*n));
    let doors = seats.flat_map(|(_, s)| (0..6).filter_map(|w| s.doors[w].map(|p| (w as u8, p)))).collect();
    g.facets.shrink_to_fit();
    (Portion { weights: g.weights, facets: g.facets, doors }, g.seats)
}

/// Where surface is easily missed.
#[derive(Default)]
struct Near {
    /// Places near it.
    hints: Vec<V>,
    /// Planes it lies on somewhere in or beside the cell.
    planes: Vec<Plane>,
}

/// The planes of the surface at places on it where it is flat, if they cross the unit cell.
fn planes_at(seen: &Seen, places: &[V]) -> Vec<Plane> {
    let near = Near::default();
    let g = Gather::new(seen, &near, None);
    let mut out: Vec<Plane> = vec![];
    for plane in places.iter().filter_map(|at| flat_plane(&g, *at, at.map(|x| x - 0.01), 0.02)) {
        if crosses(&plane, [0.0; 3], 1.0) && out.len() < MOST && !out.iter().any(|p| is_same(p, &plane)) {
            out.push(plane);
        }
    }
    out
}

/// Whether a plane has corners of a box on both sides.
fn crosses((normal, height): &Plane, low: V, size: f64) -> bool {
    let middle = dot(*normal, low.map(|x| x + 0.5 * size)) - height;
    middle.abs() < 0.5 * size * normal.iter().map(|n| n.abs()).sum::<f64>() - 1e-9
}

/// Sums weights and facets of one cell; places are those of the unit cell.
pub(super) struct Gather<'a> {
    solid: &'a dyn Solid,
    low: V,
    edge: f64,
    near: &'a Near,
    /// The one part of the cell that counts.
    only: Option<(&'a Parting, usize)>,
    weights: Box<[f64; 125]>,
    facets: Vec<Facet>,
    /// All pieces, of other parts too.
    seats: Vec<Seat>,
    /// Places and weights not yet spread.
    open: Vec<(V, f64)>,
}

/// Places spread at once.
const TOGETHER: usize = 128;

/// Wall of the unit cell (low and high x, y, z) on which all places lie.
fn walls_of(places: &[V]) -> impl Iterator<Item = usize> {
    let on = |w: usize| places.iter().all(|p| (p[w / 2] - (w % 2) as f64).abs() < 1e-12);
    let all: [bool; 6] = std::array::from_fn(on);
    (0..6).filter(move |w| all[*w])
}

impl<'a> Gather<'a> {
    fn new(seen: &Seen<'a>, near: &'a Near, only: Option<(&'a Parting, usize)>) -> Self {
        let Seen { solid, low, edge } = *seen;
        Self {
            solid,
            low,
            edge,
            near,
            only,
            weights: Box::new([0.0; 125]),
            facets: vec![],
            seats: vec![],
            open: vec![],
        }
    }

    /// Adds known planes that cross a box.
    fn recall(&self, low: V, size: f64, planes: &mut Vec<Plane>) {
        for plane in self.near.planes.iter().filter(|p| crosses(p, low, size)) {
            if !planes.iter().any(|p| is_same(p, plane)) {
                planes.push(*plane);
            }
        }
    }

    /// Notes a piece; whether it belongs to what is gathered.
    fn seat(&mut self, middle: V, doors: [Option<V>; 6]) -> bool {
        self.seats.push(Seat { middle, doors });
        let number = self.seats.len() - 1;
        self.only.is_none_or(|(parting, part)| parting.of_piece(number) == part)
    }

    fn place(&self, local: V) -> V {
        along(self.low, self.edge, local)
    }

    /// Distance in units of the cell; rounding must not leave slivers beside a surface that runs through corners.
    fn distance(&self, local: V) -> f64 {
        let d = self.solid.distance(self.place(local)) / self.edge;
        if d.abs() < 1e-12 { 0.0 } else { d }
    }

    fn region(&mut self, low: V, size: f64, depth: u32) {
        let middle = low.map(|x| x + 0.5 * size);
        let d = self.distance(middle);
        if d.abs() > STEEPEST * 0.5 * size * 3f64.sqrt() {
            if d < 0.0 {
                self.cube(low, size);
            }
            return;
        }
        match sheets(self, low, size) {
            Sheets::None => {
                let mut planes = vec![];
                self.recall(low, size, &mut planes);
                let settled = self.settle(low, size, &mut planes);
                // Without planes a corner of the body may still poke in between the places looked at.
                if settled && !planes.is_empty() || depth >= DEEPEST {
                    self.flat(low, size, &planes, true);
                } else {
                    self.halve(low, size, depth);
                }
            }
            Sheets::Flat(mut planes) => {
                self.recall(low, size, &mut planes);
                if self.settle(low, size, &mut planes) || depth >= 2 * DEEPEST {
                    self.flat(low, size, &planes, true);
                } else {
                    self.halve(low, size, depth);
                }
            }
            Sheets::Smooth => self.curved(low, size, if depth == 0 { 2 } else { 1 }),
            Sheets::Sharp(planes) if depth >= DEEPEST => self.flat(low, size, &planes, false),
            Sheets::Sharp(_) => self.halve(low, size, depth),
        }
    }

    fn halve(&mut self, low: V, size: f64, depth: u32) {
        for c in 0..8 {
            let corner = std::array::from_fn(|i| low[i] + if c >> i & 1 == 1 { 0.5 * size } else { 0.0 });
            self.region(corner, 0.5 * size, depth + 1);
        }
    }

    fn add(&mut self, at: V, weight: f64) {
        self.open.push((at, weight));
        if self.open.len() >= TOGETHER {
            self.close();
        }
    }

    /// Spreads what has been added over the points that carry the weights.
    fn close(&mut self) {
        simd::Arch::new().dispatch(Spread { weights: &mut self.weights, places: &self.open });
        self.open.clear();
    }

    fn cube(&mut self, low: V, size: f64) {
        let middle = low.map(|x| x + 0.5 * size);
        let door = |w: usize| {
            let mut at = middle;
            at[w / 2] += size * ((w % 2) as f64 - 0.5);
            walls_of(&[at]).any(|on| on == w).then_some(at)
        };
        if !self.seat(middle, std::array::from_fn(door)) {
            return;
        }
        let l: [[f64; 5]; 3] = std::array::from_fn(|axis| {
            let mut sum = [0.0; 5];
            for (x, w) in GAUSS5 {
                lagrange(low[axis] + size * x).iter().zip(&mut sum).for_each(|(l, s)| *s += w * size * l);
            }
            sum
        });
        let volume = self.edge.powi(3);
        for n in 0..125 {
            self.weights[n] += volume * l[0][n % 5] * l[1][n / 5 % 5] * l[2][n / 25];
        }
    }

    /// Fourteen points, exact to degree 5, which is what gradients of the shape functions have.
    fn tetrahedron(&mut self, p: [V; 4]) {
        let e: [V; 3] = std::array::from_fn(|i| sub(p[i + 1], p[0]));
        // Six times the volume, in mm3.
        let content = dot(e[0], cross(e[1], e[2])).abs() * self.edge.powi(3);
        if content < 1e-18 * self.edge.powi(3) {
            return;
        }
        let mut add = |share: [f64; 4], weight: f64| {
            let at = std::array::from_fn(|i| (0..4).map(|k| share[k] * p[k][i]).sum());
            self.add(at, content * weight);
        };
        for (near, weight) in CORNERS {
            for k in 0..4 {
                let mut share = [near; 4];
                share[k] = 1.0 - 3.0 * near;
                add(share, weight);
            }
        }
        let (near, weight) = EDGES;
        for (i, j) in [(0, 1), (0, 2), (0, 3), (1, 2), (1, 3), (2, 3)] {
            let mut share = [near; 4];
            (share[i], share[j]) = (0.5 - near, 0.5 - near);
            add(share, weight);
        }
    }
}

/// Barycentric places and weights (they sum to 1/6) of the 14-point rule on tetrahedra (Walkington 2000, quadrature on simplices of arbitrary
/// dimension, memory; the test below integrates all monomials): towards corners and faces, and at edges.
const CORNERS: [(f64, f64); 2] =
    [(0.31088591926330060980, 0.018781320953002641800), (0.09273525031089122640, 0.012248840519393658257)];
const EDGES: (f64, f64) = (0.04550370412564964949, 0.0070910034628469110730);

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_tetrahedron_is_integrated_to_degree_five() {
        let ball = shape::Ball::new([0.0; 3], 1.0).unwrap_or_else(|_| unreachable!());
        let near = Near::default();
        let mut g = Gather::new(&Seen { solid: &ball, low: [0.0; 3], edge: 1.0 }, &near, None);
        g.tetrahedron([[0.0; 3], [1.0, 0.0, 0.0], [0.0, 1.0, 0.0], [0.0, 0.0, 1.0]]);
        g.close();
        let factorial = |n: usize| (1..=n).product::<usize>() as f64;
        for k in 0..216 {
            let [a, b, c] = [k % 6, k / 6 % 6, k / 36];
            // The weights at 5 x 5 x 5 points carry degree 4 in each direction.
            if a + b + c > 5 || a.max(b).max(c) > 4 {
                continue;
            }
            let found: f64 = g
                .weights
                .iter()
                .enumerate()
                .map(|(n, w)| {
                    let at = [n % 5, n / 5 % 5, n / 25].map(|i| GAUSS5[i].0);
                    w * at[0].powi(a as i32) * at[1].powi(b as i32) * at[2].powi(c as i32)
                })
                .sum();
            let exact = factorial(a) * factorial(b) * factorial(c) / factorial(a + b + c + 3);
            assert!((found / exact - 1.0).abs() < 1e-12, "{a} {b} {c}: {found} for {exact}");
        }
    }
}

//! Cells cut by planes into convex pieces: exact for flat surfaces with edges and corners.

use super::curved::FEW;
use super::sheets::{MOST, Plane, flat_plane, is_same};
use super::{Facet, Gather, V, along, cross, dot, norm, sub, walls_of};
use crate::solve::basis::GAUSS4;

/// A face of a convex piece: its corners in order and the plane it lies on (none for walls of the cell).
#[derive(Clone)]
struct Face {
    corners: Vec<V>,
    plane: Option<usize>,
}

/// Lengths below this share of a cell are none.
const NIL: f64 = 1e-10;

impl Gather<'_> {
    /// Cuts the box by planes; planes that the pieces show to be missing are looked for. Whether the pieces are then each inside or outside.
    pub(super) fn settle(&self, low: V, size: f64, planes: &mut Vec<Plane>) -> bool {
        for _ in 0..4 {
            let torn: Vec<V> = pieces(low, size, planes).iter().flat_map(|p| self.torn(p)).collect();
            if torn.is_empty() {
                return true;
            }
            let before = planes.len();
            for at in torn {
                if let Some(plane) = flat_plane(self, at, low, size)
                    && !planes.iter().any(|p| is_same(p, &plane))
                {
                    planes.push(plane);
                }
            }
            if planes.len() == before || planes.len() > MOST {
                return false;
            }
        }
        false
    }

    /// Places of a piece on the other side of the surface than its middle: a plane that is missing cuts off a corner at least.
    fn torn(&self, piece: &[Face]) -> Vec<V> {
        let middle = centre(piece);
        let side = self.distance(middle);
        let mut out = vec![];
        for c in piece.iter().flat_map(|f| &f.corners) {
            let at = along(middle, 0.999, sub(*c, middle));
            let d = self.distance(at);
            if d * side < 0.0 && d.abs() > 1e-8 && side.abs() > 1e-8 {
                out.push(at);
                out.push(middle);
            }
        }
        out
    }

    /// Adds the part of the box that is inside, cut by the given planes only; surface by many points where it shall be exact.
    pub(super) fn flat(&mut self, low: V, size: f64, planes: &[Plane], exact: bool) {
        for piece in pieces(low, size, planes) {
            let middle = centre(&piece);
            if self.distance(middle) >= 0.0 {
                continue;
            }
            let mut doors = [None; 6];
            for face in &piece {
                let bare = face.plane.is_none_or(|k| !self.is_surface(&face.corners, planes[k].0, middle));
                for w in walls_of(&face.corners).filter(|_| bare && is_wide(&face.corners)) {
                    doors[w] = Some(mean(&face.corners));
                }
            }
            if !self.seat(middle, doors) {
                continue;
            }
            for face in &piece {
                let c = &face.corners;
                for i in 1..c.len() - 1 {
                    self.tetrahedron([middle, c[0], c[i], c[i + 1]]);
                }
                if let Some(k) = face.plane {
                    self.flat_face(c, planes[k].0, middle, exact);
                }
            }
        }
    }

    /// A face on a plane is surface where there is nothing beyond it.
    fn is_surface(&self, corners: &[V], normal: V, inside: V) -> bool {
        let middle = mean(corners);
        let out = outward(middle, normal, inside);
        let reach = corners.iter().map(|c| norm(sub(*c, middle))).fold(0.0, f64::max);
        reach >= 1e-7 && self.distance(along(middle, (0.05 * reach).min(1e-4), out)) > 0.0
    }

    fn flat_face(&mut self, corners: &[V], normal: V, inside: V, exact: bool) {
        if !self.is_surface(corners, normal, inside) {
            return;
        }
        let out = outward(mean(corners), normal, inside);
        for i in 1..corners.len() - 1 {
            let (p, a, b) = (corners[0], sub(corners[i], corners[0]), sub(corners[i + 1], corners[0]));
            let twice = norm(cross(a, b)) * self.edge * self.edge;
            if twice < 1e-16 * self.edge * self.edge {
                continue;
            }
            if !exact {
                for (r, s, w) in FEW {
                    let local = along(along(p, r, a), s, b);
                    self.facets.push(Facet { local, at: self.place(local), normal: out, area: twice * w });
                }
                continue;
            }
            // Collapsed Gauss rule, exact to degree 6, which is what shape functions have on a plane.
            for (r, wr) in GAUSS4 {
                for (s, ws) in GAUSS4 {
                    let local = along(along(p, r, a), s * (1.0 - r), b);
                    let facet = Facet { local, at: self.place(local), normal: out, area: twice * wr * ws * (1.0 - r) };
                    self.facets.push(facet);
                }
            }
        }
    }
}

fn outward(middle: V, normal: V, inside: V) -> V {
    if dot(normal, sub(middle, inside)) < 0.0 { normal.map(|x| -x) } else { normal }
}

/// Whether a polygon has an area to speak of.
fn is_wide(c: &[V]) -> bool {
    (1..c.len() - 1).map(|i| norm(cross(sub(c[i], c[0]), sub(c[i + 1], c[0])))).sum::<f64>() > 1e-10
}

fn pieces(low: V, size: f64, planes: &[Plane]) -> Vec<Vec<Face>> {
    let first = vec![cube(low, size)];
    planes.iter().enumerate().fold(first, |all, (k, plane)| all.into_iter().flat_map(|p| split(p, plane, k)).collect())
}

fn mean(corners: &[V]) -> V {
    let n = corners.len() as f64;
    std::array::from_fn(|i| corners.iter().map(|c| c[i]).sum::<f64>() / n)
}

fn centre(piece: &[Face]) -> V {
    let all: Vec<V> = piece.iter().flat_map(|f| f.corners.iter().copied()).collect();
    mean(&all)
}

fn cube(low: V, size: f64) -> Vec<Face> {
    let at = |c: usize| -> V { std::array::from_fn(|i| low[i] + if c >> i & 1 == 1 { size } else { 0.0 }) };
    const SIDES: [[usize; 4]; 6] = [[0, 2, 6, 4], [1, 5, 7, 3], [0, 4, 5, 1], [2, 3, 7, 6], [0, 1, 3, 2], [4, 6, 7, 5]];
    SIDES.iter().map(|s| Face { corners: s.map(at).to_vec(), plane: None }).collect()
}

/// The piece below and above a plane; one of them where the plane does not cross.
fn split(piece: Vec<Face>, plane: &Plane, number: usize) -> Vec<Vec<Face>> {
    let height = |p: &V| {
        let h = dot(plane.0, *p) - plane.1;
        if h.abs() < NIL { 0.0 } else { h }
    };
    let above = piece.iter().flat_map(|f| &f.corners).any(|c| height(c) > 0.0);
    let below = piece.iter().flat_map(|f| &f.corners).any(|c| height(c) < 0.0);
    if !(above && below) {
        return vec![named(piece, &height, number)];
    }
    [-1.0, 1.0].into_iter().map(|side| half(&piece, &|p| side * height(p), plane.0, number)).collect()
}

/// A wall of the cell that lies on a plane of the surface is surface too.
fn named(mut piece: Vec<Face>, height: &dyn Fn(&V) -> f64, number: usize) -> Vec<Face> {
    for f in piece.iter_mut().filter(|f| f.plane.is_none()) {
        if f.corners.iter().all(|c| height(c) == 0.0) {
            f.plane = Some(number);
        }
    }
    piece
}

/// What of a piece has a height of at least 0, closed by a face on the plane.
fn half(piece: &[Face], height: &dyn Fn(&V) -> f64, normal: V, number: usize) -> Vec<Face> {
    let (mut out, mut rim): (Vec<Face>, Vec<V>) = (vec![], vec![]);
    for face in piece {
        let c = &face.corners;
        let mut kept: Vec<V> = vec![];
        for i in 0..c.len() {
            let (p, q) = (c[i], c[(i + 1) % c.len()]);
            let (hp, hq) = (height(&p), height(&q));
            if hp >= 0.0 {
                kept.push(p);
                if hp == 0.0 {
                    rim.push(p);
                }
            }
            if hp * hq < 0.0 {
                // The same ends in the same order give the same place on both sides.
                let x = if hp < hq { along(p, hp / (hp - hq), sub(q, p)) } else { along(q, hq / (hq - hp), sub(p, q)) };
                kept.push(x);
                rim.push(x);
            }
        }
        if kept.len() >= 3 && kept.iter().any(|p| height(p) > 0.0) {
            out.push(Face { corners: kept, plane: face.plane });
        }
    }
    let lid = ordered(rim, normal);
    if lid.len() >= 3 {
        out.push(Face { corners: lid, plane: Some(number) });
    }
    out
}

/// Corners of a convex polygon in order around their middle, doubles left out.
fn ordered(points: Vec<V>, normal: V) -> Vec<V> {
    let mut distinct: Vec<V> = vec![];
    for p in points {
        if !distinct.iter().any(|q| norm(sub(p, *q)) < NIL) {
            distinct.push(p);
        }
    }
    if distinct.len() < 3 {
        return vec![];
    }
    let middle = mean(&distinct);
    let first = sub(distinct[0], middle);
    let second = cross(normal, first);
    let turn = |p: &V| libm::atan2(dot(sub(*p, middle), second), dot(sub(*p, middle), first));
    distinct.sort_by(|p, q| turn(p).total_cmp(&turn(q)));
    distinct
}

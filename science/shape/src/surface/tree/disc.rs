//! Discs about what a node's children hold: bounds that lie along the surface where boxes cannot.
//!
//! A small piece of surface is nearly flat, mostly aslant to the axes: its box reaches far out of it, a thick disc along its mean normal hardly. A place at
//! height h over the disc's middle and w beside its axis is at least sqrt(max(|h| - t, 0)^2 + max(w - r, 0)^2) from all within half the thickness t and
//! the radius r. Bounds other than boxes for nearest places: Larsen, Gottschalk, Lin, Manocha 1999, Univ North Carolina TR99-018 (memory; rectangles
//! swept by balls, where these are discs).

use super::closest::Asked;
use super::lanes::Lanes;
use super::{EMPTY, LEAF, Leaf, Node, ROUNDING};
use crate::vector::{V, add, cross, dot, norm, scale, sub, unit};
use rayon::prelude::*;

/// Places up to which a part of the surface has a disc: greater ones are not flat, and their boxes serve.
const FLAT: usize = 4000;

/// Discs of the eight children of a node, in the tree's frame.
#[derive(Debug, Clone, Copy)]
#[repr(align(32))]
pub(super) struct Discs {
    middle: [[f32; 8]; 3],
    normal: [[f32; 8]; 3],
    /// Half the thickness.
    thick: [f32; 8],
    radius: [f32; 8],
}

/// A part of the surface: its places among the tree's, which lie together, and the sum of its facets' normals.
#[derive(Clone, Copy)]
struct Part {
    first: usize,
    end: usize,
    normal: V,
}

impl Discs {
    /// Bounds nothing.
    pub(super) const ANYWHERE: Self =
        Self { middle: [[0.0; 8]; 3], normal: [[0.0; 8]; 3], thick: [f32::INFINITY; 8], radius: [f32::INFINITY; 8] };

    /// Of all nodes. `places` are those of the leaves, leaf by leaf, in the frame.
    pub(super) fn of_all(nodes: &[Node], leaves: &[Leaf], places: &[V]) -> Vec<Self> {
        let of_leaf: Vec<Part> = leaves.par_iter().map(|leaf| Part::of_leaf(leaf, places)).collect();
        let none = Part { first: usize::MAX, end: 0, normal: [0.0; 3] };
        let mut of_node = vec![none; nodes.len()];
        let part = |of_node: &[Part], child: u32| match child {
            leaf if leaf & LEAF != 0 => of_leaf[(leaf & !LEAF) as usize],
            node => of_node[node as usize],
        };
        // A node stands before all below it.
        for n in (0..nodes.len()).rev() {
            let children = nodes[n].child.iter().filter(|c| **c != EMPTY);
            of_node[n] = children.map(|c| part(&of_node, *c)).fold(none, Part::and);
        }
        let discs = |node: &Node| {
            let mut discs = Self::ANYWHERE;
            for (lane, child) in node.child.iter().enumerate().filter(|c| *c.1 != EMPTY) {
                let part = part(&of_node, *child);
                if part.end - part.first <= FLAT {
                    discs.set(lane, &places[part.first..part.end], part.normal);
                }
            }
            discs
        };
        nodes.par_iter().map(discs).collect()
    }

    fn set(&mut self, lane: usize, places: &[V], normal: V) {
        let axis = unit(normal).unwrap_or([1.0, 0.0, 0.0]).map(|x| x as f32);
        let least = |i: usize| places.iter().fold(f64::INFINITY, |m, p| m.min(p[i]));
        let most = |i: usize| places.iter().fold(f64::NEG_INFINITY, |m, p| m.max(p[i]));
        let about: V = std::array::from_fn(|i| 0.5 * (least(i) + most(i)));
        let exact = unit(axis.map(f64::from)).unwrap_or([1.0, 0.0, 0.0]);
        let heights = places.iter().map(|p| dot(sub(*p, about), exact));
        let (low, high) = heights.fold((f64::INFINITY, f64::NEG_INFINITY), |m, h| (m.0.min(h), m.1.max(h)));
        let middle = add(about, scale(exact, 0.5 * (low + high))).map(|x| x as f32);
        // Measured about what is held, so that rounding it costs nothing.
        let (mut thick, mut radius) = (0.0f64, 0.0f64);
        for p in places {
            let off = sub(*p, middle.map(f64::from));
            let height = dot(off, exact);
            thick = thick.max(height.abs());
            radius = radius.max(norm(sub(off, scale(exact, height))));
        }
        for i in 0..3 {
            (self.middle[i][lane], self.normal[i][lane]) = (middle[i], axis[i]);
        }
        (self.thick[lane], self.radius[lane]) = ((thick as f32).next_up(), (radius as f32).next_up());
    }

    /// What child `from` of another node has, taken over for child `lane`.
    pub(super) fn take(&mut self, lane: usize, other: &Self, from: usize) {
        for i in 0..3 {
            self.middle[i][lane] = other.middle[i][from];
            self.normal[i][lane] = other.normal[i][from];
        }
        (self.thick[lane], self.radius[lane]) = (other.thick[from], other.radius[from]);
    }

    /// Room for the rounding of a distance, over 1 + the distance from the frame's middle. In units of rounding: place and middle 2, product with a
    /// normal of length 1 within 1, 6 of the distance off the disc's middle, which is at most 1.8 of that.
    pub(super) const OFF: f32 = 16.0 * ROUNDING;

    /// Lower bounds of the squared distances from the children. Squares are off by at most 10 roundings.
    #[inline(always)]
    pub(super) fn squares<L: Lanes>(&self, l: L, asked: &Asked<L::F>) -> L::F {
        let (zero, off) = (l.splat(0.0), asked.off);
        let w = l.minus(asked.near, l.load3(&self.middle));
        let (height, square) = (l.dot(w, l.load3(&self.normal)), l.dot(w, w));
        let beside = l.sub(l.mul(square, l.splat(1.0 - 16.0 * ROUNDING)), l.mul(height, height));
        let beside = l.sub(l.sqrt(l.max(beside, zero)), l.add(l.load(&self.radius), off));
        let over = l.sub(l.abs(height), l.add(l.load(&self.thick), off));
        let (beside, over) = (l.max(beside, zero), l.max(over, zero));
        l.fma(beside, beside, l.mul(over, over))
    }
}

impl Part {
    fn of_leaf(leaf: &Leaf, places: &[V]) -> Self {
        let (first, end) = (leaf.places as usize, leaf.places as usize + usize::from(leaf.held));
        let at = |k: u8| places[first + usize::from(k)];
        let facets = (0..8).filter(|lane| leaf.used >> lane & 1 == 1).map(|lane| leaf.which[lane].map(at));
        let normal = facets.fold([0.0; 3], |sum, [a, b, c]| add(sum, cross(sub(b, a), sub(c, a))));
        Self { first, end, normal }
    }

    fn and(self, other: Self) -> Self {
        Self {
            first: self.first.min(other.first),
            end: self.end.max(other.end),
            normal: add(self.normal, other.normal),
        }
    }
}

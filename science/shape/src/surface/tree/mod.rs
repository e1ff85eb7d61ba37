//! A tree of boxes over facets, eight children a node.
//!
//! Boxes and facets are held as 32-bit numbers in a frame of their own (shifted to the middle of the bound, scaled by a power of two so that all
//! lies within 1), boxes rounded outwards. They only decide what is looked at, always with room for their rounding; every answer is computed
//! from the surface's own 64-bit places. Answers therefore depend neither on the order of the search nor on the machine's vectors: of facets that
//! are equally near or met equally soon the one with the lowest number is taken.
//!
//! Built from above by the surface area heuristic in 16 bins (Wald 2007, IEEE Symp Interactive Ray Tracing 33-40, doi 10.1109/RT.2007.4342588), the
//! part with the greatest area split again until a node has eight (Wald, Benthin, Boulos 2008, IEEE Symp Interactive Ray Tracing 49-57, doi
//! 10.1109/RT.2008.4634620). Eight facets or fewer are a leaf.

mod build;
mod closest;
mod disc;
mod facet;
mod fan;
mod lanes;
mod overlap;
mod ray;
mod waiting;
mod winding;

use crate::solid::Aabb;
use crate::vector::V;
pub(super) use closest::Found;
use disc::Discs;
use lanes::Machine;
use prefetch_index::prefetch_index;
use waiting::Waiting;
pub(super) use winding::Moments;

/// Marks a child that is a leaf.
const LEAF: u32 = 1 << 31;
/// A child that is not there.
const EMPTY: u32 = u32::MAX;
/// Rounding of a 32-bit number.
const ROUNDING: f32 = f32::EPSILON;

/// Eight boxes and what they hold. No row crosses a line of the cache.
#[derive(Debug, Clone, Copy)]
#[repr(align(32))]
struct Node {
    /// Along each axis the low sides, then the high ones; of lanes without a child those of a box that holds nothing.
    sides: [[f32; 8]; 6],
    child: [u32; 8],
}

impl Node {
    /// Without a child.
    const NONE: Self = {
        let (low, high) = ([f32::INFINITY; 8], [f32::NEG_INFINITY; 8]);
        Self { sides: [low, high, low, high, low, high], child: [EMPTY; 8] }
    };

    /// Takes over child `from` of another as child `lane`.
    fn take(&mut self, lane: usize, other: &Self, from: usize) {
        for (mine, theirs) in self.sides.iter_mut().zip(&other.sides) {
            mine[lane] = theirs[from];
        }
        self.child[lane] = other.child[from];
    }
}

/// Up to eight facets.
#[derive(Debug, Clone, Copy)]
#[repr(align(32))]
struct Leaf {
    /// First corner, then the two edges from it.
    corner: [[f32; 8]; 3],
    edges: [[[f32; 8]; 3]; 2],
    facet: [u32; 8],
    /// Number of the leaf's first place among the tree's.
    places: u32,
    /// Places of each facet, counted from there.
    which: [[u8; 3]; 8],
    /// How many places.
    held: u8,
    /// Lanes that hold a facet.
    used: u8,
    /// Lanes whose facet is too flat for 32-bit numbers: always looked at closely.
    flat: u8,
}

/// A place in the tree's frame: rounded down, up and to the nearest.
#[derive(Debug, Clone, Copy)]
struct Framed {
    low: [f32; 3],
    high: [f32; 3],
    near: [f32; 3],
    size: f32,
}

/// The tree.
#[derive(Debug, Clone)]
pub(super) struct Tree {
    nodes: Vec<Node>,
    /// Of the children of each node.
    discs: Vec<Discs>,
    leaves: Vec<Leaf>,
    /// The surface's own places, leaf by leaf, each once a leaf: what is looked at closely lies together.
    places: Vec<V>,
    bound: Aabb,
    centre: V,
    /// Lengths of the frame in one of the surface; a power of two.
    scale: f64,
    /// At least the longest side of a facet, in the frame.
    longest: f32,
    machine: Machine,
}

/// What a tree is built over.
#[derive(Clone, Copy)]
pub(super) struct Facets<'a> {
    pub(super) points: &'a [V],
    pub(super) facets: &'a [[u32; 3]],
}

impl Facets<'_> {
    #[inline(always)]
    fn corners(&self, facet: u32) -> [V; 3] {
        self.facets[facet as usize].map(|v| self.points[v as usize])
    }
}

impl Tree {
    pub(super) fn bound(&self) -> Aabb {
        self.bound
    }

    /// Bytes held.
    pub(super) fn bytes(&self) -> usize {
        self.nodes.len() * (size_of::<Node>() + size_of::<Discs>())
            + self.leaves.len() * size_of::<Leaf>()
            + self.places.len() * size_of::<V>()
    }

    /// Where a search starts.
    fn root(&self) -> (&Node, &Discs) {
        (&self.nodes[0], &self.discs[0])
    }

    /// Asks for the memory of a node or leaf that is looked at soon.
    #[inline(always)]
    fn fetch(&self, at: u32) {
        if at & LEAF == 0 {
            let node = &self.nodes[at as usize];
            for k in [0, 2, 4] {
                prefetch_index(&node.sides[..], k);
            }
            prefetch_index(&node.child[..], 0);
        } else {
            let leaf = &self.leaves[(at & !LEAF) as usize];
            prefetch_index(&leaf.corner[..], 0);
            prefetch_index(&leaf.corner[..], 2);
            prefetch_index(&leaf.edges[0][..], 1);
            prefetch_index(&leaf.edges[1][..], 0);
            prefetch_index(&leaf.edges[1][..], 2);
            prefetch_index(&leaf.which[..], 4);
        }
    }

    /// The same for the corners of some of a leaf's facets.
    #[inline(always)]
    fn fetch_corners(&self, leaf: &Leaf, mut lanes: u32) {
        while lanes != 0 {
            for k in leaf.which[lanes.trailing_zeros() as usize] {
                prefetch_index(&self.places[..], leaf.places as usize + usize::from(k));
            }
            lanes &= lanes - 1;
        }
    }

    /// Corners of a leaf's facet, to the last bit those of the surface.
    #[inline(always)]
    fn corners(&self, leaf: &Leaf, lane: usize) -> [V; 3] {
        let [a, b, c] = leaf.which[lane];
        let at = |k: u8| self.places[leaf.places as usize + usize::from(k)];
        [at(a), at(b), at(c)]
    }

    #[inline(always)]
    fn framed(&self, p: V) -> Framed {
        let q: V = std::array::from_fn(|i| (p[i] - self.centre[i]) * self.scale);
        let near = q.map(|x| x as f32);
        // The shift to the centre was rounded too.
        let low = std::array::from_fn(|i| (near[i] - 2.0 * ROUNDING * near[i].abs()).next_down());
        let high = std::array::from_fn(|i| (near[i] + 2.0 * ROUNDING * near[i].abs()).next_up());
        Framed { low, high, near, size: near[0].abs().max(near[1].abs()).max(near[2].abs()) }
    }
}

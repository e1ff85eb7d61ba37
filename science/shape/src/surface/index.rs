//! A tree of boxes over facets.
//!
//! Split at the middle facet along the longest axis of the centroids; four facets or fewer a leaf. Corners are stored beside the tree, in its order.

use crate::solid::Aabb;
use crate::vector::V;

pub(super) const LEAF: usize = 4;

/// A node: box, and either its two children or its facets.
#[derive(Debug, Clone, Copy)]
pub(super) struct Node {
    pub(super) low: V,
    pub(super) high: V,
    /// First facet of a leaf, or number of the second child (the first follows the node).
    pub(super) start: u32,
    /// Facets of a leaf; 0 for an inner node.
    pub(super) count: u32,
}

/// Boxes over facets.
#[derive(Debug, Clone)]
pub(super) struct Index {
    pub(super) nodes: Vec<Node>,
    pub(super) corners: Vec<[V; 3]>,
    pub(super) numbers: Vec<u32>,
}

impl Index {
    pub(super) fn new(points: &[V], facets: &[[u32; 3]]) -> Self {
        let middles: Vec<V> = facets
            .iter()
            .map(|f| {
                let [a, b, c] = f.map(|v| points[v as usize]);
                std::array::from_fn(|i| a[i] + b[i] + c[i])
            })
            .collect();
        let mut numbers: Vec<u32> = (0..facets.len() as u32).collect();
        let mut nodes = Vec::with_capacity(facets.len());
        let corners_of = |f: u32| facets[f as usize].map(|v| points[v as usize]);
        build(&mut nodes, &mut numbers, 0, &middles, &corners_of);
        let corners = numbers.iter().map(|f| corners_of(*f)).collect();
        Self { nodes, corners, numbers }
    }

    pub(super) fn bound(&self) -> Aabb {
        Aabb { low: self.nodes[0].low, high: self.nodes[0].high }
    }
}

fn build(nodes: &mut Vec<Node>, part: &mut [u32], offset: usize, middles: &[V], corners: &impl Fn(u32) -> [V; 3]) {
    let at = nodes.len();
    if part.len() <= LEAF {
        let (mut low, mut high) = ([f64::INFINITY; 3], [f64::NEG_INFINITY; 3]);
        for p in part.iter().flat_map(|f| corners(*f)) {
            low = std::array::from_fn(|i| low[i].min(p[i]));
            high = std::array::from_fn(|i| high[i].max(p[i]));
        }
        nodes.push(Node { low, high, start: offset as u32, count: part.len() as u32 });
        return;
    }
    let (mut low, mut high) = ([f64::INFINITY; 3], [f64::NEG_INFINITY; 3]);
    for m in part.iter().map(|f| middles[*f as usize]) {
        low = std::array::from_fn(|i| low[i].min(m[i]));
        high = std::array::from_fn(|i| high[i].max(m[i]));
    }
    let span: [f64; 3] = std::array::from_fn(|i| high[i] - low[i]);
    let axis = (0..3).fold(0, |a, i| if span[i] > span[a] { i } else { a });
    let half = part.len() / 2;
    let key = |f: &u32| middles[*f as usize][axis];
    part.select_nth_unstable_by(half, |f, g| key(f).total_cmp(&key(g)).then(f.cmp(g)));
    nodes.push(Node { low: [0.0; 3], high: [0.0; 3], start: 0, count: 0 });
    let (first, second) = part.split_at_mut(half);
    build(nodes, first, offset, middles, corners);
    let other = nodes.len();
    build(nodes, second, offset + half, middles, corners);
    let (a, b) = (nodes[at + 1], nodes[other]);
    nodes[at] = Node {
        low: std::array::from_fn(|i| a.low[i].min(b.low[i])),
        high: std::array::from_fn(|i| a.high[i].max(b.high[i])),
        start: other as u32,
        count: 0,
    };
}

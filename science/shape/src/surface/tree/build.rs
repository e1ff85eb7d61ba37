//! The tree built.

use super::lanes::Machine;
use super::{Discs, EMPTY, Facets, LEAF, Leaf, Node, Tree};
use crate::solid::Aabb;
use crate::vector::V;
use rayon::prelude::*;

const BINS: usize = 16;
/// Parts up to this size are halved along the best of three axes, greater ones along the longest.
const FINE: usize = 1000;
/// Parts above this size are built by several threads.
const SHARED: usize = 20_000;
/// Height over longest edge below which 32-bit numbers do not tell a facet's inside.
const FLAT: f64 = 0.1;
/// Levels after which parts are halved by number, so that no order of facets makes the tree deep (and the stack of a search long).
const UNEVEN: usize = 20;

/// A place, and a number that fills a vector register.
type Four = [f32; 4];

/// A facet on its way into the tree.
#[derive(Clone, Copy)]
struct Item {
    low: Four,
    high: Four,
    facet: u32,
}

impl Item {
    #[inline(always)]
    fn middle(&self, axis: usize) -> f32 {
        self.low[axis] + self.high[axis]
    }
}

fn four(of: impl Fn(usize) -> f32) -> Four {
    [of(0), of(1), of(2), 0.0]
}

#[derive(Clone, Copy)]
struct Box32 {
    low: Four,
    high: Four,
}

impl Box32 {
    const NONE: Self = Self { low: [f32::INFINITY; 4], high: [f32::NEG_INFINITY; 4] };

    #[inline(always)]
    fn join(&mut self, low: &Four, high: &Four) {
        for i in 0..4 {
            self.low[i] = if low[i] < self.low[i] { low[i] } else { self.low[i] };
            self.high[i] = if high[i] > self.high[i] { high[i] } else { self.high[i] };
        }
    }

    fn of(items: &[Item]) -> Self {
        let mut all = Self::NONE;
        items.iter().for_each(|x| all.join(&x.low, &x.high));
        all
    }

    /// Half the surface.
    fn area(&self) -> f32 {
        let [x, y, z]: [f32; 3] = std::array::from_fn(|i| (self.high[i] - self.low[i]).max(0.0));
        x * y + y * z + z * x
    }
}

impl Tree {
    /// Over all facets; there must be one, and places must be finite.
    pub(in crate::surface) fn new(of: Facets) -> Self {
        let ends = |e: (V, V), p: &V| -> (V, V) {
            (std::array::from_fn(|i| e.0[i].min(p[i])), std::array::from_fn(|i| e.1[i].max(p[i])))
        };
        let start = ([f64::INFINITY; 3], [f64::NEG_INFINITY; 3]);
        let both = |a: (V, V), b: (V, V)| ends(ends(a, &b.0), &b.1);
        let (low, high) = of
            .facets
            .par_chunks(1 << 14)
            .map(|c| c.iter().flatten().map(|v| &of.points[*v as usize]).fold(start, ends))
            .reduce(|| start, both);
        let bound = Aabb { low, high };
        let centre = std::array::from_fn(|i| 0.5 * low[i] + 0.5 * high[i]);
        let half = (0..3).map(|i| 0.5 * high[i] - 0.5 * low[i]).fold(0.0, f64::max);
        let scale = if half > 0.0 { (-half.log2().ceil()).clamp(-1000.0, 1000.0).exp2() } else { 1.0 };
        let frame = |p: V| -> V { std::array::from_fn(|i| (p[i] - centre[i]) * scale) };
        let mut items: Vec<Item> = (0..of.facets.len() as u32)
            .into_par_iter()
            .map(|facet| {
                let corners = of.corners(facet).map(frame);
                let least = |i: usize| corners.iter().fold(f64::INFINITY, |m, p| m.min(p[i]));
                let most = |i: usize| corners.iter().fold(f64::NEG_INFINITY, |m, p| m.max(p[i]));
                Item {
                    low: four(|i| (least(i) as f32 - 1e-7).next_down()),
                    high: four(|i| (most(i) as f32 + 1e-7).next_up()),
                    facet,
                }
            })
            .collect();
        let make = Make { of, frame: &frame };
        let mut built = Built::default();
        make.node(&mut items, 0, &mut built);
        let longest =
            built.leaves.iter().flat_map(|l| l.edges.iter().flatten().flatten()).fold(0.0f32, |m, x| m.max(x.abs()));
        let framed: Vec<V> = built.places.par_iter().map(|p| frame(*p)).collect();
        Self {
            discs: Discs::of_all(&built.nodes, &built.leaves, &framed),
            nodes: built.nodes,
            leaves: built.leaves,
            places: built.places,
            bound,
            centre,
            scale,
            longest: 1.8 * longest,
            machine: Machine::here(),
        }
    }
}

#[derive(Default)]
struct Built {
    nodes: Vec<Node>,
    leaves: Vec<Leaf>,
    places: Vec<V>,
}

impl Built {
    /// Takes in a part built elsewhere; gives the number of its first node.
    fn take(&mut self, part: Self) -> u32 {
        let (nodes, leaves, places) = (self.nodes.len() as u32, self.leaves.len() as u32, self.places.len() as u32);
        let moved = |c: u32| match c {
            EMPTY => EMPTY,
            leaf if leaf & LEAF != 0 => leaf + leaves,
            node => node + nodes,
        };
        self.nodes.extend(part.nodes.into_iter().map(|n| Node { child: n.child.map(moved), ..n }));
        self.leaves.extend(part.leaves.into_iter().map(|l| Leaf { places: l.places + places, ..l }));
        self.places.extend(part.places);
        nodes
    }
}

struct Make<'a, F> {
    of: Facets<'a>,
    frame: &'a F,
}

impl<F: Fn(V) -> V + Sync> Make<'_, F> {
    /// A node over the items, with all below it; gives its number.
    fn node(&self, items: &mut [Item], depth: usize, into: &mut Built) -> u32 {
        let number = into.nodes.len() as u32;
        let mut node = Node::NONE;
        into.nodes.push(node);
        let whole = items.len();
        let parts = split(items, depth > UNEVEN);
        for (k, (_, bound)) in parts.iter().enumerate() {
            for i in 0..3 {
                (node.sides[2 * i][k], node.sides[2 * i + 1][k]) = (bound.low[i], bound.high[i]);
            }
        }
        if whole > SHARED {
            let built: Vec<(Option<Built>, &mut [Item])> = parts
                .into_par_iter()
                .map(|(part, _)| {
                    if part.len() <= 8 {
                        return (None, part);
                    }
                    let mut below = Built::default();
                    self.node(part, depth + 1, &mut below);
                    (Some(below), part)
                })
                .collect();
            for (k, (below, part)) in built.into_iter().enumerate() {
                node.child[k] = match below {
                    Some(below) => into.take(below),
                    None => self.leaf(part, into),
                };
            }
        } else {
            for (k, (part, _)) in parts.into_iter().enumerate() {
                node.child[k] = if part.len() <= 8 { self.leaf(part, into) } else { self.node(part, depth + 1, into) };
            }
        }
        into.nodes[number as usize] = node;
        number
    }

    fn leaf(&self, items: &[Item], into: &mut Built) -> u32 {
        let mut leaf = Leaf {
            corner: [[0.0; 8]; 3],
            edges: [[[0.0; 8]; 3]; 2],
            facet: [EMPTY; 8],
            places: into.places.len() as u32,
            which: [[0; 3]; 8],
            held: 0,
            used: 0,
            flat: 0,
        };
        let mut held: Vec<u32> = Vec::with_capacity(24);
        for lane in 0..8 {
            // Lanes without a facet repeat the first one.
            let item = items.get(lane).unwrap_or(&items[0]);
            let [a, b, c] = self.of.corners(item.facet).map(|p| (self.frame)(p));
            let (ab, ac) = (crate::vector::sub(b, a), crate::vector::sub(c, a));
            for i in 0..3 {
                leaf.corner[i][lane] = a[i] as f32;
                leaf.edges[0][i][lane] = ab[i] as f32;
                leaf.edges[1][i][lane] = ac[i] as f32;
            }
            if lane < items.len() {
                leaf.facet[lane] = item.facet;
                leaf.which[lane] = self.of.facets[item.facet as usize].map(|v| number(&mut held, v));
                leaf.used |= 1 << lane;
                let bc = crate::vector::sub(c, b);
                let longest = [ab, ac, bc].map(|e| crate::vector::dot(e, e)).into_iter().fold(0.0, f64::max);
                let twice = crate::vector::norm(crate::vector::cross(ab, ac));
                // Very small facets would leave the range of squares of 32-bit numbers.
                let tells = twice > FLAT * longest && longest > 1e-12;
                leaf.flat |= u8::from(!tells) << lane;
            }
        }
        into.places.extend(held.iter().map(|v| self.of.points[*v as usize]));
        leaf.held = held.len() as u8;
        into.leaves.push(leaf);
        LEAF | (into.leaves.len() as u32 - 1)
    }
}

/// Number of a place among those a leaf holds, taken in if it is not there.
fn number(held: &mut Vec<u32>, place: u32) -> u8 {
    let at = held.iter().position(|h| *h == place).unwrap_or_else(|| {
        held.push(place);
        held.len() - 1
    });
    at as u8
}

/// Items in up to eight parts with their boxes, the part of greatest area split first.
fn split(items: &mut [Item], by_number: bool) -> Vec<(&mut [Item], Box32)> {
    let bound = Box32::of(items);
    let mut parts = Vec::with_capacity(8);
    parts.push((items, bound));
    while parts.len() < 8 {
        let widest = (0..parts.len()).filter(|k| parts[*k].0.len() > 8).max_by(|a, b| {
            let size = |k: &usize| (if by_number { 1.0 } else { parts[*k].1.area() }) * parts[*k].0.len() as f32;
            size(a).total_cmp(&size(b)).then(b.cmp(a))
        });
        let Some(k) = widest else { break };
        let (part, _) = parts.swap_remove(k);
        let at = halve(part, by_number);
        let (first, second) = part.split_at_mut(at);
        let bounds = (Box32::of(first), Box32::of(second));
        parts.push((first, bounds.0));
        parts.push((second, bounds.1));
    }
    parts
}

/// Partitions the items; gives how many lie in the first part.
fn halve(items: &mut [Item], by_number: bool) -> usize {
    let mut middles = Box32::NONE;
    for x in items.iter() {
        let middle: Four = std::array::from_fn(|i| x.low[i] + x.high[i]);
        middles.join(&middle, &middle);
    }
    let low = middles.low;
    let span: [f32; 3] = std::array::from_fn(|i| middles.high[i] - low[i]);
    let axis = (0..3).fold(0, |a, i| if span[i] > span[a] { i } else { a });
    let middle = items.len() / 2;
    if span[axis] > 0.0 && !by_number {
        let per = span.map(|s| if s > 0.0 { BINS as f32 * 0.9999 / s } else { 0.0 });
        let bin = |x: &Item, i: usize| (((x.middle(i) - low[i]) * per[i]) as usize).min(BINS - 1);
        let mut bins = [[(Box32::NONE, 0); BINS]; 3];
        let range = if items.len() <= FINE { 0..3 } else { axis..axis + 1 };
        for x in items.iter() {
            for i in range.clone() {
                let b = &mut bins[i][bin(x, i)];
                b.0.join(&x.low, &x.high);
                b.1 += 1;
            }
        }
        let best = range
            .filter_map(|i| cheapest(&bins[i]).map(|(last, cost)| (cost, i, last)))
            .min_by(|a, b| a.0.total_cmp(&b.0));
        if let Some((_, i, last)) = best {
            let at = partition(items, |x| bin(x, i) <= last);
            if at > 0 && at < items.len() {
                return at;
            }
        }
    }
    items.select_nth_unstable_by(middle, |a, b| a.middle(axis).total_cmp(&b.middle(axis)).then(a.facet.cmp(&b.facet)));
    middle
}

/// Last bin of the first part at the least cost, and that cost.
fn cheapest(bins: &[(Box32, usize); BINS]) -> Option<(usize, f32)> {
    // Facets are looked at eight at a time.
    let lots = |n: usize| n.div_ceil(8) as f32;
    let mut after = [(0.0f32, 0usize); BINS];
    let (mut whole, mut count) = (Box32::NONE, 0);
    for b in (1..BINS).rev() {
        whole.join(&bins[b].0.low, &bins[b].0.high);
        count += bins[b].1;
        after[b] = (whole.area() * lots(count), count);
    }
    let (mut whole, mut count) = (Box32::NONE, 0);
    let mut best: Option<(usize, f32)> = None;
    for b in 0..BINS - 1 {
        whole.join(&bins[b].0.low, &bins[b].0.high);
        count += bins[b].1;
        let cost = whole.area() * lots(count) + after[b + 1].0;
        if count > 0 && after[b + 1].1 > 0 && best.is_none_or(|x| cost < x.1) {
            best = Some((b, cost));
        }
    }
    best
}

fn partition(items: &mut [Item], first: impl Fn(&Item) -> bool) -> usize {
    let (mut low, mut high) = (0, items.len());
    while low < high {
        if first(&items[low]) {
            low += 1;
        } else {
            high -= 1;
            items.swap(low, high);
        }
    }
    low
}

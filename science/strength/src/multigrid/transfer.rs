//! Trilinear prolongation from a lattice of twice the spacing, and its transpose.
//!
//! Coarse node I stands on fine node 2 I. A fine node takes the mean of the coarse nodes around it (1, 2, 4 or 8 of them): linear fields,
//! and so all rigid motions, are carried exactly. Rows are combined first across y and z, then spread along x.

use std::ops::Range;

use super::nodes::Nodes;
use super::parts;

/// A coarse row that a fine run takes from, or the reverse: the node of the other level at this run's first place, and the weight.
#[derive(Debug, Clone, Copy)]
struct Link {
    run: u32,
    weight: f32,
}

/// The way between two levels.
#[derive(Debug, Clone)]
pub(crate) struct Transfer {
    fine: Vec<Run>,
    coarse: Vec<Run>,
    /// Coarse runs that each fine run takes from.
    parents: Vec<Vec<Link>>,
    /// Fine runs that each coarse run gathers from.
    children: Vec<Vec<Link>>,
    fine_count: usize,
    coarse_count: usize,
    fine_chunks: Vec<(Range<usize>, Range<usize>)>,
    coarse_chunks: Vec<(Range<usize>, Range<usize>)>,
}

#[derive(Debug, Clone, Copy)]
struct Run {
    x: i32,
    len: u32,
    start: u32,
}

/// Coarse places a fine place takes from along one axis, and the weight of each.
pub(crate) fn parents_along(at: i32) -> ([i32; 2], usize, f32) {
    let low = at.div_euclid(2);
    if at.rem_euclid(2) == 0 { ([low, low], 1, 1.0) } else { ([low, low + 1], 2, 0.5) }
}

impl Transfer {
    pub(crate) fn new(fine: &Nodes, coarse: &Nodes) -> Self {
        let short =
            |nodes: &Nodes| nodes.runs.iter().map(|r| Run { x: r.x, len: r.len, start: r.start }).collect::<Vec<_>>();
        let mut children = vec![Vec::new(); coarse.runs.len()];
        let mut parents = Vec::with_capacity(fine.runs.len());
        for (number, run) in fine.runs.iter().enumerate() {
            let (ys, ny, wy) = parents_along(run.y);
            let (zs, nz, wz) = parents_along(run.z);
            let first = run.x.div_euclid(2);
            let mut links = Vec::with_capacity(ny * nz);
            for &z in &zs[..nz] {
                for &y in &ys[..ny] {
                    let row = coarse.row(run.field, y, z);
                    let within = coarse.runs[row.clone()].partition_point(|r| r.x <= first);
                    let other = row.start + within.saturating_sub(1);
                    links.push(Link { run: other as u32, weight: wy * wz });
                    children[other].push(Link { run: number as u32, weight: wy * wz });
                }
            }
            parents.push(links);
        }
        Self {
            fine_chunks: chunks(fine),
            coarse_chunks: chunks(coarse),
            fine: short(fine),
            coarse: short(coarse),
            parents,
            children,
            fine_count: fine.count,
            coarse_count: coarse.count,
        }
    }

    /// fine += P coarse.
    pub(crate) fn prolong(&self, coarse: &[f32], fine: &mut [f32]) {
        let source = parts::components(coarse, self.coarse_count);
        let ranges: Vec<Range<usize>> = self.fine_chunks.iter().map(|(nodes, _)| nodes.clone()).collect();
        let pieces = parts::split(fine, self.fine_count, &ranges);
        parts::for_each(
            self.fine_chunks.iter().zip(pieces).collect(),
            self.fine_count,
            |((nodes, runs), mut piece)| {
                let mut sums = Vec::new();
                for number in runs.clone() {
                    let run = self.fine[number];
                    let first = run.x.div_euclid(2);
                    let needed = ((run.x + run.len as i32 - 1 + 1).div_euclid(2) - first + 1) as usize;
                    for (source, piece) in source.iter().zip(&mut piece) {
                        sums.clear();
                        sums.resize(needed, 0.0f32);
                        for link in &self.parents[number] {
                            let other = self.coarse[link.run as usize];
                            let from = other.start as usize + (first - other.x) as usize;
                            for (sum, value) in sums.iter_mut().zip(&source[from..from + needed]) {
                                *sum += link.weight * value;
                            }
                        }
                        let out = &mut piece[run.start as usize - nodes.start..][..run.len as usize];
                        spread(&sums, out, run.x.rem_euclid(2) as usize);
                    }
                }
            },
        );
    }

    /// coarse = P^T fine.
    pub(crate) fn restrict(&self, fine: &[f32], coarse: &mut [f32]) {
        let source = parts::components(fine, self.fine_count);
        let ranges: Vec<Range<usize>> = self.coarse_chunks.iter().map(|(nodes, _)| nodes.clone()).collect();
        let pieces = parts::split(coarse, self.coarse_count, &ranges);
        parts::for_each(
            self.coarse_chunks.iter().zip(pieces).collect(),
            self.fine_count,
            |((nodes, runs), mut piece)| {
                let mut row = Vec::new();
                for number in runs.clone() {
                    let run = self.coarse[number];
                    for (source, piece) in source.iter().zip(&mut piece) {
                        // Fine places 2 x - 1 ..= 2 (x + len - 1) + 1, zero where there is no node.
                        row.clear();
                        row.resize(2 * run.len as usize + 1, 0.0f32);
                        for link in &self.children[number] {
                            let other = self.fine[link.run as usize];
                            let at = (other.x - (2 * run.x - 1)) as usize;
                            let values = &source[other.start as usize..][..other.len as usize];
                            for (sum, value) in row[at..at + values.len()].iter_mut().zip(values) {
                                *sum += link.weight * value;
                            }
                        }
                        let out = &mut piece[run.start as usize - nodes.start..][..run.len as usize];
                        for (value, three) in out.iter_mut().zip(row.windows(3).step_by(2)) {
                            *value = three[1] + 0.5 * (three[0] + three[2]);
                        }
                    }
                }
            },
        );
    }
}

/// Adds the values of coarse places to fine places; `odd` is 1 when the first fine place lies between two coarse ones.
fn spread(sums: &[f32], out: &mut [f32], odd: usize) {
    let (head, rest) = out.split_at_mut(odd.min(out.len()));
    if let [value] = head {
        *value += 0.5 * (sums[0] + sums[1]);
    }
    let sums = &sums[odd..];
    let mut pairs = rest.chunks_exact_mut(2);
    for (pair, two) in (&mut pairs).zip(sums.windows(2)) {
        pair[0] += two[0];
        pair[1] += 0.5 * (two[0] + two[1]);
    }
    if let [value] = pairs.into_remainder()
        && let Some(last) = sums.last()
    {
        *value += last;
    }
}

/// Whole runs gathered to ranges of nodes large enough for a thread: (nodes, runs).
fn chunks(nodes: &Nodes) -> Vec<(Range<usize>, Range<usize>)> {
    let step = nodes.count.div_ceil(32).max(1_024);
    let mut all = Vec::new();
    let (mut node, mut first) = (0, 0);
    for (number, run) in nodes.runs.iter().enumerate() {
        let end = (run.start + run.len) as usize;
        if end - node >= step || number + 1 == nodes.runs.len() {
            all.push((node..end, first..number + 1));
            (node, first) = (end, number + 1);
        }
    }
    all
}

//! The nodes of a level: corners of active cells, numbered field by field, then z, y, x, kept as runs of neighbours along x.
//!
//! A run is all there is to know of a row's nodes, so sweeps go along x in plain slices and a look-up is a short search in one row.

use std::ops::Range;

use super::system::TrilinearField;

/// Which items of a list sorted by z, y belong to a row (y, z).
#[derive(Debug, Clone, Default)]
pub(crate) struct RowTable {
    low: [i32; 2],
    size: [usize; 2],
    first: Vec<u32>,
}

impl RowTable {
    /// From the (y, z) of each item, sorted by z, then y; `offset` is the number of the first item.
    pub(crate) fn new(rows: impl Iterator<Item = [i32; 2]> + Clone, offset: usize) -> Self {
        let mut low = [i32::MAX; 2];
        let mut high = [i32::MIN; 2];
        for row in rows.clone() {
            for k in 0..2 {
                low[k] = low[k].min(row[k]);
                high[k] = high[k].max(row[k]);
            }
        }
        if low[0] > high[0] {
            return Self { low: [0; 2], size: [0; 2], first: vec![offset as u32] };
        }
        let size = [(high[0] - low[0] + 1) as usize, (high[1] - low[1] + 1) as usize];
        let mut first = vec![0u32; size[0] * size[1] + 1];
        for row in rows {
            let at = (row[0] - low[0]) as usize + size[0] * (row[1] - low[1]) as usize;
            first[at + 1] += 1;
        }
        first[0] = offset as u32;
        for k in 1..first.len() {
            first[k] += first[k - 1];
        }
        Self { low, size, first }
    }

    /// Items of row (y, z).
    #[inline]
    pub(crate) fn row(&self, y: i32, z: i32) -> Range<usize> {
        let (j, k) = (y - self.low[0], z - self.low[1]);
        if j < 0 || k < 0 || j as usize >= self.size[0] || k as usize >= self.size[1] {
            return 0..0;
        }
        let at = j as usize + self.size[0] * k as usize;
        self.first[at] as usize..self.first[at + 1] as usize
    }

    /// Lowest and one past the highest y and z: `[y range, z range]`.
    pub(crate) fn extent(&self) -> [Range<i32>; 2] {
        [self.low[0]..self.low[0] + self.size[0] as i32, self.low[1]..self.low[1] + self.size[1] as i32]
    }
}

/// Neighbouring nodes of one row.
#[derive(Debug, Clone, Copy)]
pub(crate) struct NodeRun {
    pub field: u32,
    pub y: i32,
    pub z: i32,
    pub x: i32,
    pub len: u32,
    /// Number of its first node.
    pub start: u32,
}

/// All nodes of a level.
#[derive(Debug, Clone, Default)]
pub(crate) struct Nodes {
    pub runs: Vec<NodeRun>,
    rows: Vec<RowTable>,
    /// Number of nodes.
    pub count: usize,
}

impl Nodes {
    /// Corners of the active cells.
    pub(crate) fn new(fields: &[TrilinearField]) -> Self {
        let mut nodes = Self::default();
        for (number, field) in fields.iter().enumerate() {
            nodes.add_field(number as u32, field);
        }
        nodes
    }

    fn add_field(&mut self, number: u32, field: &TrilinearField) {
        let cells = &field.cells;
        let table = RowTable::new(cells.iter().map(|(at, _)| [at[1], at[2]]), 0);
        let [ys, zs] = table.extent();
        let begin = self.runs.len();
        let mut spans: Vec<(i32, i32)> = Vec::new();
        for z in zs.start..zs.end + i32::from(!zs.is_empty()) {
            for y in ys.start..=ys.end {
                spans.clear();
                for (cy, cz) in [(y - 1, z - 1), (y, z - 1), (y - 1, z), (y, z)] {
                    cell_spans(&cells[table.row(cy, cz)], &mut spans);
                }
                spans.sort_unstable();
                let mut open: Option<(i32, i32)> = None;
                for &(from, to) in &spans {
                    open = match open {
                        Some((start, end)) if from <= end + 1 => Some((start, end.max(to))),
                        Some(done) => {
                            self.push(number, y, z, done);
                            Some((from, to))
                        }
                        None => Some((from, to)),
                    };
                }
                if let Some(done) = open {
                    self.push(number, y, z, done);
                }
            }
        }
        let runs = &self.runs[begin..];
        self.rows.push(RowTable::new(runs.iter().map(|r| [r.y, r.z]), begin));
    }

    fn push(&mut self, field: u32, y: i32, z: i32, (from, to): (i32, i32)) {
        let len = (to - from + 1) as u32;
        self.runs.push(NodeRun { field, y, z, x: from, len, start: self.count as u32 });
        self.count += len as usize;
    }

    /// Number of a node.
    #[inline]
    pub(crate) fn find(&self, field: u32, at: [i32; 3]) -> Option<usize> {
        let range = self.rows.get(field as usize)?.row(at[1], at[2]);
        let runs = &self.runs[range];
        let run = &runs[runs.partition_point(|r| r.x <= at[0]).checked_sub(1)?];
        let along = (at[0] - run.x) as u32;
        (along < run.len).then_some((run.start + along) as usize)
    }

    /// Runs of row (y, z) of a field, as a range of `runs`.
    #[inline]
    pub(crate) fn row(&self, field: u32, y: i32, z: i32) -> Range<usize> {
        self.rows[field as usize].row(y, z)
    }

    /// Field of a node.
    pub(crate) fn field_of(&self, node: usize) -> u32 {
        let after = self.runs.partition_point(|r| r.start as usize <= node);
        self.runs[after.saturating_sub(1)].field
    }
}

/// First and last node of each stretch of touching cells.
fn cell_spans<M>(cells: &[([i32; 3], M)], spans: &mut Vec<(i32, i32)>) {
    let mut open: Option<(i32, i32)> = None;
    for (at, _) in cells {
        open = match open {
            Some((from, to)) if to == at[0] => Some((from, at[0] + 1)),
            Some(done) => {
                spans.push(done);
                Some((at[0], at[0] + 1))
            }
            None => Some((at[0], at[0] + 1)),
        };
    }
    spans.extend(open);
}

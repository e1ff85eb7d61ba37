//! Distances near a surface on a lattice: a solid that answers fast however dear the body it was made from.
//!
//! Blocks of 8 x 8 x 8 cells within the band hold the distance at their nodes (and one node beyond); between nodes it runs tricubic
//! (Catmull-Rom), so that the gradient is continuous. Away from edges and medial surfaces the error falls with the cube of the cell;
//! at an edge of the distance it is a fraction of a cell. [`Band::error`] is the largest difference to the body, measured while
//! building at eight places of one cell in 64. Beyond the band the value runs straight between the corners of the blocks: sign
//! right, size within 14 cells.
//!
//! Blocks are filled by all threads; values do not depend on their number.

use crate::outline::{catmull_rom, catmull_rom_slope};
use crate::solid::{Aabb, STEEPEST, ShapeError, Solid, positive};
use crate::vector::{V, norm, sub};
use rayon::prelude::*;

/// Cells along a block's edge.
const BLOCK: usize = 8;
/// Nodes along a block's edge: one beyond on either side.
const NODES: usize = BLOCK + 3;
/// Most blocks that hold values: 5.3 GB would follow; refused above a tenth of it.
const MOST_BLOCKS: usize = 100_000;
const MOST_PLACES: f64 = 4e6;
const EMPTY: u32 = u32::MAX;

/// Distances in a band around a surface.
#[derive(Debug, Clone)]
pub struct Band {
    origin: V,
    cell: f64,
    blocks: [usize; 3],
    /// Which values a block has.
    index: Vec<u32>,
    values: Vec<f32>,
    /// Distances at the corners of all blocks.
    corners: Vec<f32>,
    bound: Aabb,
    error: f64,
}

impl Band {
    /// Distances of `solid` on a lattice of `cell`, true to [`Band::error`] up to `width` from the surface.
    ///
    /// Errors: cell or width not positive, a body without end, more than 100,000 blocks in the band (choose a greater cell).
    pub fn of(solid: &dyn Solid, cell: f64, width: f64) -> Result<Self, ShapeError> {
        positive("cell", cell)?;
        positive("width of the band", width)?;
        let bound = solid.bound();
        if !bound.is_finite() {
            return Err(ShapeError::Unbounded);
        }
        let room = bound.grown(width + 2.0 * cell);
        let edge = cell * BLOCK as f64;
        let counts = room.size().map(|s| (s / edge).ceil());
        let too_fine =
            ShapeError::OutOfRange { quantity: "cell", found: cell, expected: "coarser: the band would not fit" };
        if counts.iter().product::<f64>().partial_cmp(&MOST_PLACES).is_none_or(std::cmp::Ordering::is_gt) {
            return Err(too_fine);
        }
        let blocks = counts.map(|c| (c as usize).max(1));
        let mut band = Self {
            origin: room.low,
            cell,
            blocks,
            index: Vec::new(),
            values: Vec::new(),
            corners: Vec::new(),
            bound,
            error: 0.0,
        };
        band.corners = band.at_corners(solid);
        let near = band.near_blocks(solid, width);
        if near.len() > MOST_BLOCKS {
            return Err(too_fine);
        }
        band.index = vec![EMPTY; blocks.iter().product()];
        for (n, &b) in near.iter().enumerate() {
            band.index[b] = n as u32;
        }
        band.values = near.par_iter().flat_map_iter(|&b| band.fill(solid, b)).collect();
        let seen: Vec<f64> = near.par_iter().map(|&b| band.miss(solid, b, width)).collect();
        band.error = seen.into_iter().fold(0.0, f64::max);
        Ok(band)
    }

    /// Largest difference to the body's own distance seen within the width of the band.
    pub fn error(&self) -> f64 {
        self.error
    }

    /// Edge of a cell.
    pub fn cell(&self) -> f64 {
        self.cell
    }

    /// Bytes held.
    pub fn bytes(&self) -> usize {
        4 * (self.index.len() + self.values.len() + self.corners.len())
    }

    fn at_corners(&self, solid: &dyn Solid) -> Vec<f32> {
        let [nx, ny, nz] = self.blocks.map(|b| b + 1);
        let edge = self.cell * BLOCK as f64;
        (0..nx * ny * nz)
            .into_par_iter()
            .map(|n| {
                let at = [n % nx, n / nx % ny, n / (nx * ny)];
                solid.distance(std::array::from_fn(|a| self.origin[a] + edge * at[a] as f64)) as f32
            })
            .collect()
    }

    /// Low corner of a block.
    fn low(&self, block: usize) -> V {
        let [nx, ny, _] = self.blocks;
        let at = [block % nx, block / nx % ny, block / (nx * ny)];
        std::array::from_fn(|a| self.origin[a] + self.cell * (BLOCK * at[a]) as f64)
    }

    fn near_blocks(&self, solid: &dyn Solid, width: f64) -> Vec<usize> {
        let half = 0.5 * self.cell * BLOCK as f64;
        let reach = STEEPEST * (width + half * 3f64.sqrt());
        let near = |b: &usize| solid.distance(self.low(*b).map(|x| x + half)).abs() <= reach;
        (0..self.blocks.iter().product()).into_par_iter().filter(near).collect()
    }

    fn fill(&self, solid: &dyn Solid, block: usize) -> Vec<f32> {
        let low = self.low(block);
        let mut values = Vec::with_capacity(NODES.pow(3));
        for k in 0..NODES {
            for j in 0..NODES {
                for i in 0..NODES {
                    let at = [i, j, k];
                    let p = std::array::from_fn(|a| low[a] + self.cell * (at[a] as f64 - 1.0));
                    values.push(solid.distance(p) as f32);
                }
            }
        }
        values
    }

    fn miss(&self, solid: &dyn Solid, block: usize, width: f64) -> f64 {
        let low = self.low(block);
        let mut worst = 0.0f64;
        for n in 0..64usize {
            let bit = |k: usize| n >> k & 1;
            let at = [1 + 4 * bit(0), 1 + 4 * bit(1), 1 + 4 * bit(2)];
            // Where a cubic through four nodes is furthest off, not in the middle, where its third order cancels.
            let p = std::array::from_fn(|a| {
                let share = if bit(3 + a) == 1 { 0.79 } else { 0.21 };
                low[a] + self.cell * (at[a] as f64 + share)
            });
            let d = solid.distance(p);
            if d.abs() <= width {
                worst = worst.max((self.distance(p) - d).abs());
            }
        }
        worst
    }

    /// Block and place in it, in cells, of a place inside the lattice.
    fn find(&self, q: V) -> ([usize; 3], [f64; 3]) {
        let along: V = std::array::from_fn(|a| (q[a] - self.origin[a]) / self.cell);
        let at: [usize; 3] = std::array::from_fn(|a| (along[a] as usize / BLOCK).min(self.blocks[a] - 1));
        (at, std::array::from_fn(|a| along[a] - (BLOCK * at[a]) as f64))
    }

    /// Nearest place of the lattice.
    fn clamp(&self, p: V) -> V {
        std::array::from_fn(|a| {
            let high = self.origin[a] + self.cell * (BLOCK * self.blocks[a]) as f64;
            p[a].clamp(self.origin[a], high)
        })
    }

    fn coarse(&self, at: [usize; 3], local: [f64; 3]) -> f64 {
        let share = local.map(|x| x / BLOCK as f64);
        let [nx, ny, _] = self.blocks.map(|b| b + 1);
        let base = at[0] + nx * (at[1] + ny * at[2]);
        (0..8usize)
            .map(|c| {
                let bit = [c & 1, c >> 1 & 1, c >> 2];
                let w: f64 = (0..3).map(|a| if bit[a] == 1 { share[a] } else { 1.0 - share[a] }).product();
                w * f64::from(self.corners[base + bit[0] + nx * (bit[1] + ny * bit[2])])
            })
            .sum()
    }

    fn held(&self, at: [usize; 3]) -> Option<&[f32]> {
        let n = self.index[at[0] + self.blocks[0] * (at[1] + self.blocks[1] * at[2])];
        (n != EMPTY).then(|| &self.values[n as usize * NODES.pow(3)..(n as usize + 1) * NODES.pow(3)])
    }
}

/// Sum over the 4 x 4 x 4 nodes around a place.
#[inline]
fn tricubic(values: &[f32], cell: [usize; 3], w: &[[f64; 4]; 3]) -> f64 {
    let mut sum = 0.0;
    for (k, wz) in w[2].iter().enumerate() {
        let mut plane = 0.0;
        for (j, wy) in w[1].iter().enumerate() {
            let start = cell[0] + NODES * (cell[1] + j + NODES * (cell[2] + k));
            let row = &values[start..start + 4];
            let x = w[0][0] * f64::from(row[0])
                + w[0][1] * f64::from(row[1])
                + w[0][2] * f64::from(row[2])
                + w[0][3] * f64::from(row[3]);
            plane += wy * x;
        }
        sum += wz * plane;
    }
    sum
}

fn cell_and_share(local: [f64; 3]) -> ([usize; 3], [f64; 3]) {
    let cell = local.map(|x| (x as usize).min(BLOCK - 1));
    (cell, std::array::from_fn(|a| local[a] - cell[a] as f64))
}

impl Solid for Band {
    fn distance(&self, p: [f64; 3]) -> f64 {
        let q = self.clamp(p);
        let (at, local) = self.find(q);
        let value = match self.held(at) {
            Some(values) => {
                let (cell, share) = cell_and_share(local);
                tricubic(values, cell, &share.map(catmull_rom))
            }
            None => self.coarse(at, local),
        };
        // The body lies in the lattice, which is convex: its distance is at least this, and at most sqrt 2 times it.
        if q == p { value } else { value.hypot(norm(sub(p, q))) }
    }

    fn gradient(&self, p: [f64; 3]) -> [f64; 3] {
        let q = self.clamp(p);
        let (at, local) = self.find(q);
        match self.held(at) {
            Some(values) if q == p => {
                let (cell, share) = cell_and_share(local);
                let w = share.map(catmull_rom);
                std::array::from_fn(|a| {
                    let mut with = w;
                    with[a] = catmull_rom_slope(share[a]);
                    tricubic(values, cell, &with) / self.cell
                })
            }
            _ => {
                let step = 0.5 * self.cell;
                std::array::from_fn(|a| {
                    let (mut low, mut high) = (p, p);
                    low[a] -= step;
                    high[a] += step;
                    (self.distance(high) - self.distance(low)) / (2.0 * step)
                })
            }
        }
    }

    fn bound(&self) -> Aabb {
        self.bound
    }
}

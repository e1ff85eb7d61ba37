//! Preconditioner of the quadratic system: the smoothing polynomial of `multigrid` over block-Jacobi and patches of thin cells, below it the trilinear
//! hierarchy on the same cells. All in f32.

use super::lattice::Lattice;
use super::operator::Fine;
use super::thin::Patches;
use crate::multigrid::{Hierarchy, ON_QUADRATIC, Preconditioner, Step, largest};
use rayon::prelude::*;

/// What the largest eigenvalue is raised by: its estimate comes from below (up to 5 % seen), and the polynomial bears 1.04 times what it is told.
const RESERVE: f64 = 1.1;
/// Nodes a thread takes at once.
const BLOCK: usize = 4_096;

/// Rows of a sparse matrix by target: (source, share).
struct Shares {
    first: Vec<u32>,
    from: Vec<(u32, f32)>,
}

impl Shares {
    fn gather(&self, row: usize, x: &[f32]) -> [f32; 3] {
        let mut sum = [0.0; 3];
        for (n, share) in &self.from[self.first[row] as usize..self.first[row + 1] as usize] {
            let v = &x[3 * *n as usize..][..3];
            (0..3).for_each(|c| sum[c] += share * v[c]);
        }
        sum
    }
}

pub(crate) struct TwoLevel<'a> {
    fine: &'a Fine,
    coarse: Hierarchy,
    /// From trilinear to quadratic nodes, and back.
    up: Shares,
    down: Shares,
    /// Inverse diagonal blocks over the largest eigenvalue, nothing where there are patches.
    inverse: Vec<[f32; 6]>,
    patches: Patches,
    x: Vec<f32>,
    b: Vec<f32>,
    r: Vec<f32>,
    z: Vec<f32>,
    t: Vec<f32>,
    right: Vec<f32>,
    correction: Vec<f32>,
}

impl<'a> TwoLevel<'a> {
    pub(crate) fn new(fine: &'a Fine, coarse: Hierarchy, lattice: &Lattice) -> Self {
        let (up, down) = transfers(&coarse, lattice);
        let zero = || vec![0.0f32; 3 * fine.nodes];
        let below = || vec![0.0f32; coarse.unknowns()];
        let patches = Patches::new(fine);
        let mut inverse = fine.inverses();
        patches.nodes().iter().for_each(|n| inverse[*n as usize] = [0.0; 6]);
        let mut out = Self {
            fine,
            up,
            down,
            inverse,
            patches,
            x: zero(),
            b: zero(),
            r: zero(),
            z: zero(),
            t: zero(),
            right: below(),
            correction: below(),
            coarse,
        };
        let scale = (1.0 / (RESERVE * out.largest())) as f32;
        out.inverse.iter_mut().flatten().for_each(|x| *x *= scale);
        out.patches.scale(scale);
        out
    }

    /// Largest eigenvalue of the smoother's matrix times A.
    fn largest(&mut self) -> f64 {
        let Self { fine, inverse, patches, .. } = self;
        let held = fine.fixed.iter().flat_map(|n| (0..3).map(move |c| 3 * *n as usize + c));
        let precondition = |r: &[f32], z: &mut [f32]| {
            for ((r, z), d) in r.chunks_exact(3).zip(z.chunks_exact_mut(3)).zip(&*inverse) {
                z.copy_from_slice(&block(d, r));
            }
            patches.apply(r, |n, v| z[3 * n..3 * n + 3].copy_from_slice(&v));
        };
        largest(3 * fine.nodes, held, |x, y| fine.product(x, y), precondition)
    }

    /// One sweep: adds to x, whose residual is r.
    fn smooth(&mut self) {
        for (number, Step { keep, take, weight }) in ON_QUADRATIC.into_iter().enumerate() {
            let Self { x, r, z, t, inverse, patches, .. } = self;
            let parts = x.par_chunks_mut(3 * BLOCK).zip(r.par_chunks_mut(3 * BLOCK)).zip(z.par_chunks_mut(3 * BLOCK));
            parts.zip(t.par_chunks(3 * BLOCK)).zip(inverse.par_chunks(BLOCK)).for_each(|((((x, r), z), t), d)| {
                if number > 0 {
                    r.iter_mut().zip(t).for_each(|(r, t)| *r -= t);
                }
                for (((x, r), z), d) in x.chunks_exact_mut(3).zip(r.chunks_exact(3)).zip(z.chunks_exact_mut(3)).zip(d) {
                    let v = block(d, r);
                    for c in 0..3 {
                        z[c] = keep * z[c] + take * v[c];
                        x[c] += weight * z[c];
                    }
                }
            });
            patches.apply(r, |n, v| {
                for (c, v) in v.into_iter().enumerate() {
                    z[3 * n + c] += take * v;
                    x[3 * n + c] += weight * take * v;
                }
            });
            if number + 1 < ON_QUADRATIC.len() {
                self.fine.product(&self.z, &mut self.t);
            }
        }
    }

    fn residual(&mut self) {
        self.fine.product(&self.x, &mut self.t);
        self.r.par_chunks_mut(BLOCK).zip(self.b.par_chunks(BLOCK)).zip(self.t.par_chunks(BLOCK)).for_each(
            |((r, b), t)| {
                r.iter_mut().zip(b).zip(t).for_each(|((r, b), t)| *r = b - t);
            },
        );
    }
}

fn block(d: &[f32; 6], v: &[f32]) -> [f32; 3] {
    [
        d[0] * v[0] + d[3] * v[1] + d[5] * v[2],
        d[3] * v[0] + d[1] * v[1] + d[4] * v[2],
        d[5] * v[0] + d[4] * v[1] + d[2] * v[2],
    ]
}

impl Preconditioner for TwoLevel<'_> {
    fn apply(&mut self, b: &[f64], z: &mut [f64]) {
        self.b.iter_mut().zip(b).for_each(|(to, from)| *to = *from as f32);
        self.x.fill(0.0);
        self.z.fill(0.0);
        self.r.copy_from_slice(&self.b);
        self.smooth();
        self.residual();
        let (down, up, r) = (&self.down, &self.up, &self.r);
        self.right
            .par_chunks_mut(3)
            .enumerate()
            .with_min_len(BLOCK)
            .for_each(|(n, to)| to.copy_from_slice(&down.gather(n, r)));
        self.coarse.cycle(&self.right, &mut self.correction);
        let correction = &self.correction;
        self.x.par_chunks_mut(3).enumerate().with_min_len(BLOCK).for_each(|(n, to)| {
            let v = up.gather(n, correction);
            (0..3).for_each(|c| to[c] += v[c]);
        });
        for f in &self.fine.fixed {
            self.x[3 * *f as usize..][..3].fill(0.0);
        }
        self.residual();
        self.smooth();
        z.iter_mut().zip(&self.x).for_each(|(to, from)| *to = f64::from(*from));
    }
}

/// Trilinear nodes around a place in half cells, with their shares.
fn around(at: [i32; 3]) -> impl Iterator<Item = ([i32; 3], f32)> {
    let odd = at.map(|x| x.rem_euclid(2));
    let share = [1.0, 0.5, 0.25, 0.125][odd.iter().sum::<i32>() as usize];
    (0..8)
        .filter(move |c| (0..3).all(|i| c >> i & 1 == 0 || odd[i] == 1))
        .map(move |c| (std::array::from_fn(|i| at[i].div_euclid(2) + (c >> i & 1)), share))
}

fn transfers(coarse: &Hierarchy, lattice: &Lattice) -> (Shares, Shares) {
    let mut up = Shares { first: vec![0], from: vec![] };
    let mut count = vec![0u32; coarse.unknowns() / 3 + 1];
    for (node, (_, at)) in lattice.places.iter().enumerate() {
        // A node with copies in several fields takes their mean.
        let charts = lattice.charts_of(node as u32);
        for (chart, (place, share)) in charts.iter().flat_map(|c| around(*at).map(move |a| (c, a))) {
            if let Some(n) = coarse.node(*chart, place) {
                up.from.push((n as u32, share / charts.len() as f32));
                count[n + 1] += 1;
            }
        }
        up.first.push(up.from.len() as u32);
    }
    for k in 1..count.len() {
        count[k] += count[k - 1];
    }
    let mut next = count.clone();
    let mut from = vec![(0u32, 0.0f32); up.from.len()];
    for row in 0..lattice.places.len() {
        for (n, share) in &up.from[up.first[row] as usize..up.first[row + 1] as usize] {
            let at = &mut next[*n as usize];
            from[*at as usize] = (row as u32, *share);
            *at += 1;
        }
    }
    (up, Shares { first: count, from })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::solve::{Body, Given, Load, LoadCase, Material, Model, Prepared, Push, Support};
    use shape::{Ball, Block};
    use std::sync::Arc;

    /// A ball cut off below, held there: many thin cells.
    fn prepared() -> Option<Arc<Prepared>> {
        let block = |z: f64| Block::new([0.0, 0.0, z], [4.0, 4.0, 0.02], 0.0).ok();
        let solid = shape::Intersection::new(
            Ball::new([0.0; 3], 1.0).ok()?,
            Block::new([0.0, 0.0, 1.0], [4.0, 4.0, 3.0], 0.0).ok()?,
        );
        let given = Given::Displacement { offset: [0.0; 3], gradient: [[0.0; 3]; 3] };
        let push = Push::Force([0.3, 0.0, -1.0]);
        let load = Load { name: "load".into(), body: 0, region: Arc::new(Ball::new([0.0, 0.0, 1.0], 0.4).ok()?), push };
        let model = Model {
            cell: 0.21,
            origin: [0.013, 0.021, 0.034],
            bodies: vec![Body {
                name: "body".into(),
                solid: Arc::new(solid.ok()?),
                material: Material { young: 1000.0, poisson: 0.3 },
                initial_strain: 0.0,
            }],
            interfaces: vec![],
            supports: vec![Support { name: "bottom".into(), body: 0, region: Arc::new(block(-0.5)?), given }],
            cases: vec![LoadCase { name: "load".into(), loads: vec![load], given: 1.0 }],
        };
        Prepared::new(model, &answer::NoProgress).ok()
    }

    #[test]
    fn the_preconditioner_is_symmetric_and_positive_where_cells_are_thin() {
        let prepared = prepared();
        assert!(prepared.is_some());
        let Some(prepared) = prepared else { return };
        let hierarchy = Hierarchy::new(&prepared.trilinear);
        assert!(hierarchy.is_ok());
        let Ok(hierarchy) = hierarchy else { return };
        let mut pre = TwoLevel::new(&prepared.fine, hierarchy, &prepared.lattice);
        assert!(pre.patches.nodes().len() > 50, "{} nodes in patches", pre.patches.nodes().len());
        let n = prepared.unknowns();
        let vector = |seed: usize| -> Vec<f64> {
            (0..n).map(|k| ((k * 7_919 + seed * 104_729) % 10_007) as f64 / 5_003.5 - 1.0).collect()
        };
        let dot = |a: &[f64], b: &[f64]| a.iter().zip(b).map(|(a, b)| a * b).sum::<f64>();
        let (r, s) = (vector(1), vector(2));
        let (mut z, mut y) = (vec![0.0; n], vec![0.0; n]);
        pre.apply(&r, &mut z);
        pre.apply(&s, &mut y);
        let (own, other) = (dot(&r, &z), dot(&s, &y));
        assert!(own > 0.0 && other > 0.0);
        let apart = (dot(&s, &z) - dot(&r, &y)).abs() / (own * other).sqrt();
        assert!(apart < 1e-4, "{apart}: f32 rounds to 1e-7 of its terms");
    }
}

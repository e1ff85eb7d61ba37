//! The levels of a system and one symmetric cycle over them, in f32. Stiff pieces have lattices of their own below the finest level, and levels below the second are then visited twice.

use std::sync::Arc;

use super::blocks::BlockRows;
use super::coarsen::{coarsen, held};
use super::direct::Factor;
use super::error::SolveError;
use super::inclusions::pieces;
use super::krylov::Preconditioner;
use super::nodes::Nodes;
use super::operator::LevelOperator;
use super::parts;
use super::smooth::Smoother;
use super::split::{Split, Ways};
use super::system::{FixedNode, TrilinearSystem};
use super::transfer::Transfer;

/// A level with at most this many unknowns is solved directly.
const DIRECT: usize = 1_800;

/// Cycles of a level below the second in one of the level above it, where there are pieces: the cells between owners have stayed as thick as on the finest level
/// and are stiff beside all others there, so one is not enough.
const FURTHER: usize = 2;

/// Share of a motion below which what is left of it on a finer level is rounding.
const NOTHING: f32 = 1e-3;

/// Energy of a motion on the finest level, over that of the diagonal alone, below which nothing resists it. A coarse cell that holds nothing but a sliver
/// has motions which hardly strain the sliver: beside the cell's diagonal their energy is lost in the rounding of f32, yet on the finest level it is as
/// plain as any (0.5 was seen, and 1e-12 for free bodies and hinges).
const FREE: f64 = 1e-6;

/// A level and the way down from it.
#[derive(Debug, Clone)]
struct Level {
    operator: Arc<LevelOperator>,
    smoother: Smoother,
    transfer: Transfer,
    /// To the lattices of pieces, where the transfer begins at those.
    ways: Option<Ways>,
    /// Cycles of the level below in one of this.
    visits: usize,
    /// Solution, right side, residual, correction, product.
    x: Vec<f32>,
    b: Vec<f32>,
    r: Vec<f32>,
    z: Vec<f32>,
    t: Vec<f32>,
}

/// All levels of one system, set up once for any number of right sides.
///
/// Unknown (node n, component c) stands at `3 n + c` in what [`Self::cycle`] takes and gives.
#[derive(Debug, Clone)]
pub struct Hierarchy {
    nodes: Nodes,
    top: Arc<LevelOperator>,
    levels: Vec<Level>,
    factor: Factor,
    coarsest: [Vec<f32>; 2],
}

impl Hierarchy {
    /// Levels by doubling the spacing until the system is small enough for a direct solve.
    ///
    /// # Errors
    /// What [`TrilinearSystem`] refuses (cells out of order, unstable materials, unknown nodes); [`SolveError::Unsupported`] names the
    /// fields that can move without resistance.
    pub fn new(system: &TrilinearSystem) -> Result<Self, SolveError> {
        system.check()?;
        let mut nodes = Nodes::new(&system.fields);
        let lost = |f: FixedNode| SolveError::NoSuchNode { what: "support", field: f.field, at: f.node };
        let mut levels: Vec<Level> = Vec::new();
        let mut top: Option<Arc<LevelOperator>> = None;
        let mut held_now = held(&system.fixed, &nodes).map_err(lost)?;
        let mut own: Option<TrilinearSystem> = None;
        let top_nodes = nodes.clone();
        let mut parents: Option<Vec<u32>> = None;
        let mut shrinks = true;
        let (factor, top) = loop {
            let current = own.as_ref().unwrap_or(system);
            let fixed = places(&held_now, nodes.count);
            if 3 * nodes.count <= DIRECT || !shrinks || levels.len() >= 24 {
                let finest = match top.take() {
                    Some(finest) => finest,
                    None => Arc::new(LevelOperator::new(current, &nodes, fixed.clone())?),
                };
                let matrix = BlockRows::assemble(current, &nodes, true)?;
                // Corners of cells that pieces share may move nothing.
                let idle = if parents.is_some() { matrix.idle(nodes.count) } else { Vec::new() };
                let fixed = [fixed, idle].concat();
                let factor = Factor::new(&matrix, &nodes, &fixed, |motion| {
                    on_the_finest(&levels, motion).is_some_and(|u| finest.resistance(system.spacing, &u) <= FREE)
                });
                break (factor.map_err(|e| of_parents(e, parents.as_deref()))?, finest);
            }
            let operator = Arc::new(LevelOperator::new(current, &nodes, fixed)?);
            if top.is_none() {
                top = Some(Arc::clone(&operator));
            }
            let smoother = Smoother::new(&operator, current.spacing);
            let count = nodes.count;
            let mut visits = if parents.is_some() { FURTHER } else { 1 };
            let mut ways = None;
            let apart = if levels.is_empty() { pieces(current, &nodes) } else { Vec::new() };
            let split = if apart.is_empty() { None } else { Split::new(current, &nodes, &apart) };
            let coarse = match split {
                Some(split) => {
                    let mask = held(&split.system.fixed, &split.nodes).map_err(lost)?;
                    nodes = split.nodes;
                    parents = Some(split.parents);
                    ways = Some(split.ways);
                    visits = 1;
                    coarsen(&split.system, &nodes, &mask)
                }
                None => coarsen(current, &nodes, &held_now),
            };
            let coarse_nodes = Nodes::new(&coarse.fields);
            let transfer = Transfer::new(&nodes, &coarse_nodes);
            let zero = || vec![0.0f32; 3 * count];
            let (x, b, r, z, t) = (zero(), zero(), zero(), zero(), zero());
            levels.push(Level { operator, smoother, transfer, ways, visits, x, b, r, z, t });
            held_now = held(&coarse.fixed, &coarse_nodes).map_err(lost)?;
            shrinks = 4 * coarse_nodes.count < 3 * nodes.count;
            nodes = coarse_nodes;
            own = Some(coarse);
        };
        let coarsest = [vec![0.0; 3 * nodes.count], vec![0.0; 3 * nodes.count]];
        Ok(Self { nodes: top_nodes, top, levels, factor, coarsest })
    }

    /// Number of a node of the finest level; its unknowns are `3 n`, `3 n + 1`, `3 n + 2`.
    pub fn node(&self, field: u32, at: [i32; 3]) -> Option<usize> {
        self.nodes.find(field, at)
    }

    /// Unknowns of the finest level, held ones included.
    pub fn unknowns(&self) -> usize {
        3 * self.nodes.count
    }

    /// Number of levels, the directly solved one included.
    pub fn depth(&self) -> usize {
        self.levels.len() + 1
    }

    /// Bytes held by operators, smoothers, vectors and the factor.
    pub fn bytes(&self) -> usize {
        let ways = |l: &Level| l.ways.as_ref().map_or(0, Ways::bytes);
        let level = |l: &Level| l.operator.bytes() + l.smoother.bytes() + ways(l) + 5 * 4 * l.x.len();
        self.levels.iter().map(level).sum::<usize>() + self.factor.bytes()
    }

    /// One symmetric cycle from zero: `correction` approximates A^-1 `residual`. Unknowns at `3 n + c`.
    ///
    /// Both must hold [`Self::unknowns`] numbers; what is beyond the shorter of them is left alone.
    pub fn cycle(&mut self, residual: &[f32], correction: &mut [f32]) {
        let n = self.nodes.count;
        let mut right = std::mem::take(self.entry());
        for (node, three) in residual.chunks_exact(3).take(n).enumerate() {
            for c in 0..3 {
                right[c * n + node] = three[c];
            }
        }
        *self.entry() = right;
        self.run();
        let solution = self.result();
        for (node, three) in correction.chunks_exact_mut(3).take(n).enumerate() {
            for c in 0..3 {
                three[c] = solution[c * n + node];
            }
        }
    }

    /// Right side of the finest level, component by component.
    fn entry(&mut self) -> &mut Vec<f32> {
        match self.levels.first_mut() {
            Some(level) => &mut level.b,
            None => &mut self.coarsest[0],
        }
    }

    /// Solution of the finest level, component by component.
    fn result(&self) -> &[f32] {
        self.levels.first().map_or(&self.coarsest[1], |level| &level.x)
    }

    /// The cycle from the right side in `entry` to `result`.
    fn run(&mut self) {
        if let Some(level) = self.levels.first_mut() {
            level.operator.fixed.iter().for_each(|at| level.b[*at as usize] = 0.0);
        }
        let Self { levels, factor, coarsest, .. } = self;
        descend(levels, factor, coarsest);
    }

    /// The finest stiffness.
    pub(crate) fn top(&self) -> Arc<LevelOperator> {
        Arc::clone(&self.top)
    }
}

/// The cycle of the first level.
fn descend(levels: &mut [Level], factor: &Factor, coarsest: &mut [Vec<f32>; 2]) {
    let Some((level, below)) = levels.split_first_mut() else {
        let [b, x] = coarsest;
        factor.solve(b, x);
        return;
    };
    let Level { operator, smoother, transfer, ways, visits, x, b, r, z, t } = level;
    x.fill(0.0);
    r.copy_from_slice(b);
    smoother.sweep(operator, x, r, z, t);
    residual(operator, x, b, r);
    {
        let right = match below.first_mut() {
            Some(next) => &mut next.b,
            None => &mut coarsest[0],
        };
        match ways {
            Some(ways) => {
                ways.part(r);
                transfer.restrict(&ways.wide, right);
            }
            None => transfer.restrict(r, right),
        }
        if let Some(next) = below.first_mut() {
            next.operator.fixed.iter().for_each(|at| next.b[*at as usize] = 0.0);
        }
    }
    visit(below, factor, coarsest, *visits);
    let correction = match below.first() {
        Some(next) => &next.x,
        None => &coarsest[1],
    };
    match ways {
        Some(ways) => {
            ways.wide.fill(0.0);
            transfer.prolong(correction, &mut ways.wide);
            ways.join(&ways.wide, x);
        }
        None => transfer.prolong(correction, x),
    }
    operator.fixed.iter().for_each(|at| x[*at as usize] = 0.0);
    residual(operator, x, b, r);
    smoother.sweep(operator, x, r, z, t);
}

/// `times` cycles from zero in place of one, each on what those before have left: together they are symmetric as one is. What is left is a small difference of
/// large forces, so it is taken in f64.
fn visit(levels: &mut [Level], factor: &Factor, coarsest: &mut [Vec<f32>; 2], times: usize) {
    descend(levels, factor, coarsest);
    let mut sum: Option<Vec<f32>> = None;
    for _ in 1..times {
        let Some(Level { operator, x, b, .. }) = levels.first_mut() else { return };
        let wide: Vec<f64> = x.iter().map(|x| f64::from(*x)).collect();
        let mut product = vec![0.0f64; wide.len()];
        operator.apply(&wide, &mut product);
        b.iter_mut().zip(&product).for_each(|(b, product)| *b = (f64::from(*b) - product) as f32);
        let sum = sum.get_or_insert_with(|| vec![0.0; x.len()]);
        sum.iter_mut().zip(x.iter()).for_each(|(sum, x)| *sum += x);
        descend(levels, factor, coarsest);
    }
    if let (Some(level), Some(sum)) = (levels.first_mut(), sum) {
        level.x.iter_mut().zip(sum).for_each(|(x, sum)| *x += sum);
    }
}

/// The error with the fields of the system as given in place of its pieces.
fn of_parents(error: SolveError, parents: Option<&[u32]>) -> SolveError {
    match (error, parents) {
        (SolveError::Unsupported { fields }, Some(parents)) => {
            let mut fields: Vec<u32> = fields.into_iter().filter_map(|f| parents.get(f as usize).copied()).collect();
            fields.sort_unstable();
            fields.dedup();
            SolveError::Unsupported { fields }
        }
        (error, _) => error,
    }
}

/// What a motion of the coarsest level is on the finest one; `None` where it moves nothing there: beside held unknowns coarse ones may all move the same
/// few fine ones, and some of their sums none.
fn on_the_finest(levels: &[Level], motion: &[f32]) -> Option<Vec<f32>> {
    let size = |v: &[f32]| v.iter().fold(0.0f32, |m, x| m.max(x.abs()));
    let most = NOTHING * size(motion);
    let mut above = motion.to_vec();
    for level in levels.iter().rev() {
        let mut fine = vec![0.0; level.x.len()];
        match &level.ways {
            Some(ways) => {
                let mut wide = vec![0.0; ways.wide.len()];
                level.transfer.prolong(&above, &mut wide);
                ways.join(&wide, &mut fine);
            }
            None => level.transfer.prolong(&above, &mut fine),
        }
        level.operator.fixed.iter().for_each(|at| fine[*at as usize] = 0.0);
        above = fine;
        if size(&above) <= most {
            return None;
        }
    }
    Some(above)
}

/// r = b - A x.
fn residual(operator: &LevelOperator, x: &[f32], b: &[f32], r: &mut [f32]) {
    operator.apply(x, r);
    let n = operator.count;
    let b = parts::components(b, n);
    let pieces = parts::split(r, n, &operator.chunks);
    parts::for_each(operator.chunks.iter().zip(pieces).collect(), n, |(range, piece)| {
        for (r, b) in piece.into_iter().zip(b) {
            r.iter_mut().zip(&b[range.clone()]).for_each(|(r, b)| *r = b - *r);
        }
    });
}

/// Places in a level's vector of the held unknowns.
fn places(held: &[u8], count: usize) -> Vec<u32> {
    let mut all = Vec::new();
    for c in 0..3 {
        for (node, mask) in held.iter().enumerate() {
            if mask >> c & 1 == 1 {
                all.push((c * count + node) as u32);
            }
        }
    }
    all
}

/// The cycle on vectors that stand component by component, as the trilinear solver keeps them.
impl Preconditioner for Hierarchy {
    fn apply(&mut self, r: &[f64], z: &mut [f64]) {
        for (b, v) in self.entry().iter_mut().zip(r) {
            *b = *v as f32;
        }
        self.run();
        for (z, v) in z.iter_mut().zip(self.result()) {
            *z = f64::from(*v);
        }
    }
}

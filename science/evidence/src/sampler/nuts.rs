//! One chain of the no-U-turn sampler, multinomial form, diagonal metric.
//!
//! Hoffman, Gelman 2014, J Mach Learn Res 15:1593-1623 (doubling, dual averaging); Betancourt 2017, arXiv:1701.02434, appendix A (multinomial
//! choice within the trajectory, generalised turning criterion). Departures: at most 2^8 steps a draw; the turning criterion is checked
//! on whole subtrees only.

use super::adapt::{StepSize, Variances};
use super::stream::Stream;

/// A log density with its gradient.
pub(crate) trait Target: Sync {
    /// Number of coordinates.
    fn dimension(&self) -> usize;
    /// ln density at `q` up to a constant; writes the gradient.
    fn log_density(&self, q: &[f64], gradient: &mut [f64]) -> f64;
}

/// Greatest number of doublings.
const DEPTH: usize = 8;
/// Energy error at which a trajectory counts as diverged.
const DIVERGED: f64 = 1000.0;

#[derive(Clone)]
struct Point {
    q: Vec<f64>,
    p: Vec<f64>,
    gradient: Vec<f64>,
    log_density: f64,
}

struct Tree {
    left: Point,
    right: Point,
    chosen: Point,
    /// ln of the summed weights.
    weight: f64,
    momentum: Vec<f64>,
    turning: bool,
    diverged: bool,
    accept: f64,
    steps: usize,
}

/// What a chain gave.
pub(crate) struct Chain {
    /// Kept draws.
    pub draws: Vec<Vec<f64>>,
    /// Trajectories that diverged after warm-up.
    pub divergences: usize,
}

/// Runs one chain; `step` is called at every iteration and stops the chain by `false`.
pub(crate) fn chain(
    target: &dyn Target,
    stream: &mut Stream,
    warm_up: usize,
    kept: usize,
    mut step: impl FnMut() -> bool,
) -> Option<Chain> {
    let n = target.dimension();
    let mut metric = vec![1.0; n];
    let start: Vec<f64> = (0..n).map(|_| 0.3 * stream.normal()).collect();
    let mut gradient = vec![0.0; n];
    let log_density = target.log_density(&start, &mut gradient);
    let mut here = Point { q: start, p: vec![0.0; n], gradient, log_density };
    let mut size = StepSize::new(reasonable_step(target, &here, &metric, stream));
    let mut variances = Variances::new(n, warm_up);
    let mut chain = Chain { draws: Vec::with_capacity(kept), divergences: 0 };
    for iteration in 0..warm_up + kept {
        if !step() {
            return None;
        }
        let warming = iteration < warm_up;
        let epsilon = if warming { size.current() } else { size.settled() };
        let (next, accept, diverged) = transition(target, here, epsilon, &metric, stream);
        here = next;
        if warming {
            size.learn(accept);
            if let Some(updated) = variances.learn(iteration, &here.q) {
                metric = updated;
                size = StepSize::new(reasonable_step(target, &here, &metric, stream));
            }
        } else {
            chain.divergences += usize::from(diverged);
            chain.draws.push(here.q.clone());
        }
    }
    Some(chain)
}

/// One draw: doubles the trajectory until it turns.
fn transition(
    target: &dyn Target,
    mut here: Point,
    epsilon: f64,
    metric: &[f64],
    stream: &mut Stream,
) -> (Point, f64, bool) {
    for (p, m) in here.p.iter_mut().zip(metric) {
        *p = stream.normal() / m.sqrt();
    }
    let energy = hamiltonian(&here, metric);
    let momentum = here.p.clone();
    let mut tree = Tree {
        left: here.clone(),
        right: here.clone(),
        chosen: here,
        weight: 0.0,
        momentum,
        turning: false,
        diverged: false,
        accept: 0.0,
        steps: 0,
    };
    for depth in 0..DEPTH {
        let forward = stream.uniform() < 0.5;
        let from = if forward { &tree.right } else { &tree.left };
        let signed = if forward { epsilon } else { -epsilon };
        let grown = build(target, from, depth, signed, energy, metric, stream);
        tree.accept += grown.accept;
        tree.steps += grown.steps;
        if grown.turning || grown.diverged {
            tree.diverged = grown.diverged;
            break;
        }
        // Biased progressive choice: the new half is preferred by its weight.
        if stream.uniform().ln() < grown.weight - tree.weight {
            tree.chosen = grown.chosen;
        }
        tree.weight = log_add(tree.weight, grown.weight);
        for (m, g) in tree.momentum.iter_mut().zip(&grown.momentum) {
            *m += g;
        }
        if forward {
            tree.right = grown.right;
        } else {
            tree.left = grown.left;
        }
        if turns(&tree.momentum, &tree.left, &tree.right, metric) {
            break;
        }
    }
    (tree.chosen, tree.accept / tree.steps.max(1) as f64, tree.diverged)
}

/// A subtree of 2^depth steps from a point.
fn build(
    target: &dyn Target,
    from: &Point,
    depth: usize,
    epsilon: f64,
    energy: f64,
    metric: &[f64],
    stream: &mut Stream,
) -> Tree {
    if depth == 0 {
        let point = leapfrog(target, from, epsilon, metric);
        let error = hamiltonian(&point, metric) - energy;
        let error = if error.is_nan() { f64::INFINITY } else { error };
        return Tree {
            left: point.clone(),
            right: point.clone(),
            momentum: point.p.clone(),
            chosen: point,
            weight: -error,
            turning: false,
            diverged: error > DIVERGED,
            accept: (-error).exp().min(1.0),
            steps: 1,
        };
    }
    let mut first = build(target, from, depth - 1, epsilon, energy, metric, stream);
    if first.turning || first.diverged {
        return first;
    }
    let edge = if epsilon > 0.0 { &first.right } else { &first.left };
    let second = build(target, edge, depth - 1, epsilon, energy, metric, stream);
    first.accept += second.accept;
    first.steps += second.steps;
    first.diverged = second.diverged;
    first.turning = second.turning;
    if first.turning || first.diverged {
        return first;
    }
    let total = log_add(first.weight, second.weight);
    if stream.uniform().ln() < second.weight - total {
        first.chosen = second.chosen;
    }
    first.weight = total;
    for (m, s) in first.momentum.iter_mut().zip(&second.momentum) {
        *m += s;
    }
    if epsilon > 0.0 {
        first.right = second.right;
    } else {
        first.left = second.left;
    }
    first.turning = turns(&first.momentum, &first.left, &first.right, metric);
    first
}

fn leapfrog(target: &dyn Target, from: &Point, epsilon: f64, metric: &[f64]) -> Point {
    let mut to = from.clone();
    for (((p, q), g), m) in to.p.iter_mut().zip(&mut to.q).zip(&to.gradient).zip(metric) {
        *p += 0.5 * epsilon * g;
        *q += epsilon * m * *p;
    }
    to.log_density = target.log_density(&to.q, &mut to.gradient);
    for (p, g) in to.p.iter_mut().zip(&to.gradient) {
        *p += 0.5 * epsilon * g;
    }
    to
}

/// Energy: minus ln density plus the kinetic energy under inverse masses `metric`.
fn hamiltonian(point: &Point, metric: &[f64]) -> f64 {
    0.5 * point.p.iter().zip(metric).map(|(p, m)| m * p * p).sum::<f64>() - point.log_density
}

/// True when the ends move towards each other along the summed momentum.
fn turns(momentum: &[f64], left: &Point, right: &Point, metric: &[f64]) -> bool {
    let along = |end: &Point| momentum.iter().zip(&end.p).zip(metric).map(|((s, p), m)| s * p * m).sum::<f64>();
    along(left) <= 0.0 || along(right) <= 0.0
}

/// A step at which a single leap is accepted about as often as not.
fn reasonable_step(target: &dyn Target, here: &Point, metric: &[f64], stream: &mut Stream) -> f64 {
    let mut epsilon = 0.1;
    let mut start = here.clone();
    for (p, m) in start.p.iter_mut().zip(metric) {
        *p = stream.normal() / m.sqrt();
    }
    let energy = hamiltonian(&start, metric);
    let gain = |epsilon: f64| {
        let change = energy - hamiltonian(&leapfrog(target, &start, epsilon, metric), metric);
        if change.is_nan() { f64::NEG_INFINITY } else { change }
    };
    let rising = gain(epsilon) > -0.7;
    for _ in 0..40 {
        if (gain(epsilon) > -0.7) != rising {
            break;
        }
        epsilon *= if rising { 2.0 } else { 0.5 };
    }
    epsilon
}

fn log_add(a: f64, b: f64) -> f64 {
    let (top, low) = if a > b { (a, b) } else { (b, a) };
    if top == f64::NEG_INFINITY { top } else { top + (low - top).exp().ln_1p() }
}

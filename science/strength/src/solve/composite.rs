//! Zooms that give back: the whole feels the zoom in place of its own cells inside the box.
//!
//! The walls of a box lie on planes of the whole's lattice, and a whole number of its cells fits into one of the whole. With S_out, S_in the stiffness of the outside and of the
//! inside of the box as its walls feel them, and S_z that of the zoom, the answer sought is (S_out + P^T S_z P) u = f. In rounds: the whole is solved under the forces that put
//! the zoom in the place of its inside ([`Inside`]), then the zoom, moved by the whole. Nodes strictly inside get no such forces, so that the inside stays in balance and an error e
//! becomes (S_out + S_in)^-1 (S_in - P^T S_z P) e: smaller wherever the zoom is softer than twice the inside. The points of the rounds are mixed ([`Mixing`]).
//! The composite of both lattices is that of McCormick, Thomas 1986, Math Comp 46:439-456, doi 10.1090/S0025-5718-1986-0829617-3 (memory), exchanged by forces.

use super::error::ModelError;
use super::inside::{Handed, Inside, size};
use super::mixing::Mixing;
use super::model::Zoom;
use super::solver::{Engine, Part, Prepared, Solution};
use super::zoom::{Carried, planes};
use crate::multigrid::Convergence;
use std::sync::Arc;

/// Rounds end when the forces handed up change by less than this share of those they replace.
const SETTLED: f64 = 1e-3;
/// Rounds before the last are solved to a residual this many times the one asked for,
const ROUGH: f64 = 100.0;
/// all to this at most: noise in the forces is up to 70 times it.
const LARGEST: f64 = 1e-6;
/// Rounds at most.
const MOST: usize = 40;

/// A whole and its zooms in balance with each other.
pub struct Composite {
    /// The whole, by load case.
    pub whole: Vec<Solution>,
    /// Every zoom, by load case.
    pub zooms: Vec<Vec<Solution>>,
    /// Change of the forces in each round of each load case, as a share of those they replace.
    pub rounds: Vec<Vec<f64>>,
    /// Greatest resultant, force or moment, of what zooms hand up that no load or support explains: as a share of the sum of the sizes of the forces.
    pub left_over: f64,
}

impl Prepared {
    /// Solves every case of the whole with a zoom in a zoom: each box, within the one before, gives its reactions back to what lies around it. Boxes go outward to planes of the
    /// lattice around them, and their cells are the largest that are not above the edge asked for and divide those around them. The first box holds all of a slot narrower than the
    /// cells of the whole, from its end to where it opens: what is left outside does not open. Keep the walls off ends of slots and off surfaces parallel to them.
    ///
    /// # Errors
    /// As [`Prepared::solve`] and [`Solution::zoom`]; [`ModelError::Unsettled`] where the rounds do not come to rest.
    pub fn composite(
        self: &Arc<Self>,
        zooms: &[Zoom],
        tolerance: f64,
        progress: &dyn answer::Progress,
    ) -> Result<Composite, ModelError> {
        if zooms.is_empty() {
            let whole = self.solve(tolerance, progress)?;
            return Ok(Composite { whole, zooms: vec![], rounds: vec![], left_over: 0.0 });
        }
        let (levels, gaps) = self.levels(zooms, progress)?;
        let pairs = levels.iter().zip(&levels[1..]).zip(gaps);
        let seams: Vec<Inside> = pairs.map(|((o, z), (window, carried))| Inside::new(o, z, window, carried)).collect();
        let engines = levels.iter().map(|l| Engine::new(l)).collect::<Result<Vec<_>, _>>()?;
        let mut stack = Stack { levels: &levels, seams: &seams, zooms, engines, tolerance: tolerance.min(LARGEST) };
        let mut out = Composite { whole: vec![], zooms: vec![vec![]; zooms.len()], rounds: vec![], left_over: 0.0 };
        for case in 0..self.model.cases.len() {
            let part = Part { progress, done: case, of: self.model.cases.len() };
            let settled = stack.settle(case, &part)?;
            let mut found = settled.states.into_iter().zip(&levels).map(|((displacement, convergence), level)| {
                Solution { prepared: Arc::clone(level), case, displacement, convergence }
            });
            out.whole.extend(found.next());
            out.zooms.iter_mut().zip(found).for_each(|(all, one)| all.push(one));
            out.rounds.push(settled.changes);
            out.left_over = out.left_over.max(settled.left_over);
        }
        Ok(out)
    }

    /// The whole and its zooms; between each and the next the planes of the box and what moves the held nodes.
    fn levels(
        self: &Arc<Self>,
        zooms: &[Zoom],
        progress: &dyn answer::Progress,
    ) -> Result<(Vec<Arc<Self>>, Vec<Gap>), ModelError> {
        let (mut levels, mut gaps) = (vec![Arc::clone(self)], vec![]);
        let mut around: Option<[[i32; 3]; 2]> = None;
        for zoom in zooms {
            let outer: &Self = &levels[levels.len() - 1];
            let edge = outer.model.cell;
            let times = (edge / zoom.cell - ROUNDING).ceil().clamp(1.0, 1024.0) as i32;
            let [mut low, mut high] = planes(zoom, outer.model.origin, edge, ROUNDING);
            if let Some([from, to]) = around {
                low = std::array::from_fn(|i| low[i].max(from[i]));
                high = std::array::from_fn(|i| high[i].min(to[i]));
            }
            let finer = [low, high].map(|at| at.map(|x| x.saturating_mul(times)));
            let (prepared, carried) = outer.in_ringed_box(zoom, times, finer, progress)?;
            levels.push(Arc::new(prepared));
            gaps.push(([low, high], carried));
            around = Some(finer);
        }
        Ok((levels, gaps))
    }
}

type Gap = ([[i32; 3]; 2], Vec<Carried>);

/// Share of a cell by which a wall may miss a plane of the lattice.
const ROUNDING: f64 = 1e-6;

/// The whole and its zooms, from the outside in.
struct Stack<'a> {
    levels: &'a [Arc<Prepared>],
    seams: &'a [Inside<'a>],
    zooms: &'a [Zoom],
    engines: Vec<Engine<'a>>,
    tolerance: f64,
}

/// One load case come to rest.
struct Settled {
    states: Vec<State>,
    changes: Vec<f64>,
    left_over: f64,
}

impl Stack<'_> {
    fn settle(&mut self, case: usize, progress: &dyn answer::Progress) -> Result<Settled, ModelError> {
        let loads: Vec<Vec<f64>> = self.levels.iter().map(|l| l.right_side(case)).collect();
        let mut states: Vec<State> = vec![];
        let mut forces: Vec<Vec<f64>> = self.seams.iter().map(|s| vec![0.0; 3 * s.rim.len()]).collect();
        let (mut mixing, mut units, mut changes, mut restless) = (Mixing::default(), vec![], vec![], 0);
        for round in 0..MOST {
            let part = Part { progress, done: round, of: MOST + 1 };
            let rough = (ROUGH * self.tolerance).min(LARGEST);
            let handed;
            (states, handed) = self.round(case, &loads, &forces, states, rough, &part)?;
            let sizes: Vec<f64> = handed.iter().map(|h| size(&h.replaced)).collect();
            if round == 0 {
                units = sizes.iter().map(|s| if *s > 0.0 { 1.0 / s } else { 1.0 }).collect();
            }
            let steps: Vec<Vec<f64>> = handed.iter().zip(&forces).map(|(h, f)| difference(&h.forces, f)).collect();
            let share = |k: usize| if sizes[k] > 0.0 { size(&steps[k]) / sizes[k] } else { 0.0 };
            let (worst, change) =
                (0..sizes.len()).map(|k| (k, share(k))).fold((0, 0.0), |a, b| if b.1 > a.1 { b } else { a });
            changes.push(change);
            restless = worst;
            let next = mixing.next(&joined(&forces, &units), &joined(&steps, &units));
            forces = parted(&next, &forces, &units);
            if change < SETTLED {
                let (states, handed) = self.round(case, &loads, &forces, states, self.tolerance, &part)?;
                let left_over = handed.iter().map(|h| h.left_over).fold(0.0, f64::max);
                return Ok(Settled { states, changes, left_over });
            }
        }
        Err(ModelError::Unsettled {
            zoom: self.zooms[restless].name.clone(),
            rounds: MOST,
            change: changes.last().copied().unwrap_or(0.0),
        })
    }

    /// Solves the whole, then each zoom moved by what lies around it, all under the forces handed up before; and what the zooms hand up now.
    fn round(
        &mut self,
        case: usize,
        loads: &[Vec<f64>],
        forces: &[Vec<f64>],
        before: Vec<State>,
        tolerance: f64,
        progress: &dyn answer::Progress,
    ) -> Result<(Vec<State>, Vec<Handed>), ModelError> {
        let (mut states, mut handed): (Vec<State>, Vec<Handed>) = (vec![], vec![]);
        let of = self.engines.len();
        for (k, engine) in self.engines.iter_mut().enumerate() {
            let right = with_forces(&loads[k], self.seams.get(k).zip(forces.get(k)));
            let held = if k == 0 { vec![] } else { self.seams[k - 1].down(&states[k - 1].0) };
            let guess = before.get(k).map_or(&[][..], |s| &s.0);
            let part = Part { progress, done: k, of };
            states.push(engine.solve(right.clone(), &held, guess, tolerance, &part)?);
            if k > 0 {
                handed.push(self.seams[k - 1].up(case, &states[k - 1].0, &states[k].0, &right));
            }
        }
        Ok((states, handed))
    }
}

/// Displacements of a level, and how their iteration ended.
type State = (Vec<f64>, Convergence);

/// Loads of a level and the forces that the zoom in it hands up.
fn with_forces(loads: &[f64], seam: Option<(&Inside, &Vec<f64>)>) -> Vec<f64> {
    let mut out = loads.to_vec();
    let Some((seam, forces)) = seam else { return out };
    for (n, f) in seam.rim.iter().zip(forces.chunks_exact(3)) {
        (0..3).for_each(|i| out[3 * *n as usize + i] += f[i]);
    }
    out
}

fn difference(a: &[f64], b: &[f64]) -> Vec<f64> {
    a.iter().zip(b).map(|(a, b)| a - b).collect()
}

/// Forces of all levels, each in its unit, as one vector.
fn joined(all: &[Vec<f64>], units: &[f64]) -> Vec<f64> {
    all.iter().zip(units).flat_map(|(v, unit)| v.iter().map(move |x| x * unit)).collect()
}

/// Back from one vector.
fn parted(joined: &[f64], like: &[Vec<f64>], units: &[f64]) -> Vec<Vec<f64>> {
    let mut from = 0;
    let mut one = |(v, unit): (&Vec<f64>, &f64)| {
        from += v.len();
        joined[from - v.len()..from].iter().map(|x| x / unit).collect()
    };
    like.iter().zip(units).map(&mut one).collect()
}

//! A mesh mended in named steps, each told.
//!
//! Places within a reach become one; facets that lose a side by it, and facets there twice, go; the rest is turned so that neighbours agree and closed
//! shells face outwards; rims up to a stated length are closed. Nothing else is touched: facets that cut each other, edges of more than two facets
//! and long rims stay and are told by [`crate::inspect`].

use super::edges::Edges;
use super::flaws::duplicates;
use super::orient::orient;
use super::weld::near_places;
use super::{Mesh, fill, holes};
use crate::solid::{ShapeError, at_least_zero};
use std::collections::HashSet;
use std::fmt;

/// How far mending goes.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Repair {
    /// Places within this distance become one; 0 joins only the same ones.
    pub weld: f64,
    /// Longest rim that is closed.
    pub fill: f64,
}

/// A step that changed something, or a rim left as it is.
#[derive(Debug, Clone, PartialEq)]
pub enum Action {
    /// Places joined to others.
    Welded(usize),
    /// Facets that lost a side.
    DroppedWithoutArea(usize),
    /// Facets there twice.
    DroppedDuplicates(usize),
    /// Facets turned to agree with their neighbours.
    Flipped(usize),
    /// Closed shells turned outwards.
    Turned(usize),
    /// A rim closed.
    Filled {
        /// Its length.
        length: f64,
        /// Its middle.
        centre: [f64; 3],
        /// Facets added.
        facets: usize,
    },
    /// A rim too long to be closed, or that of a lone facet.
    LeftOpen {
        /// Its length.
        length: f64,
        /// Its middle.
        centre: [f64; 3],
    },
}

impl fmt::Display for Action {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let place = |p: &[f64; 3]| format!("({:.3}, {:.3}, {:.3})", p[0], p[1], p[2]);
        match self {
            Self::Welded(n) => write!(f, "{n} places joined to others"),
            Self::DroppedWithoutArea(n) => write!(f, "{n} facets without area dropped"),
            Self::DroppedDuplicates(n) => write!(f, "{n} facets that were there twice dropped"),
            Self::Flipped(n) => write!(f, "{n} facets turned to agree with their neighbours"),
            Self::Turned(n) => write!(f, "{n} closed shells turned outwards"),
            Self::Filled { length, centre, facets } => {
                write!(f, "rim {length:.3} long about {} closed with {facets} facets", place(centre))
            }
            Self::LeftOpen { length, centre } => write!(f, "rim {length:.3} long about {} left open", place(centre)),
        }
    }
}

/// The mesh mended, and what was done.
///
/// # Errors
/// A reach or length below 0 or not finite; nothing left.
pub fn repair(mesh: &Mesh, how: &Repair) -> Result<(Mesh, Vec<Action>), ShapeError> {
    at_least_zero("reach of welding", how.weld)?;
    at_least_zero("longest rim to close", how.fill)?;
    let mut mesh = mesh.clone();
    let mut actions = Vec::new();
    if how.weld > 0.0 {
        let joined = weld(&mut mesh, how.weld);
        push(&mut actions, joined, Action::Welded);
    }
    let before = mesh.facets.len();
    mesh.facets.retain(|f| f[0] != f[1] && f[1] != f[2] && f[2] != f[0]);
    push(&mut actions, before - mesh.facets.len(), Action::DroppedWithoutArea);
    let twice = duplicates(&mesh.facets, &Edges::new(mesh.points.len(), &mesh.facets));
    push(&mut actions, twice.len(), Action::DroppedDuplicates);
    let mut number = 0u32..;
    mesh.facets.retain(|_| number.next().is_none_or(|n| twice.binary_search(&n).is_err()));
    if mesh.facets.is_empty() {
        return Err(ShapeError::Empty);
    }
    let mut turned = turn(&mut mesh);
    let (added, rims) = close(&mut mesh, how.fill);
    if added > 0 {
        let again = turn(&mut mesh);
        turned = (turned.0 + again.0, turned.1 + again.1);
    }
    push(&mut actions, turned.0, Action::Flipped);
    push(&mut actions, turned.1, Action::Turned);
    actions.extend(rims);
    Ok((compact(mesh), actions))
}

fn push(actions: &mut Vec<Action>, count: usize, action: fn(usize) -> Action) {
    if count > 0 {
        actions.push(action(count));
    }
}

fn weld(mesh: &mut Mesh, reach: f64) -> usize {
    let stands = near_places(&mesh.points, reach);
    for v in mesh.facets.iter_mut().flatten() {
        *v = stands[*v as usize];
    }
    (0u32..).zip(&stands).filter(|(n, s)| n != *s).count()
}

fn turn(mesh: &mut Mesh) -> (usize, usize) {
    let partner = Edges::new(mesh.points.len(), &mesh.facets).partners(mesh.facets.len());
    let done = orient(&mesh.points, &mut mesh.facets, &partner);
    (done.flipped, done.turned_shells)
}

/// Closes rims; facets added and what was done with each rim.
fn close(mesh: &mut Mesh, longest: f64) -> (usize, Vec<Action>) {
    let edges = Edges::new(mesh.points.len(), &mesh.facets);
    let (before, mut rims) = (mesh.facets.len(), Vec::new());
    let found = holes(&mesh.points, &mesh.facets, &edges);
    let sorted = |f: &[u32]| {
        let mut f = f.to_vec();
        f.sort_unstable();
        f
    };
    // The rim of a lone facet would be closed by its own back.
    let short = found.iter().any(|h| h.rim.len() == 3);
    let there: HashSet<Vec<u32>> = mesh.facets.iter().filter(|_| short).map(|f| sorted(f)).collect();
    for hole in found {
        let (length, centre) = (hole.length, hole.centre);
        if length > longest || hole.rim.len() < 3 || hole.rim.len() == 3 && there.contains(&sorted(&hole.rim)) {
            rims.push(Action::LeftOpen { length, centre });
            continue;
        }
        let cap = fill::cap(&mut mesh.points, &edges, &hole);
        rims.push(Action::Filled { length, centre, facets: cap.len() });
        mesh.facets.extend(cap);
    }
    (mesh.facets.len() - before, rims)
}

/// Places that no facet names are left out.
fn compact(mesh: Mesh) -> Mesh {
    let mut number = vec![u32::MAX; mesh.points.len()];
    let mut points = Vec::with_capacity(mesh.points.len());
    let mut facets = mesh.facets;
    for v in facets.iter_mut().flatten() {
        let slot = &mut number[*v as usize];
        if *slot == u32::MAX {
            *slot = points.len() as u32;
            points.push(mesh.points[*v as usize]);
        }
        *v = *slot;
    }
    Mesh { points, facets }
}

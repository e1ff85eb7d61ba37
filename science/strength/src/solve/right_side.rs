//! Nodal forces of loads and of initial strain.

use super::basis::{GAUSS5, shape};
use super::cut::Facet;
use super::joined::Joints;
use super::lattice::{Cell, Lattice};
use super::model::{Body, Load, Model, Push};

/// Nodal forces of a case on the cells and joints of a lattice: what is given, and its loads, whose shares sum to `sums`.
pub(crate) fn nodal_forces(model: &Model, lattice: &Lattice, joints: &Joints, sums: &[f64], case: usize) -> Vec<f64> {
    let mut out = vec![0.0; 3 * lattice.places.len()];
    let case = &model.cases[case];
    if case.given != 0.0 {
        for (field, body) in model.bodies.iter().enumerate().filter(|(_, b)| b.initial_strain != 0.0) {
            add_strain(lattice, field, model.cell, body, &mut out);
        }
        for (joint, fields) in joints.joints.iter().zip(&joints.fields) {
            let law = &joints.laws[joint.law as usize];
            let mut f = [0.0; 162];
            joints.points[joint.points.clone()].iter().for_each(|p| law.right_side(p, &mut f));
            for (k, three) in f.chunks_exact(81).enumerate().take(law.sides.iter().flatten().count()) {
                let nodes = &lattice.fields[fields[k]].cells[joint.cells[k] as usize].nodes;
                for (n, v) in nodes.iter().zip(three.chunks_exact(3)) {
                    (0..3).for_each(|c| out[3 * *n as usize + c] += v[c]);
                }
            }
        }
        out.iter_mut().for_each(|x| *x *= case.given);
    }
    for (load, sum) in case.loads.iter().zip(sums) {
        add_load(lattice, model.cell, load, *sum, &mut out);
    }
    out
}

/// Weights of the whole cell at 125 points.
pub(crate) fn whole(edge: f64) -> [f64; 125] {
    std::array::from_fn(|n| edge.powi(3) * GAUSS5[n % 5].1 * GAUSS5[n / 5 % 5].1 * GAUSS5[n / 25].1)
}

/// Share of a surface point in its load.
fn share(load: &Load, f: &Facet) -> f64 {
    match load.push {
        Push::Contact { centre, radius, .. } => {
            let r2: f64 = (0..3).map(|c| (f.at[c] - centre[c]).powi(2)).sum();
            (1.0 - r2 / (radius * radius)).max(0.0).sqrt()
        }
        _ => 1.0,
    }
}

fn under<'a>(lattice: &'a Lattice, load: &'a Load) -> impl Iterator<Item = (&'a Cell, &'a Facet)> {
    let all = lattice.fields[load.body].cells.iter().flat_map(|c| c.facets.iter().map(move |f| (c, f)));
    all.filter(|(_, f)| load.region.distance(f.at) < 0.0)
}

/// Sum of the shares over the loaded surface; 1 for forces on the volume.
pub(crate) fn spread(lattice: &Lattice, load: &Load) -> f64 {
    spread_where(lattice, load, |_| true)
}

/// As above, over a part of the surface.
pub(crate) fn spread_where(lattice: &Lattice, load: &Load, counts: impl Fn([f64; 3]) -> bool) -> f64 {
    match load.push {
        Push::PerVolume(_) => 1.0,
        _ => under(lattice, load).filter(|(_, f)| counts(f.at)).map(|(_, f)| f.area * share(load, f)).sum(),
    }
}

/// Adds the nodal forces of a load whose shares sum to `sum`.
fn add_load(lattice: &Lattice, edge: f64, load: &Load, sum: f64, total: &mut [f64]) {
    let mut add = |cell: &Cell, local: [f64; 3], force: [f64; 3]| {
        let (n, _) = shape(local);
        for (node, n) in cell.nodes.iter().zip(n) {
            (0..3).for_each(|c| total[3 * *node as usize + c] += n * force[c]);
        }
    };
    if let Push::PerVolume(f) = load.push {
        let all = whole(edge);
        for cell in &lattice.fields[load.body].cells {
            for (n, w) in cell.weights.as_deref().unwrap_or(&all).iter().enumerate() {
                add(cell, [n % 5, n / 5 % 5, n / 25].map(|i| GAUSS5[i].0), f.map(|f| f * w));
            }
        }
        return;
    }
    for (cell, f) in under(lattice, load) {
        let force = match load.push {
            Push::Force(force) | Push::Contact { force, .. } => force.map(|x| x * f.area * share(load, f) / sum),
            Push::Pressure(p) => f.normal.map(|n| -p * n * f.area),
            Push::PerVolume(_) => [0.0; 3],
        };
        add(cell, f.local, force);
    }
}

/// Adds the nodal forces of a body's initial strain.
fn add_strain(lattice: &Lattice, field: usize, edge: f64, body: &Body, total: &mut [f64]) {
    let (lambda, mu) = body.material.lame();
    let stress = (3.0 * lambda + 2.0 * mu) * body.initial_strain / edge;
    let slopes: Vec<[[f64; 3]; 27]> =
        (0..125).map(|n| shape([n % 5, n / 5 % 5, n / 25].map(|i| GAUSS5[i].0)).1).collect();
    let of = |weights: &[f64; 125]| {
        let mut f = [[0.0; 3]; 27];
        for (w, g) in weights.iter().zip(&slopes) {
            for (f, g) in f.iter_mut().zip(g) {
                (0..3).for_each(|a| f[a] += stress * w * g[a]);
            }
        }
        f
    };
    let even = of(&whole(edge));
    for cell in &lattice.fields[field].cells {
        let f = cell.weights.as_deref().map_or(even, of);
        for (n, f) in cell.nodes.iter().zip(f) {
            (0..3).for_each(|c| total[3 * *n as usize + c] += f[c]);
        }
    }
}

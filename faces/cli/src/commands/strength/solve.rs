//! `bisque strength solve`: a model file by finite elements.

use super::model::{self, Asked};
use super::surface::Drawn;
use super::vtu;
use crate::args::SolveArgs;
use crate::commands::{print_json, say};
use crate::failure::Failure;
use crate::files;
use crate::meter::Meter;
use ::strength::multigrid::SolveError;
use ::strength::solve::{Composite, GroupStress, ModelError, Prepared, Solution, Zoom};
use answer::{Issue, Place, six_figures};
use picture::{ColourMap, SurfacePicture, SurfaceValues, View, surface_picture};
use serde_json::{Value, json};
use std::path::Path;

/// Runs the command.
pub fn run(args: &SolveArgs) -> Result<(), Failure> {
    if !(args.tolerance > 0.0 && args.tolerance < 0.1) {
        return Err(Failure::Usage(format!("the tolerance is {}: expected above 0 and below 0.1", args.tolerance)));
    }
    let asked = model::read(&args.model, args.cell)?;
    let meter = Meter::new("solving");
    let fault = |e: ModelError| failure(&args.model, e);
    let prepared = Prepared::new(asked.model.clone(), &meter).map_err(fault)?;
    let Composite { whole: solutions, zooms: insets, .. } =
        prepared.composite(&asked.insets, args.tolerance, &meter).map_err(fault)?;
    let (finer, finer_insets) = if args.check {
        let mut model = asked.model.clone();
        model.cell /= FINER;
        let insets: Vec<_> = asked.insets.iter().map(|z| Zoom { cell: z.cell / FINER, ..z.clone() }).collect();
        let prepared = Prepared::new(model, &meter).map_err(fault)?;
        let found = prepared.composite(&insets, args.tolerance, &meter).map_err(fault)?;
        (found.whole, found.zooms)
    } else {
        (vec![], vec![])
    };
    let mut cases = vec![];
    for (n, solution) in solutions.iter().enumerate() {
        let groups = groups(&asked, solution, finer.get(n)).map_err(fault)?;
        cases.push((solution, groups));
    }
    let mut zooms = vec![];
    for (k, (inset, inner)) in asked.insets.iter().zip(&insets).enumerate() {
        for (n, solution) in inner.iter().enumerate() {
            let finer = finer_insets.get(k).and_then(|f| f.get(n));
            zooms.push((
                inset.name.clone(),
                solution.model().cell,
                solution.case,
                zoom_groups(&asked, solution, finer),
            ));
        }
    }
    for zoom in &asked.zooms {
        let mut half = zoom.clone();
        half.cell *= 0.5;
        let inner = Solution::zoom(&solutions, zoom, args.tolerance, &meter).map_err(fault)?;
        let twice =
            if args.check { Solution::zoom(&solutions, &half, args.tolerance, &meter).map_err(fault)? } else { vec![] };
        for (n, solution) in inner.iter().enumerate() {
            zooms.push((zoom.name.clone(), zoom.cell, solution.case, zoom_groups(&asked, solution, twice.get(n))));
        }
    }
    drop(meter);
    fields(args, &asked, &solutions)?;
    if args.json {
        return print_json(&as_json(&asked, &prepared, &cases, &zooms));
    }
    tell(&asked, &prepared, &cases, &zooms);
    Ok(())
}

/// Cells of the check are smaller by this factor.
const FINER: f64 = 1.4;

/// A group with its stress here and, where asked for, on smaller cells.
struct Found<'a> {
    name: &'a str,
    stress: GroupStress,
    finer: Option<GroupStress>,
}

impl Found<'_> {
    /// Weibull-equivalent stress of 1 mm2, 0 without tension.
    fn equivalent(stress: &GroupStress, m: f64) -> f64 {
        stress.spectrum.as_ref().map_or(0.0, |s| s.equivalent_stress(m))
    }

    /// Share by which smaller cells change it.
    fn change(&self, m: f64) -> Option<f64> {
        let here = Self::equivalent(&self.stress, m);
        self.finer.as_ref().filter(|_| here > 0.0).map(|f| Self::equivalent(f, m) / here - 1.0)
    }
}

fn groups<'a>(asked: &'a Asked, here: &Solution, finer: Option<&Solution>) -> Result<Vec<Found<'a>>, ModelError> {
    let one = |g: &'a ::strength::solve::Group| {
        Ok(Found { name: &g.name, stress: here.group(g)?, finer: finer.map(|f| f.group(g)).transpose()? })
    };
    asked.groups.iter().map(one).collect()
}

/// Groups that lie in a zoom; those that do not are left out.
fn zoom_groups<'a>(asked: &'a Asked, here: &Solution, finer: Option<&Solution>) -> Vec<Found<'a>> {
    let one = |g: &'a ::strength::solve::Group| {
        let stress = here.group(g).ok()?;
        Some(Found { name: &g.name, stress, finer: finer.and_then(|f| f.group(g).ok()) })
    };
    asked.groups.iter().filter_map(one).collect()
}

type Zoomed<'a> = (String, f64, usize, Vec<Found<'a>>);

fn found_json(asked: &Asked, found: &[Found]) -> Value {
    let one = |f: &Found| {
        let moduli = asked.moduli.iter().map(|m| {
            json!({
                "modulus": m,
                "equivalent_mpa": six_figures(Found::equivalent(&f.stress, *m)),
                "change_with_smaller_cells": f.change(*m).map(six_figures),
            })
        });
        json!({
            "name": f.name,
            "area_mm2": six_figures(f.stress.area),
            "left_out": six_figures(f.stress.left_out),
            "peak_mpa": six_figures(f.stress.peak.1),
            "peak_at_mm": f.stress.peak.0.map(six_figures),
            "equivalent": moduli.collect::<Vec<_>>(),
        })
    };
    found.iter().map(one).collect()
}

fn as_json(asked: &Asked, prepared: &Prepared, cases: &[(&Solution, Vec<Found>)], zooms: &[Zoomed]) -> Value {
    let bodies =
        asked.model.bodies.iter().zip(prepared.measures()).map(
            |(b, m)| json!({ "name": b.name, "volume_mm3": six_figures(m.volume), "area_mm2": six_figures(m.area) }),
        );
    let one = |(solution, groups): &(&Solution, Vec<Found>)| {
        json!({
            "name": asked.model.cases[solution.case].name,
            "iterations": solution.convergence.iterations,
            "residual": six_figures(solution.convergence.reached()),
            "greatest_displacement_mm": six_figures(solution.greatest_displacement()),
            "energy_n_mm": six_figures(solution.work()),
            "groups": found_json(asked, groups),
            "interfaces": interfaces_json(asked, solution),
        })
    };
    let zoom = |(name, cell, case, groups): &Zoomed| json!({ "name": name, "cell_mm": cell, "case": asked.model.cases[*case].name, "groups": found_json(asked, groups) });
    json!({
        "schema": 1,
        "cell_mm": asked.model.cell,
        "unknowns": prepared.unknowns(),
        "assumed": asked.assumed,
        "bodies": bodies.collect::<Vec<_>>(),
        "cases": cases.iter().map(one).collect::<Vec<_>>(),
        "zooms": zooms.iter().map(zoom).collect::<Vec<_>>(),
    })
}

fn interfaces_json(asked: &Asked, solution: &Solution) -> Value {
    let one = |(n, i): (usize, &::strength::solve::Interface)| {
        let points = solution.interface(n);
        let area: f64 = points.iter().map(|p| p.area).sum();
        let mut force = [0.0; 3];
        let (mut pull, mut shear) = (f64::NEG_INFINITY, 0.0f64);
        for p in &points {
            let along: f64 = (0..3).map(|c| p.traction[c] * p.normal[c]).sum();
            pull = pull.max(along);
            shear = shear.max((0..3).map(|c| (p.traction[c] - along * p.normal[c]).powi(2)).sum::<f64>().sqrt());
            (0..3).for_each(|c| force[c] += p.area * p.traction[c]);
        }
        json!({
            "name": i.name, "area_mm2": six_figures(area), "force_on_first_n": force.map(six_figures),
            "greatest_pull_mpa": six_figures(pull), "greatest_shear_mpa": six_figures(shear),
        })
    };
    asked.model.interfaces.iter().enumerate().map(one).collect()
}

fn tell(asked: &Asked, prepared: &Prepared, cases: &[(&Solution, Vec<Found>)], zooms: &[Zoomed]) {
    for (b, m) in asked.model.bodies.iter().zip(prepared.measures()) {
        say(&format!("{}: volume {:.4} mm³, surface {:.3} mm²", b.name, m.volume, m.area));
    }
    say(&format!("cells of {} mm, {} unknowns", asked.model.cell, prepared.unknowns()));
    for (solution, groups) in cases {
        let name = &asked.model.cases[solution.case].name;
        say(&format!(
            "load case {name}: converged in {} iterations (residual {:.1e}), greatest displacement {:.6} mm",
            solution.convergence.iterations,
            solution.convergence.reached(),
            solution.greatest_displacement()
        ));
        groups.iter().for_each(|g| tell_group(asked, g));
    }
    for (name, cell, case, groups) in zooms {
        say(&format!("zoom {name}, cells of {cell} mm, load case {}:", asked.model.cases[*case].name));
        groups.iter().for_each(|g| tell_group(asked, g));
    }
    if !asked.assumed.is_empty() {
        say(&format!("not given, assumed: {}", asked.assumed.join("; ")));
    }
}

fn tell_group(asked: &Asked, g: &Found) {
    let left =
        if g.stress.left_out > 0.0 { format!(", {:.1} % left out", 100.0 * g.stress.left_out) } else { String::new() };
    if g.stress.spectrum.is_none() {
        return say(&format!("  {}: no tension on {:.3} mm²{left}", g.name, g.stress.area));
    }
    for m in &asked.moduli {
        let change = g.change(*m).map_or(String::new(), |c| format!(", {:+.1} % with smaller cells", 100.0 * c));
        let s = Found::equivalent(&g.stress, *m);
        say(&format!("  {}: equivalent stress {s:.4} MPa (modulus {m}, 1 mm²){change}", g.name));
    }
    say(&format!("  {}: peak {:.4} MPa, area {:.3} mm²{left}", g.name, g.stress.peak.1, g.stress.area));
}

fn fields(args: &SolveArgs, asked: &Asked, solutions: &[Solution]) -> Result<(), Failure> {
    let drawn = |s: &Solution, body: usize| Drawn::of(s, body).map_err(|e| Failure::Usage(e.to_string()));
    if let Some(folder) = &args.vtu {
        let mut all = vec![];
        for s in solutions {
            for (n, body) in asked.model.bodies.iter().enumerate() {
                let name = format!("{}-{}.vtu", plain(&asked.model.cases[s.case].name), plain(&body.name));
                all.push((name, vtu::text(&drawn(s, n)?).into_bytes()));
            }
        }
        files::write_all(folder, &all)?;
    }
    let Some(path) = &args.picture else { return Ok(()) };
    let chosen = match &args.case {
        None => solutions.first(),
        Some(name) => solutions.iter().find(|s| asked.model.cases[s.case].name == *name),
    };
    let solution = chosen.ok_or_else(|| {
        let known: Vec<&str> = asked.model.cases.iter().map(|c| c.name.as_str()).collect();
        Failure::Usage(format!("no such load case; there are: {}", known.join(", ")))
    })?;
    let (mut points, mut facets, mut values) = (vec![], vec![], vec![]);
    for body in 0..asked.model.bodies.len() {
        let d = drawn(solution, body)?;
        let first = points.len() as u32;
        facets.extend(d.surface.facets().iter().map(|f| f.map(|v| v + first)));
        values.extend(d.greatest().map(Some));
        points.extend_from_slice(d.surface.points());
    }
    let upright = args.eye[0].hypot(args.eye[1]) > 1e-6 * args.eye[2].abs();
    let how = SurfacePicture {
        size: [900, 640],
        view: View { from: args.eye, up: if upright { [0.0, 0.0, 1.0] } else { [0.0, 1.0, 0.0] } },
        map: ColourMap::OneWay,
        steps: None,
        quantity: "greatest principal stress".into(),
        unit: "MPa".into(),
        spots: vec![],
    };
    let canvas = surface_picture(&points, &facets, SurfaceValues::AtPoints(&values), &how)
        .map_err(|e| Failure::Usage(e.to_string()))?;
    let bytes = canvas.png().map_err(|e| Failure::Usage(e.to_string()))?;
    std::fs::write(path, bytes).map_err(|source| Failure::Write { path: path.clone(), source })
}

/// A name that any file system takes.
fn plain(name: &str) -> String {
    name.chars().map(|c| if c.is_ascii_alphanumeric() { c } else { '-' }).collect()
}

/// What is wrong with the model, at the part it names.
fn failure(path: &Path, error: ModelError) -> Failure {
    match error {
        ModelError::Interrupted(i) | ModelError::Solve(SolveError::Interrupted(i)) => Failure::Interrupted(i),
        other => {
            let file = path.file_name().map(|n| n.to_string_lossy().into_owned()).unwrap_or_default();
            let issue =
                Issue::error(Place::file(file), other.to_string(), "a model that can be solved", "see the message");
            Failure::Input { issues: vec![issue], text: None }
        }
    }
}

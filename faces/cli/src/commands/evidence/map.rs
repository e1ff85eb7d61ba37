//! `bisque evidence map`: material by indication, drawn anew from the arms.

use super::super::say;
use super::library::plain;
use super::{draw, posterior, print_figures, refused, undrawable, world};
use crate::failure::Failure;
use ::catalogue::Catalogue;
use ::catalogue::words::{Build, Cause, Construct, Material};
use ::evidence::{Arm, Cell, Posterior, effective_counts};
use answer::World;
use picture::forms::{self, Map, MapCell, MapPart};
use std::path::Path;

/// Draws the map of every material and indication with an arm of its own.
pub fn run(catalogue: &Catalogue, data: Option<&Path>, out: Option<&Path>, json: bool) -> Result<(), Failure> {
    let world = world();
    let base = posterior(catalogue, data)?;
    let own = ::plan::with_own_results(&base, catalogue, &world).map_err(refused)?;
    let arms: Vec<Arm> = ::plan::arms(catalogue).into_iter().filter(|a| effective_counts(a).is_ok()).collect();
    let map = of_arms(&arms, &own.posterior, &world);
    if json {
        let rows: Vec<serde_json::Value> = map
            .cells
            .iter()
            .map(|c| {
                let parts: Vec<serde_json::Value> =
                    c.parts.iter().map(|p| serde_json::json!({ "cause": p.label, "rate": p.rate })).collect();
                let chief = c.parts.iter().max_by(|a, b| a.rate.total_cmp(&b.rate)).map(|p| p.label.clone());
                serde_json::json!({
                    "material": map.rows[c.row].0, "build": map.rows[c.row].1, "indication": map.columns[c.column],
                    "rate_per_100": c.rate, "low": c.low, "high": c.high, "years_observed": c.observed, "arms": c.arms,
                    "chief_cause": chief, "causes": parts,
                })
            })
            .collect();
        print_figures(&rows)?;
        return match out {
            Some(out) => draw(&forms::map(&map).map_err(undrawable)?, Some(out)),
            None => Ok(()),
        };
    }
    let scene = forms::map(&map).map_err(undrawable)?;
    if out.is_none() {
        // The terminal gets the data as a table: a matrix of discs needs a page.
        say(&scene.title);
        for line in lines(&map) {
            say(&line);
        }
        return Ok(());
    }
    draw(&scene, out)
}

fn lines(map: &Map) -> Vec<String> {
    let mut lines = Vec::new();
    for (j, column) in map.columns.iter().enumerate() {
        lines.push(format!("\n{column}"));
        for c in map.cells.iter().filter(|c| c.column == j) {
            let (material, build) = &map.rows[c.row];
            let chief = c.parts.iter().max_by(|a, b| a.rate.total_cmp(&b.rate)).map_or("", |p| p.label.as_str());
            lines.push(format!(
                "  {:<34} {:>5.2} ({:.2} to {:.2})  {:>6.0} y, {:>2} {}  {chief}",
                format!("{material} {build}"),
                c.rate,
                c.low,
                c.high,
                c.observed,
                c.arms,
                if c.arms == 1 { "arm " } else { "arms" },
            ));
        }
    }
    lines
}

fn of_arms(arms: &[Arm], posterior: &Posterior, world: &World) -> Map {
    let path = |a: &Arm| a.cell.parent(4);
    let mut cells: Vec<Cell> = arms.iter().map(path).filter(|c| c.labels.len() >= 3).collect();
    cells.sort();
    cells.dedup();
    let row_of = |c: &Cell| {
        let build = c
            .labels
            .get(3)
            .map_or("build not told".to_owned(), |b| Build::parse(b).map_or(plain(b), |b| b.label().to_owned()));
        (Material::parse(&c.labels[2]).map_or(plain(&c.labels[2]), |m| m.label().to_owned()), build)
    };
    let column_of = |c: &Cell| Construct::parse(&c.labels[0]).map_or(plain(&c.labels[0]), |k| k.label().to_owned());
    let mut rows: Vec<(String, String)> = cells.iter().map(row_of).collect();
    rows.sort();
    rows.dedup();
    // Indications in the order of the catalogue, those it has no word for last.
    let place = |c: &Cell| Construct::ALL.iter().position(|k| k.word() == c.labels[0]).unwrap_or(usize::MAX);
    let mut columns: Vec<(usize, String)> = cells.iter().map(|c| (place(c), column_of(c))).collect();
    columns.sort();
    columns.dedup();
    let columns: Vec<String> = columns.into_iter().map(|c| c.1).collect();
    let mut found = Vec::new();
    for cell in &cells {
        let behind: Vec<&Arm> = arms.iter().filter(|a| path(a) == *cell).collect();
        let (Some(row), Some(column)) =
            (rows.iter().position(|r| *r == row_of(cell)), columns.iter().position(|c| *c == column_of(cell)))
        else {
            continue;
        };
        let p = posterior.predict(world, &posterior.as_studied(cell.clone()));
        let rate = p.average_loss.rate().interval();
        let total: f64 = p.loss.iter().map(|c| c.curve.rate().mean()).sum();
        let parts = p.loss.iter().map(|c| MapPart {
            label: Cause::parse(&c.cause).map_or(plain(&c.cause), |k| k.label().to_owned()),
            rate: 100.0 * rate.median * c.curve.rate().mean() / total.max(1e-300),
        });
        found.push(MapCell {
            row,
            column,
            rate: 100.0 * rate.median,
            low: 100.0 * rate.low,
            high: 100.0 * rate.high,
            observed: behind.iter().map(|a| a.unit_years()).sum(),
            arms: behind.len(),
            parts: parts.collect(),
            borrowed: false,
        });
    }
    let years: f64 = found.iter().map(|c| c.observed).sum();
    let thin = found.iter().filter(|c| c.arms < 3).count();
    Map {
        title: format!(
            "{} kinds in {} indications have been followed for {years:.0} years in all; {thin} of the {} cells rest on fewer than three arms.",
            rows.len(),
            columns.len(),
            found.len()
        ),
        quantity: "losses per 100 restoration-years in the median clinic".to_owned(),
        observation: "restoration-years observed, arms".to_owned(),
        rows,
        columns,
        cells: found,
    }
}

//! Forms of lower molars, cut from cheek to tongue through their mesial cusps, beside sections of real ones by micro-computed tomography.
//!
//! Thirty unworn or little worn molars of modern people (Skinner and others 2015, Journal of Human Evolution 85:35-45; rows in `reference/`): area of
//! enamel, area of the crown's dentine with its pulp above the line between the enamel's edges, and width at these edges. Nothing of them is in `data/`.

#![allow(clippy::unwrap_used, clippy::print_stdout)] // helpers of tests

mod common;

use anatomy::ToothParts;
use catalogue::words::Tooth;
use shape::Solid;

const SECTIONS: &str = include_str!("reference/molar_sections.csv");
/// Squares of the cut, mm.
const CELL: f64 = 0.08;

/// Enamel, dentine and width at the edge of a section.
type Section = [f64; 3];

/// Sections of a tooth as measured.
fn measured(code: u8) -> Vec<Section> {
    let rows = SECTIONS.lines().filter(|l| !l.starts_with('#')).skip(1);
    let numbers = rows.map(|l| l.split(',').map(|c| c.parse().unwrap()).collect::<Vec<f64>>());
    numbers.filter(|n| n[0] == f64::from(code)).map(|n| [n[1], n[2], n[4]]).collect()
}

/// The form's section through its mesial cusps.
fn found(code: u8) -> Section {
    let parts = ToothParts::new(&common::form(Tooth::new(code).unwrap()), 25.0, 0.2).unwrap();
    let bound = parts.outer.bound();
    let steps = |a: usize, low: f64| {
        (0..).map(move |i| low + (f64::from(i) + 0.5) * CELL).take_while(move |v| *v < bound.high[a])
    };
    // Mesial cusps: where the mesial half stands highest.
    let height = |x: f64| steps(1, bound.low[1]).map(|y| parts.form.top(x, y)).fold(0.0, f64::max);
    let x = steps(0, 0.0).max_by(|a, b| height(*a).total_cmp(&height(*b))).unwrap();
    let edge = parts.form.enamel_edge(x);
    let mut section = [0.0; 3];
    for y in steps(1, bound.low[1]) {
        section[2] += if parts.outer.distance([x, y, edge]) < 0.0 { CELL } else { 0.0 };
        for z in steps(2, edge) {
            let p = [x, y, z];
            if parts.outer.distance(p) < 0.0 {
                section[usize::from(parts.core.distance(p) < 0.0)] += CELL * CELL;
            }
        }
    }
    section
}

#[test]
fn molars_cut_through_their_mesial_cusps_beside_real_ones() {
    for code in [36, 37, 38] {
        let (ours, rows) = (found(code), measured(code));
        let n = rows.len() as f64;
        for (i, what) in ["enamel", "dentine with pulp", "width at the enamel's edge"].into_iter().enumerate() {
            let mean = rows.iter().map(|r| r[i]).sum::<f64>() / n;
            let sd = (rows.iter().map(|r| (r[i] - mean).powi(2)).sum::<f64>() / (n - 1.0)).sqrt();
            let unit = if i < 2 { "mm2" } else { "mm" };
            println!(
                "validation | mesial section of {code}, {what} | skinner2015 | {mean:.1} (SD {sd:.1}, {n} teeth) {unit} | {:.1} {unit} | {} | within two standard deviations",
                ours[i],
                if (ours[i] - mean).abs() <= 2.0 * sd { "hit" } else { "miss" }
            );
            // A section half or twice as large would be none of that tooth.
            assert!((0.6..1.6).contains(&(ours[i] / mean)), "{code} {what}: {:.1} against {mean:.1}", ours[i]);
        }
    }
}

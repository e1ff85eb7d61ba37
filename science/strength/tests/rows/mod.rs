//! Rows of `tests/reference/analytic_checks.csv` by id.
#![allow(clippy::panic)]

/// Column `output` of row `id`.
pub fn output(id: &str) -> f64 {
    column(id, 4)
}

/// Column `verify` (a second, independent evaluation) of row `id`.
#[allow(dead_code)] // not every test file compares with the second evaluation
pub fn second(id: &str) -> f64 {
    column(id, 8)
}

/// Column `output` of row `id` of `tests/reference/axisymmetric.csv`: own axisymmetric finite elements, where closed forms do not hold.
#[allow(dead_code)] // few test files need it
pub fn axisymmetric(id: &str) -> f64 {
    cell(include_str!("../reference/axisymmetric.csv"), id, 3)
}

fn column(id: &str, index: usize) -> f64 {
    cell(include_str!("../reference/analytic_checks.csv"), id, index)
}

fn cell(text: &str, id: &str, index: usize) -> f64 {
    let line = text.lines().find(|l| l.starts_with(id)).unwrap_or_else(|| panic!("no row {id}"));
    fields(line)[index].parse().unwrap()
}

fn fields(line: &str) -> Vec<String> {
    let (mut out, mut quoted) = (vec![String::new()], false);
    for c in line.chars() {
        match c {
            '"' => quoted = !quoted,
            ',' if !quoted => out.push(String::new()),
            _ => out.last_mut().unwrap().push(c),
        }
    }
    out
}

/// `found` within `tolerance` (relative) of `expected`.
#[allow(dead_code)] // some test files compare otherwise
#[track_caller]
pub fn close(found: f64, expected: f64, tolerance: f64) {
    assert!((found / expected - 1.0).abs() <= tolerance, "found {found}, expected {expected}, tolerance {tolerance}");
}

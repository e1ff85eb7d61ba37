//! Reads the reference results and data sets kept beside the tests.
#![allow(dead_code, clippy::unwrap_used, clippy::expect_used, clippy::panic)] // a helper of tests fails by panicking, and each test file uses a part

use serde_json::Value;

fn read(path: &str) -> String {
    let path = format!("{}/tests/reference/{path}", env!("CARGO_MANIFEST_DIR"));
    std::fs::read_to_string(&path).unwrap_or_else(|e| panic!("{path}: {e}"))
}

/// A file of results.
pub fn results(name: &str) -> Value {
    serde_json::from_str(&read(&format!("{name}.json"))).unwrap()
}

/// All numbers of a value, nested lists flattened; null as NaN.
pub fn numbers(v: &Value) -> Vec<f64> {
    match v {
        Value::Array(a) => a.iter().flat_map(numbers).collect(),
        other => vec![other.as_f64().unwrap_or(f64::NAN)],
    }
}

/// A data set: columns by name, empty cells as empty text.
pub struct Table {
    names: Vec<String>,
    rows: Vec<Vec<String>>,
}

/// Reads a data set.
pub fn table(path: &str) -> Table {
    let text = read(path);
    let cells = |l: &str| l.split(',').map(|c| c.trim_matches('"').to_owned()).collect::<Vec<_>>();
    let mut lines = text.lines();
    Table { names: cells(lines.next().unwrap()), rows: lines.map(cells).collect() }
}

impl Table {
    fn at(&self, column: &str) -> usize {
        self.names.iter().position(|n| n == column).unwrap_or_else(|| panic!("no column {column}"))
    }

    /// Rows for which a test on the cells holds.
    pub fn only(mut self, column: &str, keep: impl Fn(&str) -> bool) -> Self {
        let at = self.at(column);
        self.rows.retain(|r| keep(&r[at]));
        self
    }

    /// Rows without an empty cell in the columns.
    pub fn complete(mut self, columns: &[&str]) -> Self {
        let at: Vec<usize> = columns.iter().map(|c| self.at(c)).collect();
        self.rows.retain(|r| at.iter().all(|&i| !r[i].is_empty() && r[i] != "NA"));
        self
    }

    pub fn text(&self, column: &str) -> Vec<String> {
        let at = self.at(column);
        self.rows.iter().map(|r| r[at].clone()).collect()
    }

    pub fn number(&self, column: &str) -> Vec<f64> {
        self.text(column).iter().map(|c| c.parse().unwrap_or(f64::NAN)).collect()
    }

    pub fn code(&self, column: &str) -> Vec<u32> {
        self.number(column).iter().map(|&v| v as u32).collect()
    }

    /// Covariates by column.
    pub fn columns(&self, names: &[&str]) -> Vec<Vec<f64>> {
        names.iter().map(|n| self.number(n)).collect()
    }
}

/// Equal to a tolerance, relative above 1 and absolute below; a reference that is not available must not be claimed either.
#[track_caller]
pub fn close(what: &str, found: f64, expected: f64, tolerance: f64) {
    if expected.is_nan() {
        return;
    }
    assert!(
        (found - expected).abs() <= tolerance * expected.abs().max(1.0),
        "{what}: {found} for {expected}, off by {:e}",
        (found - expected).abs()
    );
}

#[track_caller]
pub fn all_close(what: &str, found: &[f64], expected: &Value, tolerance: f64) {
    let expected = numbers(expected);
    assert_eq!(found.len(), expected.len(), "{what}: {found:?} for {expected:?}");
    for (i, (f, e)) in found.iter().zip(expected).enumerate() {
        close(&format!("{what}[{i}]"), *f, e, tolerance);
    }
}

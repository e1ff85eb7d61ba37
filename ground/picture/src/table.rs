//! A picture's data as rows of strings.

use crate::measure::{clean, columns};

/// Column heads and rows; every row is as long as the heads.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct Table {
    /// What each column holds, unit included.
    pub heads: Vec<String>,
    /// The rows.
    pub rows: Vec<Vec<String>>,
}

impl Table {
    /// A table without rows.
    pub fn new<H: Into<String>>(heads: impl IntoIterator<Item = H>) -> Self {
        Self { heads: heads.into_iter().map(Into::into).collect(), rows: Vec::new() }
    }

    /// Adds a row, filled up with empty cells or cut to the number of heads.
    pub fn row<C: Into<String>>(&mut self, cells: impl IntoIterator<Item = C>) {
        let mut row: Vec<String> = cells.into_iter().map(Into::into).collect();
        row.resize(self.heads.len(), String::new());
        self.rows.push(row);
    }

    /// The table in lines of plain text, columns two spaces apart.
    pub fn lines(&self) -> Vec<String> {
        let rows: Vec<Vec<String>> =
            std::iter::once(&self.heads).chain(&self.rows).map(|r| r.iter().map(|c| clean(c)).collect()).collect();
        let widths: Vec<usize> =
            (0..self.heads.len()).map(|c| rows.iter().map(|r| columns(&r[c])).max().unwrap_or(0)).collect();
        rows.iter()
            .map(|row| {
                let cells: Vec<String> = row
                    .iter()
                    .zip(&widths)
                    .map(|(cell, w)| format!("{cell}{}", " ".repeat(w - columns(cell))))
                    .collect();
                cells.join("  ").trim_end().to_owned()
            })
            .collect()
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn columns_stand_below_each_other() {
        let mut t = Table::new(["a", "b"]);
        t.row(["long", "1"]);
        t.row(["x"]);
        assert_eq!(t.lines(), vec!["a     b", "long  1", "x"]);
    }
}

//! One row and its typed cells.

use crate::csv_table::Header;
use crate::range::{Range, number};
use answer::{Issue, Place, nearest_name};
use std::sync::Arc;

/// One row of a [`crate::Table`].
#[derive(Debug, Clone)]
pub struct Row {
    file: Arc<str>,
    header: Arc<Header>,
    line: usize,
    cells: csv::StringRecord,
}

impl Row {
    pub(crate) fn new(file: Arc<str>, header: Arc<Header>, line: usize, cells: csv::StringRecord) -> Self {
        Self { file, header, line, cells }
    }

    /// Line in the file, from 1.
    pub fn line(&self) -> usize {
        self.line
    }

    /// File the row stands in.
    pub fn file(&self) -> &str {
        &self.file
    }

    /// Cells with their column names, in order.
    pub fn cells(&self) -> impl Iterator<Item = (&str, &str)> {
        self.header.names.iter().map(String::as_str).zip(self.cells.iter())
    }

    /// Where a cell stands (its column is the field's number).
    pub fn place(&self, column: &str) -> Place {
        let number = self.header.index.get(column).map(|i| i + 1);
        Place { file: self.file.to_string(), line: Some(self.line), column: number, field: column.to_owned() }
    }

    /// An issue at a cell.
    pub fn complain(
        &self,
        column: &str,
        found: impl Into<String>,
        expected: impl Into<String>,
        remedy: impl Into<String>,
    ) -> Issue {
        Issue::error(self.place(column), found, expected, remedy)
    }

    /// Text of a cell; `None` when it is empty or the column is not there.
    pub fn maybe(&self, column: &str) -> Option<&str> {
        self.header.index.get(column).and_then(|&i| self.cells.get(i)).filter(|c| !c.is_empty())
    }

    /// Text of a cell by its column's number from 0 ([`crate::Table::place_of`]); `None` when it is empty.
    pub fn at(&self, column: usize) -> Option<&str> {
        self.cells.get(column).filter(|c| !c.is_empty())
    }

    /// Text of a cell that must not be empty.
    ///
    /// # Errors
    /// When it is empty.
    pub fn text(&self, column: &str) -> Result<&str, Issue> {
        self.maybe(column)
            .ok_or_else(|| self.complain(column, "the cell is empty", "a text", format!("fill in `{column}`")))
    }

    /// A finite number; `None` when the cell is empty.
    ///
    /// # Errors
    /// When it is not a number.
    pub fn maybe_number(&self, column: &str) -> Result<Option<f64>, Issue> {
        self.maybe(column).map(|cell| number(cell).ok_or_else(|| self.no_number(column, cell))).transpose()
    }

    /// A finite number.
    ///
    /// # Errors
    /// When the cell is empty or not a number.
    pub fn number(&self, column: &str) -> Result<f64, Issue> {
        self.text(column)?;
        self.maybe_number(column)?.ok_or_else(|| self.no_number(column, ""))
    }

    /// A whole number of 0 or more; `None` when the cell is empty.
    ///
    /// # Errors
    /// When it is not one.
    pub fn maybe_count(&self, column: &str) -> Result<Option<u32>, Issue> {
        let Some(cell) = self.maybe(column) else { return Ok(None) };
        let whole = number(cell).filter(|v| *v >= 0.0 && v.fract() == 0.0 && *v <= f64::from(u32::MAX));
        whole.map(|v| Some(v as u32)).ok_or_else(|| {
            self.complain(
                column,
                format!("`{cell}` is no count"),
                "a whole number, 0 or more",
                "write the count in digits",
            )
        })
    }

    /// A value or range in one cell (`1.0-1.2`); `None` when it is empty.
    ///
    /// # Errors
    /// When it is neither.
    pub fn maybe_range(&self, column: &str) -> Result<Option<Range>, Issue> {
        let read =
            |cell: &str| Range::parse(cell).filter(|r| r.low <= r.high).ok_or_else(|| self.no_number(column, cell));
        self.maybe(column).map(read).transpose()
    }

    /// The columns `value`, `low`, `high` as one figure; `None` when all are empty.
    ///
    /// # Errors
    /// When one is not a number, the ends are the wrong way round, or the value lies outside them.
    pub fn maybe_figure(&self) -> Result<Option<Range>, Issue> {
        let ends = (self.maybe_number("low")?, self.maybe_number("high")?);
        if let (Some(low), Some(high)) = ends
            && low > high
        {
            return Err(self.complain(
                "low",
                format!("the lower end {low} is above the upper end {high}"),
                "low at most high",
                "exchange them",
            ));
        }
        let value = self.maybe_number("value")?;
        if value.is_some_and(|v| ends.0.is_some_and(|low| v < low) || ends.1.is_some_and(|high| v > high)) {
            return Err(self.complain(
                "value",
                "the value lies outside its own range",
                "a value between `low` and `high`",
                "correct the value or its ends",
            ));
        }
        Ok(Range::of(value, ends.0, ends.1))
    }

    /// As [`Row::maybe_figure`], but there must be one.
    ///
    /// # Errors
    /// When all three cells are empty, too.
    pub fn figure(&self) -> Result<Range, Issue> {
        self.maybe_figure()?.ok_or_else(|| {
            self.complain(
                "value",
                "no figure is given",
                "a value, or low and high",
                "fill in `value`, or `low` and `high`",
            )
        })
    }

    /// `yes` or `no`; `None` when the cell is empty.
    ///
    /// # Errors
    /// When it is neither.
    pub fn maybe_yes(&self, column: &str) -> Result<Option<bool>, Issue> {
        match self.maybe(column) {
            None => Ok(None),
            Some("yes") => Ok(Some(true)),
            Some("no") => Ok(Some(false)),
            Some(other) => {
                Err(self.complain(column, format!("`{other}` stands there"), "yes or no", "write `yes` or `no`"))
            }
        }
    }

    /// A word of a closed list.
    ///
    /// # Errors
    /// When the cell is empty or holds no word of the list; the nearest word is suggested.
    pub fn word<T: Copy>(&self, column: &str, all: &[T], word: impl Fn(T) -> &'static str) -> Result<T, Issue> {
        let cell = self.text(column)?;
        all.iter()
            .copied()
            .find(|&t| word(t) == cell)
            .ok_or_else(|| self.no_word(column, cell, all.iter().map(|&t| word(t))))
    }

    /// A word of a closed list; `None` when the cell is empty or says `any`.
    ///
    /// # Errors
    /// When it holds another word.
    pub fn maybe_word<T: Copy>(
        &self,
        column: &str,
        all: &[T],
        word: impl Fn(T) -> &'static str,
    ) -> Result<Option<T>, Issue> {
        match self.maybe(column) {
            None | Some("any") => Ok(None),
            Some(_) => self.word(column, all, word).map(Some),
        }
    }

    /// Words of a closed list, parted by `;` or `|`; empty when the cell is empty or says `any`.
    ///
    /// # Errors
    /// When one of them is not in the list.
    pub fn words<T: Copy>(&self, column: &str, all: &[T], word: impl Fn(T) -> &'static str) -> Result<Vec<T>, Issue> {
        self.list(column)
            .into_iter()
            .filter(|part| *part != "any")
            .map(|part| {
                all.iter()
                    .copied()
                    .find(|&t| word(t) == part)
                    .ok_or_else(|| self.no_word(column, part, all.iter().map(|&t| word(t))))
            })
            .collect()
    }

    /// Parts of a cell, parted by `;` or `|`.
    pub fn list(&self, column: &str) -> Vec<&str> {
        self.maybe(column)
            .map_or(Vec::new(), |cell| cell.split([';', '|']).map(str::trim).filter(|part| !part.is_empty()).collect())
    }

    fn no_number(&self, column: &str, cell: &str) -> Issue {
        self.complain(
            column,
            format!("`{cell}` is no number"),
            "a finite decimal number",
            "write digits with a decimal point, without unit; a range goes into `low` and `high`",
        )
    }

    fn no_word(&self, column: &str, cell: &str, words: impl Iterator<Item = &'static str> + Clone) -> Issue {
        let near = nearest_name(cell, words.clone());
        let remedy = near.map_or("take one of the words of the list".to_owned(), |n| format!("did you mean `{n}`?"));
        let list: Vec<&str> = words.collect();
        self.complain(column, format!("`{cell}` is not in the list"), format!("one of {}", list.join(", ")), remedy)
    }
}

//! A CSV text as rows that know their line.

use crate::row::Row;
use answer::{Issue, Place};
use std::collections::BTreeMap;
use std::sync::Arc;

/// Most rows a table may have: more is a mistake or an attack.
const MOST_ROWS: usize = 5_000_000;

/// Rows of one file, with their header.
#[derive(Debug, Clone)]
pub struct Table {
    file: Arc<str>,
    header: Arc<Header>,
    rows: Vec<Row>,
}

/// Column names and their places.
#[derive(Debug)]
pub(crate) struct Header {
    pub(crate) names: Vec<String>,
    pub(crate) index: BTreeMap<String, usize>,
}

impl Table {
    /// Reads a CSV text (comma, quotes as in RFC 4180, header first). Lines that start with `#` are comments.
    ///
    /// # Errors
    /// All issues of form: no header, a column named twice, rows with too few or too many fields.
    pub fn parse(file: &str, text: &str) -> Result<Self, Vec<Issue>> {
        Self::parse_separated(file, text, ',')
    }

    /// As [`Table::parse`], with another mark between the columns (ASCII; another is read as a comma).
    ///
    /// # Errors
    /// As [`Table::parse`].
    pub fn parse_separated(file: &str, text: &str, separator: char) -> Result<Self, Vec<Issue>> {
        let text = text.strip_prefix('\u{feff}').unwrap_or(text);
        let file: Arc<str> = file.into();
        if let Some(issue) = wrong_encoding(&file, text) {
            return Err(vec![issue]);
        }
        let mut reader = csv::ReaderBuilder::new()
            .comment(Some(b'#'))
            .delimiter(u8::try_from(separator).ok().filter(u8::is_ascii).unwrap_or(b','))
            .has_headers(false)
            .flexible(true)
            .trim(csv::Trim::All)
            .from_reader(text.as_bytes());
        let mut issues = Vec::new();
        let mut header: Option<Arc<Header>> = None;
        let mut rows = Vec::new();
        for record in reader.records() {
            let record = match record {
                Ok(record) => record,
                Err(error) => {
                    let line = error.position().map_or(1, |p| p.line() as usize);
                    issues.push(broken(&file, line, &error.to_string()));
                    break;
                }
            };
            let line = record.position().map_or(1, |p| p.line() as usize);
            let Some(header) = &header else {
                match read_header(&file, line, &record) {
                    Ok(read) => header = Some(Arc::new(read)),
                    Err(issue) => return Err(vec![issue]),
                }
                continue;
            };
            if record.len() != header.names.len() {
                issues.push(ragged(&file, line, record.len(), header.names.len()));
                continue;
            }
            if rows.len() == MOST_ROWS {
                issues.push(broken(&file, line, &format!("more than {MOST_ROWS} rows")));
                break;
            }
            rows.push(Row::new(file.clone(), header.clone(), line, record));
        }
        let Some(header) = header else {
            return Err(vec![Issue::error(
                Place::file(&*file),
                "the file is empty",
                "a header line with the column names",
                "write the header and at least one row",
            )]);
        };
        if issues.is_empty() { Ok(Self { file, header, rows }) } else { Err(issues) }
    }

    /// File name as given.
    pub fn file(&self) -> &str {
        &self.file
    }

    /// Column names in order.
    pub fn columns(&self) -> &[String] {
        &self.header.names
    }

    /// A column's number from 0; for tables of many rows, whose cells are then read by [`Row::at`].
    pub fn place_of(&self, column: &str) -> Option<usize> {
        self.header.index.get(column).copied()
    }

    /// Rows in order.
    pub fn rows(&self) -> &[Row] {
        &self.rows
    }

    /// Takes the rows out.
    pub fn into_rows(self) -> Vec<Row> {
        self.rows
    }

    /// Holds that all these columns are there.
    ///
    /// # Errors
    /// An issue for each one missing that was probably meant under another name, and one for all the others together.
    pub fn require(&self, columns: &[&str]) -> Result<(), Vec<Issue>> {
        let complain = |found: String, expected: String, remedy: String| {
            Issue::error(Place { line: Some(1), ..Place::file(&*self.file) }, found, expected, remedy)
        };
        let (mut issues, mut absent) = (Vec::new(), Vec::new());
        for c in columns.iter().filter(|c| !self.header.index.contains_key(**c)) {
            match answer::nearest_name(c, self.header.names.iter().map(String::as_str)) {
                Some(near) => issues.push(complain(
                    format!("column `{c}` is missing"),
                    format!("a column named `{c}`"),
                    format!("rename `{near}` to `{c}`, or add `{c}`"),
                )),
                None => absent.push(format!("`{c}`")),
            }
        }
        match absent.as_slice() {
            [] => {}
            [one] => issues.push(complain(
                format!("column {one} is missing"),
                format!("a column named {one}"),
                format!("add the column {one}"),
            )),
            several => issues.push(complain(
                format!("{} columns are missing: {}", several.len(), several.join(", ")),
                "all of them, empty where nothing is known".to_owned(),
                "add them to the head of the table".to_owned(),
            )),
        }
        if issues.is_empty() { Ok(()) } else { Err(issues) }
    }

    /// Reads every row by a function; all issues are gathered.
    ///
    /// # Errors
    /// The issues of all rows that could not be read.
    pub fn read<T>(&self, mut read: impl FnMut(&Row) -> Result<T, Issue>) -> Result<Vec<T>, Vec<Issue>> {
        let mut values = Vec::with_capacity(self.rows.len());
        let mut issues = Vec::new();
        for row in &self.rows {
            match read(row) {
                Ok(value) => values.push(value),
                Err(issue) => issues.push(issue),
            }
        }
        if issues.is_empty() { Ok(values) } else { Err(issues) }
    }

    /// Holds that a column names each row once.
    ///
    /// # Errors
    /// An issue for each repetition and each empty name.
    pub fn unique(&self, column: &str) -> Result<(), Vec<Issue>> {
        let mut first: BTreeMap<&str, usize> = BTreeMap::new();
        let mut issues = Vec::new();
        for row in &self.rows {
            match row.text(column) {
                Err(issue) => issues.push(issue),
                Ok(name) => {
                    if let Some(line) = first.insert(name, row.line()) {
                        issues.push(row.complain(
                            column,
                            format!("`{name}` stands already in line {line}"),
                            "a name that no other row has",
                            "give this row a name of its own, or take one of the two out",
                        ));
                    }
                }
            }
        }
        if issues.is_empty() { Ok(()) } else { Err(issues) }
    }
}

fn read_header(file: &str, line: usize, record: &csv::StringRecord) -> Result<Header, Issue> {
    let names: Vec<String> = record.iter().map(str::to_owned).collect();
    let mut index = BTreeMap::new();
    if let [only] = names.as_slice()
        && only.contains([';', '\t'])
    {
        return Err(Issue::error(
            Place::new(file, line, 1, ""),
            "the header is one single column with semicolons or tabs",
            "columns parted by commas",
            "save the file as CSV with commas between the fields and points in the numbers",
        ));
    }
    for (i, name) in names.iter().enumerate() {
        if name.is_empty() {
            return Err(Issue::error(
                Place::new(file, line, i + 1, ""),
                "a column has no name",
                "a name for each column",
                "name the column, or take it out of every row",
            ));
        }
        if index.insert(name.clone(), i).is_some() {
            return Err(Issue::error(
                Place::new(file, line, i + 1, name.clone()),
                format!("the column `{name}` is named twice"),
                "each column once",
                "rename or remove one of them",
            ));
        }
    }
    Ok(Header { names, index })
}

/// Signs of a text that was not UTF-8 where it was read: a replaced character, or the zero bytes of UTF-16.
fn wrong_encoding(file: &str, text: &str) -> Option<Issue> {
    let at = text.find(['\u{fffd}', '\0'])?;
    Some(broken(file, text[..at].matches('\n').count() + 1, "a character was not readable as UTF-8"))
}

fn ragged(file: &str, line: usize, found: usize, expected: usize) -> Issue {
    Issue::error(
        Place { line: Some(line), ..Place::file(file) },
        format!("the row has {found} fields"),
        format!("{expected} fields, as in the header"),
        "put text that holds commas in double quotes, and keep empty fields",
    )
}

fn broken(file: &str, line: usize, what: &str) -> Issue {
    Issue::error(
        Place { line: Some(line), ..Place::file(file) },
        format!("the table cannot be read: {what}"),
        "comma-separated rows in UTF-8",
        "save the file as CSV in UTF-8",
    )
}

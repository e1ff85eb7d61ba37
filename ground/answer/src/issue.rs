//! What is wrong with an input, said to the person who made it.

use schemars::JsonSchema;
use serde::{Deserialize, Serialize};
use std::fmt;

/// Where something stands in an input.
#[derive(Debug, Clone, PartialEq, Eq, Default, Serialize, Deserialize, JsonSchema)]
pub struct Place {
    /// File name as the person knows it; empty when there is none.
    pub file: String,
    /// Line from 1; `None` when the whole file is meant.
    pub line: Option<usize>,
    /// Column from 1.
    pub column: Option<usize>,
    /// Field as written in the file, e.g. `part[2].height`; empty when none is meant.
    pub field: String,
}

impl Place {
    /// A place known by file, line, column and field.
    pub fn new(file: impl Into<String>, line: usize, column: usize, field: impl Into<String>) -> Self {
        Self { file: file.into(), line: Some(line), column: Some(column), field: field.into() }
    }

    /// A whole file.
    pub fn file(file: impl Into<String>) -> Self {
        Self { file: file.into(), ..Self::default() }
    }
}

impl fmt::Display for Place {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(&self.file)?;
        if let Some(line) = self.line {
            write!(f, ":{line}")?;
            if let Some(column) = self.column {
                write!(f, ":{column}")?;
            }
        }
        if !self.field.is_empty() {
            write!(f, "{}{}", if self.file.is_empty() { "" } else { ", field " }, self.field)?;
        }
        Ok(())
    }
}

/// How grave an issue is.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "snake_case")]
pub enum Severity {
    /// Worth knowing; work goes on.
    Warning,
    /// Work cannot go on with this.
    Error,
}

/// One thing wrong: where, what was found, what was expected, what to do.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, JsonSchema, thiserror::Error)]
#[error("{place}: {found}; expected {expected}; {remedy}")]
pub struct Issue {
    /// How grave.
    pub severity: Severity,
    /// Where.
    pub place: Place,
    /// What was found, as a clause without full stop.
    pub found: String,
    /// What was expected there.
    pub expected: String,
    /// What to write or do instead.
    pub remedy: String,
}

impl Issue {
    /// An issue that stops the work.
    pub fn error(
        place: Place,
        found: impl Into<String>,
        expected: impl Into<String>,
        remedy: impl Into<String>,
    ) -> Self {
        Self { severity: Severity::Error, place, found: found.into(), expected: expected.into(), remedy: remedy.into() }
    }

    /// An issue with which the work goes on.
    pub fn warning(
        place: Place,
        found: impl Into<String>,
        expected: impl Into<String>,
        remedy: impl Into<String>,
    ) -> Self {
        Self { severity: Severity::Warning, ..Self::error(place, found, expected, remedy) }
    }

    /// True when it stops the work.
    pub fn is_error(&self) -> bool {
        self.severity == Severity::Error
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn an_issue_reads_as_one_sentence() {
        let issue = Issue::error(
            Place::new("case.toml", 4, 9, "ferrule"),
            "ferrule is `two`",
            "none, 1mm or 2mm_or_more",
            "write ferrule = \"2mm_or_more\"",
        );
        assert_eq!(
            issue.to_string(),
            "case.toml:4:9, field ferrule: ferrule is `two`; expected none, 1mm or 2mm_or_more; write ferrule = \"2mm_or_more\""
        );
    }
}

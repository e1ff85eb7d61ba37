//! Rows as PostgreSQL's COPY takes them.

use crate::db::Cell;
use std::fmt::Write;

/// Rows in the text form of PostgreSQL's COPY: tabs between columns, `\N` for nothing, backslashes before what would be read otherwise.
pub fn copied(rows: &[Vec<Cell>]) -> Vec<u8> {
    let mut out = String::new();
    for row in rows {
        for (i, cell) in row.iter().enumerate() {
            if i > 0 {
                out.push('\t');
            }
            // Writing to a string cannot fail.
            let _ = match cell {
                Cell::Int(Some(v)) => write!(out, "{v}"),
                Cell::Real(Some(v)) => write!(out, "{v:?}"),
                Cell::Text(Some(text)) => {
                    for c in text.chars() {
                        match c {
                            '\\' => out.push_str("\\\\"),
                            '\n' => out.push_str("\\n"),
                            '\r' => out.push_str("\\r"),
                            '\t' => out.push_str("\\t"),
                            other => out.push(other),
                        }
                    }
                    Ok(())
                }
                Cell::Int(None) | Cell::Real(None) | Cell::Text(None) => out.write_str("\\N"),
            };
        }
        out.push('\n');
    }
    out.into_bytes()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_copy_would_read_otherwise_is_escaped() {
        let rows = vec![vec![
            Cell::Text(Some("a\tb\\N\nc\r".into())),
            Cell::Int(None),
            Cell::Real(Some(0.1)),
            Cell::Int(Some(-3)),
        ]];
        assert_eq!(copied(&rows), b"a\\tb\\\\N\\nc\\r\t\\N\t0.1\t-3\n");
    }
}

//! A file is one idea: at most 600 lines of Rust, unless most of it is a table of numbers or words.

use super::source::SourceFile;

const LONGEST: usize = 600;

/// The breach, if the file is one.
pub fn breaches(file: &SourceFile) -> Option<String> {
    let lines = file.text.lines().count();
    (lines > LONGEST && !is_table(&file.text)).then(|| {
        format!("{}: {lines} lines; expected at most {LONGEST} unless it is a table; part it by idea", file.name)
    })
}

/// At least half of the lines are rows: they begin with a number, a bracket or a string.
fn is_table(text: &str) -> bool {
    let rows = text
        .lines()
        .map(str::trim_start)
        .filter(|l| l.starts_with(|c: char| c.is_ascii_digit() || "-[(\"".contains(c)));
    2 * rows.count() >= text.lines().count()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn long_code_is_a_breach_and_a_long_table_is_not() {
        let file = |line: &str, n| SourceFile { name: "x.rs".into(), text: line.repeat(n) };
        assert!(breaches(&file("let a = 1;\n", 601)).is_some());
        assert!(breaches(&file("let a = 1;\n", 600)).is_none());
        assert!(breaches(&file("0.1, 0.2,\n", 900)).is_none());
    }
}

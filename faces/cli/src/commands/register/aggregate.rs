//! `bisque register aggregate`: own arms without any patient.

use super::super::say;
use super::Desk;
use crate::failure::Failure;
use crate::files;
use ::register::arm_table;
use std::path::Path;

/// Writes the arms as CSV, or as JSON to the terminal.
pub fn run(desk: &Desk, out: Option<&Path>, name: &str, least: i64) -> Result<(), Failure> {
    if name.is_empty() || !name.chars().all(|c| c.is_ascii_alphanumeric() || c == '_') {
        return Err(Failure::Usage(format!("--name {name}: letters, digits and _ only")));
    }
    let table = arm_table(&mut desk.open()?, name, desk.today, least.max(1))?;
    let cell = |text: &String| {
        if text.contains([',', '"']) { format!("\"{}\"", text.replace('"', "\"\"")) } else { text.clone() }
    };
    let mut text = table.columns.join(",") + "\n";
    for row in &table.rows {
        text.push_str(&(row.iter().map(cell).collect::<Vec<_>>().join(",") + "\n"));
    }
    if desk.json {
        let rows: Vec<serde_json::Map<String, serde_json::Value>> = table
            .rows
            .iter()
            .map(|r| table.columns.iter().map(|c| (*c).to_owned()).zip(r.iter().map(|v| v.as_str().into())).collect())
            .collect();
        return super::super::print_json(&serde_json::json!({ "arms": rows, "left_out": table.left_out }));
    }
    let few = format!("{} restorations left out in groups of under {least}", table.left_out);
    let Some(out) = out else {
        if table.rows.is_empty() {
            say(&format!("nothing to share: {few}"));
            return Ok(());
        }
        say(text.trim_end());
        return Ok(());
    };
    let folder = out.parent().filter(|p| !p.as_os_str().is_empty()).unwrap_or(Path::new("."));
    let file = out.file_name().map(|n| n.to_string_lossy().into_owned()).unwrap_or_default();
    files::write_all(folder, &[(file, text.into_bytes())])?;
    say(&format!("{}: {} arms without any patient; {few}", out.display(), table.rows.len()));
    say(&format!("take them in with `bisque evidence import {} --data DIR`", out.display()));
    Ok(())
}

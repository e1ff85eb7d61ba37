//! `bisque register report`: the yearly report of the practice as one HTML file.

use super::super::{facts, say};
use super::{Desk, pooled};
use crate::failure::Failure;
use crate::files;
use ::register::counting::ArmCount;
use std::path::Path;

/// Writes the report.
pub fn run(desk: &Desk, out: &Path, data: Option<&Path>) -> Result<(), Failure> {
    let catalogue = facts(data)?;
    let expected = |mix: &[ArmCount], years| pooled::expected(&catalogue, data, mix, years);
    let document = papers::register::report::<_, Failure>(&mut desk.open()?, desk.today, expected)?;
    let folder = out.parent().filter(|p| !p.as_os_str().is_empty()).unwrap_or(Path::new("."));
    let file = out.file_name().map(|n| n.to_string_lossy().into_owned()).unwrap_or_default();
    files::write_all(folder, &[(file, papers::html::page(&document).into_bytes())])?;
    say(&format!("{} written", out.display()));
    Ok(())
}

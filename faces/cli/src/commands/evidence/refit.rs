//! `bisque evidence refit`: the pooled model fitted anew.

use super::super::say;
use super::{refused, write_file};
use crate::failure::Failure;
use crate::meter::Meter;
use ::catalogue::Catalogue;
use std::path::{Path, PathBuf};

/// Fits and writes; a fit whose diagnostics complain is written to the file asked for and says so, never silently used.
pub fn run(catalogue: &Catalogue, data: Option<&Path>, out: Option<&Path>) -> Result<(), Failure> {
    let target: PathBuf = match (out, data) {
        (Some(file), _) => file.to_owned(),
        (None, Some(folder)) => folder.join("posterior.json"),
        (None, None) => {
            return Err(Failure::Usage(
                "where to? Give --out FILE, or --data DIR to keep it with the own tables".to_owned(),
            ));
        }
    };
    let meter = Meter::new("refitting");
    let posterior = ::plan::refit(catalogue, &meter).map_err(refused)?;
    drop(meter);
    let text = serde_json::to_string(&posterior).map_err(|e| Failure::Usage(e.to_string()))?;
    write_file(&target, text.into_bytes())?;
    let d = posterior.diagnostics();
    say(&format!(
        "{} written: {} arms, largest R-hat {:.3}, least effective size {:.0}, {} divergences",
        target.display(),
        posterior.arms().len(),
        d.r_hat(),
        d.effective_size(),
        d.divergences()
    ));
    for complaint in d.complaints() {
        say(&format!("  {complaint}"));
    }
    Ok(())
}

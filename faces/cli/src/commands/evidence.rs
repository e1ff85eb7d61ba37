//! `bisque evidence`: the study arms, and the pooled model made anew.

use super::{facts, print_json, say};
use crate::args::EvidenceCommand;
use crate::failure::Failure;
use crate::files;
use crate::meter::Meter;
use ::evidence::FitError;
use std::path::Path;

/// Runs an `evidence` command.
pub fn run(command: EvidenceCommand, data: Option<&Path>) -> Result<(), Failure> {
    let catalogue = facts(data)?;
    match command {
        EvidenceCommand::List { json } => {
            let arms = ::plan::arms(&catalogue);
            if json {
                return print_json(&arms);
            }
            for arm in arms {
                let state = arm.pooled.as_ref().err().map_or("pooled".to_owned(), |why| format!("not pooled: {why}"));
                say(&format!(
                    "{:<6} {:<60} {:>8.0} restoration-years  {state}",
                    arm.id,
                    arm.cell.to_string(),
                    arm.unit_years()
                ));
            }
            Ok(())
        }
        EvidenceCommand::Refit { out } => {
            let meter = Meter::new("refitting");
            let posterior = ::plan::refit(&catalogue, &meter).map_err(|e| match e {
                FitError::Interrupted(i) => Failure::Interrupted(i),
                other => Failure::Usage(other.to_string()),
            })?;
            drop(meter);
            let text = serde_json::to_string(&posterior).map_err(|e| Failure::Usage(e.to_string()))?;
            let folder = out.parent().filter(|p| !p.as_os_str().is_empty()).unwrap_or(Path::new("."));
            let name = out.file_name().map(|n| n.to_string_lossy().into_owned()).unwrap_or_default();
            files::write_all(folder, &[(name, text.into_bytes())])?;
            let d = posterior.diagnostics();
            say(&format!(
                "{} written: {} arms, largest R-hat {:.3}, least effective size {:.0}, {} divergences",
                out.display(),
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
    }
}

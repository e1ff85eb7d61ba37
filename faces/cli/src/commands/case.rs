//! `bisque case`: check a case file, make a new one, print the schema.

use super::{facts, print_json, say};
use crate::args::CaseCommand;
use crate::complaint;
use crate::failure::Failure;
use crate::files;
use ::case::fields::Sheet;
use ::case::{Case, answers_asked, answers_given, defaults_used, open_questions};
use std::path::Path;

/// Runs a `case` command.
pub fn run(command: CaseCommand, data: Option<&Path>) -> Result<(), Failure> {
    match command {
        CaseCommand::Check { case, json } => check(&case, data, json),
        CaseCommand::New { kind, out } => new(&kind, out.as_deref()),
        CaseCommand::Schema => print_json(&::case::schema()),
    }
}

fn check(path: &Path, data: Option<&Path>, json: bool) -> Result<(), Failure> {
    let text = files::read(path)?;
    let file = path.file_name().map(|n| n.to_string_lossy().into_owned()).unwrap_or_default();
    let catalogue = facts(data)?;
    match Case::parse_with(&file, &text, catalogue.own_colours()) {
        Err(issues) if json => {
            print_json(&serde_json::json!({ "issues": issues }))?;
            Err(Failure::Input { issues, text: Some(text) })
        }
        Err(issues) => Err(Failure::Input { issues, text: Some(text) }),
        Ok((case, warnings)) => {
            let (defaults, open) = (defaults_used(&case), open_questions(&case));
            if json {
                return print_json(
                    &serde_json::json!({ "issues": warnings, "defaults": defaults, "open_questions": open }),
                );
            }
            complaint::print_warnings(&warnings, &text);
            say(&format!("{file}: no errors; {} of {} questions answered", answers_given(&case), answers_asked(&case)));
            for question in &open {
                say(&format!("  open: {} ({})", question.question, question.field));
            }
            for default in &defaults {
                say(&format!("  taken meanwhile: {}: {}", default.field, default.value));
            }
            Ok(())
        }
    }
}

fn new(kind: &str, out: Option<&Path>) -> Result<(), Failure> {
    let names = || Sheet::ALL.iter().map(|s| s.word());
    let sheet = Sheet::ALL.iter().copied().find(|s| s.word() == kind).ok_or_else(|| {
        let near = answer::nearest_name(kind, names()).map_or(String::new(), |n| format!("; did you mean `{n}`?"));
        Failure::Usage(format!(
            "there is no template `{kind}`: one of {}{near}",
            names().collect::<Vec<_>>().join(", ")
        ))
    })?;
    let text = ::case::template(sheet);
    match out {
        None => say(&text),
        Some(path) if path.exists() => {
            return Err(Failure::Usage(format!("{} exists already: choose another name", path.display())));
        }
        Some(path) => {
            let folder = path.parent().filter(|p| !p.as_os_str().is_empty()).unwrap_or(Path::new("."));
            let name = path.file_name().map(|n| n.to_string_lossy().into_owned()).unwrap_or_default();
            files::write_all(folder, &[(name, text.into_bytes())])?;
            say(&format!("{} written: fill it in, then `bisque case check {}`", path.display(), path.display()));
        }
    }
    Ok(())
}

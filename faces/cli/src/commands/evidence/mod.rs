//! `bisque evidence`: the living library of study arms, one file a command.

mod check;
mod compare;
mod counts;
mod library;
mod list;
mod map;
mod pool;
mod pooled;
mod refit;
mod sensitivity;
mod show;
mod write;

use super::facts;
use crate::args::EvidenceCommand;
use crate::failure::Failure;
use crate::files;
use ::catalogue::Catalogue;
use ::evidence::{Cell, FitError, Posterior};
use answer::World;
use picture::{Charset, Scene, Theme, svg, text_lines};
use std::path::Path;

/// Runs an `evidence` command.
pub fn run(command: EvidenceCommand, data: Option<&Path>) -> Result<(), Failure> {
    match command {
        EvidenceCommand::List { cell, left_out, json } => list::run(&facts(data)?, cell.as_deref(), left_out, json),
        EvidenceCommand::Show { what, out, json } => show::run(&facts(data)?, data, &what, out.as_deref(), json),
        EvidenceCommand::Add { fields, citation, dry_run } => write::add(data, &fields, citation.as_deref(), dry_run),
        EvidenceCommand::Import { file, map, set, citation, dry_run } => {
            write::import(data, &file, &map, &set, citation.as_deref(), dry_run)
        }
        EvidenceCommand::Retire { id, reason } => write::retire(data, &id, &reason),
        EvidenceCommand::Pool(args) => pool::run(&args, data),
        EvidenceCommand::Forest(args) => pool::forest(&args, data),
        EvidenceCommand::Funnel(args) => sensitivity::funnel(&args, data),
        EvidenceCommand::Sensitivity(args) => sensitivity::run(&args, data),
        EvidenceCommand::Compare { json } => compare::run(&facts(data)?, data, json),
        EvidenceCommand::Check { pooled, json } => check::run(&facts(data)?, pooled, json),
        EvidenceCommand::Map { out, json } => map::run(&facts(data)?, data, out.as_deref(), json),
        EvidenceCommand::Refit { out } => refit::run(&facts(data)?, data, out.as_deref()),
    }
}

/// Draws by which the command line answers.
fn world() -> World {
    World::new(1)
}

/// The posterior to answer from: the one fitted in the own folder where it is of these arms, else the shipped one.
///
/// # Errors
/// [`Failure::Usage`] for a posterior that cannot be read; [`Failure::Read`] for a file that cannot.
pub fn posterior(catalogue: &Catalogue, data: Option<&Path>) -> Result<Posterior, Failure> {
    if let Some(path) = data.map(|d| d.join("posterior.json")).filter(|p| p.is_file()) {
        let text = files::read(&path)?;
        let own: Posterior = serde_json::from_str(&text).map_err(|e| {
            Failure::Usage(format!("{}: no fitted model ({e}); run `bisque evidence refit` again", path.display()))
        })?;
        if ::plan::is_current(&own, catalogue) {
            return Ok(own);
        }
    }
    ::plan::shipped_posterior().map_err(|e| Failure::Usage(e.to_string()))
}

/// A fit's refusal as a failure.
pub fn refused(error: FitError) -> Failure {
    match error {
        FitError::Interrupted(i) => Failure::Interrupted(i),
        FitError::Arms(issues) => Failure::Input { issues, text: None },
        other => Failure::Usage(other.to_string()),
    }
}

/// A cell from words parted by `/`.
fn cell(words: &str) -> Cell {
    Cell::new(words.split('/').map(str::trim).filter(|w| !w.is_empty()))
}

/// The cell asked for, or a refusal that names what there is.
fn known_cell(words: &str, arms: &[::evidence::Arm]) -> Result<Cell, Failure> {
    let asked = cell(words);
    if !asked.labels.is_empty() && arms.iter().any(|a| a.parts().iter().any(|p| asked.contains(&p.0))) {
        return Ok(asked);
    }
    let mut known: Vec<String> = arms.iter().flat_map(|a| (1..=3).map(|d| a.cell.parent(d).to_string())).collect();
    known.sort();
    known.dedup();
    let near = answer::nearest_name(words, known.iter().map(String::as_str));
    let hint = near.map_or("see `bisque evidence list`".to_owned(), |n| format!("did you mean `{n}`?"));
    Err(Failure::Usage(format!("no arm lies in the cell `{words}`: {hint}")))
}

/// Writes a picture as SVG, or gives its lines for the terminal.
pub(super) fn draw(scene: &Scene, out: Option<&Path>) -> Result<(), Failure> {
    let Some(out) = out else {
        super::say(&text_lines(scene, Charset::Unicode).join("\n"));
        return Ok(());
    };
    write_file(out, svg(scene, Theme::Light).into_bytes())?;
    super::say(&format!("{} written", out.display()));
    Ok(())
}

/// Prints JSON with numbers of six figures.
pub(super) fn print_figures(value: &impl serde::Serialize) -> Result<(), Failure> {
    let mut value = serde_json::to_value(value).map_err(|e| Failure::Usage(format!("this has no JSON form: {e}")))?;
    round(&mut value);
    super::print_json(&value)
}

fn round(value: &mut serde_json::Value) {
    match value {
        serde_json::Value::Array(items) => items.iter_mut().for_each(round),
        serde_json::Value::Object(fields) => fields.values_mut().for_each(round),
        serde_json::Value::Number(n) if n.is_f64() => {
            if let Some(rounded) = n.as_f64().map(answer::six_figures).and_then(serde_json::Number::from_f64) {
                *n = rounded;
            }
        }
        _ => {}
    }
}

/// Writes one file, whole or not at all.
fn write_file(out: &Path, contents: Vec<u8>) -> Result<(), Failure> {
    let folder = out.parent().filter(|p| !p.as_os_str().is_empty()).unwrap_or(Path::new("."));
    let name = out.file_name().map(|n| n.to_string_lossy().into_owned()).unwrap_or_default();
    files::write_all(folder, &[(name, contents)])
}

/// A picture that cannot be drawn says why.
pub(super) fn undrawable(error: picture::Undrawable) -> Failure {
    Failure::Usage(format!("nothing to draw: {error}"))
}

//! `bisque plan`: the main job.

use super::anatomy::tissue_scenes;
use super::planning::{Asked, Planned, planned, planned_together};
use super::{print_json, say};
use crate::args::PlanArgs;
use crate::failure::Failure;
use crate::files;
use ::case::Case;
use ::plan::{Report, ShownTeeth};
use papers::Facts;
use picture::Charset;
use std::io::IsTerminal;
use std::path::{Path, PathBuf};
use std::sync::Arc;

/// Plans a case, prints it and writes its papers.
pub fn run(args: &PlanArgs, data: Option<&Path>) -> Result<(), Failure> {
    let asked =
        Asked { case: &args.case, at: args.at, fidelity: args.fidelity, seed: args.seed, changes: args.changes, data };
    let (catalogue, mut reports, drawn) = if args.others.is_empty() {
        let Planned { case, catalogue, report, shown } = planned(&asked)?;
        (catalogue, vec![report], Some((case, shown)))
    } else {
        let (catalogue, reports) = planned_together(&asked, &args.others)?;
        (catalogue, reports, None)
    };
    if let Some(id) = &args.option {
        argue(&mut reports, id)?;
    }
    for report in &reports {
        if let Some(folder) = folder_of(args, report) {
            files::write_all(&folder, &papers_of(report, drawn.as_ref(), &catalogue, args)?)?;
        }
    }
    match (args.json, &reports[..]) {
        (true, [one]) => print_json(one),
        (true, all) => print_json(&all),
        (false, all) => {
            for report in all {
                say(&brief(report, args));
                if let Some(folder) = folder_of(args, report) {
                    say(&format!("\nDossier: {}", folder.join("dossier.html").display()));
                }
            }
            Ok(())
        }
    }
}

/// Papers of one case go into the folder itself, of several into one folder a case.
fn folder_of(args: &PlanArgs, report: &Report) -> Option<PathBuf> {
    args.out.as_ref().map(|out| if args.others.is_empty() { out.clone() } else { out.join(&report.case) })
}

/// The case against an option that is named on the command line.
fn argue(reports: &mut [Report], id: &str) -> Result<(), Failure> {
    let mut known = Vec::new();
    let mut found = false;
    for report in reports {
        if let Some(against) = ::plan::case_against(report, id, None) {
            report.case_against = Some(against);
            found = true;
        }
        known.extend(report.options.iter().map(|o| o.id.clone()));
    }
    if found {
        return Ok(());
    }
    let near = answer::nearest_name(id, known.iter().map(String::as_str));
    let hint = near.map_or(String::new(), |n| format!("; did you mean `{n}`?"));
    Err(Failure::Usage(format!("--option {id}: there is no such option: one of {}{hint}", known.join(", "))))
}

fn charset(args: &PlanArgs) -> Charset {
    if args.ascii { Charset::Ascii } else { Charset::Unicode }
}

fn brief(report: &Report, args: &PlanArgs) -> String {
    let charset = if std::io::stdout().is_terminal() || !args.ascii { charset(args) } else { Charset::Ascii };
    papers::terminal::lines(&papers::brief(report), charset).join("\n")
}

fn papers_of(
    report: &Report,
    drawn: Option<&(Case, Arc<ShownTeeth>)>,
    catalogue: &::catalogue::Catalogue,
    args: &PlanArgs,
) -> Result<Vec<(String, Vec<u8>)>, Failure> {
    // A picture that cannot be drawn leaves the words as they are.
    let tissue = drawn.and_then(|(case, shown)| tissue_scenes(case, catalogue, report, shown).ok()).unwrap_or_default();
    let html = papers::html::page(&papers::dossier(report, &Facts { tissue, ..Facts::of(catalogue) }));
    let json = serde_json::to_string_pretty(report)
        .map_err(|e| Failure::Usage(format!("the report has no JSON form: {e}")))?;
    Ok(vec![
        ("dossier.html".to_owned(), html.into_bytes()),
        ("report.json".to_owned(), json.into_bytes()),
        ("summary.txt".to_owned(), (brief(report, args) + "\n").into_bytes()),
    ])
}

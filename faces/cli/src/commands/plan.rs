//! `bisque plan`: the main job.

use super::planning::{Asked, Planned, planned};
use super::{print_json, say};
use crate::args::PlanArgs;
use crate::failure::Failure;
use crate::files;
use ::plan::Report;
use papers::Facts;
use picture::Charset;
use std::io::IsTerminal;
use std::path::Path;

/// Plans a case, prints it and writes its papers.
pub fn run(args: &PlanArgs, data: Option<&Path>) -> Result<(), Failure> {
    let asked = Asked {
        case: &args.case,
        at: args.at,
        fidelity: args.fidelity,
        seed: args.seed,
        changes: args.changes,
        data,
    };
    let Planned { catalogue, report, .. } = planned(&asked)?;
    if let Some(folder) = &args.out {
        files::write_all(folder, &papers_of(&report, &catalogue, args)?)?;
    }
    if args.json {
        print_json(&report)
    } else {
        say(&brief(&report, args));
        if let Some(folder) = &args.out {
            say(&format!("\nDossier: {}", folder.join("dossier.html").display()));
        }
        Ok(())
    }
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
    catalogue: &::catalogue::Catalogue,
    args: &PlanArgs,
) -> Result<Vec<(String, Vec<u8>)>, Failure> {
    let html = papers::html::page(&papers::dossier(report, &Facts::of(catalogue)));
    let json = serde_json::to_string_pretty(report)
        .map_err(|e| Failure::Usage(format!("the report has no JSON form: {e}")))?;
    Ok(vec![
        ("dossier.html".to_owned(), html.into_bytes()),
        ("report.json".to_owned(), json.into_bytes()),
        ("summary.txt".to_owned(), (brief(report, args) + "\n").into_bytes()),
    ])
}

//! `bisque serve`: the page, served from this machine.

use super::{print_json, say};
use crate::args::ServeArgs;
use crate::failure::Failure;
use crate::files;
use ::case::Case;
use ::catalogue::Catalogue;
use ::plan::{Report, ShownTeeth};
use std::collections::BTreeMap;
use std::io::Write;
use std::net::SocketAddr;
use std::path::Path;
use std::sync::Arc;
use web::{Commands, Settings};

/// Shortest password, letters: what stands between a network and the cases.
const SHORTEST: usize = 8;

/// Serves until it is interrupted.
pub fn run(args: &ServeArgs, data: Option<&Path>) -> Result<(), Failure> {
    if args.openapi {
        return print_json(&web::openapi());
    }
    let settings = Settings {
        address: SocketAddr::new(args.host, args.port),
        cases: args.cases.clone(),
        data: data.map(Path::to_owned),
        store: args.store.clone(),
        commands: std::env::current_exe().ok().map(|program| Commands { program, teeth, tissue }),
        password: args.password_file.as_deref().map(password).transpose()?,
    };
    let (open, json) = (args.open, args.json);
    Ok(web::serve(settings, |address| tell(address, open, json))?)
}

/// A case whose files cannot be used is planned with average forms, and says so.
fn teeth(case: &Case, file: &Path, catalogue: &Catalogue) -> (ShownTeeth, Vec<String>) {
    super::anatomy::teeth_as_shown(case, file, catalogue).unwrap_or_else(|e| (ShownTeeth::new(), vec![e.to_string()]))
}

/// A picture that cannot be drawn leaves the words as they are.
fn tissue(
    case: &Case,
    catalogue: &Catalogue,
    report: &Report,
    shown: &Arc<ShownTeeth>,
) -> BTreeMap<String, Vec<picture::Scene>> {
    super::anatomy::tissue_scenes(case, catalogue, report, shown).unwrap_or_default()
}

fn password(path: &Path) -> Result<String, Failure> {
    let text = files::read(path)?;
    let first = text.lines().next().unwrap_or_default().trim();
    if first.chars().count() < SHORTEST {
        return Err(Failure::Usage(format!(
            "{}: the password in the first line is shorter than {SHORTEST} letters; write a longer one",
            path.display()
        )));
    }
    Ok(first.to_owned())
}

fn tell(address: SocketAddr, open: bool, json: bool) {
    let url = format!("http://{address}/");
    if json {
        // A line that has no JSON form cannot be: it is one text.
        let _ = print_json(&serde_json::json!({ "address": url }));
    } else {
        say(&format!("The page is at {url}\nStop with Ctrl-C; everything entered is kept."));
    }
    // Whoever waits for the address reads it through a pipe.
    let _ = std::io::stdout().flush();
    if open && let Err(e) = browser(&url) {
        say(&format!("The browser could not be opened ({e}); open the address yourself."));
    }
}

fn browser(url: &str) -> std::io::Result<()> {
    let (program, before): (&str, &[&str]) = if cfg!(target_os = "macos") {
        ("open", &[])
    } else if cfg!(windows) {
        ("cmd", &["/C", "start", ""])
    } else {
        ("xdg-open", &[])
    };
    std::process::Command::new(program).args(before).arg(url).spawn().map(drop)
}

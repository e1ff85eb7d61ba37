//! The paper tray: every paper of a sheet as it prints, and the figures it is made with.

use crate::api::{Api, Operation};
use crate::app::App;
use crate::draft;
use crate::grounds::Grounds;
use crate::jobs::Meter;
use crate::planning::{name_of, today};
use crate::printer;
use crate::problem::{Problem, away};
use crate::sheet_routes::id_of;
use answer::Progress;
use axum::Json;
use axum::extract::{Path, Query, State};
use axum::http::header::{CONTENT_SECURITY_POLICY, CONTENT_TYPE, HeaderName, X_FRAME_OPTIONS};
use axum::response::{IntoResponse, Response};
use axum::routing::get;
use case::Case;
use papers::{
    Charset, Chosen, Facts, Figure, Fingerprint, Known, Leaves, Made, NotMade, PAPERS, html, terminal, typeset,
};
use plan::{Fidelity, Report};
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};
use serde_json::{Value, json};
use sha2::{Digest, Sha256};
use std::path::Path as Folder;
use std::sync::Arc;

/// The routes.
pub fn routes(api: Api) -> Api {
    let asked = |operation: Operation| {
        operation
            .query("option", "id of the option, or word of an alternative (default: what was chosen, else the first)")
            .query("lang", "language wished for (BCP 47)")
    };
    let list = Operation::new("get", "/api/sheets/{id}/papers", "Every paper, with what it lacks");
    let paper = Operation::new("get", "/api/sheets/{id}/papers/{file}", "A paper: its name with .html, .txt or .pdf");
    let figures = Operation::new("get", "/api/sheets/{id}/figures", "Every figure by name");
    let figure = Operation::new("get", "/api/sheets/{id}/figure/{file}", "A figure: its name with .svg")
        .query("alone", "`1`: with caption and sources, on a ground of its own");
    api.with(asked(list).answers::<Vec<PaperRow>>(), get(all))
        .with(asked(paper).answers_media("text/html"), get(one))
        .with(asked(figures).answers::<Vec<FigureRow>>(), get(all_figures))
        .with(asked(figure).answers_media("image/svg+xml"), get(one_figure))
}

/// What becomes of one paper.
#[derive(Debug, Clone, Serialize, JsonSchema)]
pub struct PaperRow {
    /// Its name.
    pub name: String,
    /// What it is.
    pub title: String,
    /// Languages it speaks.
    pub languages: Vec<String>,
    /// Forms it comes in.
    pub forms: Vec<String>,
    /// Whether it is made for this case.
    pub made: bool,
    /// True when nothing keeps it from being used.
    pub complete: bool,
    /// What it lacks.
    pub missing: Vec<String>,
    /// Why it is not made.
    pub why: Option<String>,
}

/// A figure by name.
#[derive(Debug, Clone, Serialize, JsonSchema)]
pub struct FigureRow {
    /// Its name.
    pub name: String,
    /// Its finding.
    pub title: String,
    /// What it rests on.
    pub sources: String,
}

/// For which option, in which language.
#[derive(Debug, Clone, Deserialize)]
pub struct ForOption {
    option: Option<String>,
    lang: Option<String>,
    alone: Option<String>,
}

/// Checksums of the photographs and scans a case names, beside the case file; one that is not there has none.
pub fn fingerprints(case: &Case, folder: &Folder) -> Vec<Fingerprint> {
    let names = case.order.photographs.iter().map(String::as_str).chain(case.surface_files());
    names
        .map(|name| {
            let sum = |bytes: Vec<u8>| -> String { Sha256::digest(bytes).iter().map(|b| format!("{b:02x}")).collect() };
            // Only a plain name that is there, never a way out of its folder.
            let plain = Folder::new(name).file_name().is_some_and(|n| n == name);
            let bytes = plain.then(|| std::fs::read(folder.join(name)).ok()).flatten();
            Fingerprint { name: name.to_owned(), sha256: bytes.map(sum) }
        })
        .collect()
}

/// All that papers of a sheet are made from.
struct Tray {
    case: Case,
    report: Arc<Report>,
    grounds: Arc<Grounds>,
    facts: Facts,
    date: String,
    lang: String,
    files: Vec<Fingerprint>,
    option: Option<String>,
}

impl Tray {
    /// `drawn`: with pictures of what is cut, which take longer than all else.
    fn of(app: &App, id: &str, asked: ForOption, drawn: bool) -> Result<Self, Problem> {
        let sheet = app.sheets().standing(&id_of(id)?)?;
        let grounds = app.ground().get()?;
        let read = draft::read("case", &sheet.case, grounds.catalogue.own_colours());
        let Some(case) = read.case else {
            let mut problem = Problem::of_issues(&read.issues);
            problem.expected = "a sheet that can be planned".to_owned();
            return Err(problem);
        };
        let report = app.plans().of(&name_of(&sheet), &case, &grounds, Fidelity::Quick)?;
        let mut facts = Facts::of(&grounds.catalogue);
        if drawn {
            let (shown, _) = app.plans().teeth(&case, &grounds.catalogue);
            facts.tissue = app.program().tissue(&case, &grounds.catalogue, &report, &shown);
        }
        let files = fingerprints(&case, app.sheets().folder());
        let lang = asked.lang.unwrap_or_else(|| "en-GB".to_owned());
        Ok(Self { case, report, grounds, facts, date: today().to_string(), lang, files, option: asked.option })
    }

    fn known(&self) -> Result<Known<'_>, Problem> {
        let chosen = match &self.option {
            None => Chosen::of(&self.case, &self.report),
            Some(name) => Chosen::named(&self.report, name).ok_or_else(|| {
                Problem::wrong("option", "the plan has no such option", "an id of its options", "take it from the plan")
            })?,
        };
        Ok(Known {
            case: &self.case,
            report: &self.report,
            chosen,
            facts: &self.facts,
            catalogue: &self.grounds.catalogue,
            date: &self.date,
            lang: &self.lang,
            texts: &[],
            files: &self.files,
        })
    }
}

async fn all(
    State(app): State<App>,
    Path(id): Path<String>,
    Query(asked): Query<ForOption>,
) -> Result<Json<Vec<PaperRow>>, Problem> {
    away(move || {
        let tray = Tray::of(&app, &id, asked, false)?;
        let known = tray.known()?;
        let row = |paper: &papers::Paper| {
            let mut forms = vec!["html".to_owned(), "pdf".to_owned()];
            forms.extend((paper.leaves == Leaves::Text).then(|| "txt".to_owned()));
            let mut row = PaperRow {
                name: paper.word.to_owned(),
                title: paper.label.to_owned(),
                languages: paper.languages.iter().map(|&l| l.to_owned()).collect(),
                forms,
                made: true,
                complete: true,
                missing: Vec::new(),
                why: None,
            };
            match (paper.make)(&known) {
                Ok(Made { missing, .. }) => (row.complete, row.missing) = (missing.is_empty(), missing),
                Err(NotMade(why)) => (row.made, row.complete, row.why) = (false, false, Some(why)),
            }
            row
        };
        Ok(Json(PAPERS.iter().map(row).collect()))
    })
    .await
}

async fn one(
    State(app): State<App>,
    Path((id, file)): Path<(String, String)>,
    Query(asked): Query<ForOption>,
) -> Result<Response, Problem> {
    away(move || {
        let (name, form) = file.rsplit_once('.').unwrap_or((&file, "html"));
        let no_paper = || Problem::missing("there is no such paper", "a paper of the list", "take one of the list");
        let paper = papers::paper(name).ok_or_else(no_paper)?;
        let tray = Tray::of(&app, &id, asked, ["dossier", "slides"].contains(&name))?;
        let made = (paper.make)(&tray.known()?).map_err(|NotMade(why)| {
            Problem::wrong("paper", why, "a case and option this paper is for", "take another option or paper")
        })?;
        match form {
            "html" => Ok(page(html::page(&made.document))),
            "txt" => {
                let text = terminal::lines(&made.document, Charset::Unicode).join("\n") + "\n";
                Ok(([(CONTENT_TYPE, "text/plain; charset=utf-8")], text).into_response())
            }
            "pdf" => {
                let text = typeset::text(&made.document, &tray.date);
                let mut pdf = printer::pdfs(&[(file.clone(), text)]).map_err(|e| {
                    Problem::new(
                        axum::http::StatusCode::NOT_IMPLEMENTED,
                        "pdf",
                        e.to_string(),
                        "the printer",
                        "print the page",
                    )
                })?;
                let bytes = pdf.pop().map(|p| p.1).unwrap_or_default();
                Ok(([(CONTENT_TYPE, "application/pdf")], bytes).into_response())
            }
            _ => Err(no_paper()),
        }
    })
    .await
}

/// Writes every paper of a sheet into a folder beside it, as pages and, where the printer is there, as PDFs.
///
/// # Errors
/// When the sheet cannot be planned, the job is stopped, or a file cannot be written.
pub fn written(app: &App, sheet: &str, option: Option<String>, meter: &Meter) -> Result<(String, Value), Problem> {
    let tray = Tray::of(app, sheet, ForOption { option, lang: None, alone: None }, true)?;
    let known = tray.known()?;
    let folder = format!("{sheet}-papers");
    let into = app.sheets().folder().join(&folder);
    let failed =
        |e: std::io::Error| Problem::fault(format!("a paper could not be written: {e}"), "make room on the disk");
    std::fs::create_dir_all(&into).map_err(failed)?;
    let mut names = Vec::new();
    for (i, paper) in PAPERS.iter().enumerate() {
        (meter as &dyn Progress).check(i, PAPERS.len()).map_err(|e| Problem::fault(e.to_string(), "begin it again"))?;
        let Ok(made) = (paper.make)(&known) else { continue };
        let mut put = |ending: &str, bytes: &[u8]| {
            let name = format!("{}.{ending}", paper.word);
            crate::sheets::replace(&into.join(&name), bytes).map_err(failed)?;
            names.push(name);
            Ok::<(), Problem>(())
        };
        put("html", html::page(&made.document).as_bytes())?;
        let text = typeset::text(&made.document, &tray.date);
        // Without a printer the pages are there to be printed.
        if let Ok(mut pdf) = printer::pdfs(&[(paper.word.to_owned(), text)])
            && let Some((_, bytes)) = pdf.pop()
        {
            put("pdf", &bytes)?;
        }
    }
    Ok((format!("{} files written to {folder}", names.len()), json!({ "folder": folder, "files": names })))
}

/// A paper as a page that ours may frame: its one style is let in by its checksum, and nothing else.
fn page(text: String) -> Response {
    let style = text.split_once("<style>").and_then(|(_, rest)| rest.split_once("</style>")).map_or("", |(s, _)| s);
    let sum = base64(&Sha256::digest(style.as_bytes()));
    let policy = format!(
        "default-src 'none'; style-src 'sha256-{sum}'; img-src data:; base-uri 'none'; form-action 'none'; frame-ancestors 'self'"
    );
    let heads: [(HeaderName, String); 3] = [
        (CONTENT_TYPE, "text/html; charset=utf-8".to_owned()),
        (CONTENT_SECURITY_POLICY, policy),
        (X_FRAME_OPTIONS, "SAMEORIGIN".to_owned()),
    ];
    (heads, text).into_response()
}

/// Base 64 (RFC 4648) with padding.
fn base64(bytes: &[u8]) -> String {
    const LETTERS: &[u8; 64] = b"ABCDEFGHIJKLMNOPQRSTUVWXYZabcdefghijklmnopqrstuvwxyz0123456789+/";
    let letter = |bits: u32, place: u32| char::from(LETTERS[(bits >> place & 63) as usize]);
    let mut out = String::new();
    for three in bytes.chunks(3) {
        let bits = three.iter().enumerate().fold(0_u32, |all, (i, b)| all | u32::from(*b) << (16 - 8 * i));
        for (i, place) in [18, 12, 6, 0].into_iter().enumerate() {
            out.push(if i <= three.len() { letter(bits, place) } else { '=' });
        }
    }
    out
}

fn figures(known: &Known<'_>) -> Vec<Figure> {
    let mut list = papers::figures(known);
    list.extend(papers::tables(known));
    list
}

async fn all_figures(
    State(app): State<App>,
    Path(id): Path<String>,
    Query(asked): Query<ForOption>,
) -> Result<Json<Vec<FigureRow>>, Problem> {
    away(move || {
        let tray = Tray::of(&app, &id, asked, true)?;
        let row = |f: Figure| FigureRow { name: f.name, title: f.scene.title, sources: f.sources };
        Ok(Json(figures(&tray.known()?).into_iter().map(row).collect()))
    })
    .await
}

async fn one_figure(
    State(app): State<App>,
    Path((id, file)): Path<(String, String)>,
    Query(asked): Query<ForOption>,
) -> Result<Response, Problem> {
    away(move || {
        let alone = asked.alone.is_some();
        let tray = Tray::of(&app, &id, asked, true)?;
        let name = file.strip_suffix(".svg").unwrap_or(&file);
        let figure = figures(&tray.known()?).into_iter().find(|f| f.name == name).ok_or_else(|| {
            Problem::missing("there is no such figure", "a name of the list of figures", "take it from the list")
        })?;
        let text = if alone { papers::standalone(&figure) } else { picture::svg_inline(&figure.scene, &figure.name) };
        Ok(([(CONTENT_TYPE, "image/svg+xml")], text).into_response())
    })
    .await
}

#[cfg(test)]
mod tests {
    use super::base64;

    #[test]
    fn base64_of_the_standard() {
        // RFC 4648, section 10.
        for (plain, coded) in [("", ""), ("f", "Zg=="), ("fo", "Zm8="), ("foo", "Zm9v"), ("foobar", "Zm9vYmFy")] {
            assert_eq!(base64(plain.as_bytes()), coded);
        }
    }
}

//! `bisque papers`: every paper of a case, for the option chosen.

use super::anatomy::tissue_scenes;
use super::planning::{Asked, Planned, planned, today};
use super::{print_json, say};
use crate::args::PapersArgs;
use crate::failure::Failure;
use crate::files;
use ::papers::consent::Texts;
use ::papers::{Charset, Chosen, Facts, Known, Leaves, Made, NotMade, PAPERS, Paper, html, paper, terminal, typeset};
use ::plan::Report;
use serde::Serialize;
use std::path::{Path, PathBuf};
use web::printer;

/// What became of one paper.
#[derive(Debug, Serialize)]
struct Told {
    /// Its name.
    paper: &'static str,
    /// Its file; none where it was not made.
    file: Option<String>,
    /// The same as a page, where the paper leaves as text to be pasted.
    page: Option<String>,
    /// Its PDF, where one was asked for.
    pdf: Option<String>,
    /// Its PNG, where one was asked for.
    png: Option<String>,
    /// Language it is written in; none where it was not made.
    lang: Option<String>,
    /// True when nothing keeps it from being used.
    complete: bool,
    /// What it lacks.
    missing: Vec<String>,
    /// Why it was not made.
    not_made: Option<String>,
}

/// Plans the case and writes the papers asked for.
pub fn run(args: &PapersArgs, data: Option<&Path>) -> Result<(), Failure> {
    let (asked_for, with_figures) = asked_for(&args.only)?;
    let with_figures = with_figures || args.png;
    let date = args.date.clone().unwrap_or_else(today);
    if !is_day(&date) {
        return Err(Failure::Usage(format!("`{date}` is not a day; write it as year-month-day, e.g. 2026-03-31")));
    }
    let asked =
        Asked { case: &args.case, at: args.at, fidelity: args.fidelity, seed: args.seed, changes: args.changes, data };
    let Planned { case, catalogue, report, shown } = planned(&asked)?;
    let chosen = match &args.option {
        Some(name) => Chosen::named(&report, name).ok_or_else(|| unknown_option(&report, name))?,
        None => Chosen::of(&case, &report),
    };
    let mut facts = Facts::of(&catalogue);
    if with_figures || asked_for.iter().any(|paper| ["dossier", "slides"].contains(&paper.word)) {
        // A picture that cannot be drawn leaves the words as they are.
        facts.tissue = tissue_scenes(&case, &catalogue, &report, &shown).unwrap_or_default();
    }
    let texts = own_texts(&args.texts)?;
    let files = web::fingerprints(&case, args.case.parent().unwrap_or_else(|| Path::new(".")));
    let known = Known {
        case: &case,
        report: &report,
        chosen,
        facts: &facts,
        catalogue: &catalogue,
        date: &date,
        lang: &args.lang,
        texts: &texts,
        files: &files,
    };
    let mut written = Vec::new();
    let mut told = Vec::new();
    let mut to_print = Vec::new();
    let mut to_draw = Vec::new();
    for paper in asked_for {
        match (paper.make)(&known) {
            Ok(made) => {
                let (name, bytes) = file_of(paper, &made);
                let pdf = args.pdf.then(|| format!("{}.pdf", paper.word));
                let page = (paper.leaves == Leaves::Text).then(|| format!("{}.html", paper.word));
                written.extend(page.clone().map(|name| (name, html::page(&made.document).into_bytes())));
                to_print.extend(pdf.clone().map(|file| (file, typeset::text(&made.document, &date))));
                told.push(Told {
                    paper: paper.word,
                    file: Some(name.clone()),
                    page,
                    pdf,
                    png: None,
                    lang: Some(made.document.form.lang.clone()),
                    complete: made.missing.is_empty(),
                    missing: made.missing,
                    not_made: None,
                });
                written.push((name, bytes));
            }
            Err(NotMade(why)) => {
                told.push(Told {
                    paper: paper.word,
                    file: None,
                    page: None,
                    pdf: None,
                    png: None,
                    lang: None,
                    complete: false,
                    missing: Vec::new(),
                    not_made: Some(why),
                });
            }
        }
    }
    if with_figures {
        let pictures = ::papers::figures(&known).into_iter().map(|f| (format!("figure-{}", f.name), f));
        for (name, figure) in pictures.chain(::papers::tables(&known).into_iter().map(|t| (t.name.clone(), t))) {
            let svg = ::papers::standalone(&figure);
            to_draw.extend(args.png.then(|| (format!("{name}.png"), svg.clone())));
            let file = format!("{name}.svg");
            written.push((file.clone(), svg.into_bytes()));
            told.push(Told {
                paper: FIGURES,
                file: Some(file),
                page: None,
                pdf: None,
                png: args.png.then(|| format!("{name}.png")),
                lang: Some("en-GB".to_owned()),
                complete: true,
                missing: Vec::new(),
                not_made: None,
            });
        }
    }
    let folder = args.out.clone().unwrap_or_else(|| PathBuf::from(format!("{}-papers", report.case)));
    written.extend(printer::pdfs(&to_print)?);
    written.extend(printer::pngs(&to_draw)?);
    files::write_all(&folder, &written)?;
    if args.json { print_json(&told) } else { tell(chosen.title(), &folder, &told, args) }
}

/// Languages of the practice's own.
fn own_texts(paths: &[PathBuf]) -> Result<Vec<Texts>, Failure> {
    paths
        .iter()
        .map(|path| {
            let text = files::read(path)?;
            let name = path.file_name().map(|n| n.to_string_lossy().into_owned()).unwrap_or_default();
            Texts::parse(&name, &text).map_err(|issues| Failure::Input { issues, text: Some(text) })
        })
        .collect()
}

/// A paper as its file.
fn file_of(paper: &Paper, made: &Made) -> (String, Vec<u8>) {
    match paper.leaves {
        Leaves::Page => (format!("{}.html", paper.word), html::page(&made.document).into_bytes()),
        Leaves::Text => {
            let text = terminal::lines(&made.document, Charset::Unicode).join("\n") + "\n";
            (format!("{}.txt", paper.word), text.into_bytes())
        }
    }
}

/// The papers asked for, all without a name; and whether the figures go with them as files of their own.
fn asked_for(names: &[String]) -> Result<(Vec<&'static Paper>, bool), Failure> {
    if names.is_empty() {
        return Ok((PAPERS.iter().collect(), false));
    }
    let known = || PAPERS.iter().map(|p| p.word).chain([FIGURES]);
    let list: Vec<&'static Paper> = names
        .iter()
        .filter(|name| *name != FIGURES)
        .map(|name| {
            paper(name).ok_or_else(|| {
                let list = known().collect::<Vec<_>>().join(", ");
                let near =
                    answer::nearest_name(name, known()).map_or(String::new(), |n| format!("; did you mean {n}?"));
                Failure::Usage(format!("no paper is called `{name}`; there are {list}{near}"))
            })
        })
        .collect::<Result<_, _>>()?;
    Ok((list, names.iter().any(|n| n == FIGURES)))
}

/// Name under which the figures are asked for, each as a file of its own.
const FIGURES: &str = "figures";

fn unknown_option(report: &Report, name: &str) -> Failure {
    let names = Chosen::names(report);
    let near = answer::nearest_name(name, names.iter().map(String::as_str));
    let near = near.map_or(String::new(), |n| format!("; did you mean {n}?"));
    Failure::Usage(format!("this plan has no option `{name}`; it has {}{near}", names.join(", ")))
}

/// True for `year-month-day` with a month and day there can be.
fn is_day(text: &str) -> bool {
    let parts: Vec<&str> = text.split('-').collect();
    let [year, month, day] = parts.as_slice() else { return false };
    let digits = |t: &str, n: usize| t.len() == n && t.chars().all(|c| c.is_ascii_digit());
    let number = |t: &str| t.parse::<u32>().unwrap_or(0);
    digits(year, 4)
        && digits(month, 2)
        && digits(day, 2)
        && (1..=12).contains(&number(month))
        && (1..=31).contains(&number(day))
}

fn tell(title: &str, folder: &Path, told: &[Told], args: &PapersArgs) -> Result<(), Failure> {
    say(&format!("Papers for: {title}"));
    for t in told {
        match (&t.file, &t.not_made) {
            (Some(file), _) => {
                let state = if t.complete { "" } else { ", not complete" };
                say(&format!("  {}{state}", folder.join(file).display()));
                t.missing.iter().for_each(|m| say(&format!("    lacks: {m}")));
            }
            (None, Some(why)) => say(&format!("  {}: not made. {why}", t.paper)),
            (None, None) => {}
        }
        t.page.iter().chain(&t.pdf).chain(&t.png).for_each(|file| say(&format!("  {}", folder.join(file).display())));
        let language = |tag: &str| tag.split(['-', '_']).next().unwrap_or_default().to_ascii_lowercase();
        if t.lang.as_ref().is_some_and(|lang| language(lang) != language(&args.lang)) {
            say(&format!("    in British English: it is not written in {}", args.lang));
        }
    }
    Ok(())
}

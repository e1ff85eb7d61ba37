//! `bisque plan`: the main job.

use super::{facts, print_json, say};
use crate::args::{At, Fidelity, PlanArgs};
use crate::complaint;
use crate::failure::Failure;
use crate::files;
use crate::meter::Meter;
use ::case::Case;
use ::case::words::Moment;
use ::plan::{PlanError, Report, Settings};
use papers::Facts;
use picture::Charset;
use std::io::IsTerminal;
use std::path::Path;
use std::time::{SystemTime, UNIX_EPOCH};

/// Plans a case, prints it and writes its papers.
pub fn run(args: &PlanArgs, data: Option<&Path>) -> Result<(), Failure> {
    let text = files::read(&args.case)?;
    let file = args.case.file_name().map(|n| n.to_string_lossy().into_owned()).unwrap_or_default();
    let (mut case, warnings) =
        Case::parse(&file, &text).map_err(|issues| Failure::Input { issues, text: Some(text.clone()) })?;
    complaint::print_warnings(&warnings, &text);
    match args.at {
        Some(At::Plan) => case.moment = Moment::Plan,
        Some(At::Stump) => case.moment = Moment::Stump,
        None => {}
    }
    // Facts and pooled evidence take some 40 ms each to read: side by side.
    let (catalogue, posterior) = std::thread::scope(|scope| {
        let posterior = scope.spawn(::plan::shipped_posterior);
        (facts(data), posterior.join())
    });
    let catalogue = catalogue?;
    let posterior = posterior
        .map_err(|_| Failure::Usage("reading the pooled evidence stopped; run it again".to_owned()))?
        .map_err(|e| Failure::Usage(e.to_string()))?;
    check_overrides(&case, &catalogue, &file)?;
    let mut carried: Vec<String> = warnings.iter().map(ToString::to_string).collect();
    let posterior = match data {
        Some(_) => {
            let pooled = super::evidence::posterior(&catalogue, data)?;
            let world = answer::World::new(args.seed);
            let own = ::plan::with_own_results(&pooled, &catalogue, &world).map_err(super::evidence::refused)?;
            carried.extend(own.words);
            own.posterior
        }
        None => posterior,
    };
    let settings = Settings {
        seed: args.seed,
        fidelity: match args.fidelity {
            Fidelity::Instant => ::plan::Fidelity::Instant,
            Fidelity::Quick => ::plan::Fidelity::Quick,
            Fidelity::Full => ::plan::Fidelity::Full,
        },
        today: today(),
        name: file.trim_end_matches(".toml").to_owned(),
        program: format!("bisque {}", env!("CARGO_PKG_VERSION")),
        warnings: carried,
        changes: args.changes,
    };
    let meter = Meter::new("planning");
    let report = ::plan::plan(&case, &catalogue, &posterior, &settings, &meter).map_err(|e| match e {
        PlanError::Interrupted(i) => Failure::Interrupted(i),
        PlanError::Colour(_) => Failure::Usage(e.to_string()),
    })?;
    drop(meter);
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

/// Every stop set aside must be one there is.
fn check_overrides(case: &Case, catalogue: &::catalogue::Catalogue, file: &str) -> Result<(), Failure> {
    let issues: Vec<answer::Issue> = case
        .overrides
        .iter()
        .filter(|o| !catalogue.stops().iter().any(|s| s.id == o.stop))
        .map(|o| {
            let near = answer::nearest_name(&o.stop, catalogue.stops().iter().map(|s| s.id.as_str()));
            answer::Issue::error(
                answer::Place { file: file.to_owned(), field: "override.stop".to_owned(), ..Default::default() },
                format!("there is no stop `{}`", o.stop),
                "the name of a stop as printed with the plan",
                near.map_or("take the name from `bisque catalogue show stops`".to_owned(), |n| {
                    format!("did you mean `{n}`?")
                }),
            )
        })
        .collect();
    if issues.is_empty() { Ok(()) } else { Err(Failure::Input { issues, text: None }) }
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

/// Today as `year-month`, by the machine's clock (UTC; civil date after Hinnant's days algorithm).
fn today() -> String {
    let days = SystemTime::now().duration_since(UNIX_EPOCH).map_or(0, |d| d.as_secs() / 86_400) as i64;
    let z = days + 719_468;
    let era = z.div_euclid(146_097);
    let day = z.rem_euclid(146_097);
    let year_of_era = (day - day / 1460 + day / 36_524 - day / 146_096) / 365;
    let day_of_year = day - (365 * year_of_era + year_of_era / 4 - year_of_era / 100);
    let shifted = (5 * day_of_year + 2) / 153;
    let month = if shifted < 10 { shifted + 3 } else { shifted - 9 };
    let year = year_of_era + era * 400 + i64::from(month <= 2);
    format!("{year:04}-{month:02}")
}

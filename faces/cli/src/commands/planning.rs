//! From a case file to its plan: what every command that needs a plan does first.

use super::facts;
use crate::args::{At, Fidelity};
use crate::complaint;
use crate::failure::Failure;
use crate::files;
use crate::meter::Meter;
use ::case::Case;
use ::case::words::Moment;
use ::catalogue::Catalogue;
use ::plan::{PlanError, Report, Settings, ShownTeeth};
use std::path::{Path, PathBuf};
use std::sync::Arc;
use std::time::{SystemTime, UNIX_EPOCH};

/// What is to be planned, and how.
pub struct Asked<'a> {
    /// The case file.
    pub case: &'a Path,
    /// When it is asked, where not as the file says.
    pub at: Option<At>,
    /// How much is computed anew.
    pub fidelity: Fidelity,
    /// Seed of the draws.
    pub seed: u64,
    /// Whether to search what would change the order.
    pub changes: bool,
    /// Folder of own tables.
    pub data: Option<&'a Path>,
}

/// A case with its plan.
pub struct Planned {
    /// The case.
    pub case: Case,
    /// The facts it was planned with.
    pub catalogue: Catalogue,
    /// The plan.
    pub report: Report,
    /// Its teeth as scanned and waxed up.
    pub shown: Arc<ShownTeeth>,
}

/// Reads a case, complains of what is wrong with it, and plans it.
pub fn planned(asked: &Asked<'_>) -> Result<Planned, Failure> {
    let Grounds { catalogue, posterior, words } = grounds(asked)?;
    let (case, settings) = read(asked.case, asked, &catalogue, &words)?;
    let meter = Meter::new("planning");
    let report = ::plan::plan(&case, &catalogue, &posterior, &settings, &meter).map_err(failed)?;
    drop(meter);
    Ok(Planned { case, catalogue, report, shown: settings.shown })
}

/// Plans a case and others of the same smile as a set that must match; `asked.case` first.
pub fn planned_together(asked: &Asked<'_>, others: &[PathBuf]) -> Result<(Catalogue, Vec<Report>), Failure> {
    let Grounds { catalogue, posterior, words } = grounds(asked)?;
    let paths = std::iter::once(asked.case).chain(others.iter().map(PathBuf::as_path));
    let read: Vec<(Case, Settings)> =
        paths.map(|path| read(path, asked, &catalogue, &words)).collect::<Result<_, _>>()?;
    let cases: Vec<(&Case, &Settings)> = read.iter().map(|(case, settings)| (case, settings)).collect();
    let meter = Meter::new("planning");
    let reports = ::plan::plan_together(&cases, &catalogue, &posterior, &meter).map_err(failed)?;
    drop(meter);
    Ok((catalogue, reports))
}

/// A case file with the facts and the pooled evidence, for a question of one engine.
pub fn sheet(path: &Path, data: Option<&Path>) -> Result<(Case, Catalogue, evidence::Posterior), Failure> {
    let asked = Asked { case: path, at: None, fidelity: Fidelity::Quick, seed: 1, changes: false, data };
    let Grounds { catalogue, posterior, words } = grounds(&asked)?;
    let (case, _) = read(path, &asked, &catalogue, &words)?;
    Ok((case, catalogue, posterior))
}

/// What plans rest on: facts, pooled evidence, and what is to be said of own results.
struct Grounds {
    catalogue: Catalogue,
    posterior: evidence::Posterior,
    words: Vec<String>,
}

fn grounds(asked: &Asked<'_>) -> Result<Grounds, Failure> {
    // Facts and pooled evidence take some 40 ms each to read: side by side.
    let (catalogue, posterior) = std::thread::scope(|scope| {
        let posterior = scope.spawn(::plan::shipped_posterior);
        (facts(asked.data), posterior.join())
    });
    let catalogue = catalogue?;
    let posterior = posterior
        .map_err(|_| Failure::Usage("reading the pooled evidence stopped; run it again".to_owned()))?
        .map_err(|e| Failure::Usage(e.to_string()))?;
    if asked.data.is_none() {
        return Ok(Grounds { catalogue, posterior, words: Vec::new() });
    }
    let pooled = super::evidence::posterior(&catalogue, asked.data)?;
    let world = answer::World::new(asked.seed);
    let own = ::plan::with_own_results(&pooled, &catalogue, &world).map_err(super::evidence::refused)?;
    Ok(Grounds { catalogue, posterior: own.posterior, words: own.words })
}

fn read(path: &Path, asked: &Asked<'_>, catalogue: &Catalogue, words: &[String]) -> Result<(Case, Settings), Failure> {
    let text = files::read(path)?;
    let file = path.file_name().map(|n| n.to_string_lossy().into_owned()).unwrap_or_default();
    let (mut case, warnings) = Case::parse_with(&file, &text, catalogue.own_colours())
        .map_err(|issues| Failure::Input { issues, text: Some(text.clone()) })?;
    complaint::print_warnings(&warnings, &text);
    match asked.at {
        Some(At::Plan) => case.moment = Moment::Plan,
        Some(At::Stump) => case.moment = Moment::Stump,
        None => {}
    }
    check_overrides(&case, catalogue, &file)?;
    let (shown, remarks) = super::anatomy::teeth_as_shown(&case, path, catalogue)?;
    let settings = Settings {
        seed: asked.seed,
        fidelity: match asked.fidelity {
            Fidelity::Instant => ::plan::Fidelity::Instant,
            Fidelity::Quick => ::plan::Fidelity::Quick,
            Fidelity::Full => ::plan::Fidelity::Full,
        },
        today: today().chars().take(7).collect(),
        name: file.trim_end_matches(".toml").to_owned(),
        program: format!("bisque {}", env!("CARGO_PKG_VERSION")),
        warnings: warnings.iter().map(ToString::to_string).chain(words.iter().cloned()).chain(remarks).collect(),
        changes: asked.changes,
        shown: Arc::new(shown),
    };
    Ok((case, settings))
}

fn failed(e: PlanError) -> Failure {
    match e {
        PlanError::Interrupted(i) => Failure::Interrupted(i),
        PlanError::Colour(_) => Failure::Usage(e.to_string()),
    }
}

/// Every stop set aside must be one there is.
fn check_overrides(case: &Case, catalogue: &Catalogue, file: &str) -> Result<(), Failure> {
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

/// Today as `year-month-day`, by the machine's clock (UTC; civil date after Hinnant's days algorithm).
pub fn today() -> String {
    let days = SystemTime::now().duration_since(UNIX_EPOCH).map_or(0, |d| d.as_secs() / 86_400) as i64;
    let z = days + 719_468;
    let era = z.div_euclid(146_097);
    let day = z.rem_euclid(146_097);
    let year_of_era = (day - day / 1460 + day / 36_524 - day / 146_096) / 365;
    let day_of_year = day - (365 * year_of_era + year_of_era / 4 - year_of_era / 100);
    let shifted = (5 * day_of_year + 2) / 153;
    let month = if shifted < 10 { shifted + 3 } else { shifted - 9 };
    let of_month = day_of_year - (153 * shifted + 2) / 5 + 1;
    let year = year_of_era + era * 400 + i64::from(month <= 2);
    format!("{year:04}-{month:02}-{of_month:02}")
}

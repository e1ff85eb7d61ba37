//! Arms of clinical studies as the data hold them.

use crate::Catalogue;
use crate::fact::basis;
use crate::words::{Cause, words_of};
use answer::{Basis, Issue};
use table::Row;

/// Counts of one cause in an arm.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct CauseCounts {
    /// Cause.
    pub cause: Cause,
    /// Events, lost and repaired.
    pub events: u32,
    /// `lost`, `repaired`, `part_lost`, `unclear`, `none`, or empty.
    pub fate: String,
    /// Events known to have ended in loss.
    pub lost: Option<u32>,
}

/// A survival as read: years, share, standard error, number at risk.
pub type SurvivalRead = (f64, f64, Option<f64>, Option<u32>);

/// A row of `studies.csv`.
#[derive(Debug, Clone, PartialEq)]
pub struct Study {
    /// Id.
    pub id: String,
    /// Key of the restorations reported; the part before the dot is the study.
    pub cohort: String,
    /// Year of publication.
    pub year: Option<i32>,
    /// Material word as written.
    pub material: String,
    /// Build word as written; empty: not told.
    pub build: String,
    /// Construct word as written.
    pub construct: String,
    /// Region word as written; empty: not told.
    pub region: String,
    /// Restorations in front and at the back, where told.
    pub n_by_region: Option<(f64, f64)>,
    /// Setting, generation, process: empty where not told.
    pub setting: String,
    /// Generation.
    pub generation: String,
    /// Process.
    pub process: String,
    /// Restorations.
    pub n: Option<u32>,
    /// Patients.
    pub patients: Option<u32>,
    /// Mean and longest follow-up, years.
    pub follow_up: (Option<f64>, Option<f64>),
    /// Restoration-years, and whether they were computed.
    pub exposure: Option<(f64, bool)>,
    /// Losses.
    pub failures: Option<u32>,
    /// Counts by cause.
    pub causes: Vec<CauseCounts>,
    /// Dated survival: years, share, standard error (read), at risk.
    pub survival: Option<SurvivalRead>,
    /// Survivals of the same arm at other times, as `survival`.
    pub survival_more: Vec<SurvivalRead>,
    /// `rct`, `prospective`, `retrospective`, `registry`, `review` (a published pool entered as one arm); empty: not told.
    pub design: String,
    /// First author; empty: not told.
    pub author: String,
    /// True when the loss counted is the loss of the restoration.
    pub outcome_is_loss: bool,
    /// `Ok` when it may be pooled, else why not.
    pub usable: Result<(), String>,
    /// Sources.
    pub sources: Vec<String>,
    /// Basis.
    pub basis: Basis,
}

impl Study {
    pub(crate) fn read(row: &Row) -> Result<Self, Issue> {
        let text = |column: &str| row.maybe(column).unwrap_or("").to_owned();
        let percent = row.maybe_number("survival_pct")?;
        if let Some(percent) = percent.filter(|p| !(0.0..=100.0).contains(p)) {
            return Err(row.complain("survival_pct", format!("{percent} per cent"), "0 to 100", "correct the figure"));
        }
        let survival = match (row.maybe_number("survival_at_y")?, percent) {
            (Some(at), Some(percent)) => {
                let se_read = matches!(row.maybe("se_basis"), Some("read" | "interval" | "computed"));
                let se = row.maybe_number("se_pct")?.filter(|_| se_read).map(|se| se / 100.0);
                Some((at, percent / 100.0, se, row.maybe_count("n_at_risk")?))
            }
            _ => None,
        };
        let n_by_region = match (row.maybe_number("n_anterior")?, row.maybe_number("n_posterior")?) {
            (Some(a), Some(p)) => Some((a, p)),
            _ => None,
        };
        let exposure = row.maybe_number("exposure_ry")?.map(|ry| (ry, row.maybe("exposure_basis") != Some("reported")));
        let failures = row.maybe_count("failures")?;
        let n = row.maybe_count("n_restorations")?;
        if let (Some(failed), Some(n)) = (failures, n)
            && failed > n
        {
            return Err(row.complain(
                "failures",
                format!("{failed} failures of {n}"),
                "at most as many as placed",
                "correct one",
            ));
        }
        let usable = if row.maybe_yes("use")? == Some(true) { Ok(()) } else { Err(text("use_reason")) };
        if usable.as_ref().is_err_and(String::is_empty) {
            return Err(row.complain(
                "use_reason",
                "no reason",
                "why the arm may not be pooled",
                "every exclusion has a reason",
            ));
        }
        Ok(Self {
            id: row.text("id")?.to_owned(),
            cohort: text("cohort"),
            year: row.maybe_number("year")?.map(|y| y as i32),
            material: text("material"),
            build: text("build"),
            construct: text("construct"),
            region: text("region"),
            n_by_region,
            design: text("design"),
            author: text("first_author"),
            setting: text("setting"),
            generation: text("generation"),
            process: text("process"),
            n,
            patients: row.maybe_count("n_patients")?,
            follow_up: (row.maybe_number("followup_mean_y")?, row.maybe_number("followup_max_y")?),
            exposure,
            failures,
            causes: Cause::ALL
                .iter()
                .map(|&cause| counts(row, cause))
                .filter_map(Result::transpose)
                .collect::<Result<_, _>>()?,
            survival,
            survival_more: more_survivals(row)?,
            outcome_is_loss: matches!(row.maybe("outcome"), None | Some("loss")),
            usable,
            sources: words_of(row, "source"),
            basis: basis(row)?,
        })
    }
}

/// `years:per cent[:SE in points[:at risk]]`, several parted by `;`.
fn more_survivals(row: &Row) -> Result<Vec<SurvivalRead>, Issue> {
    let wrong = |found: &str| {
        row.complain(
            "survival_more",
            found,
            "years:per cent, with SE in points and number at risk after further colons",
            "write e.g. `5:94.7` or `5:94::220`, several parted by `;`",
        )
    };
    let one = |item: &str| {
        let parts: Vec<&str> = item.split(':').map(str::trim).collect();
        let number = |i: usize| parts.get(i).filter(|p| !p.is_empty()).map(|p| p.parse::<f64>());
        let (Some(Ok(years)), Some(Ok(percent))) = (number(0), number(1)) else { return Err(wrong(item)) };
        let (Ok(se), Ok(at_risk)) = (number(2).transpose(), number(3).transpose()) else { return Err(wrong(item)) };
        let sound = years > 0.0 && (0.0..=100.0).contains(&percent) && se.is_none_or(|s| s >= 0.0);
        if !sound || parts.len() > 4 || at_risk.is_some_and(|n| n < 0.0 || n.fract() != 0.0 || n > 1e9) {
            return Err(wrong(item));
        }
        Ok((years, percent / 100.0, se.map(|s| s / 100.0), at_risk.map(|n| n as u32)))
    };
    row.list("survival_more").into_iter().map(one).collect()
}

fn counts(row: &Row, cause: Cause) -> Result<Option<CauseCounts>, Issue> {
    let Some(events) = row.maybe_count(cause.word())? else { return Ok(None) };
    let fate = row.maybe(&format!("{}_fate", cause.word())).unwrap_or("").to_owned();
    let lost = row.maybe_count(&format!("{}_lost", cause.word()))?;
    Ok(Some(CauseCounts { cause, events, fate, lost }))
}

impl Catalogue {
    /// All arms, usable or not.
    pub fn studies(&self) -> &[Study] {
        &self.studies
    }
}

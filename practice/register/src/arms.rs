//! The practice's own arms: counts by cell of evidence and laboratory, without any patient, in the columns of the table of studies.
//!
//! A restoration-year counted here is one under observation; it is `reported`, not computed, since each restoration's own time was added up.
//! The cohort is `own.LABORATORY.NAME`: own results shift the pooled evidence, and the same cohort is never counted twice.
//! Cells of few restorations are merged upwards (front and back, then laboratories) and left out last, since one patient could be seen in them.

use crate::counting::{ArmCount, ArmEvents, Counting};
use crate::day::{DAYS_A_YEAR, Day};
use catalogue::words::Cause;
use std::collections::BTreeMap;

/// Fewest restorations a shared cell may have (common practice for small counts, no source).
pub const LEAST: i64 = 10;

/// A table of arms.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct ArmTable {
    /// Columns.
    pub columns: Vec<&'static str>,
    /// Rows, a text a column.
    pub rows: Vec<Vec<String>>,
    /// Restorations left out because their cell holds too few.
    pub left_out: i64,
}

/// Sums of one arm.
#[derive(Debug, Clone, Default)]
struct Sums {
    restorations: i64,
    patients: i64,
    days: i64,
    losses: i64,
    events: BTreeMap<Cause, (i64, i64)>,
}

impl Sums {
    fn add(&mut self, other: &Self) {
        self.restorations += other.restorations;
        self.patients += other.patients;
        self.days += other.days;
        self.losses += other.losses;
        for (cause, (all, lost)) in &other.events {
            let sum = self.events.entry(*cause).or_default();
            *sum = (sum.0 + all, sum.1 + lost);
        }
    }
}

/// The arms of a register; `name` tells this sharing apart from others (letters, digits, `_`).
///
/// # Errors
/// When the place cannot be read.
pub fn arm_table<C: Counting>(place: &mut C, name: &str, today: Day, least: i64) -> Result<ArmTable, C::Error> {
    let (counts, events) = place.arm_counts()?;
    Ok(table(&counts, &events, name, today, least))
}

fn table(counts: &[ArmCount], events: &[ArmEvents], name: &str, today: Day, least: i64) -> ArmTable {
    let mut cells: BTreeMap<[String; 5], Sums> = BTreeMap::new();
    for c in counts {
        let sums = cells.entry(c.cell.clone()).or_default();
        sums.add(&Sums {
            restorations: c.restorations,
            patients: c.patients,
            days: c.days,
            losses: c.losses,
            events: BTreeMap::new(),
        });
    }
    for e in events.iter().filter(|e| e.kind.is_failure()) {
        if let Some(sums) = cells.get_mut(&e.cell) {
            let sum = sums.events.entry(e.kind.cause()).or_default();
            *sum = (sum.0 + e.count, sum.1 + if e.ended { e.count } else { 0 });
        }
    }
    for merged in [[false, false, false, true, false], [false, false, false, true, true]] {
        cells = merge_small(cells, merged, least);
    }
    let causes = Cause::ALL;
    let mut columns = vec![
        "id",
        "year",
        "cohort",
        "design",
        "setting",
        "material",
        "build",
        "construct",
        "region",
        "n_restorations",
        "n_patients",
        "followup_mean_y",
        "exposure_ry",
        "exposure_basis",
        "failures",
    ];
    let named: Vec<[&'static str; 3]> = causes.iter().map(|c| cause_columns(*c)).collect();
    columns.extend(named.iter().flatten());
    columns.extend(["outcome", "use"]);
    let mut out = ArmTable { columns, ..ArmTable::default() };
    for (cell, sums) in cells {
        if sums.restorations < least || sums.days == 0 {
            out.left_out += sums.restorations;
            continue;
        }
        out.rows.push(row(&cell, &sums, name, today, causes));
    }
    out
}

/// Joins cells of too few restorations with their likes in all but the fields marked.
fn merge_small(cells: BTreeMap<[String; 5], Sums>, merged: [bool; 5], least: i64) -> BTreeMap<[String; 5], Sums> {
    let parent = |cell: &[String; 5]| -> [String; 5] {
        std::array::from_fn(|i| if merged[i] { String::new() } else { cell[i].clone() })
    };
    let has_small: std::collections::BTreeSet<[String; 5]> =
        cells.iter().filter(|(_, s)| s.restorations < least).map(|(c, _)| parent(c)).collect();
    let mut out: BTreeMap<[String; 5], Sums> = BTreeMap::new();
    for (cell, sums) in cells {
        let key = if has_small.contains(&parent(&cell)) { parent(&cell) } else { cell };
        out.entry(key).or_default().add(&sums);
    }
    out
}

fn row(cell: &[String; 5], sums: &Sums, name: &str, today: Day, causes: &[Cause]) -> Vec<String> {
    let [construct, material, build, region, laboratory] = cell;
    let plain = |text: &str| -> String {
        let keep = |c: char| if c.is_ascii_alphanumeric() { c.to_ascii_lowercase() } else { '_' };
        text.chars().map(keep).collect()
    };
    let lab = if laboratory.is_empty() { "all".to_owned() } else { plain(laboratory) };
    let place = if region.is_empty() { "mixed".to_owned() } else { region.clone() };
    let id = format!("own_{name}_{lab}_{construct}_{material}_{build}_{place}");
    let years = sums.days as f64 / DAYS_A_YEAR;
    let cohort = format!("own.{lab}.{name}_{construct}_{material}_{build}_{place}");
    let mut cells = vec![
        id,
        today.year().to_string(),
        cohort,
        "registry".to_owned(),
        "general_practice".to_owned(),
        material.clone(),
        build.clone(),
        construct.clone(),
        place,
        sums.restorations.to_string(),
        sums.patients.to_string(),
        format!("{:.3}", years / sums.restorations as f64),
        format!("{years:.2}"),
        "reported".to_owned(),
        sums.losses.to_string(),
    ];
    for cause in causes {
        let (all, lost) = sums.events.get(cause).copied().unwrap_or_default();
        let fate = match (all, lost) {
            (0, _) => "none",
            (_, 0) => "repaired",
            (all, lost) if all == lost => "lost",
            _ => "part_lost",
        };
        cells.extend([all.to_string(), fate.to_owned(), lost.to_string()]);
    }
    cells.extend(["loss".to_owned(), "yes".to_owned()]);
    cells
}

fn cause_columns(cause: Cause) -> [&'static str; 3] {
    match cause {
        Cause::FrameworkFracture => ["framework_fracture", "framework_fracture_fate", "framework_fracture_lost"],
        Cause::Chip => ["veneer_chip", "veneer_chip_fate", "veneer_chip_lost"],
        Cause::Debonding => ["loss_of_retention", "loss_of_retention_fate", "loss_of_retention_lost"],
        Cause::Caries => ["secondary_caries", "secondary_caries_fate", "secondary_caries_lost"],
        Cause::Endodontic => ["endodontic", "endodontic_fate", "endodontic_lost"],
        Cause::ToothFracture => ["abutment_fracture", "abutment_fracture_fate", "abutment_fracture_lost"],
        Cause::Other => ["other_failure", "other_failure_fate", "other_failure_lost"],
    }
}

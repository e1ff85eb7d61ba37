//! `bisque survive`: survival of any units, one file a command.

mod compare;
mod cox;
mod curve;
mod incidence;
mod rows;

use crate::args::{RowsArgs, SurviveCommand};
use crate::failure::Failure;
use picture::axis::figure;
use rows::Rows;
use survival::Limits;

/// Fewer units than this are few: no share is told without its count.
const FEW_UNITS: f64 = 50.0;
/// Fewer events than this are few.
const FEW_EVENTS: f64 = 10.0;
/// Fewer clusters than this make robust errors too small.
const FEW_CLUSTERS: usize = 30;

/// Runs a `survive` command.
pub fn run(command: SurviveCommand) -> Result<(), Failure> {
    match command {
        SurviveCommand::Curve(args) => curve::run(&args),
        SurviveCommand::Compare(args) => compare::run(&args),
        SurviveCommand::Cox(args) => cox::run(&args),
        SurviveCommand::Incidence(args) => incidence::run(&args),
    }
}

/// Writes a picture and says so, unless what is said is JSON.
fn draw(scene: &picture::Scene, out: &std::path::Path, json: bool) -> Result<(), Failure> {
    super::drawn::write(out, scene)?;
    if !json {
        super::say(&format!("{} written", out.display()));
    }
    Ok(())
}

/// A share in per cent with its limits, or what is known without.
fn share_words(share: f64, limits: Option<Limits>) -> String {
    let per_cent = |v: f64| figure(100.0 * v, 1);
    match limits {
        Some(l) => format!("{} % ({} to {})", per_cent(share), per_cent(l.low), per_cent(l.high)),
        None => format!("{} %, no interval", per_cent(share)),
    }
}

/// A time without needless decimals.
fn time_words(time: f64) -> String {
    let text = format!("{time:.3}");
    text.trim_end_matches('0').trim_end_matches('.').to_owned()
}

/// A p value: never 0.
fn p_words(p: f64) -> String {
    if p < 0.0001 { "below 0.0001".to_owned() } else { figure(p, 4) }
}

/// Round times at which to tell a curve.
fn told_times(asked: &[f64], last: f64) -> Result<Vec<f64>, Failure> {
    if let Some(wrong) = asked.iter().find(|t| !t.is_finite()) {
        return Err(Failure::Usage(format!("--at {wrong}: give finite times, e.g. --at 1,5,10")));
    }
    let mut times = asked.to_vec();
    if times.is_empty() {
        times = picture::axis::Scale::new(0.0, last, 0.0, 1.0).ticks(5).into_iter().filter(|t| *t > 0.0).collect();
    }
    times.sort_by(f64::total_cmp);
    times.dedup();
    Ok(times)
}

/// What a reader must know before the numbers: few units, rows left out, clusters.
fn cautions(args: &RowsArgs, rows: &Rows, events: f64) -> Vec<String> {
    let mut told = Vec::new();
    let units = rows.exit.len() as f64;
    if units < FEW_UNITS {
        told.push(format!("small numbers: {units:.0} rows only; read the intervals, not the shares"));
    } else if events < FEW_EVENTS {
        told.push(format!("small numbers: {events:.0} events only; read the intervals, not the shares"));
    }
    for (column, n) in &rows.left_out {
        told.push(format!("{n} {} left out: `{column}` is empty", if *n == 1 { "row" } else { "rows" }));
    }
    match (&rows.cluster, &args.cluster) {
        (Some((_, m)), Some(column)) if *m < FEW_CLUSTERS => {
            told.push(format!("{m} clusters of `{column}` only: intervals over so few clusters are too narrow"));
        }
        (Some((_, m)), Some(column)) => told.push(format!("intervals allow for {m} clusters of `{column}`")),
        _ => told.push("every row counts as independent; give --cluster COL where units share something".to_owned()),
    }
    told
}

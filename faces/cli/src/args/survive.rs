//! Command line of `bisque survive`.

use clap::{Args, Subcommand, ValueEnum};
use std::path::PathBuf;

/// `bisque survive`.
#[derive(Debug, Subcommand)]
pub enum SurviveCommand {
    /// How many still stand, by time: Kaplan-Meier with intervals, numbers at risk, median and restricted mean.
    #[command(after_help = ROWS_HELP)]
    Curve(CurveArgs),
    /// Do groups differ? Log-rank test, within strata, or over clusters.
    #[command(after_help = ROWS_HELP)]
    Compare(CompareArgs),
    /// What goes with failing sooner? Proportional hazards regression.
    #[command(after_help = ROWS_HELP)]
    Cox(CoxArgs),
    /// How often each cause strikes where causes compete: Aalen-Johansen with intervals, and `Gray`'s test between groups.
    #[command(after_help = ROWS_HELP)]
    Incidence(IncidenceArgs),
}

const ROWS_HELP: &str = "\
One line of the file is one unit. --event holds 0, nothing or `censored` for a unit still standing when last seen; any other number or word \
is a cause. Give --cluster where units share something (a patient): intervals are then wider by as much as they are alike.
Example: bisque survive curve --data mine.csv --time years --event failed --group material --cluster patient --at 1,5,10";

/// Where rows come from.
#[derive(Debug, Args)]
pub struct RowsArgs {
    /// A CSV file with a header, one line a unit.
    #[arg(long, value_name = "FILE", id = "data", required = true)]
    pub data: Option<PathBuf>,
    /// Column of the time to the event or to the last sight.
    #[arg(long, value_name = "COL")]
    pub time: String,
    /// Column of the event.
    #[arg(long, value_name = "COL")]
    pub event: String,
    /// Column of the time from which a unit was watched (delayed entry).
    #[arg(long, value_name = "COL")]
    pub entry: Option<String>,
    /// Column of groups.
    #[arg(long, value_name = "COL")]
    pub group: Option<String>,
    /// Column of strata: compared within, never across.
    #[arg(long, value_name = "COL")]
    pub strata: Option<String>,
    /// Column of clusters: units of one cluster may be alike.
    #[arg(long, value_name = "COL")]
    pub cluster: Option<String>,
    /// Level of intervals, per cent.
    #[arg(long, default_value_t = 95.0)]
    pub level: f64,
    /// As JSON.
    #[arg(long)]
    pub json: bool,
}

/// `bisque survive curve`.
#[derive(Debug, Args)]
pub struct CurveArgs {
    /// Rows.
    #[command(flatten)]
    pub rows: RowsArgs,
    /// Only this cause is the event; others count as censored.
    #[arg(long, value_name = "CAUSE")]
    pub cause: Option<String>,
    /// Times at which the curve is told; otherwise round ones.
    #[arg(long, value_name = "T,T,...", value_delimiter = ',')]
    pub at: Vec<f64>,
    /// Horizon of the restricted mean; otherwise the last time at which every group was still watched.
    #[arg(long, value_name = "T")]
    pub horizon: Option<f64>,
    /// Write the picture, as SVG or PNG by the name's ending.
    #[arg(long, value_name = "FILE")]
    pub picture: Option<PathBuf>,
}

/// `bisque survive compare`.
#[derive(Debug, Args)]
pub struct CompareArgs {
    /// Rows; --group is needed.
    #[command(flatten)]
    pub rows: RowsArgs,
    /// Only this cause is the event; others count as censored.
    #[arg(long, value_name = "CAUSE")]
    pub cause: Option<String>,
    /// Weight of early events, as S to this power (0: log-rank, 1: Peto-Peto).
    #[arg(long, value_name = "RHO", default_value_t = 0.0)]
    pub rho: f64,
    /// Write the curves, as SVG or PNG by the name's ending.
    #[arg(long, value_name = "FILE")]
    pub picture: Option<PathBuf>,
}

/// `bisque survive cox`.
#[derive(Debug, Args)]
pub struct CoxArgs {
    /// Rows.
    #[command(flatten)]
    pub rows: RowsArgs,
    /// Column of a covariate; once for each. Words become levels against the most frequent.
    #[arg(long, value_name = "COL", required = true)]
    pub covariate: Vec<String>,
    /// Only this cause is the event; others count as censored.
    #[arg(long, value_name = "CAUSE")]
    pub cause: Option<String>,
    /// Way of taking ties.
    #[arg(long, value_enum, default_value_t = TiesArg::Efron)]
    pub ties: TiesArg,
    /// Write a forest of hazard ratios, as SVG or PNG by the name's ending.
    #[arg(long, value_name = "FILE")]
    pub picture: Option<PathBuf>,
}

/// `bisque survive incidence`.
#[derive(Debug, Args)]
pub struct IncidenceArgs {
    /// Rows.
    #[command(flatten)]
    pub rows: RowsArgs,
    /// Times at which the incidence is told; otherwise round ones.
    #[arg(long, value_name = "T,T,...", value_delimiter = ',')]
    pub at: Vec<f64>,
    /// Write the picture, as SVG or PNG by the name's ending.
    #[arg(long, value_name = "FILE")]
    pub picture: Option<PathBuf>,
}

/// Way of taking ties.
#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
pub enum TiesArg {
    /// Near the exact value even with many ties.
    Efron,
    /// Plainer; towards zero with many ties.
    Breslow,
}

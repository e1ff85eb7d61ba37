//! Command line of `bisque evidence`.

use clap::{Args, Subcommand, ValueEnum};
use std::path::PathBuf;

/// `bisque evidence`.
#[derive(Debug, Subcommand)]
pub enum EvidenceCommand {
    /// The study arms, pooled or not and why.
    List {
        /// Only arms of this cell, coarse label first: crown, bridge/zirconia, crown/glass_ceramic/lithium_disilicate/monolithic.
        #[arg(long, value_name = "CELL")]
        cell: Option<String>,
        /// Only arms that are not pooled, each with its reason.
        #[arg(long)]
        left_out: bool,
        /// As JSON.
        #[arg(long)]
        json: bool,
    },
    /// One arm with all its figures, or the odds of a cell.
    Show {
        /// Id of an arm (BR001), or a cell (crown/zirconia/zirconia_3y/monolithic).
        what: String,
        /// Write the survival fan of the cell, with numbers at risk, as SVG.
        #[arg(long, value_name = "FILE")]
        out: Option<PathBuf>,
        /// As JSON.
        #[arg(long)]
        json: bool,
    },
    /// Add one arm to the own tables (--data DIR); checked before anything is written.
    #[command(after_help = ADD_HELP)]
    Add {
        /// Fields of the arm, by the columns of studies.csv.
        #[arg(required = true, value_name = "FIELD=VALUE")]
        fields: Vec<String>,
        /// Where the figures stand: author, year, journal, pages; makes a row of sources.csv for a source not listed yet.
        #[arg(long, value_name = "TEXT")]
        citation: Option<String>,
        /// Check only; write nothing.
        #[arg(long)]
        dry_run: bool,
    },
    /// Add the arms of a CSV file to the own tables (--data DIR), all or none.
    Import {
        /// A table with a header; columns named as those of studies.csv, or mapped.
        file: PathBuf,
        /// Which column of the file holds a field.
        #[arg(long, value_name = "FIELD=COLUMN")]
        map: Vec<String>,
        /// A value every arm of the file has.
        #[arg(long, value_name = "FIELD=VALUE")]
        set: Vec<String>,
        /// Where the figures stand; makes a row of sources.csv for a source not listed yet.
        #[arg(long, value_name = "TEXT")]
        citation: Option<String>,
        /// Check only; write nothing.
        #[arg(long)]
        dry_run: bool,
    },
    /// Take an arm out of the pool by a row in the own tables (--data DIR); it stays listed with the reason.
    Retire {
        /// Id of the arm.
        id: String,
        /// Why it may not be pooled.
        #[arg(long, value_name = "TEXT")]
        reason: String,
    },
    /// Pool counts by the usual methods: any CSV file, or the study arms of a cell.
    Pool(Box<PoolArgs>),
    /// As pool, with a forest: studies, pooled diamond, bar of a new setting.
    Forest(Box<PictureArgs>),
    /// As pool, with a funnel and the tests on small studies.
    Funnel(Box<PictureArgs>),
    /// What the pool rests on: each study left out, influence, small studies, trim-and-fill, cumulative by year.
    Sensitivity(Box<PictureArgs>),
    /// Own results beside the studies, and how far they shift the odds.
    Compare {
        /// As JSON.
        #[arg(long)]
        json: bool,
    },
    /// Arms that do not reconcile, cohorts that overlap, arms that look alike.
    Check {
        /// Only pooled arms.
        #[arg(long)]
        pooled: bool,
        /// As JSON.
        #[arg(long)]
        json: bool,
    },
    /// Material by indication: rate by cause, years observed, chief way of failing; drawn anew from the arms.
    Map {
        /// Write the picture as SVG.
        #[arg(long, value_name = "FILE")]
        out: Option<PathBuf>,
        /// As JSON.
        #[arg(long)]
        json: bool,
    },
    /// Fit the posterior anew from the study arms.
    Refit {
        /// File to write; without it `posterior.json` in the folder of --data, which plans then use.
        #[arg(long, value_name = "FILE")]
        out: Option<PathBuf>,
    },
}

const ADD_HELP: &str = "\
Example, a practice's own results of one laboratory:
  bisque evidence add --data my id=OWN1 cohort=own.north.crowns construct=crown material=zirconia_3y build=monolithic \\
      n_restorations=120 exposure_ry=400 exposure_basis=reported failures=3 source=own_register basis=read
A cohort `own.LABORATORY.NAME` marks own results: they shift the odds of the own practice. Other cohorts are further studies.";

/// Where counts come from and how they are pooled.
#[derive(Debug, Args)]
pub struct PoolArgs {
    /// A CSV file of counts (with --events and --exposure or --n); or, with --cell, a folder with own tables as elsewhere.
    #[arg(long, value_name = "PATH", id = "data")]
    pub data: Option<PathBuf>,
    /// Pool the study arms of this cell instead of a file (crown/zirconia, or only crown).
    #[arg(long, value_name = "CELL", conflicts_with_all = ["events", "exposure", "n", "label"])]
    pub cell: Option<String>,
    /// Column of the events.
    #[arg(long, value_name = "COL")]
    pub events: Option<String>,
    /// Column of the exposure (units times time): rates are pooled.
    #[arg(long, value_name = "COL")]
    pub exposure: Option<String>,
    /// Column of the number of units: proportions are pooled; with --exposure only a check.
    #[arg(long, value_name = "COL")]
    pub n: Option<String>,
    /// Column with the name of each study (default: id, study or label where there is one); no name may stand twice.
    #[arg(long, value_name = "COL")]
    pub label: Option<String>,
    /// Column of groups, pooled apart and together; for --cell: material, build, region, setting, generation, process.
    #[arg(long, value_name = "COL")]
    pub by: Option<String>,
    /// Column of a moderator: numbers enter as they are, words as levels against the first.
    #[arg(long, value_name = "COL")]
    pub moderator: Option<String>,
    /// Column of the year, for pooling over the years.
    #[arg(long, value_name = "COL", default_value = "year")]
    pub year: String,
    /// How studies are pooled.
    #[arg(long, value_enum, default_value_t = PoolModel::Reml)]
    pub model: PoolModel,
    /// How the interval is made.
    #[arg(long, value_enum, default_value_t = Interval::Wald)]
    pub ci: Interval,
    /// Scale of analysis: log rates or logits, or Freeman-Tukey.
    #[arg(long, value_enum, default_value_t = Transform::Log)]
    pub transform: Transform,
    /// Level of intervals, per cent.
    #[arg(long, default_value_t = 95.0)]
    pub level: f64,
    /// Rates are given per this many units of exposure.
    #[arg(long, default_value_t = 100.0)]
    pub per: f64,
    /// Also write the forest as SVG.
    #[arg(long, value_name = "FILE")]
    pub forest: Option<PathBuf>,
    /// As JSON.
    #[arg(long)]
    pub json: bool,
}

/// A pool with a picture.
#[derive(Debug, Args)]
pub struct PictureArgs {
    /// What is pooled.
    #[command(flatten)]
    pub pool: PoolArgs,
    /// Write the picture as SVG; otherwise it is drawn on the terminal.
    #[arg(long, value_name = "FILE")]
    pub out: Option<PathBuf>,
}

/// Model of the pool.
#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
pub enum PoolModel {
    /// One effect common to all (inverse variance).
    Common,
    /// Random effects, DerSimonian-Laird.
    Dl,
    /// Random effects, Paule-Mandel.
    Pm,
    /// Random effects, maximum likelihood.
    Ml,
    /// Random effects, restricted maximum likelihood.
    Reml,
    /// Exact likelihood of the counts with a normal random effect; no correction for studies without events.
    Glmm,
}

/// Interval of the pooled value.
#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
pub enum Interval {
    /// Normal quantiles.
    Wald,
    /// Hartung-Knapp.
    Hk,
    /// Hartung-Knapp, never narrower than Wald.
    HkNeverNarrower,
}

/// Scale of analysis.
#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
pub enum Transform {
    /// Log rates, or logits of proportions; half an event is added where there is none.
    Log,
    /// Freeman-Tukey square roots, or double arcsines of proportions.
    FreemanTukey,
}

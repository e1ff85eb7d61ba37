//! Command line of `bisque register`.

use clap::{Args, Subcommand};
use std::path::PathBuf;

/// `bisque register`.
#[derive(Debug, Args)]
#[command(after_help = HELP)]
pub struct RegisterArgs {
    /// What to do.
    #[command(subcommand)]
    pub command: RegisterCommand,
    /// Where the register stands: a file, or postgres://user@host/database; else BISQUE_STORE, else `register.bisque` here.
    #[arg(long, global = true, value_name = "PLACE")]
    pub store: Option<String>,
    /// File whose first line is the passphrase; else BISQUE_PASSPHRASE.
    #[arg(long, global = true, value_name = "FILE")]
    pub passphrase_file: Option<PathBuf>,
    /// Who enters this, by a code; else BISQUE_WHO, else the name of the user of this machine.
    #[arg(long, global = true, value_name = "CODE")]
    pub who: Option<String>,
    /// Take this day as today (YYYY-MM-DD).
    #[arg(long, global = true, value_name = "DAY")]
    pub today: Option<String>,
    /// Print JSON.
    #[arg(long, global = true)]
    pub json: bool,
}

const HELP: &str = "\
Patients stand under a pseudonym: a code with a digit, never a name. With a passphrase given at `init`, pseudonyms, record numbers and free text \
are sealed; materials, dates, teeth, laboratories and events stay countable.
A day's work:  bisque register place -p P0412 -f plan.json -l North
               bisque register recall            (a list of those due, one key each)
Every month:   bisque register watch";

/// What to do with a register.
#[derive(Debug, Subcommand)]
pub enum RegisterCommand {
    /// Make a register; sealed where a passphrase is given.
    Init {
        /// Fill it with an invented register of so many restorations over twelve years (three invented laboratories, one drifts in year 9).
        #[arg(long, value_name = "N")]
        invented: Option<usize>,
        /// Seed of the invented register.
        #[arg(long, default_value_t = 9)]
        seed: u64,
    },
    /// Enter a restoration that was ordered or placed.
    Place(PlaceArgs),
    /// Enter how a try-in went.
    Tryin(TryInArgs),
    /// Enter a recall; without a key, go through those due, one key each.
    Recall(RecallArgs),
    /// Enter something that went wrong, or that a patient died or left.
    Event(EventArgs),
    /// Take in a CSV file of any layout by a layout file.
    Import {
        /// The file.
        file: PathBuf,
        /// The layout: TOML with `dates`, [columns], [fixed], [words.FIELD].
        #[arg(long, value_name = "FILE")]
        layout: PathBuf,
        /// Say what would be taken and what not; write nothing.
        #[arg(long)]
        dry_run: bool,
    },
    /// Write everything as lines of JSON, unsealed.
    Export {
        /// Where to.
        file: PathBuf,
    },
    /// Write a backup under a passphrase (BISQUE_BACKUP_PASSPHRASE, else that of the register).
    Backup {
        /// Where to.
        file: PathBuf,
    },
    /// Make a register from a backup or an export.
    Restore {
        /// The backup or export.
        file: PathBuf,
    },
    /// What happened: shares standing by year and cause, drop-outs, laboratories beside each other, overdue recalls.
    Audit(AuditArgs),
    /// What is changing: charts of send-backs, adjustments and events by laboratory.
    Watch {
        /// Try-ins to a false alarm, on average, of each chart.
        #[arg(long, default_value_t = 1000.0, value_name = "N")]
        false_alarm: f64,
        /// Folder for pictures (SVG).
        #[arg(long, value_name = "DIR")]
        out: Option<PathBuf>,
        /// Pictures also as PNG.
        #[arg(long, requires = "out")]
        png: bool,
    },
    /// Write the own arms: counts without any patient, for `bisque evidence import`.
    Aggregate {
        /// Where to; else to the terminal.
        #[arg(long, value_name = "FILE")]
        out: Option<PathBuf>,
        /// Name of this sharing, part of every row's id.
        #[arg(long, default_value = "register", value_name = "NAME")]
        name: String,
        /// Fewest restorations of a row.
        #[arg(long, default_value_t = ::register::LEAST, value_name = "N")]
        least: i64,
    },
    /// Write the yearly report of the practice as one HTML file.
    Report {
        /// Where to.
        #[arg(long, value_name = "FILE", default_value = "register-report.html")]
        out: PathBuf,
    },
    /// Who changed a record, when, and what stood there before.
    History {
        /// Kind: patient, restoration, try_in, recall, event.
        kind: String,
        /// Key.
        key: String,
    },
}

/// `bisque register place`.
#[derive(Debug, Args)]
pub struct PlaceArgs {
    /// Pseudonym.
    #[arg(short, long, value_name = "CODE")]
    pub patient: Option<String>,
    /// JSON of `bisque plan --json`: construct, material, build, dimensions and teeth come from it.
    #[arg(short = 'f', long, value_name = "FILE")]
    pub plan: Option<PathBuf>,
    /// Option of the plan; else its first.
    #[arg(long, value_name = "ID")]
    pub option: Option<String>,
    /// Place a restoration that was entered when it was ordered.
    #[arg(long, value_name = "KEY")]
    pub restoration: Option<String>,
    /// With --restoration: correct the day of one that was placed already.
    #[arg(long, requires = "restoration")]
    pub correct: bool,
    /// Teeth, e.g. 46 or 45.46.47.
    #[arg(long)]
    pub teeth: Option<String>,
    /// Construct, e.g. crown.
    #[arg(long)]
    pub construct: Option<String>,
    /// Material class, e.g. `zirconia_3y`.
    #[arg(long)]
    pub material: Option<String>,
    /// Build: monolithic, `partly_layered`, layered.
    #[arg(long)]
    pub build: Option<String>,
    /// Laboratory.
    #[arg(short, long)]
    pub laboratory: Option<String>,
    /// Cement, e.g. resin.
    #[arg(long)]
    pub cement: Option<String>,
    /// Who placed it.
    #[arg(long)]
    pub operator: Option<String>,
    /// Only ordered, on this day (`today` for today).
    #[arg(long, value_name = "DAY")]
    pub ordered: Option<String>,
    /// Day of placing; else today.
    #[arg(long, value_name = "DAY")]
    pub day: Option<String>,
    /// Free text (sealed).
    #[arg(long)]
    pub note: Option<String>,
}

/// `bisque register tryin`.
#[derive(Debug, Args)]
pub struct TryInArgs {
    /// Key of the restoration.
    pub restoration: String,
    /// fitted, adjusted (over two minutes) or `sent_back`.
    pub fit: String,
    /// contact, margin, colour, bite, fracture.
    #[arg(long, value_delimiter = ',')]
    pub cause: Vec<String>,
    /// Minutes of adjustment.
    #[arg(long)]
    pub minutes: Option<f64>,
    /// framework, bisque or finished.
    #[arg(long, default_value = "finished")]
    pub stage: String,
    /// Day; else today.
    #[arg(long)]
    pub day: Option<String>,
}

/// `bisque register recall`.
#[derive(Debug, Args)]
pub struct RecallArgs {
    /// Keys of restorations seen in place without event.
    pub restoration: Vec<String>,
    /// All standing restorations of a patient.
    #[arg(long, value_name = "CODE")]
    pub patient: Option<String>,
    /// Day; else today.
    #[arg(long)]
    pub day: Option<String>,
    /// Scheme of scores: `fdi_2023`, `fdi_2010`, usphs.
    #[arg(long)]
    pub scheme: Option<String>,
    /// CRITERION=SCORE, e.g. F2=3.
    #[arg(long, value_name = "CRITERION=SCORE")]
    pub score: Vec<String>,
    /// Months without a look after which a restoration is due.
    #[arg(long, default_value_t = 12, value_name = "N")]
    pub months: i32,
}

/// `bisque register event`.
#[derive(Debug, Args)]
pub struct EventArgs {
    /// Key of the restoration.
    pub restoration: Option<String>,
    /// What, e.g. `veneer_chip`, `loss_of_retention`, `framework_fracture`.
    pub kind: Option<String>,
    /// What was done: watched, polished, `put_back`, repaired, `tooth_treated`, remade, removed, `tooth_lost`.
    pub consequence: Option<String>,
    /// Day on which it was found; else today.
    #[arg(long)]
    pub found: Option<String>,
    /// Day on which it happened, where that is known.
    #[arg(long)]
    pub happened: Option<String>,
    /// Grade of a chip, 1 to 3.
    #[arg(long)]
    pub grade: Option<u8>,
    /// Free text (sealed).
    #[arg(long)]
    pub note: Option<String>,
    /// Of a patient, not a restoration.
    #[arg(long, value_name = "CODE", conflicts_with = "restoration")]
    pub patient: Option<String>,
    /// The patient died on this day.
    #[arg(long, value_name = "DAY", requires = "patient")]
    pub died: Option<String>,
    /// The patient does not come any more from this day.
    #[arg(long, value_name = "DAY", requires = "patient")]
    pub left: Option<String>,
}

/// `bisque register audit`.
#[derive(Debug, Args)]
pub struct AuditArgs {
    /// Told apart by: material, build, construct, region, laboratory, operator, cement, year.
    #[arg(long)]
    pub by: Option<String>,
    /// Only these: GROUPING=VALUE, e.g. `material=zirconia_3y`.
    #[arg(long, value_name = "GROUPING=VALUE")]
    pub only: Vec<String>,
    /// Success (free of every complication) instead of survival.
    #[arg(long)]
    pub success: bool,
    /// Months without a look after which a restoration has dropped out or its recall is overdue.
    #[arg(long, default_value_t = 24, value_name = "N")]
    pub months: i32,
    /// Folder for pictures (SVG).
    #[arg(long, value_name = "DIR")]
    pub out: Option<PathBuf>,
    /// Pictures also as PNG.
    #[arg(long, requires = "out")]
    pub png: bool,
}

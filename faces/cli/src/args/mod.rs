//! The command line: one file a command.

mod anatomy;
mod case;
mod catalogue;
mod colour;
mod evidence;
mod papers;
mod plan;
mod register;
mod serve;
mod shape;
mod strength;
mod survive;

pub use anatomy::{
    AnatomyCommand, CheckArgs, CutArgs, DesignArgs, EndocrownArgs, ImplantArgs, LeastArgs, NeedsArgs, OutArgs,
    PonticArg, ScansArgs, ToothArgs, UnitArgs,
};
pub use case::CaseCommand;
pub use catalogue::CatalogueCommand;
pub use colour::{
    CharacteriseArgs, ColourCommand, CouplingArg, DrawArgs, InstrumentArg, KeepArgs, Kept, LightArgs, MaskArgs,
    ObserverArg, PhotoArgs, PredictArgs, SeriesArgs,
};
pub use evidence::{EvidenceCommand, Interval, PictureArgs, PoolArgs, PoolModel, Transform};
pub use papers::PapersArgs;
pub use plan::{At, Fidelity, PlanArgs};
pub use register::{AuditArgs, EventArgs, PlaceArgs, RecallArgs, RegisterArgs, RegisterCommand, TryInArgs};
pub use serve::ServeArgs;
pub use shape::{
    AlignArgs, DistanceArgs, MeshArgs, ReadArgs, RepairArgs, SectionsArgs, ShapeCommand, SmallestBy, SurfaceView,
    ThicknessArgs, ThicknessBy, UndercutArgs,
};
pub use strength::{FullArgs, LevelArgs, LifetimeArgs, SolveArgs, StrengthCommand, SurfacesArgs, YearsArgs};
pub use survive::{CompareArgs, CoxArgs, CurveArgs, IncidenceArgs, RowsArgs, SurviveCommand, TiesArg};

use clap::{Parser, Subcommand};
use std::path::PathBuf;

/// Plans an indirect restoration: ranked options with honest odds, and the papers that go with them.
///
/// Decision support for licensed professionals; not a certified medical device. Local rules, the instructions of the material
/// actually used, and the dentist's judgement come first.
#[derive(Debug, Parser)]
#[command(name = "bisque", version, after_help = EXIT_CODES)]
pub struct Args {
    /// What to do.
    #[command(subcommand)]
    pub command: Command,

    /// Folder with own tables (same names and columns as the shipped ones) that add or override rows.
    #[arg(long, global = true, value_name = "DIR")]
    pub data: Option<PathBuf>,
}

const EXIT_CODES: &str = "Exit codes: 0 done; 1 the input has errors; 2 the command line is wrong; 3 a file could not be read \
or written; 4 stopped before it was done.";

/// What to do.
#[derive(Debug, Subcommand)]
pub enum Command {
    /// Plan a case: rank the options, and write the dossier.
    Plan(PlanArgs),
    /// Write the papers of a case: record note, work order, cards, consent sheet, dossier, slides.
    Papers(PapersArgs),
    /// Serve the page: planning with a patient in the chair.
    Serve(ServeArgs),
    /// What happened to placed restorations: enter, audit, watch, share.
    Register(RegisterArgs),
    /// Check a case file, make a new one, or print its schema.
    #[command(subcommand)]
    Case(CaseCommand),
    /// The facts the program rests on.
    #[command(subcommand)]
    Catalogue(CatalogueCommand),
    /// Colour differences and layered colour.
    #[command(subcommand)]
    Colour(ColourCommand),
    /// Clinical evidence: the living library of study arms, pooled and drawn.
    #[command(subcommand)]
    Evidence(EvidenceCommand),
    /// Forms of teeth, and what a preparation takes.
    #[command(subcommand)]
    Anatomy(AnatomyCommand),
    /// Strength of simple bodies.
    #[command(subcommand)]
    Strength(StrengthCommand),
    /// Surfaces and bodies: thickness, distance, sections, undercut, alignment, triangles.
    #[command(subcommand)]
    Shape(ShapeCommand),
    /// Survival of any units, from a CSV file: curves, comparison, regression, competing causes.
    #[command(subcommand)]
    Survive(SurviveCommand),
    /// Print the schema of the plan's JSON.
    Schema,
}

//! Command line of `bisque colour`.

use clap::{Args, Subcommand, ValueEnum};
use std::path::PathBuf;

/// `bisque colour`.
#[derive(Debug, Subcommand)]
pub enum ColourCommand {
    /// CIEDE2000 with its parts, and CIE76, between two CIELAB colours.
    Difference {
        /// L* a* b* L* a* b*
        #[arg(num_args = 6, allow_negative_numbers = true, required = true)]
        lab: Vec<f64>,
        /// As JSON.
        #[arg(long)]
        json: bool,
    },
    /// What a stack of layers shows over what lies beneath, with its interval.
    Predict(PredictArgs),
    /// Which thickness of a layer hides what lies beneath, by grade; else which cement, or blocking out first.
    Mask(MaskArgs),
    /// Scattering and absorption of an own medium from its discs, as a file that predict, mask and plan use.
    Characterise(CharacteriseArgs),
    /// Colour at thicknesses between those of discs read over the backing in question: where such a series exists, nothing
    /// predicts better.
    Series(SeriesArgs),
    /// Colour of a field in a photograph that shows a grey card.
    Photo(PhotoArgs),
    /// Keeps an own tab or an own reading of a stump under a name, measured once, for cases and stacks to name.
    Keep(KeepArgs),
    /// The own tabs, stumps and media that are kept.
    Own {
        /// As JSON.
        #[arg(long)]
        json: bool,
    },
    /// The lights there are, with their white points; or a spectrum's colour under them.
    Light(LightArgs),
}

/// Standard observer.
#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
pub enum ObserverArg {
    /// CIE 1931, 2 degrees.
    #[value(name = "2")]
    Two,
    /// CIE 1964, 10 degrees.
    #[value(name = "10")]
    Ten,
}

/// Geometry of the instrument that looks at the result.
#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
pub enum InstrumentArg {
    /// Narrow light near the normal, gloss not counted (an eye, a contact instrument).
    Beam,
    /// Integrating sphere with gloss trap.
    SphereWithoutGloss,
    /// Integrating sphere, gloss counted.
    SphereWithGloss,
}

/// What lies between a piece and what it stands on.
#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
pub enum CouplingArg {
    /// Air.
    Dry,
    /// Water.
    Wet,
    /// A clear fluid or cement of index 1.5.
    Film,
    /// The lowest layer touches it.
    Contact,
}

/// What an own colour is of.
#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
pub enum Kept {
    /// A tab of your own set.
    Tab,
    /// A stump, post or abutment.
    Stump,
}

/// `bisque colour keep`.
#[derive(Debug, Args)]
#[command(
    after_help = "Kept in own_colours.csv of the folder given by --data. A case names it by wish.colour_tab, stump_own or \
reading_own; a stack by the column `own`."
)]
pub struct KeepArgs {
    /// Name of your own.
    pub name: String,
    /// L* a* b* (D65, 2 degrees).
    #[arg(num_args = 3, allow_negative_numbers = true, required = true)]
    pub lab: Vec<f64>,
    /// What it is the colour of.
    #[arg(long, value_enum)]
    pub kind: Kept,
    /// Standard deviation of repeated readings, as a CIELAB distance.
    #[arg(long)]
    pub spread: Option<f64>,
    /// What it was read with.
    #[arg(long)]
    pub instrument: Option<String>,
    /// Day of the reading.
    #[arg(long, value_name = "DATE")]
    pub on: Option<String>,
    /// Put it in the place of the reading kept under this name.
    #[arg(long)]
    pub replace: bool,
}

/// Seed and number of draws.
#[derive(Debug, Clone, Copy, Args)]
pub struct DrawArgs {
    /// Seed of the draws: the same seed gives the same figures.
    #[arg(long, default_value_t = 1)]
    pub seed: u64,
    /// Number of draws.
    #[arg(long, default_value_t = 512, value_parser = clap::value_parser!(u32).range(16..=100_000))]
    pub draws: u32,
}

/// `bisque colour predict`.
#[derive(Debug, Args)]
#[command(after_help = STACK_HELP)]
pub struct PredictArgs {
    /// The stack, CSV or JSON.
    pub stack: PathBuf,
    /// Lights, separated by commas (bisque colour light).
    #[arg(long, default_value = "D65", value_delimiter = ',')]
    pub light: Vec<String>,
    /// Standard observer, degrees.
    #[arg(long, value_enum, default_value = "2")]
    pub observer: ObserverArg,
    /// How the result is looked at.
    #[arg(long, value_enum, default_value = "beam")]
    pub instrument: InstrumentArg,
    /// How visible the place is, 0 (nobody sees it) to 1.
    #[arg(long, default_value_t = 1.0)]
    pub visibility: f64,
    /// Seed and draws.
    #[command(flatten)]
    pub draw: DrawArgs,
    /// Folder for pictures (swatches and stack, SVG).
    #[arg(long)]
    pub out: Option<PathBuf>,
    /// As JSON.
    #[arg(long)]
    pub json: bool,
}

/// `bisque colour mask`.
#[derive(Debug, Args)]
#[command(after_help = STACK_HELP)]
pub struct MaskArgs {
    /// The stack, CSV or JSON; a row `reference` or `wish` says what it is to look like.
    pub stack: PathBuf,
    /// Layer whose thickness is sought, from 1 at the top; without it the lowest.
    #[arg(long)]
    pub layer: Option<usize>,
    /// Thinnest and thickest looked at, mm.
    #[arg(long, num_args = 2, value_names = ["FROM", "TO"], default_values_t = [0.2, 3.0])]
    pub between: Vec<f64>,
    /// Seed and draws.
    #[command(flatten)]
    pub draw: DrawArgs,
    /// Folder for the picture (difference against thickness, SVG).
    #[arg(long)]
    pub out: Option<PathBuf>,
    /// As JSON.
    #[arg(long)]
    pub json: bool,
}

const STACK_HELP: &str = "\
A stack has one row an item, the outermost layer first. Columns (blank: not known):
  kind              layer, backing, reference (another backing to be like), wish
  name              of your own
  thickness_mm      of a layer; thickness_sd_mm: its spread
  medium            name of an own medium (--data folder with media.csv), or a helper: opaque_cement,
                    block_out_resin, veneer; or
  material, grade   a class and grade of the catalogue (grade: clear light middle dense masking), or
  contrast_low, contrast_high, at_mm   contrast ratio of a disc (Y over black / Y over white) at a thickness
  index             refractive index (layers 1.5-1.55, zirconia 2.1-2.2; backings 1.5; `metal` for a bare metal,
                    which a named metal substrate is)
  L, a, b, spread   CIELAB of an endless thickness (layers), of the backing as read in air, or of the wish
  own               name of an own tab or stump reading (bisque colour keep), for a backing, reference or wish
  substrate         a named backing of the catalogue (dentine, cast_post ...), when it was not read
  coupling          of the backing: dry, wet, film, contact
JSON: a list of objects with the same names.";

/// `bisque colour characterise`.
#[derive(Debug, Args)]
#[command(after_help = DISC_HELP)]
pub struct CharacteriseArgs {
    /// Readings of your discs, CSV.
    pub discs: PathBuf,
    /// Name of the medium.
    #[arg(long, default_value = "own medium")]
    pub name: String,
    /// Class it stands for in plans.
    #[arg(long)]
    pub material: Option<String>,
    /// Grade it stands for in plans.
    #[arg(long)]
    pub grade: Option<String>,
    /// Refractive index (zirconia about 2.15, glass-ceramics 1.53).
    #[arg(long, default_value_t = 1.53)]
    pub index: f64,
    /// Between disc and tile.
    #[arg(long, value_enum, default_value = "dry")]
    pub coupling: CouplingArg,
    /// Instrument.
    #[arg(long, value_enum, default_value = "sphere-without-gloss")]
    pub instrument: InstrumentArg,
    /// Reflectance of the dark tile, 0 to 1.
    #[arg(long, default_value_t = 0.04)]
    pub dark: f64,
    /// Reflectance of the light tile, 0 to 1.
    #[arg(long, default_value_t = 0.88)]
    pub light: f64,
    /// Seed and draws.
    #[command(flatten)]
    pub draw: DrawArgs,
    /// Folder to write media.csv into, to be given as --data.
    #[arg(long)]
    pub out: Option<PathBuf>,
    /// As JSON.
    #[arg(long)]
    pub json: bool,
}

const DISC_HELP: &str = "\
By spectrum: columns thickness_mm, wavelength_nm, over_dark, over_light (reflectance 0 to 1), one row a wavelength, discs one
after the other. By colour: columns thickness_mm, L_dark, a_dark, b_dark, L_light, a_light, b_light, one row a disc.";

/// `bisque colour series`.
#[derive(Debug, Args)]
pub struct SeriesArgs {
    /// Discs over one backing, thinnest first: CSV with columns thickness_mm, L, a, b.
    pub series: PathBuf,
    /// Thicknesses asked for, mm, separated by commas.
    #[arg(long, required = true, value_delimiter = ',', value_name = "MM")]
    pub at: Vec<f64>,
    /// As JSON.
    #[arg(long)]
    pub json: bool,
}

/// `bisque colour photo`.
#[derive(Debug, Args)]
pub struct PhotoArgs {
    /// PNG or JPEG file.
    pub image: PathBuf,
    /// Rectangle on the grey card: x,y,width,height in pixels from the upper left corner.
    #[arg(long, value_name = "X,Y,W,H")]
    pub card: Option<String>,
    /// Rectangle on the stump.
    #[arg(long, value_name = "X,Y,W,H")]
    pub stump: String,
    /// Luminous reflectance of the card, 0 to 1.
    #[arg(long, default_value_t = 0.18)]
    pub card_reflectance: f64,
    /// Rectangle on a second grey or white, which proves that the picture is linear.
    #[arg(long, value_name = "X,Y,W,H", requires = "second_reflectance")]
    pub second: Option<String>,
    /// Its luminous reflectance, 0 to 1.
    #[arg(long)]
    pub second_reflectance: Option<f64>,
    /// The file holds linear light (a developed raw file), not the curve of sRGB.
    #[arg(long)]
    pub linear: bool,
    /// Keep the reading under this name among your own stumps (in the folder of --data).
    #[arg(long, value_name = "NAME")]
    pub keep: Option<String>,
    /// As JSON.
    #[arg(long)]
    pub json: bool,
}

/// `bisque colour light`.
#[derive(Debug, Args)]
pub struct LightArgs {
    /// Lights, separated by commas; without any, all.
    #[arg(value_delimiter = ',')]
    pub lights: Vec<String>,
    /// Standard observer, degrees.
    #[arg(long, value_enum, default_value = "2")]
    pub observer: ObserverArg,
    /// Reflectance to be looked at: CSV with columns wavelength_nm, reflectance.
    #[arg(long)]
    pub spectrum: Option<PathBuf>,
    /// As JSON.
    #[arg(long)]
    pub json: bool,
}

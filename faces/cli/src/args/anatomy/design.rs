//! Command line of `bisque anatomy design`.

use clap::Args;
use std::path::PathBuf;

/// `bisque anatomy design`.
#[derive(Debug, Args)]
pub struct DesignArgs {
    /// Teeth it covers in their order, standing and missing (ISO 3950, e.g. 46 or 45,46,47).
    #[arg(value_delimiter = ',', required = true)]
    pub teeth: Vec<u8>,
    /// Which of them are missing.
    #[arg(long, value_delimiter = ',')]
    pub missing: Vec<u8>,
    /// Closed surface of the restoration (STL, PLY, OBJ, 3MF). Of several teeth: z towards the opposing jaw.
    #[arg(long, value_name = "FILE")]
    pub design: PathBuf,
    /// Its material, as in `bisque catalogue show needs`.
    #[arg(long)]
    pub material: String,
    /// Its build: monolithic, partly_layered, layered.
    #[arg(long, default_value = "monolithic")]
    pub build: String,
    /// Its construct, where it is not a crown (one tooth) or a bridge (several).
    #[arg(long)]
    pub construct: Option<String>,
    /// Scan of the opposing teeth in the design's frame.
    #[arg(long, value_name = "FILE")]
    pub antagonist: Option<PathBuf>,
    /// Folder for pictures of its thickness (PNG).
    #[arg(long, value_name = "DIR")]
    pub out: Option<PathBuf>,
    /// As JSON.
    #[arg(long)]
    pub json: bool,
}

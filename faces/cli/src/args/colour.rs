//! Command line of `bisque colour`.

use clap::Subcommand;

/// `bisque colour`.
#[derive(Debug, Subcommand)]
pub enum ColourCommand {
    /// CIEDE2000 and CIE76 between two CIELAB colours.
    Difference {
        /// L* a* b* L* a* b*
        #[arg(num_args = 6, allow_negative_numbers = true, required = true)]
        lab: Vec<f64>,
        /// As JSON.
        #[arg(long)]
        json: bool,
    },
}

//! Command line of `bisque strength`.

use clap::Subcommand;

/// `bisque strength`.
#[derive(Debug, Subcommand)]
pub enum StrengthCommand {
    /// Weibull-equivalent stress of a neck in bending under a unit load.
    Neck {
        /// Height, mm.
        #[arg(long)]
        height: f64,
        /// Width, mm.
        #[arg(long)]
        width: f64,
        /// Span between the supports, mm.
        #[arg(long)]
        span: f64,
        /// Fillet radius, mm.
        #[arg(long, default_value_t = 0.5)]
        radius: f64,
        /// Weibull modulus.
        #[arg(long, default_value_t = 10.0)]
        modulus: f64,
        /// As JSON.
        #[arg(long)]
        json: bool,
    },
}

//! Command line of `bisque serve`.

use clap::Args as ClapArgs;
use std::net::IpAddr;
use std::path::PathBuf;

/// `bisque serve`.
#[derive(Debug, ClapArgs)]
pub struct ServeArgs {
    /// Port of the page; 0 takes any that is free.
    #[arg(long, value_name = "PORT", default_value_t = 7878)]
    pub port: u16,
    /// Open the page in the browser.
    #[arg(long)]
    pub open: bool,
    /// Folder of the sheets, a case file and a journal each; made if it is not there.
    #[arg(long, value_name = "DIR", default_value = "bisque-cases")]
    pub cases: PathBuf,
    /// Where the register is kept: a file, or the address of a PostgreSQL server (default: `register.db` in the folder of the sheets).
    #[arg(long, value_name = "URL")]
    pub store: Option<String>,
    /// Address to listen at. Anything but this machine alone needs --password-file; what is sent then crosses the network as it
    /// is, so put a proxy with TLS before it.
    #[arg(long, value_name = "ADDR", default_value = "127.0.0.1")]
    pub host: IpAddr,
    /// File whose first line is the password the page asks for.
    #[arg(long, value_name = "FILE")]
    pub password_file: Option<PathBuf>,
    /// Print the description of the interface (OpenAPI 3.1) and stop.
    #[arg(long)]
    pub openapi: bool,
    /// Print the address as JSON.
    #[arg(long)]
    pub json: bool,
}

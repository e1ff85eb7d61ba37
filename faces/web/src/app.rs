//! What all requests share.

use crate::grounds::Ground;
use crate::guard::Password;
use crate::planning::Plans;
use crate::sheets::Sheets;
use std::io;
use std::net::SocketAddr;
use std::path::PathBuf;
use std::sync::Arc;

/// How the server is to run.
#[derive(Debug, Clone)]
pub struct Settings {
    /// Where it listens.
    pub address: SocketAddr,
    /// Folder of the sheets.
    pub cases: PathBuf,
    /// Folder of own tables, laid over the shipped ones.
    pub data: Option<PathBuf>,
    /// Where the register is kept, where not in the folder of the sheets.
    pub store: Option<String>,
    /// The password asked for; needed once it listens beyond this machine.
    pub password: Option<String>,
}

/// State of the server, shared by all requests.
#[derive(Clone)]
pub struct App(Arc<Inner>);

struct Inner {
    settings: Settings,
    password: Option<Password>,
    sheets: Sheets,
    ground: Ground,
    plans: Plans,
}

impl App {
    /// Opens the folder of the sheets.
    ///
    /// # Errors
    /// When the folder cannot be opened, or another server has it open.
    pub fn open(settings: Settings) -> io::Result<Self> {
        let sheets = Sheets::open(&settings.cases)?;
        let own = settings.cases.join("own");
        let ground = Ground::new(settings.data.iter().cloned().chain([own]).collect());
        let password = settings.password.as_deref().map(Password::new);
        Ok(Self(Arc::new(Inner { settings, password, sheets, ground, plans: Plans::default() })))
    }

    /// How it runs.
    pub fn settings(&self) -> &Settings {
        &self.0.settings
    }

    /// The sheets.
    pub fn sheets(&self) -> &Sheets {
        &self.0.sheets
    }

    /// Facts and evidence.
    pub fn ground(&self) -> &Ground {
        &self.0.ground
    }

    /// Plans made.
    pub fn plans(&self) -> &Plans {
        &self.0.plans
    }

    /// The password asked for.
    pub fn password(&self) -> Option<&Password> {
        self.0.password.as_ref()
    }

    /// True when `host` (name or address, with or without port) is one this server is asked by: this machine, or, where it
    /// listens beyond it, any bare address of its port. A name is never believed, so that a foreign name cannot be led here.
    pub fn serves(&self, host: &str) -> bool {
        let (name, port) = match host.rsplit_once(':') {
            Some((name, port)) if !name.ends_with(':') => (name, port.parse::<u16>().ok()),
            _ => (host, Some(80)),
        };
        let address = self.settings().address;
        if port != Some(address.port()) {
            return false;
        }
        let name = name.trim_start_matches('[').trim_end_matches(']');
        match name.parse::<std::net::IpAddr>() {
            Ok(ip) => ip.is_loopback() || !address.ip().is_loopback(),
            Err(_) => name == "localhost",
        }
    }
}

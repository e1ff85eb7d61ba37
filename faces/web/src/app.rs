//! What all requests share.

use crate::bodies::Bodies;
use crate::grounds::{Ground, Grounds};
use crate::guard::Password;
use crate::jobs::Jobs;
use crate::planning::Plans;
use crate::program::{Commands, Program};
use crate::sheets::{Sheets, guard};
use case::Case;
use plan::Workbench;
use std::io;
use std::net::SocketAddr;
use std::path::{Path, PathBuf};
use std::sync::{Arc, Mutex};

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
    /// The program that begins the server; none where only the server is built.
    pub commands: Option<Commands>,
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
    bodies: Bodies,
    workbench: Mutex<Option<(String, Arc<Workbench>)>>,
    /// Held while a case is laid on the workbench before anybody drags.
    laying_out: Mutex<()>,
    jobs: Arc<Jobs>,
    program: Program,
    own: PathBuf,
}

impl App {
    /// Opens the folder of the sheets.
    ///
    /// # Errors
    /// When the folder cannot be opened, or another server has it open.
    pub fn open(settings: Settings) -> io::Result<Self> {
        let sheets = Sheets::open(&settings.cases)?;
        let jobs = Arc::new(Jobs::open(&settings.cases)?);
        let own = settings.data.clone().unwrap_or_else(|| settings.cases.join("own"));
        std::fs::create_dir_all(&own)?;
        let program = Program::new(settings.commands.clone());
        let password = settings.password.as_deref().map(Password::new);
        Ok(Self(Arc::new(Inner {
            password,
            sheets,
            ground: Ground::new(own.clone()),
            plans: Plans::new(program.clone(), settings.cases.clone()),
            bodies: Bodies::default(),
            workbench: Mutex::default(),
            laying_out: Mutex::default(),
            jobs,
            program,
            own,
            settings,
        })))
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

    /// Bodies of teeth made.
    pub fn bodies(&self) -> &Bodies {
        &self.0.bodies
    }

    /// Where dimensions are tried, with what is kept between two trials.
    pub fn workbench(&self, case: &Case, grounds: &Grounds) -> Arc<Workbench> {
        let mut held = guard(&self.0.workbench);
        // Names of files are made of their contents.
        let key = format!("{} {:?}", grounds.state, case.surface_files());
        match &*held {
            Some((kept, bench)) if *kept == key => bench.clone(),
            _ => {
                let (shown, _) = self.plans().teeth(case, &grounds.catalogue);
                let bench = Arc::new(Workbench::new(&grounds.posterior, shown));
                *held = Some((key, bench.clone()));
                bench
            }
        }
    }

    /// Lays a case on the workbench, so that moves of a drag find its teeth made. Whoever comes while it is laid out waits for the same.
    pub fn lay_out(&self, case: &Case, grounds: &Grounds, option: &str) -> Arc<Workbench> {
        let bench = self.workbench(case, grounds);
        if !bench.knows(case) {
            let _turn = guard(&self.0.laying_out);
            if !bench.knows(case) {
                // Whatever is wrong with the case is told to who asks for it.
                let _ = bench.tried(case, &grounds.catalogue, option, &plan::Tried::default());
            }
        }
        bench
    }

    /// Long work.
    pub fn jobs(&self) -> &Arc<Jobs> {
        &self.0.jobs
    }

    /// The program's commands.
    pub fn program(&self) -> &Program {
        &self.0.program
    }

    /// Folder of the practice's own tables.
    pub fn own_tables(&self) -> &Path {
        &self.0.own
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

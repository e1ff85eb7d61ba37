//! Plans of sheets: made at once, kept by what they were made of, so that the same case is planned once.

use crate::draft;
use crate::grounds::Grounds;
use crate::problem::{Fault, Problem};
use crate::program::Program;
use crate::questions::{Needed, needs};
use crate::sheets::{Standing, faults, guard, now};
use answer::NoProgress;
use case::Case;
use catalogue::Catalogue;
use plan::{Fidelity, Report, ShownTeeth};
use register::Day;
use schemars::JsonSchema;
use serde::Serialize;
use sha2::{Digest, Sha256};
use std::collections::HashMap;
use std::path::PathBuf;
use std::sync::{Arc, Mutex, OnceLock};
use std::time::Instant;

/// A plan, or what is needed for one.
#[derive(Debug, Clone, Serialize, JsonSchema)]
pub struct Planned {
    /// The revision it was made of.
    pub revision: u64,
    /// The plan; none while too little is known.
    #[serde(serialize_with = "shared")]
    #[schemars(with = "Option<Report>")]
    pub report: Option<Arc<Report>>,
    /// What is needed for a plan; empty once there is one.
    pub needs: Vec<Needed>,
    /// What is wrong or worth knowing about the sheet.
    pub issues: Vec<Fault>,
    /// How long it took to make, milliseconds; 0 where it was kept.
    pub took_ms: u64,
}

fn shared<S: serde::Serializer>(report: &Option<Arc<Report>>, to: S) -> Result<S::Ok, S::Error> {
    report.as_deref().serialize(to)
}

type Kept = Arc<OnceLock<Result<Arc<Report>, Problem>>>;

/// Plans kept, by what they were made of.
pub struct Plans {
    program: Program,
    folder: PathBuf,
    shelf: Mutex<Shelf>,
}

/// What a plan was made of, as a checksum.
type Key = [u8; 32];

/// Plans and the order in which they came.
#[derive(Default)]
struct Shelf {
    plans: HashMap<Key, Kept>,
    order: Vec<Key>,
}

/// Plans kept at most: a report is some 300 kB.
const MOST: usize = 64;

impl Plans {
    /// With the program that knows scans, which lie in this folder.
    pub fn new(program: Program, folder: PathBuf) -> Self {
        Self { program, folder, shelf: Mutex::default() }
    }

    /// Teeth of a case as the files in the folder show them, and what is to be said of that.
    pub fn teeth(&self, case: &Case, catalogue: &Catalogue) -> (Arc<ShownTeeth>, Vec<String>) {
        self.program.teeth(case, &self.folder.join("case.toml"), catalogue)
    }

    /// The plan of a case, made where it is not kept; two who ask at once wait for the same one. Never on a thread that answers.
    ///
    /// # Errors
    /// When the case has a colour no body can have.
    pub fn of(&self, name: &str, case: &Case, grounds: &Grounds, fidelity: Fidelity) -> Result<Arc<Report>, Problem> {
        let key = key(name, case, grounds, fidelity);
        let kept = {
            let mut shelf = guard(&self.shelf);
            if !shelf.plans.contains_key(&key) {
                shelf.order.push(key);
                if shelf.order.len() > MOST {
                    let oldest = shelf.order.remove(0);
                    shelf.plans.remove(&oldest);
                }
            }
            shelf.plans.entry(key).or_default().clone()
        };
        kept.get_or_init(|| {
            let shown = self.teeth(case, &grounds.catalogue);
            make(name, case, grounds, fidelity, shown).map(Arc::new)
        })
        .clone()
    }
}

fn key(name: &str, case: &Case, grounds: &Grounds, fidelity: Fidelity) -> Key {
    let mut sum = Sha256::new();
    sum.update(serde_json::to_vec(case).unwrap_or_default());
    sum.update(format!("{name} {} {} {}", grounds.state, fidelity.word(), today()));
    sum.finalize().into()
}

fn make(
    name: &str,
    case: &Case,
    grounds: &Grounds,
    fidelity: Fidelity,
    (shown, remarks): (Arc<ShownTeeth>, Vec<String>),
) -> Result<Report, Problem> {
    let settings = plan::Settings { shown, ..settings(name, grounds, fidelity, remarks) };
    plan::plan(case, &grounds.catalogue, &grounds.posterior, &settings, &NoProgress)
        .map_err(|e| Problem::wrong("case", e.to_string(), "a case that can be planned", "correct the reading"))
}

/// How a plan of this server is made; `remarks` are told with it.
pub fn settings(name: &str, grounds: &Grounds, fidelity: Fidelity, remarks: Vec<String>) -> plan::Settings {
    plan::Settings {
        seed: 1,
        fidelity,
        today: today().to_string().chars().take(7).collect(),
        name: name.to_owned(),
        program: format!("bisque {}", env!("CARGO_PKG_VERSION")),
        warnings: grounds.words.iter().cloned().chain(remarks).collect(),
        changes: false,
        shown: Arc::new(ShownTeeth::default()),
    }
}

/// Today by the machine's clock (UTC).
pub fn today() -> Day {
    Day::from_number((now() / 86_400) as i32)
}

/// Name of a sheet on plan and papers: its pseudonym, else `sheet` and its random name.
pub fn name_of(sheet: &Standing) -> String {
    let pseudonym = sheet.case.get("pseudonym").and_then(|p| p.as_str()).map(str::trim).filter(|p| !p.is_empty());
    pseudonym.map_or_else(|| format!("sheet-{}", sheet.id.text()), str::to_owned)
}

/// The plan of a sheet as it stands.
///
/// # Errors
/// When facts or evidence cannot be read, or the case has a colour no body can have.
pub fn planned(plans: &Plans, sheet: &Standing, grounds: &Grounds, fidelity: Fidelity) -> Result<Planned, Problem> {
    let started = Instant::now();
    let read = draft::read("case", &sheet.case, grounds.catalogue.own_colours());
    let report = match &read.case {
        Some(case) => Some(plans.of(&name_of(sheet), case, grounds, fidelity)?),
        None => None,
    };
    Ok(Planned {
        revision: sheet.revision,
        needs: if report.is_some() { Vec::new() } else { needs(&sheet.case, &read.issues) },
        report,
        issues: faults(&read.issues),
        took_ms: started.elapsed().as_millis() as u64,
    })
}

//! What plans rest on: the facts with the practice's own rows, and the pooled evidence. Read once, and again when the
//! practice's own rows change.

use crate::problem::Problem;
use crate::sheets::guard;
use answer::World;
use catalogue::Catalogue;
use evidence::Posterior;
use std::path::{Path, PathBuf};
use std::sync::{Arc, Mutex};

/// Facts and evidence of one state of the practice's own rows.
#[derive(Debug)]
pub struct Grounds {
    /// The facts.
    pub catalogue: Catalogue,
    /// The pooled evidence, own results within it.
    pub posterior: Posterior,
    /// What is to be said of own results on every plan.
    pub words: Vec<String>,
    /// Number of this state, for what is kept by it.
    pub state: u64,
}

/// Reads the grounds when they are first asked for.
#[derive(Debug)]
pub struct Ground {
    folder: PathBuf,
    read: Mutex<(u64, Option<Arc<Grounds>>)>,
}

impl Ground {
    /// With the folder that may hold own rows.
    pub fn new(folder: PathBuf) -> Self {
        Self { folder, read: Mutex::new((0, None)) }
    }

    /// The grounds; waits while they are read (about 0.1 s). Never on a thread that answers.
    ///
    /// # Errors
    /// When a row of the practice's own is broken.
    pub fn get(&self) -> Result<Arc<Grounds>, Problem> {
        let mut read = guard(&self.read);
        if let Some(grounds) = &read.1 {
            return Ok(grounds.clone());
        }
        let grounds = Arc::new(self.load(read.0)?);
        read.1 = Some(grounds.clone());
        Ok(grounds)
    }

    /// Makes the next asker read anew.
    pub fn changed(&self) {
        let mut read = guard(&self.read);
        *read = (read.0 + 1, None);
    }

    fn load(&self, state: u64) -> Result<Grounds, Problem> {
        let own = if self.folder.is_dir() { tables(&self.folder)? } else { Vec::new() };
        // Facts and pooled evidence take some 40 ms each to read: side by side.
        let (catalogue, posterior) = std::thread::scope(|scope| {
            let posterior = scope.spawn(plan::shipped_posterior);
            (Catalogue::with_own(&own), posterior.join())
        });
        let catalogue = catalogue.map_err(|issues| Problem::of_issues(&issues))?;
        let broken = |what: String| Problem::fault(what, "install the program anew");
        let pooled = posterior
            .map_err(|_| broken("reading the pooled evidence stopped".to_owned()))?
            .map_err(|e| broken(e.to_string()))?;
        let pooled = self.own_fit(&catalogue).unwrap_or(pooled);
        if own.is_empty() {
            return Ok(Grounds { catalogue, posterior: pooled, words: Vec::new(), state });
        }
        let own = plan::with_own_results(&pooled, &catalogue, &World::new(1)).map_err(|e| {
            Problem::wrong("own rows", e.to_string(), "arms that can be pooled", "correct the own rows")
        })?;
        Ok(Grounds { catalogue, posterior: own.posterior, words: own.words, state })
    }

    /// A fit of the practice's own library, while it belongs to exactly these studies.
    fn own_fit(&self, catalogue: &Catalogue) -> Option<Posterior> {
        let text = std::fs::read_to_string(self.folder.join("posterior.json")).ok()?;
        let fit: Posterior = serde_json::from_str(&text).ok()?;
        plan::is_current(&fit, catalogue).then_some(fit)
    }
}

fn tables(folder: &Path) -> Result<Vec<(String, String)>, Problem> {
    let failed = |e: std::io::Error| {
        Problem::fault(format!("own rows cannot be read: {e}"), "check that the folder is there and yours")
    };
    let mut paths: Vec<PathBuf> = std::fs::read_dir(folder).map_err(failed)?.flatten().map(|e| e.path()).collect();
    paths.retain(|p| p.extension().and_then(|e| e.to_str()).is_some_and(|e| ["csv", "toml"].contains(&e)));
    paths.sort();
    let name = |p: &Path| p.file_name().map(|n| n.to_string_lossy().into_owned()).unwrap_or_default();
    paths.iter().map(|p| Ok((name(p), std::fs::read_to_string(p).map_err(failed)?))).collect()
}

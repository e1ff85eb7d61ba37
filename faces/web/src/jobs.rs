//! Long work: begun by a request, done beside the server, watched and stopped from anywhere, remembered over a restart.
//!
//! A job's state stands in `jobs/<id>.json` in the folder of the sheets and is written at every change of state. After a restart
//! finished jobs are told as before; one that was running is begun again from its request, since all work here is computed from
//! what is kept; one that was cut off three times is given up.

use crate::problem::Problem;
use crate::sheets::{guard, now, replace};
use answer::Progress;
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};
use serde_json::Value;
use std::collections::BTreeMap;
use std::fs;
use std::ops::ControlFlow;
use std::path::{Path, PathBuf};
use std::sync::atomic::{AtomicBool, Ordering};
use std::sync::{Arc, Mutex};
use tokio::sync::watch;

/// Jobs remembered at most; older finished ones are forgotten.
const MOST: usize = 200;
/// Jobs running at once: a planning machine is also a reception desk.
const AT_ONCE: usize = 2;
/// How often a job is begun again after its server stopped in the midst of it.
const CUT_OFF_AT_MOST: u32 = 3;

/// What a job does.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(tag = "kind", rename_all = "snake_case")]
pub enum Work {
    /// A plan with all draws, open questions for all options, and what would change it.
    Plan {
        /// The sheet.
        sheet: String,
    },
    /// A file that was sent is read and entered in its sheet.
    File {
        /// The sheet.
        sheet: String,
        /// Its name beside the case.
        name: String,
        /// `scan`, `photo` or `csv`.
        what: String,
        /// The tooth of a scan.
        #[serde(default)]
        tooth: Option<u8>,
    },
    /// Every paper of a sheet, as they print.
    Papers {
        /// The sheet.
        sheet: String,
        /// The option they are for.
        #[serde(default)]
        option: Option<String>,
    },
    /// Stress of an option by finite elements of its own form; a mesh `stress` comes of it.
    Stress {
        /// The sheet.
        sheet: String,
        /// Id of the option; else the first with a brittle body.
        #[serde(default)]
        option: Option<String>,
        /// Edge of a cell, 0.5 to 1.5 mm; else 0.8.
        #[serde(default)]
        cell: Option<f64>,
    },
    /// The pooled evidence fitted anew to the library with the practice's own rows.
    Refit,
    /// A table that was sent is taken into the register. Rows of patients stay in memory: neither the table nor what was told of it is kept on disk.
    Import {
        /// Only say what would be taken.
        dry_run: bool,
    },
}

impl Work {
    /// True where rows of patients are worked on: they and what is told of them stay in memory, and the work is not begun again without them.
    fn stays_in_memory(&self) -> bool {
        matches!(self, Self::Import { .. })
    }
}

/// How far a job has come.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "snake_case")]
pub enum State {
    /// Not begun.
    Waiting,
    /// Under way.
    Running,
    /// Done; the result stands.
    Done,
    /// Not done; `error` says why.
    Failed,
    /// Stopped by whoever asked.
    Cancelled,
}

/// A job.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct Job {
    /// Its name in addresses.
    pub id: String,
    /// What it does.
    #[serde(flatten)]
    pub work: Work,
    /// How far it has come.
    pub state: State,
    /// Share done, 0 to 1.
    pub progress: f64,
    /// In words.
    pub words: String,
    /// What came of it.
    #[serde(default)]
    pub result: Option<Value>,
    /// Why nothing came of it.
    #[serde(default)]
    pub error: Option<Value>,
    /// When it was begun, seconds since 1970.
    pub begun: u64,
    /// How often a server stopped while it was under way.
    #[serde(default)]
    pub cut_off: u32,
}

impl Job {
    /// True once nothing more will change.
    pub fn is_over(&self) -> bool {
        matches!(self.state, State::Done | State::Failed | State::Cancelled)
    }
}

struct Held {
    told: watch::Sender<Job>,
    stop: Arc<AtomicBool>,
}

/// All jobs.
pub struct Jobs {
    folder: PathBuf,
    held: Mutex<BTreeMap<String, Held>>,
    room: Arc<tokio::sync::Semaphore>,
}

/// Told of progress by the work, asks whether to go on.
pub struct Meter {
    told: watch::Sender<Job>,
    stop: Arc<AtomicBool>,
}

impl Meter {
    /// What is being done, in words.
    pub fn tell(&self, words: &str) {
        self.told.send_if_modified(|job| {
            let other = job.words != words;
            if other {
                words.clone_into(&mut job.words);
            }
            other
        });
    }
}

impl Progress for Meter {
    fn step(&self, done: usize, total: usize) -> ControlFlow<()> {
        let share = done as f64 / total.max(1) as f64;
        self.told.send_if_modified(|job| {
            let further = share > job.progress + 0.005;
            if further {
                job.progress = share.min(1.0);
            }
            further
        });
        if self.stop.load(Ordering::Relaxed) { ControlFlow::Break(()) } else { ControlFlow::Continue(()) }
    }
}

impl Jobs {
    /// The jobs of a folder, as they stood when it was last used.
    ///
    /// # Errors
    /// When the folder cannot be made or read.
    pub fn open(cases: &Path) -> std::io::Result<Self> {
        let folder = cases.join("jobs");
        fs::create_dir_all(&folder)?;
        let mut held = BTreeMap::new();
        for entry in fs::read_dir(&folder)?.flatten() {
            let job = fs::read(entry.path()).ok().and_then(|bytes| serde_json::from_slice::<Job>(&bytes).ok());
            if let Some(mut job) = job {
                let lost = job.work.stays_in_memory() && !job.is_over();
                if lost || job.state == State::Running {
                    taken_up(&mut job);
                    // Counted before it is begun: work that ends the server must not do so at every start.
                    replace(&entry.path(), &serde_json::to_vec(&job)?)?;
                }
                held.insert(job.id.clone(), Held { told: watch::Sender::new(job), stop: Arc::default() });
            }
        }
        Ok(Self { folder, held: Mutex::new(held), room: Arc::new(tokio::sync::Semaphore::new(AT_ONCE)) })
    }

    /// Jobs that were not over when the server stopped.
    pub fn left_over(&self) -> Vec<Job> {
        self.list().into_iter().filter(|j| !j.is_over()).collect()
    }

    /// All jobs, the newest first.
    pub fn list(&self) -> Vec<Job> {
        let mut list: Vec<Job> = guard(&self.held).values().map(|h| h.told.borrow().clone()).collect();
        list.sort_by(|a, b| b.begun.cmp(&a.begun).then(a.id.cmp(&b.id)));
        list
    }

    /// A job as it stands.
    pub fn get(&self, id: &str) -> Option<Job> {
        guard(&self.held).get(id).map(|h| h.told.borrow().clone())
    }

    /// What is told of a job from now on.
    pub fn watch(&self, id: &str) -> Option<watch::Receiver<Job>> {
        guard(&self.held).get(id).map(|h| h.told.subscribe())
    }

    /// Asks a job to stop; `None` where there is none.
    pub fn cancel(&self, id: &str) -> Option<Job> {
        let held = guard(&self.held);
        let one = held.get(id)?;
        one.stop.store(true, Ordering::Relaxed);
        let waiting = one.told.borrow().state == State::Waiting;
        if waiting {
            one.told
                .send_modify(|job| (job.state, job.words) = (State::Cancelled, "stopped before it began".to_owned()));
            self.keep(&one.told.borrow());
        }
        Some(one.told.borrow().clone())
    }

    /// A new job, waiting.
    ///
    /// # Errors
    /// When it cannot be kept.
    pub fn enter(&self, work: Work) -> Result<Job, Problem> {
        let mut bytes = [0; 6];
        getrandom::fill(&mut bytes).map_err(|e| Problem::fault(e.to_string(), "try again"))?;
        let id: String = bytes.iter().map(|b| format!("{b:02x}")).collect();
        let job = Job {
            id: id.clone(),
            work,
            state: State::Waiting,
            progress: 0.0,
            words: "waiting".to_owned(),
            result: None,
            error: None,
            begun: now(),
            cut_off: 0,
        };
        self.keep(&job);
        let mut held = guard(&self.held);
        held.insert(id, Held { told: watch::Sender::new(job.clone()), stop: Arc::default() });
        self.forget_old(&mut held);
        Ok(job)
    }

    /// Runs a job that waits (or was cut off) when there is room; returns at once.
    pub fn run<W>(self: &Arc<Self>, id: &str, work: W)
    where
        W: FnOnce(&Meter) -> Result<(String, Value), Problem> + Send + 'static,
    {
        let Some((told, stop)) = guard(&self.held).get(id).map(|h| (h.told.clone(), h.stop.clone())) else { return };
        let jobs = self.clone();
        tokio::spawn(async move {
            // The semaphore is never closed; without a permit the work would only crowd, not fail.
            let _permit = jobs.room.clone().acquire_owned().await.ok();
            if told.borrow().state == State::Cancelled {
                return;
            }
            told.send_modify(|job| {
                (job.state, job.progress, job.words) = (State::Running, 0.0, "under way".to_owned())
            });
            jobs.keep(&told.borrow());
            let meter = Meter { told: told.clone(), stop: stop.clone() };
            let done = tokio::task::spawn_blocking(move || work(&meter)).await;
            told.send_modify(|job| finish(job, done, stop.load(Ordering::Relaxed)));
            jobs.keep(&told.borrow());
        });
    }

    fn keep(&self, job: &Job) {
        // A state that cannot be written is still told to whoever watches; after a restart the job would be done again.
        let bytes = if job.work.stays_in_memory() { serde_json::to_vec(&bare(job)) } else { serde_json::to_vec(job) };
        if let Ok(bytes) = bytes {
            let _ = replace(&self.folder.join(format!("{}.json", job.id)), &bytes);
        }
    }

    fn forget_old(&self, held: &mut BTreeMap<String, Held>) {
        while held.len() > MOST {
            let over = held.iter().filter(|(_, h)| h.told.borrow().is_over());
            let oldest = over.min_by_key(|(_, h)| h.told.borrow().begun).map(|(id, _)| id.clone());
            let Some(id) = oldest else { return };
            held.remove(&id);
            let _ = fs::remove_file(self.folder.join(format!("{id}.json")));
        }
    }
}

/// A job without what was told of it.
fn bare(job: &Job) -> Job {
    let mut words = job.words.clone();
    if job.state == State::Failed {
        "the table was not taken; send it again to be told why".clone_into(&mut words);
    }
    Job { id: job.id.clone(), work: job.work.clone(), result: None, error: None, words, ..*job }
}

/// A job that was under way when its server stopped waits again, unless it was so too often or what it works on went with the server.
fn taken_up(job: &mut Job) {
    job.cut_off += 1;
    (job.state, job.words) = if job.work.stays_in_memory() {
        let words =
            "the server stopped before the table was taken in: send it again; what stands already is not entered twice";
        (State::Failed, words.to_owned())
    } else if job.cut_off < CUT_OFF_AT_MOST {
        (State::Waiting, "cut off when the server stopped; begun again".to_owned())
    } else {
        (State::Failed, "the server stopped in the midst of it again and again; begin it anew if you wish".to_owned())
    };
}

type Outcome = Result<Result<(String, Value), Problem>, tokio::task::JoinError>;

fn finish(job: &mut Job, done: Outcome, asked_to_stop: bool) {
    match done {
        Ok(Ok((words, result))) => {
            (job.state, job.progress, job.words, job.result) = (State::Done, 1.0, words, Some(result));
        }
        Ok(Err(_)) if asked_to_stop => {
            (job.state, job.words) = (State::Cancelled, "stopped; nothing was kept of it".to_owned());
        }
        Ok(Err(problem)) => {
            job.words.clone_from(&problem.what);
            (job.state, job.error) = (State::Failed, serde_json::to_value(&problem).ok());
        }
        Err(_) => {
            job.words = "the work broke off: this is a defect of the program".to_owned();
            job.state = State::Failed;
        }
    }
}

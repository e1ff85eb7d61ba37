//! `bisque register`: what happened to the restorations a practice placed, one file a kind of work.

mod aggregate;
mod audit;
mod enter;
mod exchange;
mod pooled;
mod recall;
mod report;
mod watch;

use crate::args::{RegisterArgs, RegisterCommand};
use crate::failure::Failure;
use crate::files;
use ::register::{Author, Criteria, Day, NotDone, NotEntered, NotTaken, Rules, Work};
use std::path::Path;
use std::time::{SystemTime, UNIX_EPOCH};
use store::{Keeper, Place, StoreError};

/// Where the register stands when nothing else is said.
const USUAL_PLACE: &str = "register.bisque";

/// What all commands share.
struct Desk {
    place: Place,
    passphrase: Option<String>,
    author: Author,
    today: Day,
    criteria: Criteria,
    json: bool,
}

impl Desk {
    fn set_up(args: &RegisterArgs, data: Option<&Path>) -> Result<Self, Failure> {
        let env = |name: &str| std::env::var(name).ok().filter(|v| !v.is_empty());
        let passphrase = match &args.passphrase_file {
            Some(file) => Some(files::read(file)?.lines().next().unwrap_or_default().to_owned()),
            None => env("BISQUE_PASSPHRASE"),
        };
        let now = SystemTime::now().duration_since(UNIX_EPOCH).unwrap_or_default();
        let today = match &args.today {
            Some(text) => day(text)?,
            None => Day::from_number(i32::try_from(now.as_secs() / 86_400).unwrap_or(0)),
        };
        let who = args.who.clone().or_else(|| env("BISQUE_WHO")).or_else(|| env("USER")).unwrap_or("unknown".into());
        Ok(Self {
            place: Place::parse(&args.store.clone().or_else(|| env("BISQUE_STORE")).unwrap_or(USUAL_PLACE.into())),
            passphrase,
            author: Author { who, at_ms: i64::try_from(now.as_millis()).unwrap_or(0) },
            today,
            criteria: Criteria::of(&super::facts(data)?),
            json: args.json,
        })
    }

    fn open(&self) -> Result<Keeper, Failure> {
        Ok(Keeper::open(&self.place, self.passphrase.as_deref())?)
    }

    fn rules(&self) -> Rules<'_> {
        Rules { criteria: &self.criteria, today: self.today }
    }

    /// A day's work at this desk.
    fn work<'a>(&'a self, keeper: &'a mut Keeper) -> Work<'a, Keeper> {
        Work { store: keeper, author: &self.author, rules: self.rules() }
    }
}

/// Runs a `register` command.
pub fn run(args: &RegisterArgs, data: Option<&Path>) -> Result<(), Failure> {
    let desk = Desk::set_up(args, data)?;
    match &args.command {
        RegisterCommand::Init { invented, seed } => exchange::init(&desk, *invented, *seed),
        RegisterCommand::Place(place) => enter::place(&desk, place),
        RegisterCommand::Tryin(try_in) => enter::try_in(&desk, try_in),
        RegisterCommand::Recall(args) => recall::run(&desk, args),
        RegisterCommand::Event(event) => enter::event(&desk, event),
        RegisterCommand::Import { file, layout, dry_run } => exchange::import(&desk, file, layout, *dry_run),
        RegisterCommand::Export { file } => exchange::export(&desk, file),
        RegisterCommand::Backup { file } => exchange::backup(&desk, file),
        RegisterCommand::Restore { file } => exchange::restore(&desk, file),
        RegisterCommand::Audit(audit) => audit::run(&desk, audit, data),
        RegisterCommand::Watch { false_alarm, out, png } => watch::run(&desk, *false_alarm, out.as_deref(), *png),
        RegisterCommand::Aggregate { out, name, least } => aggregate::run(&desk, out.as_deref(), name, *least),
        RegisterCommand::Report { out } => report::run(&desk, out, data),
        RegisterCommand::History { kind, key } => enter::history(&desk, kind, key),
    }
}

/// A day as a person writes it.
fn day(text: &str) -> Result<Day, Failure> {
    Day::parse(text).map_err(|e| Failure::Usage(format!("{e}, e.g. 2026-03-31")))
}

/// A word of a closed list, or a refusal that names the list.
fn word<T: Copy>(what: &str, text: &str, all: &[T], word: impl Fn(T) -> &'static str) -> Result<T, Failure> {
    all.iter().copied().find(|t| word(*t) == text).ok_or_else(|| {
        let list: Vec<&str> = all.iter().map(|t| word(*t)).collect();
        let part = || list.iter().copied().find(|w| text.len() > 2 && w.split('_').any(|part| part == text));
        let near = answer::nearest_name(text, list.iter().copied()).or_else(part);
        let hint = near.map_or(String::new(), |n| format!("; did you mean `{n}`?"));
        Failure::Usage(format!("`{text}` is no {what}; expected one of {}{hint}", list.join(", ")))
    })
}

impl From<picture::Undrawable> for Failure {
    fn from(error: picture::Undrawable) -> Self {
        Self::Usage(format!("nothing to draw: {error}"))
    }
}

impl From<NotTaken<StoreError>> for Failure {
    fn from(error: NotTaken<StoreError>) -> Self {
        match error {
            NotTaken::Interrupted(stopped) => stopped.into(),
            NotTaken::Store(error) => error.into(),
        }
    }
}

impl From<NotDone<StoreError>> for Failure {
    fn from(error: NotDone<StoreError>) -> Self {
        match error {
            NotDone::NotEntered(NotEntered::Refused(issues)) => Self::Input { issues, text: None },
            NotDone::NotEntered(NotEntered::Store(error)) => error.into(),
            other => Self::Usage(other.to_string()),
        }
    }
}

impl From<StoreError> for Failure {
    fn from(error: StoreError) -> Self {
        Self::Store(Box::new(error))
    }
}

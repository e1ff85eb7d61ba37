//! What happened to the restorations a practice placed: events, recalls, audit and watch. No disk: where it is kept is a [`Store`].
//!
//! Entry points: [`Record`] and [`enter`] (what is kept, checked before it is written); [`Work`] (a day's work); [`standing`] (how survival and success are
//! defined); [`Counting`] (counts that come back instead of rows).

mod arms;
mod audit;
mod chart;
mod checks;
pub mod counting;
mod criteria;
mod day;
mod enter;
mod import;
mod invent;
mod keeping;
mod record;
mod standing;
pub mod watch;
pub mod words;
mod work;

pub use arms::{ArmTable, LEAST, arm_table};
pub use audit::{CauseOverTime, DropOuts, FunnelUnit, GroupAudit, LEVEL, SMALL, ShareAt, audit, funnel};
pub use chart::{Chart, Held};
pub use checks::{ADJUSTED_MINUTES, refusals};
pub use counting::Counting;
pub use criteria::{Criteria, Finding};
pub use day::{DAYS_A_YEAR, Day, DayForm, NoDay};
pub use enter::{Entered, NotEntered, Rules, enter, lay, lay_one, writing};
pub use import::{Import, Layout, NotTaken, Refused, Taken};
pub use invent::{Invented, invent};
pub use keeping::{Author, Store, Told, Trouble, Writing};
pub use record::{Event, Kept, Patient, Recall, Record, Restoration, SCHEMA, Score, TryIn};
pub use standing::{Standing, standing};
pub use watch::Watched;
pub use work::{Done, NotDone, Work};

/// The trade's own words that records are made of, for those who keep records and import no catalogue.
pub mod trade {
    pub use catalogue::words::{Build, Cause, Construct, Grade, Material, Region, Tooth};

    /// A tooth by its two-digit code.
    pub fn tooth(code: &str) -> Option<Tooth> {
        code.parse::<u8>().ok().and_then(|c| Tooth::new(c).ok())
    }
}

//! A day's work at a register: what was ordered or placed, how a try-in went, who was seen, what went wrong. Each finds the chart, gives the record its
//! key and enters it; what speaks against it is told by [`enter`].
//!
//! Keys tell teeth and day, never the pseudonym: `R20260331-46`, its first try-in `R20260331-46.t1`, a recall by the number of its day
//! `.c20543`, the first event `.e1`.

use crate::chart::Chart;
use crate::day::Day;
use crate::enter::{NotEntered, Rules, enter};
use crate::keeping::{Author, Store};
use crate::record::{Event, Kept, Recall, Record, Restoration, Score, TryIn};
use crate::words::Scheme;

/// Who does a day's work, and where.
pub struct Work<'a, S: Store> {
    /// Where the register is kept.
    pub store: &'a mut S,
    /// Who writes, and when.
    pub author: &'a Author,
    /// By which rules.
    pub rules: Rules<'a>,
}

/// What was done.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Done {
    /// Key of the restoration, or the patient's pseudonym.
    pub key: String,
    /// In words.
    pub words: String,
}

/// Why nothing was done.
#[derive(Debug, thiserror::Error)]
pub enum NotDone<E: std::error::Error> {
    /// No such restoration.
    #[error("no restoration `{0}` in this register")]
    Unknown(String),
    /// No such patient.
    #[error("no patient `{0}` in this register")]
    UnknownPatient(String),
    /// It is in already.
    #[error("{key} was placed on {on} already; to correct the day, give --correct and --day")]
    PlacedAlready {
        /// Its key.
        key: String,
        /// When.
        on: Day,
    },
    /// A thousand entries of one day and tooth.
    #[error("no free key for this day: give another day")]
    NoKey,
    /// Nothing new was said of a patient.
    #[error("what happened? Give --died DAY or --left DAY")]
    NothingSaid,
    /// What [`enter`] refuses.
    #[error(transparent)]
    NotEntered(#[from] NotEntered<E>),
}

impl<E: std::error::Error> NotDone<E> {
    fn store(error: E) -> Self {
        Self::NotEntered(NotEntered::Store(error))
    }
}

type Outcome<S> = Result<Done, NotDone<<S as Store>::Error>>;

impl<S: Store> Work<'_, S> {
    /// Chart of a restoration's patient, with the pseudonym.
    ///
    /// # Errors
    /// [`NotDone`]: there is no such restoration, or the store failed.
    pub fn chart_of(&mut self, key: &str) -> Result<(String, Chart), NotDone<S::Error>> {
        let unknown = || NotDone::Unknown(key.to_owned());
        let patient = self.store.patient_of(key).map_err(NotDone::store)?.ok_or_else(unknown)?;
        Ok((patient.clone(), self.chart(&patient)?.ok_or_else(unknown)?))
    }

    fn chart(&mut self, patient: &str) -> Result<Option<Chart>, NotDone<S::Error>> {
        Ok(self.store.charts(&[patient.to_owned()]).map_err(NotDone::store)?.pop())
    }

    /// Enters a restoration that was ordered or placed; its key is made here.
    ///
    /// # Errors
    /// [`NotDone`].
    pub fn place(&mut self, mut restoration: Restoration) -> Outcome<S> {
        let when = restoration.placed.or(restoration.ordered).unwrap_or(self.rules.today);
        restoration.key = self.free_key(&restoration, when)?;
        let (key, patient) = (restoration.key.clone(), restoration.patient.clone());
        let verb = if restoration.placed.is_some() { "placed" } else { "ordered" };
        let words = format!(
            "{key} {verb} on {when}: {}, {}, {}, {}",
            restoration.teeth_words(),
            restoration.construct,
            restoration.material,
            restoration.build
        );
        self.enter(&patient, Kept::new(Record::Restoration(restoration)))?;
        Ok(Done { key, words })
    }

    /// A key tells teeth and day, and counts on where that stands already. The same entry made twice gets another key, and is refused by what
    /// stands on the tooth.
    fn free_key(&mut self, r: &Restoration, on: Day) -> Result<String, NotDone<S::Error>> {
        let (y, m, d) = on.parts();
        let base = format!("R{y:04}{m:02}{d:02}-{}", r.teeth_words());
        for n in 0..1000 {
            let key = if n == 0 { base.clone() } else { format!("{base}-{n}") };
            if self.store.patient_of(&key).map_err(NotDone::store)?.is_none() {
                return Ok(key);
            }
        }
        Err(NotDone::NoKey)
    }

    /// Places a restoration that was entered when it was ordered; `change` says what else is known now. One that is in already is placed anew
    /// only to correct its day.
    ///
    /// # Errors
    /// [`NotDone`].
    pub fn place_ordered(
        &mut self,
        key: &str,
        on: Day,
        correct: bool,
        change: impl FnOnce(&mut Restoration),
    ) -> Outcome<S> {
        let (patient, chart) = self.chart_of(key)?;
        let held = chart.held(key).ok_or_else(|| NotDone::Unknown(key.to_owned()))?;
        let mut value = held.restoration.value.clone();
        if let Some(on) = value.placed.filter(|_| !correct) {
            return Err(NotDone::PlacedAlready { key: key.to_owned(), on });
        }
        value.placed = Some(on);
        change(&mut value);
        self.enter(&patient, Kept { version: held.restoration.version, value: Record::Restoration(value) })?;
        Ok(Done { key: key.to_owned(), words: format!("{key} placed on {on}") })
    }

    /// Enters how a try-in went; its key is made here.
    ///
    /// # Errors
    /// [`NotDone`].
    pub fn try_in(&mut self, mut record: TryIn) -> Outcome<S> {
        let (patient, chart) = self.chart_of(&record.restoration)?;
        let key = record.restoration.clone();
        record.key = format!("{key}.t{}", chart.held(&key).map_or(0, |h| h.try_ins.len()) + 1);
        let words = format!("{key}: {} on {}", record.fit, record.day);
        self.enter(&patient, Kept::new(Record::TryIn(record)))?;
        Ok(Done { key, words })
    }

    /// Enters that a restoration was seen in place.
    ///
    /// # Errors
    /// [`NotDone`].
    pub fn seen(&mut self, key: &str, on: Day, scheme: Option<Scheme>, scores: Vec<Score>) -> Outcome<S> {
        let (patient, _) = self.chart_of(key)?;
        let record = Recall {
            key: format!("{key}.c{}", on.number()),
            restoration: key.to_owned(),
            day: on,
            examiner: Some(self.author.who.clone()),
            scheme,
            scores,
            vital: None,
            note: None,
        };
        self.enter(&patient, Kept::new(Record::Recall(record)))?;
        Ok(Done { key: key.to_owned(), words: format!("seen in place on {on}: {key}") })
    }

    /// Enters something that went wrong; its key is made here.
    ///
    /// # Errors
    /// [`NotDone`].
    pub fn event(&mut self, mut record: Event) -> Outcome<S> {
        let (patient, chart) = self.chart_of(&record.restoration)?;
        let key = record.restoration.clone();
        record.key = format!("{key}.e{}", chart.held(&key).map_or(0, |h| h.events.len()) + 1);
        let words = format!("{key}: {}, {}, found on {}", record.kind, record.consequence, record.found);
        self.enter(&patient, Kept::new(Record::Event(record)))?;
        Ok(Done { key, words })
    }

    /// Enters that a patient died, or is known not to come any more.
    ///
    /// # Errors
    /// [`NotDone`].
    pub fn gone(&mut self, patient: &str, died: Option<Day>, left: Option<Day>) -> Outcome<S> {
        let chart = self.chart(patient)?.ok_or_else(|| NotDone::UnknownPatient(patient.to_owned()))?;
        let mut value = chart.patient.value.clone();
        value.died = died.or(value.died);
        value.left = left.or(value.left);
        if value == chart.patient.value {
            return Err(NotDone::NothingSaid);
        }
        self.enter(patient, Kept { version: chart.patient.version, value: Record::Patient(value) })?;
        Ok(Done { key: patient.to_owned(), words: format!("{patient}: noted") })
    }

    fn enter(&mut self, patient: &str, record: Kept<Record>) -> Result<(), NotDone<S::Error>> {
        enter(self.store, self.author, patient, &[record], self.rules)?;
        Ok(())
    }
}

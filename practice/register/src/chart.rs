//! A patient's chart: the patient, the restorations, and what happened to each. The unit of checking and of writing.

use crate::day::Day;
use crate::record::{Event, Kept, Patient, Recall, Record, Restoration, TryIn};
use serde::{Deserialize, Serialize};

/// A restoration with what happened to it.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Held {
    /// The restoration.
    pub restoration: Kept<Restoration>,
    /// Its try-ins.
    pub try_ins: Vec<Kept<TryIn>>,
    /// Its recalls.
    pub recalls: Vec<Kept<Recall>>,
    /// Its events.
    pub events: Vec<Kept<Event>>,
}

impl Held {
    /// A restoration to which nothing has happened.
    pub fn new(restoration: Kept<Restoration>) -> Self {
        Self { restoration, try_ins: Vec::new(), recalls: Vec::new(), events: Vec::new() }
    }

    /// The event that ended it, where one did: the first by day.
    pub fn ended_by(&self) -> Option<&Event> {
        self.events.iter().map(|e| &e.value).filter(|e| e.consequence.ends_it()).min_by_key(|e| (e.day(), e.found))
    }

    /// Days during which it was in place: from placing to its end, which is open while it stands; none while it is not placed.
    pub fn in_place(&self) -> Option<(Day, Option<Day>)> {
        self.restoration.value.placed.map(|from| (from, self.ended_by().map(Event::day)))
    }
}

/// A patient with all restorations.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Chart {
    /// The patient.
    pub patient: Kept<Patient>,
    /// The restorations.
    pub restorations: Vec<Held>,
}

impl Chart {
    /// A chart without restorations.
    pub fn new(patient: Kept<Patient>) -> Self {
        Self { patient, restorations: Vec::new() }
    }

    /// A restoration by key.
    pub fn held(&self, key: &str) -> Option<&Held> {
        self.restorations.iter().find(|h| h.restoration.value.key == key)
    }

    /// The record of the same kind and key that stands here already, with its version.
    pub fn standing_in_for(&self, record: &Record) -> Option<Kept<Record>> {
        fn found<T: Clone>(
            list: &[Kept<T>],
            key: impl Fn(&T) -> bool,
            wrap: impl Fn(T) -> Record,
        ) -> Option<Kept<Record>> {
            list.iter().find(|k| key(&k.value)).map(|k| Kept { version: k.version, value: wrap(k.value.clone()) })
        }
        match record {
            Record::Patient(p) => {
                let kept = &self.patient;
                (kept.value.code == p.code && kept.version > 0)
                    .then(|| Kept { version: kept.version, value: Record::Patient(kept.value.clone()) })
            }
            Record::Restoration(r) => self.held(&r.key).map(|h| Kept {
                version: h.restoration.version,
                value: Record::Restoration(h.restoration.value.clone()),
            }),
            Record::TryIn(t) => found(&self.held(&t.restoration)?.try_ins, |o| o.key == t.key, Record::TryIn),
            Record::Recall(r) => found(&self.held(&r.restoration)?.recalls, |o| o.key == r.key, Record::Recall),
            Record::Event(e) => found(&self.held(&e.restoration)?.events, |o| o.key == e.key, Record::Event),
        }
    }

    /// Lays a record into the chart, in place of the one with its key; false when its restoration is not here.
    pub fn put(&mut self, record: Kept<Record>) -> bool {
        fn lay<T>(list: &mut Vec<Kept<T>>, kept: Kept<T>, same: impl Fn(&T) -> bool) {
            match list.iter_mut().find(|k| same(&k.value)) {
                Some(old) => *old = kept,
                None => list.push(kept),
            }
        }
        let version = record.version;
        match record.value {
            Record::Patient(value) => self.patient = Kept { version, value },
            Record::Restoration(value) => {
                match self.restorations.iter_mut().find(|h| h.restoration.value.key == value.key) {
                    Some(held) => held.restoration = Kept { version, value },
                    None => self.restorations.push(Held::new(Kept { version, value })),
                }
            }
            Record::TryIn(value) => {
                let Some(held) = self.held_mut(&value.restoration) else { return false };
                let key = value.key.clone();
                lay(&mut held.try_ins, Kept { version, value }, |o| o.key == key);
            }
            Record::Recall(value) => {
                let Some(held) = self.held_mut(&value.restoration) else { return false };
                let key = value.key.clone();
                lay(&mut held.recalls, Kept { version, value }, |o| o.key == key);
            }
            Record::Event(value) => {
                let Some(held) = self.held_mut(&value.restoration) else { return false };
                let key = value.key.clone();
                lay(&mut held.events, Kept { version, value }, |o| o.key == key);
            }
        }
        true
    }

    fn held_mut(&mut self, key: &str) -> Option<&mut Held> {
        self.restorations.iter_mut().find(|h| h.restoration.value.key == key)
    }
}

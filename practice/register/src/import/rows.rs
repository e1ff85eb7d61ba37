//! Rows of a table to records, records to charts, charts to a store.

use super::Layout;
use crate::chart::Chart;
use crate::day::Day;
use crate::enter::{Entered, Rules, lay_one, writing};
use crate::keeping::{Author, Store, Told, Writing};
use crate::record::{Event, Kept, Patient, Recall, Record, Restoration, TryIn};
use crate::words::{Consequence, EventKind, Fit, Misfit, Stage};
use answer::{Issue, Place};
use catalogue::words::{Build, Construct, Material, Tooth};
use std::collections::BTreeMap;
use table::{Row, Table};

/// A row that was not taken.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Refused {
    /// Line in the file.
    pub line: usize,
    /// Why.
    pub issue: Issue,
}

/// What an import did, or would do.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct Taken {
    /// Rows read.
    pub rows: usize,
    /// Records added.
    pub added: usize,
    /// Records that stood there already.
    pub unchanged: usize,
    /// Rows that were not taken, or not wholly, by line.
    pub refused: Vec<Refused>,
}

/// Patients whose charts are read and written at once.
const AT_ONCE: usize = 2_000;

/// Rows as records, by patient.
pub struct Import {
    patients: BTreeMap<String, Vec<(usize, Record)>>,
    file: String,
    taken: Taken,
}

impl Import {
    /// Reads a table by a layout; `today` settles years of two digits.
    ///
    /// # Errors
    /// When the table lacks a mapped column.
    pub fn read(table: &Table, layout: &Layout, today: Day) -> Result<Self, Vec<Issue>> {
        let columns: Vec<&str> = layout.columns.values().map(String::as_str).collect();
        table.require(&columns)?;
        let mut import = Self {
            patients: BTreeMap::new(),
            file: table.file().to_owned(),
            taken: Taken { rows: table.rows().len(), ..Taken::default() },
        };
        for row in table.rows() {
            match (Fields { row, layout, today }).records() {
                Ok((patient, records)) => {
                    let line = row.line();
                    let list = import.patients.entry(patient).or_default();
                    list.extend(records.into_iter().map(|r| (line, r)));
                }
                Err(issue) => import.taken.refused.push(Refused { line: row.line(), issue }),
            }
        }
        Ok(import)
    }

    /// Reads a table's text by a layout.
    ///
    /// # Errors
    /// When the text is no table, or lacks a mapped column.
    pub fn of_text(file: &str, text: &str, layout: &Layout, today: Day) -> Result<Self, Vec<Issue>> {
        Self::read(&Table::parse_separated(file, text, layout.separator)?, layout, today)
    }

    /// Checks everything against the store and writes what can be taken, in one go, unless `dry_run`.
    ///
    /// # Errors
    /// When the store fails; nothing was written then.
    pub fn take<S: Store>(
        mut self,
        store: &mut S,
        author: &Author,
        rules: Rules<'_>,
        dry_run: bool,
    ) -> Result<Taken, S::Error> {
        let mut writings: Vec<Writing> = Vec::new();
        let codes: Vec<String> = self.patients.keys().cloned().collect();
        for part in codes.chunks(AT_ONCE) {
            let mut known: BTreeMap<String, Chart> =
                store.charts(part)?.into_iter().map(|c| (c.patient.value.code.clone(), c)).collect();
            for code in part {
                let chart = known.remove(code).unwrap_or_else(|| Chart::new(Kept::new(Patient::of_code(code))));
                if let Some(writing) = self.one_patient(chart, code, rules) {
                    writings.push(writing);
                }
            }
        }
        self.taken.refused.sort_by_key(|r| r.line);
        if !dry_run && !writings.is_empty() {
            store.write(author, &writings, Told::Batch(&self.file))?;
        }
        Ok(self.taken)
    }

    fn one_patient(&mut self, mut chart: Chart, code: &str, rules: Rules<'_>) -> Option<Writing> {
        let seen = chart.patient.version;
        let mut records = self.patients.remove(code).unwrap_or_default();
        // Restorations first, then what happened to them in the order of time.
        records.sort_by_key(|(line, r)| (order(r), *line));
        let mut changed: Vec<Kept<Record>> = Vec::new();
        let patient = Record::Patient(chart.patient.value.clone());
        if seen == 0 && !records.iter().any(|(_, r)| matches!(r, Record::Patient(_))) {
            let issues = crate::checks::refusals(&chart, &patient, rules.criteria, rules.today);
            if let Some(issue) = issues.into_iter().next() {
                self.refuse_all(&records, &issue);
                return None;
            }
            changed.push(Kept::new(patient));
        }
        for (line, record) in records {
            // Of a patient known already, a file tells only what was not known.
            if matches!(record, Record::Patient(_)) && (seen > 0 || changed.iter().any(|c| c.value == record)) {
                self.taken.unchanged += 1;
                continue;
            }
            let kept = Kept::new(record);
            match lay_one(&mut chart, &kept, rules) {
                Ok(Entered::Unchanged) => self.taken.unchanged += 1,
                Ok(_) => {
                    // Within this import the record stands there now, in its first version.
                    self.taken.added += 1;
                    changed.push(kept);
                }
                Err(issues) => {
                    let place = Place { line: Some(line), file: self.file.clone(), ..Place::default() };
                    for mut issue in issues.into_iter().take(1) {
                        issue.place = Place { field: issue.place.field, ..place.clone() };
                        self.taken.refused.push(Refused { line, issue });
                    }
                }
            }
        }
        let patient_is_there = seen > 0 || changed.iter().any(|c| matches!(c.value, Record::Patient(_)));
        (!changed.is_empty() && patient_is_there).then(|| writing(&chart, seen, changed, rules.criteria))
    }

    fn refuse_all(&mut self, records: &[(usize, Record)], issue: &Issue) {
        let mut lines: Vec<usize> = records.iter().map(|r| r.0).collect();
        lines.dedup();
        for line in lines {
            let place =
                Place { line: Some(line), file: self.file.clone(), field: issue.place.field.clone(), column: None };
            self.taken.refused.push(Refused { line, issue: Issue { place, ..issue.clone() } });
        }
    }
}

fn order(record: &Record) -> (u8, Day) {
    let first = Day::from_number(i32::MIN);
    match record {
        Record::Patient(_) => (0, first),
        Record::Restoration(r) => (1, r.placed.unwrap_or(first)),
        Record::TryIn(t) => (2, t.day),
        // A recall of the day on which an end was found came before it.
        Record::Recall(r) => (3, r.day),
        Record::Event(e) => (4, e.found),
    }
}

/// The fields of one row.
struct Fields<'a> {
    row: &'a Row,
    layout: &'a Layout,
    today: Day,
}

impl Fields<'_> {
    /// The field's text in our words; none when it is neither mapped, fixed nor filled.
    fn text(&self, field: &str) -> Option<&str> {
        match self.layout.columns.get(field).and_then(|column| self.row.maybe(column)) {
            Some(cell) => match self.layout.words.get(field).and_then(|words| words.get(cell)) {
                Some(word) => Some(word.as_str()).filter(|w| !w.is_empty()),
                None => Some(cell),
            },
            None => self.layout.fixed.get(field).map(String::as_str),
        }
    }

    fn refuse(&self, field: &str, found: String, expected: String, remedy: &str) -> Issue {
        let column = self.layout.columns.get(field).map_or(field, String::as_str);
        let place = Place {
            file: self.row.file().to_owned(),
            line: Some(self.row.line()),
            field: column.to_owned(),
            column: None,
        };
        Issue::error(place, found, expected, remedy)
    }

    fn need(&self, field: &str) -> Result<&str, Issue> {
        self.text(field).ok_or_else(|| {
            self.refuse(
                field,
                "the cell is empty".into(),
                format!("a value for `{field}`"),
                "fill it in, or fix a value in the layout",
            )
        })
    }

    fn day(&self, field: &str) -> Result<Option<Day>, Issue> {
        let Some(text) = self.text(field) else { return Ok(None) };
        self.layout.dates.read(text, self.today.year()).map(Some).map_err(|e| {
            self.refuse(
                field,
                format!("`{text}`"),
                format!("a day written {}", e.form),
                "correct the day, or `dates` in the layout",
            )
        })
    }

    fn word<T: Copy>(&self, field: &str, all: &[T], word: impl Fn(T) -> &'static str) -> Result<T, Issue> {
        let text = self.need(field)?;
        all.iter().copied().find(|t| word(*t) == text).ok_or_else(|| {
            let list: Vec<&str> = all.iter().map(|t| word(*t)).collect();
            let near = answer::nearest_name(text, list.iter().copied());
            let remedy = near.map_or_else(
                || format!("say in [words.{field}] what `{text}` means"),
                |n| format!("did you mean `{n}`? or say in [words.{field}] what `{text}` means"),
            );
            self.refuse(field, format!("`{text}`"), list.join(", "), &remedy)
        })
    }

    fn maybe_word<T: Copy>(
        &self,
        field: &str,
        all: &[T],
        word: impl Fn(T) -> &'static str,
    ) -> Result<Option<T>, Issue> {
        if self.text(field).is_none() { Ok(None) } else { self.word(field, all, word).map(Some) }
    }

    fn teeth(&self) -> Result<Vec<Tooth>, Issue> {
        let text = self.need("teeth")?;
        let parts = text.split(|c: char| !c.is_ascii_digit()).filter(|p| !p.is_empty());
        let teeth: Option<Vec<Tooth>> = parts.map(|p| p.parse().ok().and_then(|c: u8| Tooth::new(c).ok())).collect();
        teeth.filter(|t| !t.is_empty()).ok_or_else(|| {
            self.refuse(
                "teeth",
                format!("`{text}`"),
                "two-digit codes (ISO 3950), e.g. 46 or 45.46.47".into(),
                "correct the codes",
            )
        })
    }

    fn own(&self, field: &str) -> Option<String> {
        self.text(field).map(str::to_owned)
    }

    fn records(&self) -> Result<(String, Vec<Record>), Issue> {
        let patient = self.need("patient")?.to_owned();
        let mut records = Vec::new();
        let (died, left) = (self.day("died")?, self.day("left")?);
        let birth_year = match self.text("birth_year") {
            None => None,
            Some(text) => Some(text.parse::<i32>().map_err(|_| {
                self.refuse("birth_year", format!("`{text}`"), "a year of four digits".into(), "correct the year")
            })?),
        };
        if died.is_some() || left.is_some() || birth_year.is_some() {
            records.push(Record::Patient(Patient { birth_year, died, left, ..Patient::of_code(&patient) }));
        }
        let key = self.restoration(&patient, &mut records)?;
        self.try_in(&key, &mut records)?;
        for field in ["recall", "last_seen"] {
            if let Some(day) = self.day(field)? {
                records.push(Record::Recall(Recall {
                    key: format!("{key}.c{}", day.number()),
                    restoration: key.clone(),
                    day,
                    examiner: None,
                    scheme: None,
                    scores: Vec::new(),
                    vital: None,
                    note: None,
                }));
            }
        }
        self.event(&key, &mut records)?;
        Ok((patient, records))
    }

    fn restoration(&self, patient: &str, records: &mut Vec<Record>) -> Result<String, Issue> {
        let (planned, ordered, placed) = (self.day("planned")?, self.day("ordered")?, self.day("placed")?);
        if placed.is_none() && ordered.is_none() && planned.is_none() {
            return self.need("restoration").map(str::to_owned);
        }
        let teeth = self.teeth()?;
        let day = placed.or(ordered).or(planned).map_or(0, Day::number);
        let words: Vec<String> = teeth.iter().map(ToString::to_string).collect();
        let key = self.own("restoration").unwrap_or_else(|| made_key(&format!("{patient}|{}|{day}", words.join("."))));
        records.push(Record::Restoration(Restoration {
            key: key.clone(),
            patient: patient.to_owned(),
            teeth,
            construct: self.word("construct", Construct::ALL, Construct::word)?,
            material: self.word("material", Material::ALL, Material::word)?,
            build: self.word("build", Build::ALL, Build::word)?,
            grade: None,
            dimensions: Vec::new(),
            laboratory: self.own("laboratory"),
            cement: self.own("cement"),
            operator: self.own("operator"),
            planned,
            ordered,
            placed,
            option: None,
            note: self.own("note"),
        }));
        Ok(key)
    }

    fn try_in(&self, key: &str, records: &mut Vec<Record>) -> Result<(), Issue> {
        let Some(day) = self.day("try_in")? else { return Ok(()) };
        let misfit = self.maybe_word("misfit", Misfit::ALL, Misfit::word)?;
        let minutes = match self.text("minutes") {
            None => None,
            Some(text) => {
                Some(text.replace(',', ".").parse::<f64>().ok().filter(|m| m.is_finite()).ok_or_else(|| {
                    self.refuse("minutes", format!("`{text}`"), "a number of minutes".into(), "correct the number")
                })?)
            }
        };
        records.push(Record::TryIn(TryIn {
            key: format!("{key}.t{}", day.number()),
            restoration: key.to_owned(),
            day,
            stage: self.maybe_word("stage", Stage::ALL, Stage::word)?.unwrap_or(Stage::Finished),
            fit: self.word("fit", Fit::ALL, Fit::word)?,
            causes: misfit.into_iter().collect(),
            minutes,
            note: None,
        }));
        Ok(())
    }

    fn event(&self, key: &str, records: &mut Vec<Record>) -> Result<(), Issue> {
        let (found, happened) = (self.day("event_found")?, self.day("event_happened")?);
        let Some(found) = found.or(happened) else { return Ok(()) };
        let kind = self.word("event", EventKind::ALL, EventKind::word)?;
        let grade = match self.text("chip_grade") {
            None => None,
            Some(text) => Some(text.parse::<u8>().map_err(|_| {
                self.refuse("chip_grade", format!("`{text}`"), "1, 2 or 3".into(), "correct the grade")
            })?),
        };
        records.push(Record::Event(Event {
            key: format!("{key}.e{}.{}", found.number(), kind.word()),
            restoration: key.to_owned(),
            found,
            happened,
            kind,
            grade: grade.filter(|_| kind == EventKind::Chip),
            consequence: self.word("consequence", Consequence::ALL, Consequence::word)?,
            note: None,
        }));
        Ok(())
    }
}

/// A key made from a text: 64 bits of FNV-1a (Fowler, Noll, Vo), the same for the same text.
pub(crate) fn made_key(text: &str) -> String {
    let hash = text.bytes().fold(0xcbf2_9ce4_8422_2325_u64, |h, b| (h ^ u64::from(b)).wrapping_mul(0x0100_0000_01b3));
    format!("R{hash:016x}")
}

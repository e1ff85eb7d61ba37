//! One row of a table to records, by a layout.

use super::Layout;
use super::layout::Field;
use crate::day::{Day, DayForm};
use crate::record::{Event, Patient, Recall, Record, Restoration, TryIn};
use crate::words::{Consequence, EventKind, Fit, Misfit, Stage};
use answer::{Issue, Place};
use catalogue::words::{Build, Construct, Material, Tooth};
use std::collections::BTreeMap;
use table::{Row, Table};

/// Where a field of all rows comes from.
#[derive(Clone, Copy, Default)]
struct Source<'a> {
    /// Column by name and number.
    column: Option<(&'a str, usize)>,
    /// Value where the column says nothing.
    fixed: Option<&'a str>,
    /// What the file's words mean.
    words: Option<&'a BTreeMap<String, String>>,
}

/// A layout laid over the columns of a table, by [`Field`]: looked up once, not in every row.
pub(super) struct Reading<'a> {
    sources: Vec<Source<'a>>,
    dates: &'a DayForm,
    this_year: i32,
}

impl<'a> Reading<'a> {
    pub(super) fn new(table: &Table, layout: &'a Layout, today: Day) -> Self {
        let source = |field: &Field| {
            let column = layout.columns.get(field.word()).map(String::as_str);
            Source {
                column: column.and_then(|c| Some((c, table.place_of(c)?))),
                fixed: layout.fixed.get(field.word()).map(String::as_str),
                words: layout.words.get(field.word()),
            }
        };
        Self { sources: Field::ALL.iter().map(source).collect(), dates: &layout.dates, this_year: today.year() }
    }
}

/// The fields of one row.
pub(super) struct Fields<'a> {
    /// The row.
    pub(super) row: &'a Row,
    /// How it is read.
    pub(super) reading: &'a Reading<'a>,
}

impl Fields<'_> {
    fn source(&self, field: Field) -> Source<'_> {
        self.reading.sources.get(field as usize).copied().unwrap_or_default()
    }

    /// The field's text in our words; none when it is neither mapped, fixed nor filled.
    fn text(&self, field: Field) -> Option<&str> {
        let source = self.source(field);
        match source.column.and_then(|(_, at)| self.row.at(at)) {
            Some(cell) => match source.words.and_then(|words| words.get(cell)) {
                Some(word) => Some(word.as_str()).filter(|w| !w.is_empty()),
                None => Some(cell),
            },
            None => source.fixed,
        }
    }

    fn refuse(&self, field: Field, found: String, expected: String, remedy: &str) -> Issue {
        let column = self.source(field).column.map_or(field.word(), |c| c.0);
        let place = Place {
            file: self.row.file().to_owned(),
            line: Some(self.row.line()),
            field: column.to_owned(),
            column: None,
        };
        Issue::error(place, found, expected, remedy)
    }

    fn need(&self, field: Field) -> Result<&str, Issue> {
        self.text(field).ok_or_else(|| {
            self.refuse(
                field,
                "the cell is empty".into(),
                format!("a value for `{}`", field.word()),
                "fill it in, or fix a value in the layout",
            )
        })
    }

    fn day(&self, field: Field) -> Result<Option<Day>, Issue> {
        let Some(text) = self.text(field) else { return Ok(None) };
        self.reading.dates.read(text, self.reading.this_year).map(Some).map_err(|e| {
            self.refuse(
                field,
                format!("`{text}`"),
                format!("a day written {}", e.form),
                "correct the day, or `dates` in the layout",
            )
        })
    }

    fn word<T: Copy>(&self, field: Field, all: &[T], word: impl Fn(T) -> &'static str) -> Result<T, Issue> {
        let text = self.need(field)?;
        all.iter().copied().find(|t| word(*t) == text).ok_or_else(|| {
            let list: Vec<&str> = all.iter().map(|t| word(*t)).collect();
            let near = answer::nearest_name(text, list.iter().copied());
            let name = field.word();
            let remedy = near.map_or_else(
                || format!("say in [words.{name}] what `{text}` means"),
                |n| format!("did you mean `{n}`? or say in [words.{name}] what `{text}` means"),
            );
            self.refuse(field, format!("`{text}`"), list.join(", "), &remedy)
        })
    }

    fn maybe_word<T: Copy>(
        &self,
        field: Field,
        all: &[T],
        word: impl Fn(T) -> &'static str,
    ) -> Result<Option<T>, Issue> {
        if self.text(field).is_none() { Ok(None) } else { self.word(field, all, word).map(Some) }
    }

    fn teeth(&self) -> Result<Vec<Tooth>, Issue> {
        let text = self.need(Field::Teeth)?;
        let parts = text.split(|c: char| !c.is_ascii_digit()).filter(|p| !p.is_empty());
        let teeth: Option<Vec<Tooth>> = parts.map(|p| p.parse().ok().and_then(|c: u8| Tooth::new(c).ok())).collect();
        teeth.filter(|t| !t.is_empty()).ok_or_else(|| {
            self.refuse(
                Field::Teeth,
                format!("`{text}`"),
                "two-digit codes (ISO 3950), e.g. 46 or 45.46.47".into(),
                "correct the codes",
            )
        })
    }

    fn own(&self, field: Field) -> Option<String> {
        self.text(field).map(str::to_owned)
    }

    /// The patient's pseudonym and the records a row holds.
    pub(super) fn records(&self) -> Result<(String, Vec<Record>), Issue> {
        let patient = self.need(Field::Patient)?.to_owned();
        let mut records = Vec::new();
        let (died, left) = (self.day(Field::Died)?, self.day(Field::Left)?);
        let birth_year = match self.text(Field::BirthYear) {
            None => None,
            Some(text) => Some(text.parse::<i32>().map_err(|_| {
                self.refuse(Field::BirthYear, format!("`{text}`"), "a year of four digits".into(), "correct the year")
            })?),
        };
        if died.is_some() || left.is_some() || birth_year.is_some() {
            records.push(Record::Patient(Patient { birth_year, died, left, ..Patient::of_code(&patient) }));
        }
        let key = self.restoration(&patient, &mut records)?;
        self.try_in(&key, &mut records)?;
        for field in [Field::Recall, Field::LastSeen] {
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
        let (planned, ordered, placed) =
            (self.day(Field::Planned)?, self.day(Field::Ordered)?, self.day(Field::Placed)?);
        if placed.is_none() && ordered.is_none() && planned.is_none() {
            return self.need(Field::Restoration).map(str::to_owned);
        }
        let teeth = self.teeth()?;
        let day = placed.or(ordered).or(planned).map_or(0, Day::number);
        let words: Vec<String> = teeth.iter().map(ToString::to_string).collect();
        let key =
            self.own(Field::Restoration).unwrap_or_else(|| made_key(&format!("{patient}|{}|{day}", words.join("."))));
        records.push(Record::Restoration(Restoration {
            key: key.clone(),
            patient: patient.to_owned(),
            teeth,
            construct: self.word(Field::Construct, Construct::ALL, Construct::word)?,
            material: self.word(Field::Material, Material::ALL, Material::word)?,
            build: self.word(Field::Build, Build::ALL, Build::word)?,
            grade: None,
            dimensions: Vec::new(),
            laboratory: self.own(Field::Laboratory),
            cement: self.own(Field::Cement),
            operator: self.own(Field::Operator),
            planned,
            ordered,
            placed,
            option: None,
            note: self.own(Field::Note),
        }));
        Ok(key)
    }

    fn try_in(&self, key: &str, records: &mut Vec<Record>) -> Result<(), Issue> {
        let Some(day) = self.day(Field::TryIn)? else { return Ok(()) };
        let misfit = self.maybe_word(Field::Misfit, Misfit::ALL, Misfit::word)?;
        let minutes = match self.text(Field::Minutes) {
            None => None,
            Some(text) => {
                Some(text.replace(',', ".").parse::<f64>().ok().filter(|m| m.is_finite()).ok_or_else(|| {
                    self.refuse(Field::Minutes, format!("`{text}`"), "a number of minutes".into(), "correct the number")
                })?)
            }
        };
        records.push(Record::TryIn(TryIn {
            key: format!("{key}.t{}", day.number()),
            restoration: key.to_owned(),
            day,
            stage: self.maybe_word(Field::Stage, Stage::ALL, Stage::word)?.unwrap_or(Stage::Finished),
            fit: self.word(Field::Fit, Fit::ALL, Fit::word)?,
            causes: misfit.into_iter().collect(),
            minutes,
            note: None,
        }));
        Ok(())
    }

    fn event(&self, key: &str, records: &mut Vec<Record>) -> Result<(), Issue> {
        let (found, happened) = (self.day(Field::EventFound)?, self.day(Field::EventHappened)?);
        let Some(found) = found.or(happened) else { return Ok(()) };
        let kind = self.word(Field::Event, EventKind::ALL, EventKind::word)?;
        let grade = match self.text(Field::ChipGrade) {
            None => None,
            Some(text) => Some(text.parse::<u8>().map_err(|_| {
                self.refuse(Field::ChipGrade, format!("`{text}`"), "1, 2 or 3".into(), "correct the grade")
            })?),
        };
        records.push(Record::Event(Event {
            key: format!("{key}.e{}.{}", found.number(), kind.word()),
            restoration: key.to_owned(),
            found,
            happened,
            kind,
            grade: grade.filter(|_| kind == EventKind::Chip),
            consequence: self.word(Field::Consequence, Consequence::ALL, Consequence::word)?,
            note: None,
        }));
        Ok(())
    }
}

/// A key made from a text: 64 bits of FNV-1a (Fowler, Noll, Vo), the same for the same text.
fn made_key(text: &str) -> String {
    let hash = text.bytes().fold(0xcbf2_9ce4_8422_2325_u64, |h, b| (h ^ u64::from(b)).wrapping_mul(0x0100_0000_01b3));
    format!("R{hash:016x}")
}

//! Records as rows and back. Sealed columns: a patient's code, record number and note, and every other note.

use crate::db::Cell;
use crate::error::StoreError;
use crate::seal::Seal;
pub use crate::shapes::{EVENT, PATIENT, RECALL, RESTORATION, STANDING, Shape, TRY_IN};
use register::words::EventKind;
use register::{Day, Event, Kept, Patient, Recall, Restoration, Standing, TryIn};

/// Seals and names, where there is a seal; as it stands where there is none.
#[derive(Debug, Default)]
pub struct Sealing(pub Option<Seal>);

impl Sealing {
    /// Key of a patient's row.
    pub fn name_of(&self, code: &str) -> String {
        self.0.as_ref().map_or_else(|| code.to_owned(), |seal| seal.name_of(code))
    }

    /// A text for its place.
    pub fn close(&self, place: &str, text: Option<&str>) -> Result<Cell, StoreError> {
        match (&self.0, text) {
            (Some(seal), Some(text)) => seal.seal(place, text).map(Cell::from),
            (_, text) => Ok(Cell::Text(text.map(str::to_owned))),
        }
    }

    /// A text from its place.
    pub fn open(&self, place: &str, cell: &Cell) -> Result<Option<String>, StoreError> {
        match (&self.0, cell.text()) {
            (Some(seal), Some(text)) => seal
                .open_text(place, text)
                .map(Some)
                .ok_or_else(|| StoreError::Damaged(format!("the sealed field {place} was changed or moved"))),
            (_, text) => Ok(text.map(str::to_owned)),
        }
    }
}

fn place(table: &str, column: &str, key: &str) -> String {
    format!("{table}.{column} {key}")
}

fn day(day: Option<Day>) -> Cell {
    Cell::Int(day.map(|d| i64::from(d.number())))
}

fn json<T: serde::Serialize>(value: &T) -> Result<String, StoreError> {
    serde_json::to_string(value).map_err(|e| StoreError::Database(e.to_string()))
}

/// A patient as a row.
pub fn of_patient(p: &Patient, version: i64, sealing: &Sealing) -> Result<Vec<Cell>, StoreError> {
    let key = sealing.name_of(&p.code);
    Ok(vec![
        key.as_str().into(),
        sealing.close(&place("patient", "code", &key), Some(&p.code))?,
        p.birth_year.map(i64::from).into(),
        day(p.died),
        day(p.left),
        sealing.close(&place("patient", "record_number", &key), p.record_number.as_deref())?,
        sealing.close(&place("patient", "note", &key), p.note.as_deref())?,
        version.into(),
    ])
}

/// A restoration as a row.
pub fn of_restoration(r: &Restoration, version: i64, sealing: &Sealing) -> Result<Vec<Cell>, StoreError> {
    let teeth: Vec<String> = r.teeth.iter().map(ToString::to_string).collect();
    Ok(vec![
        r.key.as_str().into(),
        sealing.name_of(&r.patient).into(),
        teeth.join(".").into(),
        r.construct.word().into(),
        r.material.word().into(),
        r.build.word().into(),
        r.grade.map(|g| g.word().to_owned()).into(),
        r.region().word().into(),
        if r.dimensions.is_empty() { Cell::Text(None) } else { json(&r.dimensions)?.into() },
        r.laboratory.clone().into(),
        r.cement.clone().into(),
        r.operator.clone().into(),
        day(r.planned),
        day(r.ordered),
        day(r.placed),
        r.placed.map(|d| i64::from(d.year())).into(),
        r.placed.map(|d| i64::from(d.month_number())).into(),
        r.option.clone().into(),
        sealing.close(&place("restoration", "note", &r.key), r.note.as_deref())?,
        version.into(),
    ])
}

/// What is derived of a restoration, as cells.
pub fn of_standing(standing: Option<&Standing>) -> Vec<Cell> {
    let word = |kind: Option<EventKind>| Cell::Text(kind.map(|k| k.word().to_owned()));
    let Some(s) = standing else {
        return vec![
            Cell::Int(None),
            Cell::Int(None),
            Cell::Text(None),
            Cell::Int(None),
            Cell::Text(None),
            Cell::Int(None),
            Cell::Int(None),
            Cell::Int(None),
            Cell::Text(None),
            Cell::Int(None),
        ];
    };
    let (success_days, success_end) = s.success();
    vec![
        i64::from(s.days).into(),
        i64::from(s.good_days).into(),
        word(s.ended_by),
        s.trouble_days.map(i64::from).into(),
        word(s.trouble),
        i64::from(s.complications).into(),
        i64::from(s.placed.plus(s.days).number()).into(),
        i64::from(success_days).into(),
        word(success_end),
        i64::from(s.placed.plus(success_days).month_number()).into(),
    ]
}

/// A try-in as a row.
pub fn of_try_in(t: &TryIn, version: i64, sealing: &Sealing) -> Result<Vec<Cell>, StoreError> {
    let causes: Vec<&str> = t.causes.iter().map(|c| c.word()).collect();
    Ok(vec![
        t.key.as_str().into(),
        t.restoration.as_str().into(),
        i64::from(t.day.number()).into(),
        i64::from(t.day.month_number()).into(),
        t.stage.word().into(),
        t.fit.word().into(),
        causes.join(";").into(),
        t.minutes.into(),
        sealing.close(&place("try_in", "note", &t.key), t.note.as_deref())?,
        version.into(),
    ])
}

/// A recall as a row.
pub fn of_recall(r: &Recall, version: i64, sealing: &Sealing) -> Result<Vec<Cell>, StoreError> {
    Ok(vec![
        r.key.as_str().into(),
        r.restoration.as_str().into(),
        i64::from(r.day.number()).into(),
        r.examiner.clone().into(),
        r.scheme.map(|s| s.word().to_owned()).into(),
        if r.scores.is_empty() { "".into() } else { json(&r.scores)?.into() },
        r.vital.map(i64::from).into(),
        sealing.close(&place("recall", "note", &r.key), r.note.as_deref())?,
        version.into(),
    ])
}

/// An event as a row.
pub fn of_event(e: &Event, version: i64, sealing: &Sealing) -> Result<Vec<Cell>, StoreError> {
    Ok(vec![
        e.key.as_str().into(),
        e.restoration.as_str().into(),
        i64::from(e.found.number()).into(),
        day(e.happened),
        e.kind.word().into(),
        e.grade.map(i64::from).into(),
        e.consequence.word().into(),
        sealing.close(&place("event", "note", &e.key), e.note.as_deref())?,
        version.into(),
    ])
}

/// Reads the cells of a row one after another.
struct Reader<'a> {
    shape: &'a Shape,
    cells: std::slice::Iter<'a, Cell>,
    sealing: &'a Sealing,
    key: String,
}

impl<'a> Reader<'a> {
    fn new(shape: &'a Shape, row: &'a [Cell], sealing: &'a Sealing) -> Self {
        let key = row.first().and_then(Cell::text).unwrap_or_default().to_owned();
        Self { shape, cells: row.iter(), sealing, key }
    }

    fn next(&mut self) -> &'a Cell {
        static NOTHING: Cell = Cell::Text(None);
        self.cells.next().unwrap_or(&NOTHING)
    }

    fn text(&mut self) -> Option<String> {
        self.next().text().map(str::to_owned)
    }

    fn whole(&mut self) -> Option<i64> {
        self.next().int()
    }

    fn day(&mut self) -> Option<Day> {
        self.whole().and_then(|n| i32::try_from(n).ok()).map(Day::from_number)
    }

    fn opened(&mut self, column: &str) -> Result<Option<String>, StoreError> {
        let place = place(self.shape.table, column, &self.key);
        let cell = self.next();
        self.sealing.open(&place, cell)
    }

    fn damaged(&self, what: &str) -> StoreError {
        StoreError::Damaged(format!("{} `{}` has no readable {what}", self.shape.table, self.key))
    }

    fn word<T>(&mut self, what: &str, parse: impl Fn(&str) -> Option<T>) -> Result<T, StoreError> {
        let text = self.text();
        text.as_deref().and_then(parse).ok_or_else(|| self.damaged(what))
    }

    fn maybe_word<T>(&mut self, what: &str, parse: impl Fn(&str) -> Option<T>) -> Result<Option<T>, StoreError> {
        match self.text() {
            None => Ok(None),
            Some(text) => parse(&text).map(Some).ok_or_else(|| self.damaged(what)),
        }
    }
}

/// A patient from a row.
pub fn patient(row: &[Cell], sealing: &Sealing) -> Result<(String, Kept<Patient>), StoreError> {
    let mut r = Reader::new(&PATIENT, row, sealing);
    let key = r.text().unwrap_or_default();
    let code = r.opened("code")?.ok_or_else(|| r.damaged("code"))?;
    let value = Patient {
        code,
        birth_year: r.whole().and_then(|y| i32::try_from(y).ok()),
        died: r.day(),
        left: r.day(),
        record_number: r.opened("record_number")?,
        note: r.opened("note")?,
    };
    Ok((key, Kept { version: r.whole().unwrap_or(0), value }))
}

/// A restoration from a row; `code` is its patient's pseudonym.
pub fn restoration(row: &[Cell], code: &str, sealing: &Sealing) -> Result<Kept<Restoration>, StoreError> {
    use register::trade::{Build, Construct, Grade, Material, tooth};
    let mut r = Reader::new(&RESTORATION, row, sealing);
    let key = r.text().unwrap_or_default();
    r.next();
    let teeth = r.word("teeth", |t| t.split('.').map(tooth).collect::<Option<Vec<_>>>())?;
    let construct = r.word("construct", Construct::parse)?;
    let material = r.word("material", Material::parse)?;
    let build = r.word("build", Build::parse)?;
    let grade = r.maybe_word("grade", Grade::parse)?;
    r.next();
    let dimensions = r.maybe_word("dimensions", |t| serde_json::from_str(t).ok())?.unwrap_or_default();
    let (laboratory, cement, operator) = (r.text(), r.text(), r.text());
    let (planned, ordered, placed) = (r.day(), r.day(), r.day());
    r.next();
    r.next();
    let value = Restoration {
        key,
        patient: code.to_owned(),
        teeth,
        construct,
        material,
        build,
        grade,
        dimensions,
        laboratory,
        cement,
        operator,
        planned,
        ordered,
        placed,
        option: r.text(),
        note: r.opened("note")?,
    };
    Ok(Kept { version: r.whole().unwrap_or(0), value })
}

/// A try-in from a row.
pub fn try_in(row: &[Cell], sealing: &Sealing) -> Result<Kept<TryIn>, StoreError> {
    use register::words::{Fit, Misfit, Stage};
    let mut r = Reader::new(&TRY_IN, row, sealing);
    let (key, restoration) = (r.text().unwrap_or_default(), r.text().unwrap_or_default());
    let day = r.day().ok_or_else(|| r.damaged("day"))?;
    r.next();
    let stage = r.word("stage", Stage::parse)?;
    let fit = r.word("fit", Fit::parse)?;
    let causes =
        r.word("causes", |t| t.split(';').filter(|w| !w.is_empty()).map(Misfit::parse).collect::<Option<Vec<_>>>())?;
    let minutes = r.next().real();
    let value = TryIn { key, restoration, day, stage, fit, causes, minutes, note: r.opened("note")? };
    Ok(Kept { version: r.whole().unwrap_or(0), value })
}

/// A recall from a row.
pub fn recall(row: &[Cell], sealing: &Sealing) -> Result<Kept<Recall>, StoreError> {
    let mut r = Reader::new(&RECALL, row, sealing);
    let (key, restoration) = (r.text().unwrap_or_default(), r.text().unwrap_or_default());
    let day = r.day().ok_or_else(|| r.damaged("day"))?;
    let examiner = r.text();
    let scheme = r.maybe_word("scheme", register::words::Scheme::parse)?;
    let scores = r.word("scores", |t| if t.is_empty() { Some(Vec::new()) } else { serde_json::from_str(t).ok() })?;
    let vital = r.whole().map(|v| v != 0);
    let value = Recall { key, restoration, day, examiner, scheme, scores, vital, note: r.opened("note")? };
    Ok(Kept { version: r.whole().unwrap_or(0), value })
}

/// An event from a row.
pub fn event(row: &[Cell], sealing: &Sealing) -> Result<Kept<Event>, StoreError> {
    let mut r = Reader::new(&EVENT, row, sealing);
    let (key, restoration) = (r.text().unwrap_or_default(), r.text().unwrap_or_default());
    let found = r.day().ok_or_else(|| r.damaged("day"))?;
    let happened = r.day();
    let kind = r.word("kind", EventKind::parse)?;
    let grade = r.whole().and_then(|g| u8::try_from(g).ok());
    let consequence = r.word("consequence", register::words::Consequence::parse)?;
    let value = Event { key, restoration, found, happened, kind, grade, consequence, note: r.opened("note")? };
    Ok(Kept { version: r.whole().unwrap_or(0), value })
}

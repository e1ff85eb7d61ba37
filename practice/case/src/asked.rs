//! Which fields a case is asked, and which of them are answered: one walk over the list, which open questions, defaults and
//! counts all use.

use crate::Case;
use crate::fields::{Field, Kind, ROOT, Sheet, SheetAnswer};
use crate::words::Moment;
use catalogue::words::Tooth;
use serde_json::Value;

/// One field asked of a case.
#[derive(Debug, Clone)]
pub struct Asked {
    /// Path as written in messages, e.g. `space.now_mm` or `abutment[2].ferrule` (counted from 1).
    pub path: String,
    /// The field.
    pub field: &'static Field,
    /// The tooth, for fields of an abutment.
    pub tooth: Option<Tooth>,
    /// True when the case answers it.
    pub given: bool,
}

/// Every field the case is asked, in the order of the file. Sections that are answered as a whole count as one field, and
/// once given so do their own optional fields; what only a preparation can tell is asked at the stump.
pub fn asked(case: &Case) -> Vec<Asked> {
    // A case always has a JSON form; an empty one would only ask everything again.
    let written = serde_json::to_value(case).unwrap_or_default();
    let mut walk = Walk { case, sheet: Sheet::of(case), found: Vec::new() };
    walk.section(ROOT, "", &written, None);
    walk.found
}

struct Walk<'a> {
    case: &'a Case,
    sheet: Sheet,
    found: Vec<Asked>,
}

impl Walk<'_> {
    fn section(&mut self, fields: &'static [Field], path: &str, written: &Value, tooth: Option<Tooth>) {
        for field in fields {
            if self.is_asked(field) {
                let here = if path.is_empty() { field.name.to_owned() } else { format!("{path}.{}", field.name) };
                self.field(field, here, written.get(field.name).unwrap_or(&Value::Null), tooth);
            }
        }
    }

    fn is_asked(&self, field: &Field) -> bool {
        let front = self.case.front_tooth();
        // What a preparation will show is already taken to be something before it, where there is a default.
        let known = !field.at_stump || self.case.moment == Moment::Stump || field.fallback.is_some();
        field.stands_on(self.sheet)
            && known
            && (field.name != "old" || self.case.is_replacement())
            && field.answer.is_none_or(|a| a.is_asked(self.sheet, front))
    }

    fn field(&mut self, field: &'static Field, path: String, written: &Value, tooth: Option<Tooth>) {
        match field.kind {
            Kind::Sections(fields) if field.name == "abutment" => self.abutments(fields),
            Kind::Section(fields) if !field.is_whole() => self.section(fields, &path, written, tooth),
            Kind::Section(fields) => {
                self.found.push(Asked { path: path.clone(), field, tooth, given: !written.is_null() });
                if !written.is_null() {
                    self.section(fields, &path, written, tooth);
                }
            }
            _ => self.found.push(Asked { path, field, tooth, given: !written.is_null() }),
        }
    }

    fn abutments(&mut self, fields: &'static [Field]) {
        for tooth in self.case.standing() {
            let said = self.case.abutments.iter().position(|a| a.tooth == tooth);
            let path = said.map_or(format!("abutment[{tooth}]"), |i| format!("abutment[{}]", i + 1));
            let written = said.and_then(|i| serde_json::to_value(&self.case.abutments[i]).ok()).unwrap_or_default();
            self.section(fields, &path, &written, Some(tooth));
        }
    }
}

/// One row of the sheet, with its fields.
#[derive(Debug, Clone)]
pub struct Row {
    /// The row.
    pub answer: SheetAnswer,
    /// Its fields, in the order of the file.
    pub fields: Vec<Asked>,
}

/// The rows of the case's sheet.
pub fn rows(case: &Case) -> Vec<Row> {
    let all = asked(case);
    let of_row = |answer| all.iter().filter(|a| a.field.answer == Some(answer)).cloned().collect();
    SheetAnswer::asked(case).into_iter().map(|answer| Row { answer, fields: of_row(answer) }).collect()
}

impl Row {
    /// Fields still missing in the way of answering that is nearest to complete; none once one way is complete.
    pub fn missing(&self) -> Vec<&Asked> {
        let open = |way: u8| {
            let fields = self.fields.iter().filter(move |a| a.field.way == way || a.field.way == 0);
            fields.filter(|a| !a.given).collect::<Vec<_>>()
        };
        let ways = self.fields.iter().map(|a| a.field.way).filter(|w| *w > 0);
        let ways = ways.collect::<std::collections::BTreeSet<_>>();
        if ways.is_empty() {
            return open(0);
        }
        let begun = |way: &u8| self.fields.iter().any(|a| a.field.way == *way && a.given);
        // A way that was begun comes before one that was not, even if the latter needs fewer words.
        ways.iter()
            .map(|w| (open(*w), !begun(w)))
            .min_by_key(|(o, fresh)| (!o.is_empty(), *fresh, o.len()))
            .map_or(Vec::new(), |(o, _)| o)
    }

    /// True when nothing is missing.
    pub fn is_given(&self) -> bool {
        self.missing().is_empty()
    }
}

/// Rows of the sheet that the case answers.
pub fn answers_given(case: &Case) -> usize {
    rows(case).iter().filter(|row| row.is_given()).count()
}

/// Rows of the sheet that the case is asked.
pub fn answers_asked(case: &Case) -> usize {
    SheetAnswer::asked(case).len()
}

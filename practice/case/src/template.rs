//! A commented template of a case file. Only what says which case it is stands filled in; every answer is commented out, so
//! that nothing is answered by an example.

use crate::fields::{Field, Kind, ROOT, Sheet};
use std::fmt::Write as _;

/// What a template fills in, by the path of the field.
fn filled(sheet: Sheet, path: &str) -> Option<&'static str> {
    use Sheet::{Bridge, Crown, Implant, Replacement, ResinBonded};
    Some(match (path, sheet) {
        ("schema", _) => "1",
        ("moment", _) => "\"plan\"",
        ("restoration.teeth", Crown | Replacement) => "[36]",
        ("restoration.teeth", Bridge) => "[45, 46, 47]",
        ("restoration.teeth", ResinBonded) => "[32, 31, 41]",
        ("restoration.teeth", Implant) => "[24]",
        ("restoration.missing", Bridge) => "[46]",
        ("restoration.missing", ResinBonded) => "[31]",
        ("restoration.missing", Implant) => "[24]",
        ("restoration.kind", Crown | Replacement) => "\"crown\"",
        ("restoration.kind", Bridge) => "\"bridge\"",
        ("restoration.kind", ResinBonded) => "\"one_wing\"",
        ("restoration.kind", Implant) => "\"implant_crown\"",
        ("restoration.turn", Replacement) => "\"replacement\"",
        ("abutment.tooth", _) => "",
        _ => return None,
    })
}

/// The standing teeth of a template.
fn abutments(sheet: Sheet) -> &'static [&'static str] {
    match sheet {
        Sheet::Crown | Sheet::Replacement => &["36"],
        Sheet::Bridge => &["45", "47"],
        Sheet::ResinBonded => &["32", "41"],
        Sheet::Implant => &[],
    }
}

/// The commented template of a kind of sheet; it is a case that can be read, with every answer open.
pub fn template(sheet: Sheet) -> String {
    let mut page = Page { sheet, text: String::new() };
    let article = if sheet == Sheet::Implant { "an" } else { "a" };
    page.line(&format!("# A case: {article} {}. Take the # away from a line to answer it; what stays out is asked or widens the answer.", sheet.label()));
    page.line("# Teeth by two-digit code (ISO 3950): quadrant and tooth, 11 to 48. Decimals with a point. Never write a patient's name.");
    for field in ROOT.iter().filter(|f| f.stands_on(sheet)) {
        page.top(field);
    }
    page.text
}

struct Page {
    sheet: Sheet,
    text: String,
}

impl Page {
    fn line(&mut self, line: &str) {
        // Writing to a string cannot fail.
        let _ = writeln!(self.text, "{line}");
    }

    fn top(&mut self, field: &Field) {
        match field.kind {
            Kind::Sections(fields) if field.name == "abutment" => {
                for (i, tooth) in abutments(self.sheet).iter().enumerate() {
                    self.heading("", &format!("[[{}]]", field.name), field);
                    self.line(&format!("tooth = {tooth}"));
                    if i == 0 {
                        self.fields(fields, "abutment", false);
                        self.parts(fields, "abutment");
                    } else {
                        self.line("# The same fields as for the first tooth, for example:");
                        self.musts(fields);
                    }
                }
            }
            Kind::Section(fields) => {
                let begun = !field.is_whole() && (field.name != "old" || self.sheet == Sheet::Replacement);
                let mark = if begun { "" } else { "# " };
                self.heading(mark, &format!("[{}]", field.name), field);
                self.fields(fields, field.name, !begun);
                self.parts(fields, field.name);
            }
            Kind::Sections(fields) => {
                self.heading("# ", &format!("[[{}]]", field.name), field);
                self.fields(fields, field.name, true);
            }
            _ => self.field(field, field.name, false),
        }
    }

    fn heading(&mut self, mark: &str, heading: &str, field: &Field) {
        self.line("");
        self.line(&format!("# {} ({})", field.question, field.why));
        self.line(&format!("{mark}{heading}"));
    }

    /// The simple fields of a section.
    fn fields(&mut self, fields: &'static [Field], path: &str, closed: bool) {
        let sheet = self.sheet;
        for field in fields.iter().filter(|f| f.stands_on(sheet) && f.fields().is_empty()) {
            self.field(field, &format!("{path}.{}", field.name), closed);
        }
    }

    /// The fields of an abutment that must be answered, without their questions.
    fn musts(&mut self, fields: &'static [Field]) {
        let sheet = self.sheet;
        for field in fields.iter().filter(|f| f.stands_on(sheet) && f.answer.is_some()) {
            self.line(&format!("# {} = {}", field.name, field.example));
        }
    }

    /// Sections within a section, commented out.
    fn parts(&mut self, fields: &'static [Field], path: &str) {
        let sheet = self.sheet;
        for field in fields.iter().filter(|f| f.stands_on(sheet) && !f.fields().is_empty()) {
            let name = format!("{path}.{}", field.name);
            let heading =
                if matches!(field.kind, Kind::Sections(_)) { format!("[[{name}]]") } else { format!("[{name}]") };
            self.heading("# ", &heading, field);
            self.fields(field.fields(), &name, true);
        }
    }

    fn field(&mut self, field: &Field, path: &str, closed: bool) {
        match filled(self.sheet, path).filter(|_| !closed) {
            Some("") => {}
            Some(value) => {
                self.line(&format!("# {} {}", field.question, expectation(field)));
                self.line(&format!("{} = {value}", field.name));
            }
            None => {
                let stump = if field.at_stump { " After preparation." } else { "" };
                self.line(&format!("# {}{stump} {}", field.question, expectation(field)));
                self.line(&format!("# {} = {}", field.name, field.example));
            }
        }
    }
}

fn expectation(field: &Field) -> String {
    let text = field.kind.expectation();
    let mut letters = text.chars();
    let first = letters.next().map(|c| c.to_uppercase().to_string()).unwrap_or_default();
    format!("{first}{}.", letters.as_str())
}

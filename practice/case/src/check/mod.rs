//! Contradictions between answers: each points at its line and says what to write.

mod abutments;
mod arch;
mod decided;
mod mouth;
mod ordered;
mod room;
mod wishes;

use crate::Case;
use crate::fields::{Kind, ROOT, Sheet};
use crate::places::Places;
use answer::Issue;

/// Every contradiction of a case, and what deserves a warning.
pub(crate) fn contradictions(case: &Case, places: &Places, issues: &mut Vec<Issue>) {
    let mut look = Look { case, places, issues };
    look.teeth();
    look.ends();
    look.kind();
    look.abutments();
    look.room();
    look.mouth();
    look.implant();
    look.wish();
    look.laboratory();
    look.decided();
    look.ordered();
    look.other_sheets();
}

/// The case, where its fields stand, and what was found.
struct Look<'a> {
    case: &'a Case,
    places: &'a Places,
    issues: &'a mut Vec<Issue>,
}

impl Look<'_> {
    fn error(&mut self, path: &str, found: impl Into<String>, expected: &str, remedy: impl Into<String>) {
        self.issues.push(Issue::error(self.places.at(path), found, expected, remedy));
    }

    fn warning(&mut self, path: &str, found: impl Into<String>, expected: &str, remedy: impl Into<String>) {
        self.issues.push(Issue::warning(self.places.at(path), found, expected, remedy));
    }

    /// Fields that are written but not used on this sheet.
    fn other_sheets(&mut self) {
        let sheet = Sheet::of(self.case);
        for section in ROOT.iter().filter(|s| matches!(s.kind, Kind::Section(_)) && s.name != "implant") {
            for field in section.fields().iter().filter(|f| !f.stands_on(sheet)) {
                let path = format!("{}.{}", section.name, field.name);
                // Missing teeth and their cantilever are judged with the arch.
                if self.places.has(&path) && section.name != "restoration" {
                    let found = format!("{} says nothing for {}", field.name, sheet.label());
                    self.warning(
                        &path,
                        found,
                        "fields of this kind of restoration",
                        "take the line out, or name what is planned",
                    );
                }
            }
        }
    }
}

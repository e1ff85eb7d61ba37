//! Patient, bite and implant.

use super::Look;
use super::arch::repeated;
use crate::words::{Grinding, SpaceSource, VerticalDimension};

impl Look<'_> {
    pub(super) fn mouth(&mut self) {
        let mouth = &self.case.mouth;
        let (age, growing, vertical) = (mouth.age, mouth.growing, mouth.vertical_dimension);
        let guard_without_grinding = mouth.guard_worn == Some(true) && mouth.grinding == Some(Grinding::Nothing);
        let twice = mouth.allergies.as_deref().map(repeated).unwrap_or_default();
        if let Some((youngest, _)) =
            age.map(|a| a.years()).filter(|(youngest, _)| growing == Some(true) && *youngest >= 25.0)
        {
            let found = format!("jaws still growing at {youngest} years or more");
            self.error("mouth.growing", found, "growth that has ended by 25", "mend age or growing");
        }
        if guard_without_grinding {
            let remedy = "write grinding = \"suspected\" or \"evident\", or guard_worn = false";
            self.warning("mouth.guard_worn", "a guard is worn, and no grinding", "a reason for the guard", remedy);
        }
        if vertical == Some(VerticalDimension::Kept) && self.case.space.planned_by == Some(SpaceSource::RaisedBite) {
            let remedy = "write vertical_dimension = \"changed\", or another planned_by";
            self.error(
                "mouth.vertical_dimension",
                "the bite is kept, and room comes from raising it",
                "one of the two",
                remedy,
            );
        }
        if !self.case.allergies_asked() {
            let remedy = "ask, then write allergies = [] for none, or the list; until then every paper warns";
            self.warning("mouth.allergies", "allergies were not asked", "metals and methacrylates asked", remedy);
        }
        for allergen in twice {
            self.warning("mouth.allergies", format!("{allergen} stands twice"), "each once", "take one out");
        }
    }

    pub(super) fn implant(&mut self) {
        if self.case.implant.is_some() && !self.case.is_gap() {
            let remedy = "take [implant] out, or write missing = [...] and kind = \"implant_crown\"";
            self.error(
                "implant",
                "an implant is described, and no tooth is missing",
                "an implant in place of a missing tooth",
                remedy,
            );
        } else if self.case.implant.is_some() && self.case.restoration.construct().is_some() && !self.case.is_implant()
        {
            let remedy = "take [implant] out, or write kind = \"implant_crown\" or \"open\"";
            self.warning("implant", "an implant is described, and none is planned", "an implant crown", remedy);
        }
    }
}

//! Stops and warnings: which rows of `data/stops.csv` a candidate of this case sets off.
//!
//! The rows say what applies where and whether it forbids; the findings that set them off are recognised here by the row's id. A
//! row of an unknown id (one the practice added) is set off wherever it applies: "we do not make this". A row that rests on memory
//! only warns, whatever it asks for. A stop the dentist set aside with a written reason warns, and its reason goes on record.

use crate::candidates::Candidate;
use crate::dimensions::Dimensions;
use crate::gates::not_restorable;
use crate::report::Stop;
use answer::Basis;
use case::Case;
use case::parts::Abutment;
use case::words::{Apical, DryField, Filled, Fixing, Grinding, Pulp, Risk, Visible};
use catalogue::words::{Construct, Material, Region, Tooth, ToothClass};
use catalogue::{Catalogue, StopAction, StopRow};

/// Everything a candidate sets off, forbidding ones first.
pub fn stops(case: &Case, candidate: &Candidate, dimensions: &Dimensions, catalogue: &Catalogue) -> Vec<Stop> {
    let scene = Scene { case, candidate, dimensions, catalogue };
    let mut list: Vec<Stop> = catalogue
        .stops()
        .iter()
        .filter(|row| row.applies_to(candidate.construct, candidate.material, candidate.build))
        .filter_map(|row| scene.set_off(row).map(|finding| stop(case, row, &finding)))
        .collect();
    list.sort_by_key(|s| !s.forbids);
    list
}

/// The written reason by which a stop of this candidate was set aside.
pub fn override_reason(case: &Case, stops: &[Stop]) -> Option<String> {
    let reasons: Vec<&str> =
        case.overrides.iter().filter(|o| stops.iter().any(|s| s.id == o.stop)).map(|o| o.reason.as_str()).collect();
    (!reasons.is_empty()).then(|| reasons.join("; "))
}

fn stop(case: &Case, row: &StopRow, finding: &str) -> Stop {
    let set_aside = case.overrides.iter().any(|o| o.stop == row.id);
    let asks_to_forbid = row.action == StopAction::Stop;
    let mut text = format!("{finding}: {}", row.remedy);
    if set_aside {
        text.push_str(" (set aside by the dentist, reason on record)");
    } else if asks_to_forbid && row.basis == Basis::Memory {
        text.push_str(" (warns only: the rule is from memory)");
    }
    Stop {
        id: row.id.clone(),
        forbids: asks_to_forbid && row.basis != Basis::Memory && !set_aside,
        text,
        sources: row.source_ids.clone(),
        basis: row.basis,
    }
}

struct Scene<'a> {
    case: &'a Case,
    candidate: &'a Candidate,
    dimensions: &'a Dimensions,
    catalogue: &'a Catalogue,
}

impl Scene<'_> {
    /// What was found, in words, when the row is set off.
    fn set_off(&self, row: &StopRow) -> Option<String> {
        let (case, mouth) = (self.case, &self.case.mouth);
        let when = |holds: bool, words: &str| holds.then(|| words.to_owned());
        match row.id.as_str() {
            "space_below_minimum" => self.dimensions.space_short_of_minimum(),
            "space_below_working" => self.dimensions.space_short_of_working(),
            "connector_below_minimum" => self.dimensions.connector_short_of_minimum(),
            "allergy_metals" => when(mouth.metal_allergy(), "a metal allergy is on record"),
            "allergy_methacrylate" | "allergy_methacrylate_material" => when(
                mouth.methacrylate_allergy(),
                "a methacrylate allergy is on record and this must be bonded with resin",
            ),
            "allergy_methacrylate_any" => when(mouth.methacrylate_allergy(), "a methacrylate allergy is on record"),
            "allergy_not_asked" => when(!case.allergies_asked(), "allergies were not asked"),
            "wet_field_adhesive_construct" | "wet_field_adhesive_material" => when(
                mouth.dry_field == Some(DryField::No),
                "the field cannot be kept dry and this is held by adhesion alone",
            ),
            "laboratory_does_not_make" => {
                let c = self.candidate;
                let makes = case.laboratory.can_make(c.material, c.build, c.construct);
                when(makes == Some(false), "the laboratory's list does not hold it")
            }
            "implant_low" => self.low_implant(),
            "glass_ceramic_bridge" => Some(format!("{} is too weak for a bridge", self.candidate.material)),
            "wing_mobile_abutment" => {
                self.abutment(|a| a.mobility.is_some_and(|m| m >= 1)).map(|t| format!("{t} is mobile"))
            }
            "wing_heavily_filled_abutment" => {
                self.abutment(|a| a.filled == Some(Filled::Heavily)).map(|t| format!("{t} is heavily filled"))
            }
            "wing_mostly_dentine" => self
                .abutment(|a| a.enamel_share.is_some_and(|e| e < 0.5))
                .map(|t| format!("{t} offers mostly dentine to bond to")),
            "wings_canine_and_incisor" => self.canine_and_incisor(),
            "wing_more_than_one_tooth" => {
                let incisors = case.missing().iter().all(|t| t.number() <= 2 && t.code() > 30);
                when(case.missing().len() > if incisors { 4 } else { 1 }, "more teeth are missing than wings carry")
            }
            "one_wing_molar" => {
                let molar = case.missing().iter().any(|t| t.class() == ToothClass::Molar);
                when(molar, "a molar would hang on one wing")
            }
            "wing_grinding" => when(mouth.grinding == Some(Grinding::Evident), "grinding is evident"),
            // Overbite is not asked: the row stays for a practice that answers it by its own row.
            "wing_deep_overbite" => None,
            "implant_growing_patient" => when(self.growing(), "the patient is still growing"),
            "tooth_not_restorable" => self.abutment(not_restorable).map(|t| format!("{t} cannot be restored")),
            "no_ferrule" => self.short_ferrule(1.5).map(|t| format!("{t} is root-filled with a short ferrule")),
            "no_ferrule_abutment" => self.short_ferrule(0.5).map(|t| format!("{t} is root-filled without a ferrule")),
            "endocrown_vital" => self.abutment(|a| a.pulp == Some(Pulp::Vital)).map(|t| format!("{t} is vital")),
            "endocrown_front" => when(case.region() == Region::Anterior, "it is a front tooth"),
            "veneer_dentine" => self
                .abutment(|a| a.enamel_share.is_some_and(|e| e < 0.5))
                .map(|t| format!("{t} offers mostly dentine to bond to")),
            "veneer_root_filled" => {
                self.abutment(|a| a.pulp == Some(Pulp::RootFilled)).map(|t| format!("{t} is root-filled"))
            }
            "iso_class" => self.beyond_iso_class(),
            "no_bridge_arms" => Some(format!("no clinical studies of bridges in {} are held", self.candidate.material)),
            "long_bridge_glass_ceramic" => {
                let molar = case.missing().iter().any(|t| t.class() == ToothClass::Molar);
                when(case.missing().len() > 1 || molar, "the bridge has a molar as pontic, or more than one pontic")
            }
            "bridge_many_pontics" => when(case.missing().len() > 3, "more than three teeth are missing"),
            "cantilever_long" => when(case.missing().len() > 1, "more than one pontic would hang free"),
            "cantilever_root_filled" => {
                self.abutment(|a| a.pulp == Some(Pulp::RootFilled)).map(|t| format!("{t} is root-filled"))
            }
            "abutment_tilted" => self
                .abutment(|a| a.tilt_degrees.is_some_and(|d| d.abs() > 25.0))
                .map(|t| format!("{t} is tilted by more than 25 degrees")),
            "antes_rule" => self.roots_too_small(),
            "grinding_layered" => when(self.grinds(), "grinding is suspected or evident and the veneer would carry it"),
            "grinding_implant" => when(self.grinds(), "grinding is suspected or evident"),
            "implant_layered_ceramic" => Some("veneering ceramic chips often on implants".to_owned()),
            "deep_margin_cement" => {
                let implant = case.implant.as_ref();
                let cemented = implant.and_then(|i| i.fixing) == Some(Fixing::Cement);
                when(
                    cemented && implant.and_then(|i| i.gum_mm).is_some_and(|g| g > 2.0),
                    "cement more than 2 mm under the gum",
                )
            }
            "antiresorptives" => {
                let told = mouth.antiresorptives == Some(true) || mouth.radiotherapy == Some(true);
                when(told, "antiresorptive medicine or radiotherapy of the jaws")
            }
            "caries_active" => when(mouth.caries_risk == Some(Risk::High), "caries risk is high"),
            "apical_not_settled" => {
                self.abutment(|a| a.apical == Some(Apical::Lesion)).map(|t| format!("{t} has a lesion at its root end"))
            }
            "metal_visible_front" => {
                let seen = matches!(mouth.visible, Some(Visible::ALittle | Visible::HighSmileLine));
                when(case.region() == Region::Anterior && seen, "the metal would be seen")
            }
            _ => Some(row.condition.clone()),
        }
    }

    /// The first abutment of the candidate of which something holds.
    fn abutment(&self, holds: impl Fn(&Abutment) -> bool) -> Option<Tooth> {
        self.candidate.abutments.iter().copied().find(|&t| self.case.abutment(t).is_some_and(&holds))
    }

    fn short_ferrule(&self, below: f64) -> Option<Tooth> {
        self.abutment(|a| a.pulp == Some(Pulp::RootFilled) && a.ferrule.is_some_and(|f| f.millimetres().1 < below))
    }

    fn grinds(&self) -> bool {
        matches!(self.case.mouth.grinding, Some(Grinding::Suspected | Grinding::Evident))
    }

    fn growing(&self) -> bool {
        self.case.mouth.growing == Some(true)
            || (self.case.mouth.growing.is_none() && self.case.mouth.age.is_some_and(|a| a.years().1 < 18.0))
    }

    fn canine_and_incisor(&self) -> Option<String> {
        let classes: Vec<ToothClass> = self.candidate.abutments.iter().map(|t| t.class()).collect();
        let incisor = classes.iter().any(|c| matches!(c, ToothClass::CentralIncisor | ToothClass::LateralIncisor));
        (incisor && classes.contains(&ToothClass::Canine))
            .then(|| "one wing on a canine, the other on an incisor".to_owned())
    }

    /// Ante's rule: root area of the abutments against that of the teeth replaced.
    fn roots_too_small(&self) -> Option<String> {
        let area = |teeth: &[Tooth]| -> Option<f64> { teeth.iter().map(|&t| self.catalogue.root_area(t)).sum() };
        let (held, lost) = (area(&self.candidate.abutments)?, area(&self.case.missing())?);
        (held < lost).then(|| format!("root area of the abutments {held:.0} mm² is less than the {lost:.0} mm² lost"))
    }

    /// Height from the implant's shoulder less what the crown takes of it, against the retentive height asked for.
    fn low_implant(&self) -> Option<String> {
        let height = self.case.implant.as_ref()?.height_mm?;
        let asked = self.catalogue.hold_rule("implant_base_height")?.fact.figure.middle();
        let left = height - self.dimensions.working("occlusal").unwrap_or(0.0);
        (left < asked).then(|| format!("{left:.1} mm are left for the abutment, {asked} mm are asked for"))
    }

    /// Classes as recalled: glass-ceramics of class 3 for bridges without a molar, class 4 for three units, class 5 beyond.
    fn beyond_iso_class(&self) -> Option<String> {
        let molar = self.case.missing().iter().any(|t| t.class() == ToothClass::Molar);
        let pontics = self.case.missing().len();
        let beyond = match self.candidate.material {
            Material::LithiumDisilicate => molar || pontics > 1,
            Material::Leucite | Material::Feldspathic => true,
            Material::Zirconia5y => pontics > 1,
            Material::Zirconia4y => pontics > 2,
            _ => false,
        };
        let bridge = matches!(self.candidate.construct, Construct::Bridge | Construct::CantileverBridge);
        (beyond && bridge).then(|| format!("{} is used beyond its ISO 6872 class", self.candidate.material))
    }
}

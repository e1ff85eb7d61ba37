//! The case: one tooth or one gap, with everything answered about it.

use crate::defaults::DefaultUsed;
use crate::open::OpenQuestion;
use crate::parts::{
    Abutment, Chosen, Implant, Laboratory, LaboratoryReply, Mouth, Old, Order, Override, Restoration, Space, Wish,
};
use crate::words::{Moment, Substrate, Turn};
use catalogue::words::{Construct, Jaw, Region, Tooth};
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

/// Version of the case file that this program writes.
pub const SCHEMA: u32 = 1;

/// One case. Read it with [`Case::parse`], write it with [`Case::to_toml`].
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct Case {
    /// Version of the file.
    pub schema: u32,
    /// Name under which the case is kept; never the patient's.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub pseudonym: Option<String>,
    /// The case and its readings are invented; every paper says so.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub invented: Option<bool>,
    /// Before preparation or at the stump.
    pub moment: Moment,
    /// What is to be made.
    pub restoration: Restoration,
    /// What it replaces.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub old: Option<Old>,
    /// State of the teeth that carry it.
    #[serde(rename = "abutment", default, skip_serializing_if = "Vec::is_empty")]
    pub abutments: Vec<Abutment>,
    /// Room.
    #[serde(default, skip_serializing_if = "crate::case::is_default")]
    pub space: Space,
    /// Patient and bite.
    #[serde(default, skip_serializing_if = "crate::case::is_default")]
    pub mouth: Mouth,
    /// What the patient wants.
    #[serde(default, skip_serializing_if = "crate::case::is_default")]
    pub wish: Wish,
    /// Implant.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub implant: Option<Implant>,
    /// Practice and laboratory.
    #[serde(default, skip_serializing_if = "crate::case::is_default")]
    pub laboratory: Laboratory,
    /// The option chosen.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub chosen: Option<Chosen>,
    /// Stops set aside.
    #[serde(rename = "override", default, skip_serializing_if = "Vec::is_empty")]
    pub overrides: Vec<Override>,
    /// What the dentist adds to the plan for the laboratory.
    #[serde(default, skip_serializing_if = "crate::case::is_default")]
    pub order: Order,
    /// What the laboratory answered, the newest last.
    #[serde(rename = "laboratory_reply", default, skip_serializing_if = "Vec::is_empty")]
    pub replies: Vec<LaboratoryReply>,
}

pub(crate) fn is_default<T: Default + PartialEq>(part: &T) -> bool {
    *part == T::default()
}

/// What a tooth of the case is within the restoration.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "snake_case")]
pub enum Role {
    /// On a tooth that stands.
    Retainer,
    /// In place of a missing tooth, hung on its neighbours.
    Pontic,
    /// In place of a missing tooth, on an implant of its own.
    OnImplant,
    /// A tooth beside an implant crown, named but not part of it.
    Neighbour,
}

/// One unit along the arch.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
pub struct ArchUnit {
    /// Tooth.
    pub tooth: Tooth,
    /// Its part.
    pub role: Role,
}

impl Case {
    /// True when a tooth is missing; false when one stands that needs a restoration.
    pub fn is_gap(&self) -> bool {
        !self.restoration.missing.is_empty()
    }

    /// True when an implant crown is asked for.
    pub fn is_implant(&self) -> bool {
        self.restoration.construct() == Some(Construct::ImplantCrown)
    }

    /// True when something was there before.
    pub fn is_replacement(&self) -> bool {
        self.old.is_some() || self.restoration.turn == Some(Turn::Replacement)
    }

    /// Jaw of the case (`parse` holds that all teeth lie in one).
    pub fn jaw(&self) -> Jaw {
        self.restoration.teeth.first().map_or(Jaw::Upper, |t| t.jaw())
    }

    /// Units from the patient's right to the left: retainers, pontics, or a crown on an implant.
    pub fn units(&self) -> Vec<ArchUnit> {
        let mut teeth = self.restoration.teeth.clone();
        teeth.sort_by_key(|t| t.place());
        let role = |tooth: Tooth| match (self.restoration.missing.contains(&tooth), self.is_implant()) {
            (false, false) => Role::Retainer,
            (false, true) => Role::Neighbour,
            (true, false) => Role::Pontic,
            (true, true) => Role::OnImplant,
        };
        teeth.into_iter().map(|tooth| ArchUnit { tooth, role: role(tooth) }).collect()
    }

    /// Teeth of neighbouring units, as a bridge would join them; none for single crowns and implant crowns.
    pub fn connectors(&self) -> Vec<(Tooth, Tooth)> {
        if self.is_implant() {
            return Vec::new();
        }
        self.units().windows(2).map(|pair| (pair[0].tooth, pair[1].tooth)).collect()
    }

    /// Teeth that stand, from the patient's right to the left.
    pub fn standing(&self) -> Vec<Tooth> {
        self.units().iter().filter(|u| matches!(u.role, Role::Retainer | Role::Neighbour)).map(|u| u.tooth).collect()
    }

    /// Files of surfaces the case names, each once: those at hand, scans of teeth, wax-ups.
    pub fn surface_files(&self) -> Vec<&str> {
        let mut names: Vec<&str> = self.restoration.scans.iter().map(String::as_str).collect();
        for name in self.abutments.iter().flat_map(|a| [&a.scan, &a.wax_up]).flatten() {
            if !names.contains(&name.as_str()) {
                names.push(name);
            }
        }
        names
    }

    /// Teeth that are missing, from the patient's right to the left.
    pub fn missing(&self) -> Vec<Tooth> {
        self.units().iter().filter(|u| matches!(u.role, Role::Pontic | Role::OnImplant)).map(|u| u.tooth).collect()
    }

    /// The tooth the case is named by: the first missing one, else the first that stands.
    pub fn main_tooth(&self) -> Option<Tooth> {
        self.missing().first().or(self.standing().first()).copied()
    }

    /// State of one tooth; `None` when nothing was said of it.
    pub fn abutment(&self, tooth: Tooth) -> Option<&Abutment> {
        self.abutments.iter().find(|a| a.tooth == tooth)
    }

    /// Where the restored place lies: that of the missing teeth, or of the tooth; mixed gaps count as the back, where loads are larger.
    pub fn region(&self) -> Region {
        let teeth = if self.is_gap() { self.missing() } else { self.standing() };
        if !teeth.is_empty() && teeth.iter().all(|t| t.region() == Region::Anterior) {
            Region::Anterior
        } else {
            Region::Posterior
        }
    }

    /// Share of the units that stand in the front, 0 to 1: the weight of front studies for this case.
    pub fn front_share(&self) -> f64 {
        let teeth = &self.restoration.teeth;
        let front = teeth.iter().filter(|t| t.region() == Region::Anterior).count();
        front as f64 / teeth.len().max(1) as f64
    }

    /// True when an incisor or canine is among the teeth.
    pub fn front_tooth(&self) -> bool {
        self.restoration.teeth.iter().any(|t| t.region() == Region::Anterior)
    }

    /// Width of the gap, mm: measured, else the sum of the crown widths `width` gives for the missing teeth.
    /// `None` without a gap or when a width is not known.
    pub fn span_mm(&self, width: impl Fn(Tooth) -> Option<f64>) -> Option<f64> {
        if !self.is_gap() {
            return None;
        }
        self.space.span_mm.or_else(|| self.missing().into_iter().map(width).sum())
    }

    /// What lies beneath a unit: said of the tooth, or of the implant's abutment.
    pub fn substrate(&self, tooth: Tooth) -> Option<Substrate> {
        if self.restoration.missing.contains(&tooth) {
            return self.implant.as_ref().and_then(|i| i.abutment);
        }
        self.abutment(tooth).and_then(|a| a.substrate)
    }

    /// True when metals and methacrylates were asked about.
    pub fn allergies_asked(&self) -> bool {
        self.mouth.allergies.is_some()
    }

    /// Every default in use, with what is taken, its basis and source.
    pub fn defaults_used(&self) -> Vec<DefaultUsed> {
        crate::defaults::defaults_used(self)
    }

    /// What must still be answered.
    pub fn open_questions(&self) -> Vec<OpenQuestion> {
        crate::open::open_questions(self)
    }
}

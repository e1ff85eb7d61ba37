//! Each tooth that carries: which, and whether what is said of it can all be true.

use super::Look;
use super::arch::repeated;
use crate::parts::{Abutment, Ferrule};
use crate::words::{Apical, Filled, Moment, Pulp, Substrate};

impl Look<'_> {
    pub(super) fn abutments(&mut self) {
        let teeth: Vec<_> = self.case.abutments.iter().map(|a| a.tooth).collect();
        for tooth in repeated(&teeth) {
            let last = teeth.iter().rposition(|t| *t == tooth).unwrap_or_default();
            let path = format!("abutment[{}].tooth", last + 1);
            self.error(
                &path,
                format!("{tooth} is described twice"),
                "each tooth once",
                "join the two sections, or mend the tooth",
            );
        }
        for (i, abutment) in self.case.abutments.clone().iter().enumerate() {
            let path = format!("abutment[{}]", i + 1);
            if self.belongs(abutment, &path) {
                self.pulp(abutment, &path);
                self.substance(abutment, &path);
                self.heights(abutment, &path);
                self.neighbour(abutment, &path);
                self.moment(abutment, &path);
            }
        }
    }

    /// Whether the tooth stands and is part of the case.
    fn belongs(&mut self, abutment: &Abutment, path: &str) -> bool {
        let tooth = abutment.tooth;
        if self.case.restoration.missing.contains(&tooth) {
            let on = if self.case.is_implant() { "an implant" } else { "a missing tooth" };
            let said = ["ferrule", "walls", "pulp"].iter().find(|f| self.places.has(&format!("{path}.{f}")));
            match said {
                Some(field) => {
                    let found = format!("{field} of {tooth}, which is {on}");
                    let remedy = if self.case.is_implant() {
                        "take the section out; the implant is described in [implant]"
                    } else {
                        "take the section out"
                    };
                    self.error(&format!("{path}.{field}"), found, "a standing tooth", remedy);
                }
                None => self.error(
                    &format!("{path}.tooth"),
                    format!("{tooth} is missing"),
                    "a standing tooth",
                    "take the section out",
                ),
            }
            return false;
        }
        if !self.case.restoration.teeth.contains(&tooth) {
            let names = self.case.standing().iter().map(ToString::to_string).collect::<Vec<_>>().join(", ");
            let remedy = format!("write one of {names}, or add {tooth} to restoration.teeth");
            self.error(
                &format!("{path}.tooth"),
                format!("{tooth} is not part of the restoration"),
                "a tooth of restoration.teeth",
                remedy,
            );
            return false;
        }
        true
    }

    fn pulp(&mut self, a: &Abutment, path: &str) {
        let alive = matches!(a.pulp, Some(Pulp::Vital | Pulp::Irreversible));
        if let Some(post @ (Substrate::MetalPost | Substrate::FibrePost)) = a.substrate.filter(|_| alive) {
            let found = format!("the pulp is vital, and a {} stands in the root", post.label());
            self.error(
                &format!("{path}.pulp"),
                found,
                "a root-filled tooth under a post",
                "write pulp = \"root_filled\", or another substrate",
            );
        }
        if a.pulp == Some(Pulp::Vital) && matches!(a.apical, Some(Apical::Lesion | Apical::Healing)) {
            let found = "the pulp is vital, and the root end has a lesion";
            self.warning(
                &format!("{path}.apical"),
                found,
                "a sound root end under a vital pulp",
                "test the pulp again",
            );
        }
    }

    fn substance(&mut self, a: &Abutment, path: &str) {
        if let Some(implant) = a.substrate.filter(|s| s.is_implant_abutment()) {
            let found = format!("a {} beneath {}, a tooth", implant.label(), a.tooth);
            self.error(
                &format!("{path}.substrate"),
                found,
                "a substrate of teeth",
                "write what lies beneath, or describe the implant in [implant]",
            );
        }
        let rebuilt = [
            Substrate::AmalgamCore,
            Substrate::CompositeCore,
            Substrate::GlassIonomerCore,
            Substrate::MetalPost,
            Substrate::FibrePost,
        ];
        if a.filled == Some(Filled::Sound) && a.substrate.is_some_and(|s| rebuilt.contains(&s)) {
            self.error(
                &format!("{path}.filled"),
                "the tooth is without filling, and a core lies beneath",
                "one of the two",
                "write filled = \"small\" or \"heavily_filled\"",
            );
        }
        let (low, high) = a.ferrule.map_or((0.0, f64::INFINITY), Ferrule::millimetres);
        match a.walls {
            Some(0) if low >= 2.0 => {
                let found = "no wall is left, and 2 mm of ferrule stand";
                self.warning(
                    &format!("{path}.ferrule"),
                    found,
                    "walls that carry the ferrule",
                    "count a wall where 2 mm of dentine stand",
                );
            }
            Some(walls @ 3..) if high == 0.0 => {
                let found = format!("{walls} walls are left, and no ferrule stands");
                self.warning(
                    &format!("{path}.ferrule"),
                    found,
                    "a ferrule on the walls",
                    "count only walls that stand above the finish line",
                );
            }
            _ => {}
        }
    }

    fn heights(&mut self, a: &Abutment, path: &str) {
        if let (Some(wall), Some(crown)) = (a.wall_mm, a.crown_mm)
            && wall > crown
        {
            let found = format!("a wall of {wall} mm on a crown of {crown} mm");
            self.error(
                &format!("{path}.wall_mm"),
                found,
                "a wall no higher than the crown",
                "measure both from the finish line",
            );
        }
        if let (Some(Ferrule::Millimetres(ferrule)), Some(wall)) = (a.ferrule, a.wall_mm)
            && ferrule > wall
        {
            let found = format!("a ferrule of {ferrule} mm on a wall of {wall} mm");
            self.error(
                &format!("{path}.ferrule"),
                found,
                "a ferrule no higher than the wall",
                "measure both from the finish line",
            );
        }
    }

    /// The sound tooth that shows the size: another one that stands, measured in at least one way.
    fn neighbour(&mut self, a: &Abutment, path: &str) {
        let Some(sound) = a.sound_neighbour else { return };
        let path = format!("{path}.sound_neighbour");
        if self.case.restoration.teeth.contains(&sound.tooth) || self.case.restoration.missing.contains(&sound.tooth) {
            let found = format!("{}, a tooth of the restoration itself", sound.tooth);
            self.error(
                &format!("{path}.tooth"),
                found,
                "a sound tooth beside or opposite it in the arch",
                "write the same tooth of the other side, or take the section out",
            );
        } else if sound.tooth.jaw() != a.tooth.jaw() {
            let found = format!("{}, a tooth of the other jaw than {}", sound.tooth, a.tooth);
            self.error(
                &format!("{path}.tooth"),
                found,
                "a sound tooth of the same jaw",
                "write the same tooth of the other side",
            );
        }
        if sound.crown_mm.is_none() && sound.width_mm.is_none() {
            self.error(
                &path,
                format!("{} without a measure", sound.tooth),
                "the height of its crown, its width, or both",
                "write crown_mm or width_mm",
            );
        }
    }

    fn moment(&mut self, a: &Abutment, path: &str) {
        match (self.case.moment, a.prepared) {
            (Moment::Stump, Some(false)) => {
                let found = format!("the moment is the stump, and {} is not prepared", a.tooth);
                self.error(
                    &format!("{path}.prepared"),
                    found,
                    "a prepared tooth",
                    "write prepared = true, or moment = \"plan\"",
                );
            }
            (Moment::Plan, Some(true)) | (Moment::Stump, _) => {}
            (Moment::Plan, _) => {
                for field in [
                    "stump",
                    "stump_own",
                    "occlusal_depth_mm",
                    "facial_depth_mm",
                    "margin_depth_mm",
                    "convergence_degrees",
                ] {
                    let here = format!("{path}.{field}");
                    if self.places.has(&here) {
                        let remedy = "write moment = \"stump\", or prepared = true for a tooth prepared earlier";
                        self.error(
                            &here,
                            format!("{field} before preparation"),
                            "what a preparation shows, after it",
                            remedy,
                        );
                    }
                }
            }
        }
    }
}

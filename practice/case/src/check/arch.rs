//! Teeth along the arch: one jaw, no tooth twice, no hole, no pontic hanging free unawares.

use super::Look;
use crate::words::Turn;
use catalogue::words::{Construct, Gap, Tooth};

impl Look<'_> {
    /// The lists of teeth in themselves.
    pub(super) fn teeth(&mut self) {
        let (teeth, missing) = (self.case.restoration.teeth.clone(), self.case.restoration.missing.clone());
        if teeth.is_empty() {
            self.error(
                "restoration.teeth",
                "no tooth is named",
                "at least one tooth",
                "write for example teeth = [36]",
            );
        }
        for (path, list) in [("restoration.teeth", &teeth), ("restoration.missing", &missing)] {
            for tooth in repeated(list) {
                self.error(
                    path,
                    format!("{tooth} stands twice in the list"),
                    "each tooth once",
                    format!("take one {tooth} out"),
                );
            }
        }
        for tooth in missing.iter().filter(|t| !teeth.contains(t)) {
            let remedy = format!("add {tooth} to teeth, or take it out of missing");
            self.error(
                "restoration.missing",
                format!("{tooth} is missing but not among teeth"),
                "missing teeth from the list of teeth",
                remedy,
            );
        }
        if let Some(other) = teeth.iter().find(|t| t.jaw() != teeth[0].jaw()) {
            let found = format!("{} lies in the {} jaw, {other} in the {}", teeth[0], teeth[0].jaw(), other.jaw());
            self.error("restoration.teeth", found, "teeth of one jaw", "write one case for each jaw");
        } else if let Some((left, right, between)) = hole(&teeth) {
            let names = between.iter().map(ToString::to_string).collect::<Vec<_>>().join(", ");
            let remedy = format!("add {names} to teeth, and to missing what is lost; or write one case a tooth");
            self.error(
                "restoration.teeth",
                format!("impossible span: {names} between {left} and {right} is left out"),
                "neighbouring teeth",
                remedy,
            );
        }
    }

    /// A pontic at the end of the row needs a word.
    pub(super) fn ends(&mut self) {
        let units = self.case.units();
        let hangs_free = [units.first(), units.last()]
            .into_iter()
            .flatten()
            .find(|u| self.case.restoration.missing.contains(&u.tooth))
            .map(|u| u.tooth);
        let allowed = matches!(
            self.case.restoration.construct(),
            Some(
                Construct::CantileverBridge
                    | Construct::OneWing
                    | Construct::ImplantCrown
                    | Construct::LeaveGap
                    | Construct::CloseGap
                    | Construct::Removable
            )
        ) || self.case.restoration.cantilever == Some(true);
        let standing = self.case.standing();
        match hangs_free {
            Some(_) if standing.is_empty() && !self.case.is_implant() => {
                let remedy = "add the standing neighbours to teeth, or write kind = \"implant_crown\"";
                self.error(
                    "restoration.missing",
                    "every tooth is missing: nothing carries a pontic",
                    "a standing tooth beside the gap",
                    remedy,
                );
            }
            Some(tooth) if !allowed => {
                let beyond = beyond(tooth, &standing).map_or(String::new(), |t| format!("add {t} as abutment, or "));
                let remedy = format!("{beyond}write cantilever = true");
                self.error(
                    "restoration.missing",
                    format!("the pontic {tooth} stands at an end"),
                    "an abutment at both ends",
                    remedy,
                );
            }
            None if self.case.restoration.cantilever == Some(true) => {
                let found = "cantilever is true, but both ends stand on teeth";
                self.warning(
                    "restoration.cantilever",
                    found,
                    "a pontic at an end",
                    "take the line out, or take the abutment out of teeth",
                );
            }
            _ => {}
        }
    }

    /// What is planned against what is there.
    pub(super) fn kind(&mut self) {
        let (gap, mut standing) = (self.case.is_gap(), self.case.standing());
        standing.dedup();
        match self.case.restoration.construct() {
            Some(kind) if kind.treats() == Gap::Tooth && gap => {
                let remedy = "take missing out, or write kind = \"bridge\" or \"open\"";
                self.error(
                    "restoration.kind",
                    format!("{kind} is for a standing tooth, and teeth are missing"),
                    "a way of treating a gap",
                    remedy,
                );
            }
            // Crowns joined to each other are a bridge without a pontic.
            Some(kind)
                if kind.treats() == Gap::Missing && !gap && !(kind == Construct::Bridge && standing.len() > 1) =>
            {
                let remedy = "write missing = [...] with the lost teeth, or kind = \"crown\" or \"open\"";
                self.error(
                    "restoration.kind",
                    format!("{kind} is for a gap, and no tooth is missing"),
                    "missing teeth",
                    remedy,
                );
            }
            Some(Construct::Bridge) => {}
            _ if !gap && standing.len() > 1 => {
                let remedy = "write one case a tooth; crowns that are to be joined: kind = \"bridge\"";
                self.error("restoration.teeth", "several standing teeth and no gap", "one tooth, or one gap", remedy);
            }
            _ => {}
        }
        if self.case.restoration.turn == Some(Turn::First) && self.case.old.is_some() {
            let remedy = "write turn = \"replacement\", or take [old] out";
            self.error(
                "restoration.turn",
                "a first restoration, and an earlier one is described",
                "one of the two",
                remedy,
            );
        }
        if self.case.is_implant() && self.case.restoration.missing.len() > 1 {
            let remedy = "write one case an implant";
            self.error(
                "restoration.missing",
                "one implant crown for several missing teeth",
                "one missing tooth",
                remedy,
            );
        }
    }
}

/// Teeth that stand more than once in a list.
pub(super) fn repeated<T: PartialEq + Copy>(list: &[T]) -> Vec<T> {
    let mut twice = Vec::new();
    for (i, item) in list.iter().enumerate() {
        if list[..i].contains(item) && !twice.contains(item) {
            twice.push(*item);
        }
    }
    twice
}

/// The first hole in a row of teeth of one jaw: its two neighbours and what lies between.
fn hole(teeth: &[Tooth]) -> Option<(Tooth, Tooth, Vec<Tooth>)> {
    let mut row = teeth.to_vec();
    row.sort_by_key(|t| t.place());
    row.windows(2).find(|pair| pair[1].place() > pair[0].place() + 1).map(|pair| {
        let between = (pair[0].place() + 1..pair[1].place()).filter_map(|p| Tooth::at(pair[0].jaw(), p)).collect();
        (pair[0], pair[1], between)
    })
}

/// The tooth on the free side of an end pontic.
fn beyond(tooth: Tooth, standing: &[Tooth]) -> Option<Tooth> {
    let first = standing.first()?;
    if tooth.place() < first.place() { tooth.previous() } else { tooth.next() }
}

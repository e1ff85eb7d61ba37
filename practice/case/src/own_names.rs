//! Names of the practice's own colours in a case: each is found in the practice's file and put in its place, so that engines see
//! readings only. A name that file does not hold is an error which lists those it holds.

use crate::Case;
use crate::parts::{Reading, Tab};
use crate::places::Places;
use answer::{Issue, nearest_name};
use catalogue::{OwnColour, OwnKind};

/// Puts the practice's colours where the case names them.
pub(crate) fn resolve(case: &mut Case, own: &[OwnColour], places: &Places, issues: &mut Vec<Issue>) {
    let mut names = Names { own, places, issues };
    if let Some(name) = case.wish.colour_tab.clone()
        && !case.laboratory.tabs.iter().any(|t| t.name == name)
        && let Some(found) = names.find(OwnKind::Tab, &name, "wish.colour_tab", &case.laboratory.tabs)
    {
        let [l, a, b] = found.lab;
        case.laboratory.tabs.push(Tab { name, l, a, b, spread: found.spread });
    }
    for (i, abutment) in case.abutments.iter_mut().enumerate() {
        let path = format!("abutment[{}].stump_own", i + 1);
        names.stump(&mut abutment.stump_own, &mut abutment.stump, &path);
    }
    if let Some(implant) = &mut case.implant {
        names.stump(&mut implant.reading_own, &mut implant.reading, "implant.reading_own");
    }
}

struct Names<'a> {
    own: &'a [OwnColour],
    places: &'a Places,
    issues: &'a mut Vec<Issue>,
}

impl<'a> Names<'a> {
    /// A named reading of a stump becomes the reading itself, its name kept in words.
    fn stump(&mut self, named: &mut Option<String>, reading: &mut Option<Reading>, path: &str) {
        let Some(name) = named.clone() else { return };
        if reading.is_some() {
            self.issues.push(Issue::error(
                self.places.at(path),
                "a reading is given and another one named",
                "one of the two",
                "keep the reading or the name",
            ));
        } else if let Some(found) = self.find(OwnKind::Stump, &name, path, &[]) {
            let [l, a, b] = found.lab;
            let with = found.instrument.as_deref().map_or(String::new(), |i| format!(", {i}"));
            *reading = Some(Reading {
                l,
                a,
                b,
                spread: found.spread,
                instrument: Some(format!("own reading `{name}`{with}")),
            });
            *named = None;
        }
    }

    fn find(&mut self, kind: OwnKind, name: &str, path: &str, in_the_case: &[Tab]) -> Option<&'a OwnColour> {
        let found = self.own.iter().find(|c| c.kind == kind && c.name == name);
        if found.is_none() {
            let known: Vec<&str> = in_the_case
                .iter()
                .map(|t| t.name.as_str())
                .chain(self.own.iter().filter(|c| c.kind == kind).map(|c| c.name.as_str()))
                .collect();
            let keep =
                format!("measure it once and keep it: bisque colour keep \"{name}\" L a b --kind {}", kind.word());
            let remedy = nearest_name(name, known.iter().copied()).map_or(keep, |n| format!("did you mean \"{n}\"?"));
            let list = if known.is_empty() {
                "none is in the practice's file (--data FOLDER with own_colours.csv)".to_owned()
            } else {
                known.iter().map(|n| format!("\"{n}\"")).collect::<Vec<_>>().join(", ")
            };
            self.issues.push(Issue::error(
                self.places.at(path),
                format!("no own {kind} is named \"{name}\""),
                format!("one of your own, measured once: {list}"),
                remedy,
            ));
        }
        found
    }
}

//! The places of the cards, in the order of the hands.

use super::OWN_INSTRUCTIONS;
use case::words::{Fixing, Grinding};
use catalogue::words::Construct;

/// A place of a card.
#[derive(Debug, Clone, Copy)]
pub(super) struct Place {
    /// Word in the rows.
    pub word: &'static str,
    /// As printed.
    pub label: &'static str,
    /// What is printed where no row speaks of it.
    pub gap: &'static str,
}

const fn place(word: &'static str, label: &'static str) -> Place {
    Place { word, label, gap: OWN_INSTRUCTIONS }
}

const fn own_way(word: &'static str, label: &'static str) -> Place {
    Place { word, label, gap: "your own way ____" }
}

const TRY_IN: Place = own_way("try_in", "Try-in");
const CLEAN: Place = place("clean", "Clean after try-in");
const SURFACE: Place = place("surface", "Fitting surface");
const PRIMER: Place = place("primer", "Primer");
const TOOTH: Place = place("tooth", "Tooth");
const ISOLATE: Place = own_way("isolate", "Isolate");
const CEMENT: Place = place("cement", "Cement");
/// No class has a row for it: times differ from cement to cement.
const TIMES: Place = place("times", "Mixing, working and curing time");
const EXCESS: Place = place("excess", "Excess");
const SCREW: Place = own_way("screw", "Screw");
const ADJUST: Place = own_way("adjust", "Adjust");
const POLISH: Place = own_way("polish", "Polish");
const CHECK: Place = own_way("check", "Check and record");
const GUARD: Place = own_way("guard", "Guard");

/// Places of the fit card. A screwed implant crown is not cemented in the mouth; where nobody said how it is held, both ways stand.
pub(super) fn of_fit(construct: Construct, fixing: Option<Fixing>, grinding: Option<Grinding>) -> Vec<Place> {
    let bonding = [CLEAN, SURFACE, PRIMER];
    let cementing = [ISOLATE, CEMENT, TIMES, EXCESS];
    let mut list = vec![TRY_IN];
    match (construct, fixing) {
        (Construct::ImplantCrown, Some(Fixing::Screw)) => list.extend([SCREW]),
        (Construct::ImplantCrown, Some(Fixing::Cement) | None) => {
            list.extend([SCREW]);
            list.extend(bonding);
            list.extend([Place { label: "Abutment", ..TOOTH }]);
            list.extend(cementing);
        }
        _ => {
            list.extend(bonding);
            list.extend([TOOTH]);
            list.extend(cementing);
        }
    }
    list.extend([ADJUST, POLISH, CHECK]);
    if grinding != Some(Grinding::Nothing) {
        list.push(GUARD);
    }
    list
}

/// Places of the repair card: everything happens in the mouth.
pub(super) const OF_REPAIR: [Place; 8] = [
    own_way("ask", "First"),
    ADJUST,
    ISOLATE,
    Place { label: "Broken surface", ..SURFACE },
    Place { label: "Build up", ..CEMENT },
    TIMES,
    POLISH,
    CHECK,
];

/// Places of the preparation card before the bur.
pub(super) const BEFORE: [Place; 3] =
    [own_way("shade", "Colour first"), own_way("index", "Index"), own_way("radiograph", "Radiograph")];

/// Places of the preparation card while cutting and after; nothing is cut for an implant crown.
pub(super) fn of_cutting(construct: Construct) -> Vec<Place> {
    let after = [own_way("impression", "Impression or scan"), own_way("temporary", "Temporary")];
    if construct == Construct::ImplantCrown {
        return after.into();
    }
    let mut list = vec![own_way("finish_line", "Finish line"), own_way("edges", "Edges and taper")];
    if !matches!(construct, Construct::OneWing | Construct::TwoWings) {
        list.insert(0, own_way("depth", "Depth"));
        list.extend([own_way("photograph", "Stump photograph"), own_way("seal", "Sealing the dentine")]);
    }
    list.extend(after);
    list
}

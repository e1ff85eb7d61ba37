//! The wished colour with its spread: read, an own tab, as the neighbour, or a natural tooth of this kind.

use answer::{Basis, Provenance};
use case::words::Against;
use case::{Case, Reading, WishedColour};
use catalogue::Catalogue;
use colour::{Lab, Spread};

pub(super) fn of_reading(reading: &Reading) -> Spread {
    // Repeated readings of one tooth scatter by about 1 where nothing was told (common practice, no source).
    let sd = reading.spread.unwrap_or(1.0) / 3f64.sqrt();
    Spread::Normal { mean: Lab::new(reading.l, reading.a, reading.b), sd: Lab::new(sd, sd, sd) }
}

/// The wished colour with its spread, in words.
pub(super) fn wish(case: &Case, catalogue: &Catalogue) -> (Spread, String, Provenance) {
    let own = Provenance::of("own_reading", Basis::Own);
    match case.wish.wished_colour() {
        Some(WishedColour::Read(reading)) => (of_reading(reading), "read by instrument".to_owned(), own),
        Some(WishedColour::Tab(name)) => {
            let tab = case.laboratory.tabs.iter().find(|t| t.name == name);
            let (spread, _, provenance) = natural(case, catalogue);
            match tab {
                Some(t) => {
                    let sd = t.spread.unwrap_or(1.0) / 3f64.sqrt();
                    (
                        Spread::Normal { mean: Lab::new(t.l, t.a, t.b), sd: Lab::new(sd, sd, sd) },
                        format!("own tab {name}"),
                        own,
                    )
                }
                None => (spread, format!("own tab {name}, not measured: a natural tooth instead"), provenance),
            }
        }
        Some(WishedColour::Neighbour(against)) => {
            let (spread, words, provenance) = natural(case, catalogue);
            let (mean, sd) = match spread {
                Spread::Normal { mean, sd } => (mean, sd),
                Spread::Between { low, high } => (
                    Lab::new(0.5 * (low.l + high.l), 0.5 * (low.a + high.a), 0.5 * (low.b + high.b)),
                    Lab::new(4.0, 1.0, 3.0),
                ),
            };
            let mut shifted = mean;
            for wish in against {
                match wish {
                    Against::Lighter => shifted.l += 3.0,
                    Against::Darker => shifted.l -= 3.0,
                    Against::Paler => shifted.b -= 2.0,
                    Against::Richer => shifted.b += 2.0,
                    Against::Yellower => shifted.b += 1.5,
                    Against::Redder => shifted.a += 1.0,
                }
            }
            (Spread::Normal { mean: shifted, sd }, format!("as the neighbour, taken as {words}"), provenance)
        }
        None => natural(case, catalogue),
    }
}

/// A natural tooth of this kind: mean and spread of people read, adults first.
pub(super) fn natural(case: &Case, catalogue: &Catalogue) -> (Spread, String, Provenance) {
    let tooth = case.main_tooth();
    let mut provenance = Provenance::default();
    let mut axis = |quantity: &str, mean: f64, sd: f64| {
        let fits = |c: &&catalogue::ToothColour| {
            c.quantity == quantity
                && c.sd.is_some()
                && tooth.is_some_and(|t| c.class == Some(t.class()) && c.jaw == Some(t.jaw()))
        };
        match catalogue.tooth_colours().iter().find(fits) {
            Some(row) => {
                row.fact.sources.iter().for_each(|s| provenance.add(s.clone(), row.fact.basis));
                (row.fact.figure.middle(), row.sd.unwrap_or(sd))
            }
            None => {
                provenance.add("common_practice", Basis::CommonPractice);
                (mean, sd)
            }
        }
    };
    let (l, sl) = axis("L", 72.0, 4.5);
    let (a, sa) = axis("a", 0.5, 1.2);
    let (b, sb) = axis("b", 17.0, 3.5);
    (
        Spread::Normal { mean: Lab::new(l, a, b), sd: Lab::new(sl, sa, sb) },
        "a natural tooth of this kind".to_owned(),
        provenance,
    )
}

//! What is said about a file that was read.

use super::{Read, ReadLimits};
use crate::mesh::{Hole, LengthUnit, Oriented};
use answer::{Issue, Place, six_figures};

/// Rims listed by name; the rest are counted.
const LISTED: usize = 5;

pub(super) fn of(
    read: &Read,
    name: &str,
    odd: &[String],
    dropped: usize,
    oriented: &Oriented,
    limits: &ReadLimits,
) -> Vec<Issue> {
    let mut issues = Vec::new();
    let mut say = |found: String, expected: &str, remedy: &str| {
        issues.push(Issue::warning(Place::file(name), found, expected, remedy));
    };
    for found in odd {
        say(found.clone(), "a whole file", "look whether anything is missing; if so export it anew");
    }
    if let Some((found, remedy)) = unit(read, limits) {
        say(found, "millimetres", &remedy);
    }
    if dropped > 0 {
        say(
            format!("facets with two corners in one place, dropped: {dropped}"),
            "facets with area",
            "nothing: they cover nothing",
        );
    }
    let turned = "a surface whose facets agree which side is outside";
    if oriented.flipped > 0 {
        say(
            format!("flipped facets, turned to agree with their neighbours: {}", oriented.flipped),
            turned,
            "look at what was turned",
        );
    }
    if oriented.turned_shells > 0 {
        say(
            format!("closed shells inside out, turned: {}", oriented.turned_shells),
            turned,
            "check the sides in the program it comes from",
        );
    }
    if oriented.one_sided > 0 {
        say(
            format!("edges at which neighbours cannot agree which side is outside: {}", oriented.one_sided),
            turned,
            "mend the surface where it passes through itself",
        );
    }
    if read.flaws.duplicates > 0 {
        say(
            format!("facets there twice: {}", read.flaws.duplicates),
            "each facet once",
            "`bisque shape repair` drops them",
        );
    }
    if read.flaws.branching_edges > 0 {
        say(
            format!("edges of more than two facets: {}", read.flaws.branching_edges),
            "two facets an edge",
            "mend the surface where its parts touch",
        );
    }
    for hole in read.holes.iter().take(LISTED) {
        say(
            rim(hole),
            "a closed surface, or an open scan",
            "`bisque shape repair` joins places that are all but the same and fills small holes; large ones are the edge of a scan",
        );
    }
    if read.holes.len() > LISTED {
        say(
            format!("{} further rims, shorter", read.holes.len() - LISTED),
            "a closed surface, or an open scan",
            "`bisque shape read` lists them all",
        );
    }
    issues
}

fn rim(hole: &Hole) -> String {
    // Beside the rim's length a millionth is nothing.
    let [x, y, z] = hole.centre.map(|x| if x.abs() < 1e-6 * hole.length { 0.0 } else { six_figures(x) });
    format!("a rim of {} edges, {} long, about ({x}, {y}, {z})", hole.rim.len(), six_figures(hole.length))
}

/// What is to be said about the unit, and what to do.
fn unit(read: &Read, limits: &ReadLimits) -> Option<(String, String)> {
    let extent = read.mesh.extent();
    match read.unit {
        Some(LengthUnit::Millimetre) | None if (limits.extent[0]..=limits.extent[1]).contains(&extent) => None,
        Some(unit) if (limits.extent[0]..=limits.extent[1]).contains(&extent) => Some((
            format!("its unit is the {unit}: places were turned into millimetres"),
            "nothing, if that is right".to_owned(),
        )),
        unit => {
            let said =
                unit.map_or("and names no unit".to_owned(), |u| format!("in millimetres, from the {u}s it names"));
            let guesses: Vec<String> =
                LengthUnit::suggested(extent, limits.extent).iter().map(ToString::to_string).collect();
            let remedy = match (unit, guesses.is_empty()) {
                (None, false) => format!("give the unit; {} would fit", guesses.join(" or ")),
                _ => "check the unit in the program it comes from".to_owned(),
            };
            Some((format!("the surface is {} across {said}", six_figures(extent)), remedy))
        }
    }
}

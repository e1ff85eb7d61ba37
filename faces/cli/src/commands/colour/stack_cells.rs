//! What single cells of a stack's row say: class and grade, index, colour, coupling, ground; or which cell is wrong.

use super::stack_rows::StackRow;
use ::case::words::Substrate;
use ::catalogue::words::{Grade, Material};
use ::colour::{Coupling, Ground, Lab, Spread};
use answer::Issue;

/// Class and grade by their words.
pub fn class_of(row: &StackRow) -> Result<(Option<Material>, Option<Grade>), Box<Issue>> {
    let material = row.material.as_deref().map(|word| {
        Material::ALL.iter().copied().find(|m| m.word() == word).ok_or_else(|| {
            let near = answer::nearest_name(word, Material::ALL.iter().map(|m| m.word()));
            let remedy = near
                .map_or("see `bisque catalogue show material_classes`".to_owned(), |n| format!("did you mean `{n}`?"));
            Box::new(row.complain(
                "material",
                format!("`{word}` is no material"),
                "a material of the catalogue",
                &remedy,
            ))
        })
    });
    let grade = row.grade.as_deref().map(|word| {
        Grade::ALL.iter().copied().find(|g| g.word() == word).ok_or_else(|| {
            let words: Vec<&str> = Grade::ALL.iter().map(|g| g.word()).collect();
            Box::new(row.complain("grade", format!("`{word}` is no grade"), &words.join(", "), "correct the word"))
        })
    });
    Ok((material.transpose()?, grade.transpose()?))
}

/// Refractive index: one number, or two with a hyphen between.
pub fn index_of(row: &StackRow) -> Result<Option<(f64, f64)>, Box<Issue>> {
    let Some(text) = row.index.as_deref() else { return Ok(None) };
    let mut parts = text.split('-').map(|p| p.trim().parse::<f64>());
    match (parts.next(), parts.next()) {
        (Some(Ok(n)), None) if (1.0..=4.0).contains(&n) => Ok(Some((n, n))),
        (Some(Ok(low)), Some(Ok(high))) if 1.0 <= low && low <= high && high <= 4.0 => Ok(Some((low, high))),
        _ => {
            Err(Box::new(row.complain("index", format!("`{text}`"), "1 to 4, or a range like 1.50-1.55", "correct it")))
        }
    }
}

/// What lies between the lowest layer and the backing.
pub fn coupling(row: &StackRow, defaults: &mut Vec<String>, issues: &mut Vec<Issue>) -> Coupling {
    match row.coupling.as_deref() {
        Some("dry") => Coupling::Dry,
        Some("wet") => Coupling::Wet,
        Some("film") => Coupling::Film(1.5),
        Some("contact") => Coupling::Contact,
        Some(other) => {
            issues.push(row.complain(
                "coupling",
                format!("`{other}`"),
                "dry, wet, film or contact",
                "correct the word",
            ));
            Coupling::Contact
        }
        None => {
            defaults.push("coupling: a clear film of index 1.5".to_owned());
            Coupling::Film(1.5)
        }
    }
}

/// The colour given in a row; none where all three cells are blank.
pub fn colour_of(row: &StackRow) -> Result<Option<Spread>, Box<Issue>> {
    let spread = row.spread.unwrap_or(1.0);
    if !(0.0..=50.0).contains(&spread) {
        let found = format!("{spread}");
        return Err(Box::new(row.complain("spread", found, "0 to 50, a distance in CIELAB", "correct it")));
    }
    match (row.l, row.a, row.b) {
        (None, None, None) => Ok(None),
        (Some(l), Some(a), Some(b)) if Lab::new(l, a, b).is_possible() => {
            let sd = spread / 3f64.sqrt();
            Ok(Some(Spread::Normal { mean: Lab::new(l, a, b), sd: Lab::new(sd, sd, sd) }))
        }
        _ => Err(Box::new(no_colour(row))),
    }
}

/// The ground a backing is: a bare metal by its index or its name, else a body.
pub fn ground_of(row: &StackRow, defaults: &mut Vec<String>) -> Result<Ground, Box<Issue>> {
    let metal =
        row.substrate.as_deref().is_some_and(|word| Substrate::ALL.iter().any(|s| s.word() == word && s.is_metal()));
    match row.index.as_deref() {
        Some("metal") => Ok(Ground::Metal),
        None if metal => {
            defaults.push(format!("{}: a bare metal, by its name", row.label()));
            Ok(Ground::Metal)
        }
        _ => Ok(Ground::Body(index_of(row)?.map_or_else(
            || {
                defaults.push(format!("{}: refractive index {BODY}", row.label()));
                BODY
            },
            |(low, high)| 0.5 * (low + high),
        ))),
    }
}

/// Index of a backing of tooth or resin where none is given.
const BODY: f64 = 1.5;

/// Complaint about a colour that is missing or impossible.
pub fn no_colour(row: &StackRow) -> Issue {
    row.complain(
        "L",
        "no colour, or one that cannot be",
        "L (0 to 100), a and b as read, or a substrate by name",
        "read it by instrument or by photograph with a grey card (bisque colour photo)",
    )
}

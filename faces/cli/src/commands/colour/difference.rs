//! `bisque colour difference`.

use crate::commands::{print_json, say};
use crate::failure::Failure;
use ::colour::{Lab, cie76, ciede2000_parts};
use answer::six_figures;

/// Difference of two colours.
pub fn run(lab: &[f64], json: bool) -> Result<(), Failure> {
    let [l1, a1, b1, l2, a2, b2] = lab[..] else {
        return Err(Failure::Usage("six numbers are needed: L* a* b* of each colour".to_owned()));
    };
    for (name, l) in [("first", l1), ("second", l2)] {
        if !(0.0..=100.0).contains(&l) {
            return Err(Failure::Usage(format!("L* of the {name} colour is {l}: expected 0 to 100")));
        }
    }
    if lab.iter().any(|v| !v.is_finite()) {
        return Err(Failure::Usage("every number must be finite".to_owned()));
    }
    let (one, other) = (Lab::new(l1, a1, b1), Lab::new(l2, a2, b2));
    let (parts, de76) = (ciede2000_parts(one, other), cie76(one, other));
    if json {
        let six = six_figures;
        return print_json(&serde_json::json!({
            "ciede2000": six(parts.total),
            "cie76": six(de76),
            "parts": { "lightness": six(parts.lightness), "chroma": six(parts.chroma), "hue": six(parts.hue), "rotation": six(parts.rotation) },
        }));
    }
    say(&format!("CIEDE2000 {:.4}\nCIE 1976  {de76:.4}", parts.total));
    say(&format!(
        "of which  lightness {:+.4}, chroma {:+.4}, hue {:+.4} (rotation {:.4}), first to second",
        parts.lightness, parts.chroma, parts.hue, parts.rotation
    ));
    Ok(())
}

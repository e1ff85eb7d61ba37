//! `bisque strength neck`.

use crate::commands::{print_json, say};
use crate::failure::Failure;
use ::strength::{Bending, Neck, NeckShape, neck_spectrum};
use answer::six_figures;

/// Equivalent stress of a neck under a unit load.
pub fn run([height, width, span, radius, modulus]: [f64; 5], json: bool) -> Result<(), Failure> {
    let neck = Neck { height, width, shape: NeckShape::Ellipse, fillet_radius: radius, depth: f64::INFINITY };
    let spectrum = neck_spectrum(&neck, &Bending::three_point(span)).map_err(|e| Failure::Usage(e.to_string()))?;
    if !(1.0..=80.0).contains(&modulus) {
        return Err(Failure::Usage(format!("the Weibull modulus is {modulus}: expected 1 to 80")));
    }
    let (equivalent, peak) = (spectrum.equivalent_stress(modulus), spectrum.peak());
    if json {
        return print_json(&serde_json::json!({
            "equivalent_mpa_per_n": six_figures(equivalent),
            "peak_mpa_per_n": six_figures(peak),
            "area_mm2": six_figures(neck.area()),
            "section_modulus_mm3": six_figures(neck.modulus()),
        }));
    }
    say(&format!(
        "equivalent stress {equivalent:.5} MPa/N (modulus {modulus}, 1 mm²), peak {peak:.5} MPa/N, area {:.2} mm², section modulus {:.3} mm³",
        neck.area(),
        neck.modulus()
    ));
    Ok(())
}

//! `bisque colour light`: white points, and a spectrum's colour under each light.

use super::{lab_json, usage, viewing};
use crate::args::LightArgs;
use crate::commands::{print_json, say};
use crate::failure::Failure;
use crate::files;
use ::colour::{Illuminant, Spectrum, srgb};
use answer::{Issue, six_figures};
use serde_json::json;
use std::path::Path;
use table::Table;

/// Lists lights, or looks at a spectrum under them.
pub fn run(args: &LightArgs) -> Result<(), Failure> {
    let all: Vec<String> = Illuminant::names().map(str::to_owned).collect();
    let lights = if args.lights.is_empty() { &all } else { &args.lights };
    let spectrum = args.spectrum.as_deref().map(read_spectrum).transpose()?;
    let mut rows = Vec::new();
    for light in lights {
        let viewing = viewing(light, args.observer)?;
        let white = viewing.white().0;
        let mut row = json!({ "light": light, "white_xyz": white.map(six_figures) });
        match &spectrum {
            None => {
                if !args.json {
                    say(&format!("{light:<9} white X {:8.3} Y {:7.3} Z {:8.3}", white[0], white[1], white[2]));
                }
            }
            Some(spectrum) => {
                let (xyz, lab) = (viewing.xyz(spectrum), viewing.lab(spectrum));
                let (lch, (rgb, mapped)) = (lab.lch(), srgb::screen(lab));
                row["xyz"] = json!(xyz.0.map(six_figures));
                row["lab"] = lab_json(lab);
                row["lch"] = json!({ "L": six_figures(lch.l), "C": six_figures(lch.c), "h": six_figures(lch.h) });
                row["srgb"] = json!({ "rgb": rgb, "gamut_mapped": mapped });
                if !args.json {
                    say(&format!(
                        "{light:<9} L* {:6.2} a* {:6.2} b* {:6.2}  C* {:6.2} h {:6.1}  X {:7.3} Y {:7.3} Z {:7.3}",
                        lab.l, lab.a, lab.b, lch.c, lch.h, xyz.0[0], xyz.0[1], xyz.0[2]
                    ));
                }
            }
        }
        rows.push(row);
    }
    if args.json { print_json(&rows) } else { Ok(()) }
}

fn read_spectrum(path: &Path) -> Result<Spectrum, Failure> {
    let text = files::read(path)?;
    let file = path.file_name().map(|n| n.to_string_lossy().into_owned()).unwrap_or_default();
    let failed = |issues: Vec<Issue>| Failure::Input { issues, text: Some(text.clone()) };
    let table = Table::parse(&file, &text).map_err(failed)?;
    table.require(&["wavelength_nm", "reflectance"]).map_err(failed)?;
    let rows = table.read(|row| Ok((row.number("wavelength_nm")?, row.number("reflectance")?))).map_err(failed)?;
    let (nm, values): (Vec<f64>, Vec<f64>) = rows.into_iter().unzip();
    Spectrum::reflectance(&nm, &values).map_err(|e| usage(format!("{file}: {e}")))
}

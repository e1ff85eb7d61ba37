//! `bisque colour characterise`: own discs to scattering and absorption, written as a table that plans use.

use super::{coupling, instrument, lab_json, usage, viewing, world};
use crate::args::{CharacteriseArgs, ObserverArg};
use crate::commands::{print_json, say};
use crate::failure::Failure;
use crate::files;
use ::catalogue::words::{Grade, Material};
use ::colour::{
    Backing, Bench, Characterised, Disc, Lab, Measured, Reading, ReadingError, Spectrum, characterise, contrast_ratio,
    disc_reading, translucency,
};
use answer::{Draws, Issue, six_figures};
use serde_json::json;
use table::{Row, Table};

/// Characterises discs.
pub fn run(args: &CharacteriseArgs) -> Result<(), Failure> {
    let material = word("material", args.material.as_deref(), Material::ALL, Material::word)?;
    let grade = word("grade", args.grade.as_deref(), Grade::ALL, Grade::word)?;
    for (name, r) in [("dark", args.dark), ("light", args.light)] {
        if !(0.0..=1.0).contains(&r) {
            return Err(Failure::Usage(format!("--{name} {r}: expected a reflectance between 0 and 1")));
        }
    }
    if args.dark >= args.light {
        return Err(Failure::Usage(format!("--dark {} is not below --light {}: exchange them", args.dark, args.light)));
    }
    if !(1.0..=4.0).contains(&args.index) {
        return Err(Failure::Usage(format!("--index {}: expected 1 to 4", args.index)));
    }
    let discs = read(args)?;
    let bench = Bench {
        dark: Backing::Surface(Spectrum::flat(args.dark)),
        light: Backing::Surface(Spectrum::flat(args.light)),
        coupling: coupling(args.coupling),
        instrument: instrument(args.instrument),
    };
    let view = viewing("D65", ObserverArg::Two)?;
    let world = world(args.draw);
    let found = characterise(&discs, &bench, args.index, ReadingError::USUAL, &args.name, &world, &view)
        .map_err(|e| usage(format!("{}: {e}", args.discs.display())))?;
    let measured = Measured::of(&found);
    let ratios = at_one_millimetre(&found, &bench, &view);
    if let Some(folder) = &args.out {
        files::write_all(folder, &[("media.csv".to_owned(), table_of(args, material, grade, &measured).into_bytes())])?;
    }
    let surface = bench.instrument.corrections(args.index);
    let body = view.lab(&surface.measured_spectrum(&found.optics.endless()));
    let given = [
        format!("refractive index {}", args.index),
        format!("dark tile {}, light tile {}", args.dark, args.light),
        format!("coupling {:?}, instrument {:?}", args.coupling, args.instrument).to_lowercase(),
        "reading error 0.003 in reflectance, 0.01 mm, 0.02 in index (common practice, no source)".to_owned(),
    ];
    let [cr, tp] = ratios.each_ref().map(Draws::interval);
    if args.json {
        return print_json(&json!({
            "name": args.name,
            "discs": discs.len(),
            "endless_lab": lab_json(body),
            "contrast_ratio_1mm": cr.rounded(),
            "TP_1mm": tp.rounded(),
            "bands_without_absorption": six_figures(found.without_absorption),
            "scattering_per_mm": measured.optics.scattering.0.map(six_figures).to_vec(),
            "absorption_per_mm": measured.optics.absorption.0.map(six_figures).to_vec(),
            "sd_log_scattering": measured.sd_log_scattering.0.map(six_figures).to_vec(),
            "sd_log_absorption": measured.sd_log_absorption.0.map(six_figures).to_vec(),
            "wavelength_nm": { "from": 380, "to": 780, "by": 10 },
            "taken_as_given": given,
        }));
    }
    say(&format!("{}: {} discs", args.name, discs.len()));
    say(&format!("endless thickness reads {}", super::lab_words(body)));
    say(&format!("at 1.0 mm: contrast ratio {}, TP {}", cr.in_words(), tp.in_words()));
    let (s, k) = (&measured.optics.scattering, &measured.optics.absorption);
    say(&format!(
        "at 560 nm: scattering {:.3} per mm, absorption {:.4} per mm (spread of the logarithm {:.2}, {:.2})",
        s.at(560.0),
        k.at(560.0),
        measured.sd_log_scattering.at(560.0),
        measured.sd_log_absorption.at(560.0)
    ));
    if found.without_absorption > 0.1 {
        say(&format!(
            "In {:.0} of 100 bands no absorption could be told from noise: thinner discs tell more.",
            100.0 * found.without_absorption
        ));
    }
    say(&format!("Taken as given: {}.", given.join("; ")));
    match &args.out {
        Some(folder) => {
            say(&format!("Written: {} (give --data {})", folder.join("media.csv").display(), folder.display()))
        }
        None => say("Nothing was written: --out FOLDER writes media.csv for --data."),
    }
    Ok(())
}

fn word<T: Copy>(
    option: &str,
    given: Option<&str>,
    all: &[T],
    word: impl Fn(T) -> &'static str,
) -> Result<Option<T>, Failure> {
    let Some(given) = given else { return Ok(None) };
    all.iter().copied().find(|t| word(*t) == given).map(Some).ok_or_else(|| {
        let words: Vec<&str> = all.iter().map(|t| word(*t)).collect();
        let near = answer::nearest_name(given, words.iter().copied());
        let hint = near.map_or(format!("expected one of {}", words.join(", ")), |n| format!("did you mean `{n}`?"));
        Failure::Usage(format!("--{option} {given}: {hint}"))
    })
}

fn read(args: &CharacteriseArgs) -> Result<Vec<Disc>, Failure> {
    let text = files::read(&args.discs)?;
    let file = args.discs.file_name().map(|n| n.to_string_lossy().into_owned()).unwrap_or_default();
    let failed = |issues: Vec<Issue>| Failure::Input { issues, text: Some(text.clone()) };
    let table = Table::parse(&file, &text).map_err(failed)?;
    let spectral = table.columns().iter().any(|c| c == "wavelength_nm");
    if spectral { by_spectrum(&table) } else { by_colour(&table) }.map_err(failed)
}

fn thickness(row: &Row) -> Result<f64, Issue> {
    let mm = row.number("thickness_mm")?;
    if mm > 0.0 && mm <= 20.0 {
        Ok(mm)
    } else {
        Err(row.complain("thickness_mm", format!("{mm} mm"), "above 0 and at most 20 mm", "measure the disc again"))
    }
}

fn by_colour(table: &Table) -> Result<Vec<Disc>, Vec<Issue>> {
    table.require(&["thickness_mm", "L_dark", "a_dark", "b_dark", "L_light", "a_light", "b_light"])?;
    table.read(|row| {
        let lab = |over: &str| -> Result<Lab, Issue> {
            let [l, a, b] = ["L", "a", "b"].map(|axis| format!("{axis}_{over}"));
            let lab = Lab::new(row.number(&l)?, row.number(&a)?, row.number(&b)?);
            if lab.is_possible() && lab.l > 0.0 && lab.l < 100.0 {
                Ok(lab)
            } else {
                Err(row.complain(
                    &l,
                    "not the colour of a body",
                    "L* between 0 and 100, a* and b* numbers",
                    "read it again",
                ))
            }
        };
        let (dark, light) = (lab("dark")?, lab("light")?);
        if light.l <= dark.l {
            return Err(row.complain(
                "L_light",
                format!("L* {} over the light tile is not above {} over the dark one", light.l, dark.l),
                "a lighter reading over the lighter tile",
                "check that the columns are not exchanged",
            ));
        }
        Ok(Disc { thickness_mm: thickness(row)?, over_dark: Reading::Lab(dark), over_light: Reading::Lab(light) })
    })
}

/// By how much a reading over the dark tile may exceed that over the light one: three standard deviations of the difference of two
/// readings with an error of 0.003 each; an almost opaque disc reads alike over both.
const CONTRADICTION: f64 = 0.013;

fn by_spectrum(table: &Table) -> Result<Vec<Disc>, Vec<Issue>> {
    table.require(&["thickness_mm", "wavelength_nm", "over_dark", "over_light"])?;
    let rows = table.read(|row| {
        let share = |column: &str| -> Result<f64, Issue> {
            let v = row.number(column)?;
            if (0.0..=1.0).contains(&v) {
                Ok(v)
            } else {
                let expected = "a reflectance between 0 and 1 (divide per cent by 100)";
                Err(row.complain(column, format!("{v} is not possible"), expected, "correct it"))
            }
        };
        let (dark, light) = (share("over_dark")?, share("over_light")?);
        if dark - light > CONTRADICTION {
            return Err(row.complain(
                "over_light",
                format!("{light} over the light tile is below {dark} over the dark one"),
                "a lighter reading over the lighter tile",
                "check that the columns are not exchanged, and read this band again",
            ));
        }
        Ok((thickness(row)?, row.number("wavelength_nm")?, dark, light))
    })?;
    // A new disc begins where the wavelength falls or the thickness changes.
    let starts: Vec<usize> =
        (0..rows.len()).filter(|i| *i == 0 || rows[*i].1 <= rows[*i - 1].1 || rows[*i].0 != rows[*i - 1].0).collect();
    let mut discs = Vec::new();
    let mut issues = Vec::new();
    for (n, start) in starts.iter().enumerate() {
        let end = starts.get(n + 1).copied().unwrap_or(rows.len());
        let disc = &rows[*start..end];
        let nm: Vec<f64> = disc.iter().map(|r| r.1).collect();
        let spectrum = |pick: fn(&(f64, f64, f64, f64)) -> f64| {
            Spectrum::reflectance(&nm, &disc.iter().map(pick).collect::<Vec<_>>())
        };
        match (spectrum(|r| r.2), spectrum(|r| r.3)) {
            (Ok(dark), Ok(light)) => discs.push(Disc {
                thickness_mm: disc[0].0,
                over_dark: Reading::Spectrum(dark),
                over_light: Reading::Spectrum(light),
            }),
            (Err(e), _) | (_, Err(e)) => issues.push(table.rows()[*start].complain(
                "wavelength_nm",
                e.to_string(),
                "a spectrum from 400 to 700 nm in steps of at most 20 nm",
                "give the whole spectrum of each disc, wavelengths rising",
            )),
        }
    }
    if issues.is_empty() { Ok(discs) } else { Err(issues) }
}

/// Contrast ratio and TP of a 1.0 mm disc per draw.
fn at_one_millimetre(found: &Characterised, bench: &Bench, view: &::colour::Viewing) -> [Draws; 2] {
    let readings: Vec<[Spectrum; 2]> = found
        .draws
        .iter()
        .map(|o| [bench.dark, bench.light].map(|b| disc_reading(o, 1.0, b, bench.coupling, bench.instrument)))
        .collect();
    let n = readings.len();
    [
        Draws::from_fn(n, |k| contrast_ratio(&readings[k][0], &readings[k][1], view)),
        Draws::from_fn(n, |k| translucency(view.lab(&readings[k][0]), view.lab(&readings[k][1]))),
    ]
}

fn table_of(args: &CharacteriseArgs, material: Option<Material>, grade: Option<Grade>, m: &Measured) -> String {
    let mut text = String::from(
        "id,medium,material,grade,index,wavelength_nm,scattering_per_mm,absorption_per_mm,sd_log_scattering,sd_log_absorption,source,\
         basis,note\n",
    );
    let name = args.name.replace(['"', ',', '\n', '\r'], " ");
    let key: String = name.chars().map(|c| if c.is_alphanumeric() { c } else { '_' }).collect();
    let (material, grade) = (material.map_or("", Material::word), grade.map_or("", Grade::word));
    for i in 0..::colour::BANDS {
        let nm = ::colour::wavelength(i);
        let [s, k] = [&m.optics.scattering, &m.optics.absorption].map(|v| six_figures(v.0[i]));
        let [ds, dk] = [&m.sd_log_scattering, &m.sd_log_absorption].map(|v| six_figures(v.0[i]));
        text.push_str(&format!(
            "{key}_{nm},{name},{material},{grade},{},{nm},{s},{k},{ds},{dk},own_reading,own,\n",
            args.index
        ));
    }
    text
}

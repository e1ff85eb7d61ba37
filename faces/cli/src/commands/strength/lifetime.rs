//! `bisque strength lifetime`: years of any body from its stress spectrum.

use crate::args::LifetimeArgs;
use crate::commands::{print_json, say};
use crate::failure::Failure;
use crate::files;
use ::strength::spectrum::Extent;
use ::strength::{LoadDay, Pulse, Strength, StressSpectrum, failure_probability};
use answer::six_figures;
use table::Table;

pub fn run(args: &LifetimeArgs) -> Result<(), Failure> {
    let spectrum = spectrum(args)?;
    let wrong = |e: ::strength::StrengthError| Failure::Usage(e.to_string());
    let day =
        LoadDay::new(args.loads.iter().map(|l| load(l)).collect::<Result<_, _>>()?, args.contact, Pulse::HalfSine)
            .map_err(wrong)?;
    let strength =
        Strength { characteristic: args.strength, m: args.modulus, n: args.exponent, rate: args.rate, wet: args.wet };
    strength.check().map_err(wrong)?;
    let table = spectrum.table();
    let risks: Vec<(f64, f64)> = args
        .years
        .iter()
        .map(|&y| Ok((y, failure_probability(&table, &day, &strength, y).map_err(wrong)?)))
        .collect::<Result<_, Failure>>()?;
    let force = day.equivalent(args.exponent);
    let per_newton = table.equivalent_stress(args.modulus);
    if args.json {
        return print_json(&serde_json::json!({
            "equivalent_force_n": six_figures(force), "equivalent_mpa_per_n": six_figures(per_newton), "peak_mpa_per_n": six_figures(spectrum.peak()),
            "exponent_of_stress": six_figures(strength.exponent()),
            "failed": risks.iter().map(|(y, p)| serde_json::json!({ "years": y, "probability": six_figures(*p) })).collect::<Vec<_>>(),
        }));
    }
    say(&format!(
        "The day's loads do as much harm as {force:.0} N at each of them; {per_newton:.5} MPa/N over 1 mm² is the equivalent stress, {:.1} MPa in all.",
        force * per_newton
    ));
    risks.iter().for_each(|(y, p)| say(&format!("  {y} years: {:.3} of 100 have failed", 100.0 * p)));
    say(&format!(
        "The hazard goes with the power {:.1} of stress. Anchored on no patient: this ranks, it does not predict.",
        strength.exponent()
    ));
    Ok(())
}

/// A load as N:TIMES.
fn load(text: &str) -> Result<(f64, f64), Failure> {
    let numbers = text.split_once(':').and_then(|(f, n)| Some((f.trim().parse().ok()?, n.trim().parse().ok()?)));
    numbers.ok_or_else(|| Failure::Usage(format!("--load {text}: expected force and times a day, e.g. 120:500")))
}

fn spectrum(args: &LifetimeArgs) -> Result<StressSpectrum, Failure> {
    let text = files::read(&args.spectrum)?;
    let name = args.spectrum.file_name().map(|n| n.to_string_lossy().into_owned()).unwrap_or_default();
    let told = |issues| Failure::Input { issues, text: Some(text.clone()) };
    let table = Table::parse(&name, &text).map_err(told)?;
    table.require(&["stress_mpa", "area_mm2"]).map_err(told)?;
    let samples = table.read(|row| Ok((row.number("stress_mpa")?, row.number("area_mm2")?))).map_err(told)?;
    StressSpectrum::from_samples(name.clone(), Extent::Surface, &samples)
        .map_err(|e| Failure::Usage(format!("{name}: {e}")))
}

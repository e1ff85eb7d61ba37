//! `bisque strength surfaces`: designs over dimensions solved by finite elements into a file, and what the surfaces fitted to them are worth.
//!
//! A job that may be stopped: every design is written as soon as it is solved, and one that stands in the file is not solved again.

use crate::args::SurfacesArgs;
use crate::commands::{print_json, say};
use crate::failure::Failure;
use crate::files;
use crate::meter::Meter;
use ::plan::{FRESH, SURFACE_COLUMNS, Solved, Surfaces, solved};
use ::strength::ResponseSurface;
use ::strength::designs::{Answer, Family, MODULI};
use answer::{Progress, six_figures};
use std::io::Write;

pub fn run(args: &SurfacesArgs) -> Result<(), Failure> {
    if args.finer < 1.0 || args.finer > 4.0 {
        return Err(Failure::Usage(format!("--finer {}: expected 1 to 4", args.finer)));
    }
    let known = if args.file.exists() { files::read(&args.file)? } else { String::new() };
    let families: Vec<Family> = Family::ALL.into_iter().filter(|f| chosen(args, *f)).collect();
    let numbers = (0..args.designs).chain(FRESH..FRESH + args.fresh);
    let wanted: Vec<(Family, usize)> = numbers
        .flat_map(|i| families.iter().map(move |f| (*f, i)))
        .filter(|(f, i)| !known.lines().any(|l| l.starts_with(&key(*f, *i, args.finer))))
        .collect();
    solve(args, &known, &wanted)?;
    told(args, &families)
}

fn chosen(args: &SurfacesArgs, family: Family) -> bool {
    args.family.as_deref().is_none_or(|word| word == family.word())
}

/// Beginning of a design's row.
fn key(family: Family, number: usize, finer: f64) -> String {
    format!("{},{number},{finer},", family.word())
}

fn solve(args: &SurfacesArgs, known: &str, wanted: &[(Family, usize)]) -> Result<(), Failure> {
    if wanted.is_empty() {
        return Ok(());
    }
    let not_written = |source| Failure::Write { path: args.file.clone(), source };
    let mut file = std::fs::OpenOptions::new().create(true).append(true).open(&args.file).map_err(not_written)?;
    if known.is_empty() {
        writeln!(file, "{SURFACE_COLUMNS}").map_err(not_written)?;
    }
    let meter = Meter::new("designs");
    let progress: &dyn Progress = &meter;
    for (done, (family, number)) in wanted.iter().enumerate() {
        progress.check(done, wanted.len())?;
        let key = key(*family, *number, args.finer);
        let rows = match family.solve(&family.point(*number), args.finer, &answer::NoProgress) {
            Ok(answer) => rows(&key, &answer),
            Err(why) => format!("{key}failed,{}\n", why.to_string().replace([',', '\n'], ";")),
        };
        file.write_all(rows.as_bytes()).and_then(|()| file.flush()).map_err(not_written)?;
    }
    Ok(())
}

fn rows(key: &str, answer: &Answer) -> String {
    let one = |g: &::strength::designs::GroupAnswer| {
        let numbers = answer.built.iter().chain(&g.ln_s).chain([&g.peak, &g.area]);
        let numbers: Vec<String> = numbers.map(|x| format!("{x:.6}")).collect();
        format!("{key}{},{},{},{}\n", g.name, numbers.join(","), answer.unknowns, answer.iterations)
    };
    answer.groups.iter().map(one).collect()
}

/// Errors of a surface on designs it was not fitted to.
struct Checked {
    designs: usize,
    within: usize,
    root_mean_square: f64,
    shift: f64,
}

/// Against designs that keep a rule, at modulus number `m`: a design counts as within when it lies in 1.645 of the error told there.
fn checked(surface: &ResponseSurface, designs: &[&Solved], m: usize) -> Checked {
    let (mut within, mut squares, mut shift) = (0, 0.0, 0.0);
    for d in designs {
        let Ok(ln_s) = surface.ln_s(&d.sample.point) else { continue };
        let off = d.sample.ln_s[m] - ln_s[m];
        within += usize::from(off.abs() <= 1.645 * surface.error(&d.sample.point, MODULI[m]));
        squares += off * off;
        shift += off;
    }
    let n = designs.len().max(1) as f64;
    Checked { designs: designs.len(), within, root_mean_square: (squares / n).sqrt(), shift: shift / n }
}

fn told(args: &SurfacesArgs, families: &[Family]) -> Result<(), Failure> {
    let text = files::read(&args.file)?;
    let designs = solved(&text).map_err(|e| Failure::Usage(e.to_string()))?;
    let surfaces = Surfaces::of(&designs);
    let mut out = Vec::new();
    for family in families {
        let Some(surface) = surfaces.of_family(*family) else {
            if args.json {
                out.push(serde_json::json!({ "family": family.word(), "designs": 0 }));
                continue;
            }
            say(&format!("{}: too few designs for a surface.", family.word()));
            continue;
        };
        // At m = 10.
        let m = 3;
        let of = |fresh: bool| -> Vec<&Solved> {
            let own = designs.iter().filter(|d| d.family == *family);
            if fresh {
                own.filter(|d| d.number >= FRESH && d.finer == 1.0).collect()
            } else {
                own.filter(|d| d.finer > 1.0).collect()
            }
        };
        let middle: Vec<f64> = family.variables().iter().map(|v| (v.low * v.high).sqrt()).collect();
        let error = surface.error(&middle, MODULI[m]);
        let (fresh, finer) = (checked(surface, &of(true), m), checked(surface, &of(false), m));
        if args.json {
            let told = |c: &Checked| {
                serde_json::json!({
                    "designs": c.designs, "within_90": c.within, "rms_ln": six_figures(c.root_mean_square), "mean_ln": six_figures(c.shift),
                })
            };
            out.push(serde_json::json!({
                "family": family.word(), "designs": surface.designs(), "ridge": surface.ridge(), "error_ln": six_figures(error),
                "fresh": told(&fresh), "finer": told(&finer),
            }));
            continue;
        }
        say(&format!(
            "{}: {} designs, error of ln stress left out one by one {:.3} (m = 10), ridge {}.",
            family.word(),
            surface.designs(),
            error,
            surface.ridge()
        ));
        for (what, c) in [("designs it was not fitted to", fresh), ("designs with finer cells", finer)] {
            if c.designs > 0 {
                say(&format!(
                    "  {} {what}: {} within the 90 % band, root mean square {:.3}, mean {:+.3}.",
                    c.designs, c.within, c.root_mean_square, c.shift
                ));
            }
        }
    }
    if args.json { print_json(&out) } else { Ok(()) }
}

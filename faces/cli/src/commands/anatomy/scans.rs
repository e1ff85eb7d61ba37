//! Surfaces at hand, read and laid into the tooth's frame; what cannot be used is told, and the form goes on in its place.

use super::show::wrong;
use crate::args::ScansArgs;
use crate::commands::shape::read_surface;
use crate::failure::Failure;
use crate::files;
use ::anatomy::{
    FilledScan, FittedScan, Neighbour, Part, Shown, ToothForm, ToothParts, beside_neighbour, fit_scan,
    in_the_same_frame, place_preparation,
};
use ::case::{Abutment, Age, Case};
use ::catalogue::Catalogue;
use ::catalogue::words::Tooth;
use ::plan::ShownTeeth;
use shape::{Aabb, Solid, Surface};
use std::path::Path;
use std::sync::Arc;

/// A tooth as far as scans show it.
pub struct Given {
    /// Parts of its form, scaled to the scan where there is one.
    pub parts: ToothParts,
    /// The tooth as it stands, and the outer form wished.
    pub shown: Shown,
    /// The opposing teeth.
    pub antagonist: Option<Surface>,
    /// The scan of the present tooth in its frame.
    pub fitted: Option<FittedScan>,
    /// What was filled by forms, and why.
    pub remarks: Vec<String>,
}

/// Reads what there is; `stands` is the measured height of the tooth's crown, mm.
pub fn given(
    args: &ScansArgs,
    tooth: Tooth,
    stands: Option<f64>,
    age: f64,
    cell: f64,
    catalogue: &Catalogue,
) -> Result<Given, Failure> {
    let form = ToothForm::of(catalogue, tooth).map_err(wrong)?;
    let mut remarks = Vec::new();
    let at = super::listed("--at", &args.at)?;
    let fitted = match &args.present {
        None => {
            remarks.push(format!("no scan of {tooth}: its average form stands for it"));
            None
        }
        Some(file) => {
            let scan = read_surface(file)?;
            match fit_scan(catalogue, tooth, &scan, at) {
                Ok(fitted) => {
                    remarks.extend(fitted.remarks.iter().cloned());
                    remarks.push(format!(
                        "scan and form of {tooth} differ by {:.2} mm (root mean square); under the gum and in holes the form stands in",
                        fitted.rms
                    ));
                    Some(fitted)
                }
                Err(fault) => {
                    remarks.push(format!("{}: {fault}; the average form is used instead", name(file)));
                    None
                }
            }
        }
    };
    let scaled = match &fitted {
        Some(f) => ToothForm::new(catalogue, tooth, &f.size).map_err(wrong)?,
        None => form,
    };
    let scan: Option<Part> = match &fitted {
        Some(f) => {
            let outer = ToothParts::new(&scaled, age, cell).map_err(wrong)?.outer;
            let filled = FilledScan::new(f.surface.clone(), outer);
            Some(Arc::new(::anatomy::LatticeBody::of(&filled, cell).map_err(wrong)?))
        }
        None => None,
    };
    let (form, mut shown) = match neighbour(args, catalogue)? {
        Some(sound) => {
            remarks.push(beside_words(tooth, &sound));
            let (form, shown) =
                beside_neighbour(catalogue, tooth, &sound, scan.clone(), stands, cell).map_err(wrong)?;
            // What a scan shows of the tooth places its pulp; the neighbour only shows the form wished.
            (if scan.is_some() { scaled } else { form }, shown)
        }
        None => {
            let present = match scan {
                Some(scan) => scan,
                None => ToothParts::new(&scaled, age, cell).map_err(wrong)?.outer,
            };
            (scaled, Shown::scanned(present.clone(), present))
        }
    };
    let parts = ToothParts::new(&form, age, cell).map_err(wrong)?;
    if let Some(file) = &args.wax_up {
        match wax_up(file, fitted.as_ref(), tooth, catalogue, &shown.present, cell)? {
            Ok(part) => shown.wanted = part,
            Err(why) => remarks.push(format!("{}: {why}; the outer form goes on without it", name(file))),
        }
    }
    let antagonist = match (&args.antagonist, &fitted) {
        (Some(file), Some(f)) => Some(near(&f.carried(&read_surface(file)?).map_err(wrong)?, &shown.present.bound())),
        (Some(file), None) => {
            remarks.push(format!(
                "{}: without a scan of {tooth} in its frame it cannot be placed, so clearance is not told",
                name(file)
            ));
            None
        }
        (None, _) => None,
    };
    Ok(Given { parts, shown, antagonist: antagonist.flatten(), fitted, remarks })
}

/// Lattice that the scans of a case are sampled on, mm.
pub const CELL: f64 = 0.25;

/// Teeth of a case as its files show them, and what was filled by forms, and why. A file that cannot be used never stops the work: the form goes on.
pub fn of_case(case: &Case, file: &Path, catalogue: &Catalogue) -> Result<(ShownTeeth, Vec<String>), Failure> {
    let mut shown = ShownTeeth::new();
    let mut remarks = Vec::new();
    for abutment in &case.abutments {
        let args = beside(abutment, file, &mut remarks);
        if args.present.is_none() && args.wax_up.is_none() && args.neighbour.is_none() {
            continue;
        }
        let age = case.mouth.age.map(Age::years).map_or(40.0, |(young, old)| 0.5 * (young + old));
        match given(&args, abutment.tooth, abutment.crown_mm, age, CELL, catalogue) {
            Ok(given) => {
                remarks.extend(given.remarks);
                let wished = args.neighbour.is_some() || !Arc::ptr_eq(&given.shown.present, &given.shown.wanted);
                if given.fitted.is_some() || wished {
                    shown.insert(abutment.tooth, (given.parts.form, given.shown));
                }
            }
            Err(fault) => {
                let tooth = abutment.tooth;
                remarks.push(format!("{}; the average form of {tooth} is used instead", one_line(&fault)));
            }
        }
    }
    Ok((shown, remarks))
}

/// Files of a tooth that lie beside the case file.
fn beside(abutment: &Abutment, case: &Path, remarks: &mut Vec<String>) -> ScansArgs {
    let mut find = |name: &Option<String>| {
        let name = name.as_ref()?;
        let found = files::beside(case, name);
        if found.is_none() {
            remarks.push(format!(
                "{name}: no such file beside the case; the average form of {} is used instead",
                abutment.tooth
            ));
        }
        found
    };
    let (present, wax_up) = (find(&abutment.scan), find(&abutment.wax_up));
    let at = abutment.scan_place.map_or(Vec::new(), |p| vec![p.x, p.y, p.z]);
    let sound = abutment.sound_neighbour;
    ScansArgs {
        present,
        at,
        wax_up,
        antagonist: None,
        neighbour: sound.map(|s| s.tooth.code()),
        neighbour_crown: sound.and_then(|s| s.crown_mm),
        neighbour_width: sound.and_then(|s| s.width_mm),
    }
}

/// The sound tooth asked for, its measures within what teeth have.
fn neighbour(args: &ScansArgs, catalogue: &Catalogue) -> Result<Option<Neighbour>, Failure> {
    let Some(code) = args.neighbour else { return Ok(None) };
    let sound = super::form(code, catalogue)?.tooth();
    if let Some(crown) = args.neighbour_crown {
        super::length("the neighbour's crown", crown, 2.0, 16.0)?;
    }
    if let Some(width) = args.neighbour_width {
        super::length("the neighbour's width", width, 3.0, 15.0)?;
    }
    if args.neighbour_crown.is_none() && args.neighbour_width.is_none() {
        return Err(Failure::Usage(format!(
            "the neighbour {sound} is not measured: give --neighbour-crown, --neighbour-width, or both"
        )));
    }
    Ok(Some(Neighbour { tooth: sound, crown_height: args.neighbour_crown, mesiodistal: args.neighbour_width }))
}

/// What the outer form is scaled to, in words.
fn beside_words(tooth: Tooth, sound: &Neighbour) -> String {
    let high = sound.crown_height.map(|h| format!("{h:.1} mm high"));
    let wide = sound.mesiodistal.map(|w| format!("{w:.1} mm wide"));
    let measures: Vec<String> = [high, wide].into_iter().flatten().collect();
    format!("the outer form of {tooth} is scaled to {} ({})", sound.tooth, measures.join(", "))
}

/// What is wrong with a file, on one line.
fn one_line(fault: &Failure) -> String {
    match fault {
        Failure::Input { issues, .. } => {
            issues.iter().map(|i| format!("{}: {}", i.place.file, i.found)).collect::<Vec<_>>().join("; ")
        }
        other => other.to_string(),
    }
}

/// The wax-up as a body: in the scan's frame where it lies there, otherwise laid on the tooth's form by itself.
fn wax_up(
    file: &Path,
    fitted: Option<&FittedScan>,
    tooth: Tooth,
    catalogue: &Catalogue,
    present: &Part,
    cell: f64,
) -> Result<Result<Part, String>, Failure> {
    let surface = read_surface(file)?;
    let placed = match fitted {
        Some(f) => {
            let carried = f.carried(&surface).map_err(wrong)?;
            match in_the_same_frame(&carried, &f.surface) {
                Ok((motion, _)) => {
                    let points = carried.points().iter().map(|p| motion.apply(*p)).collect();
                    Surface::new(points, carried.facets().to_vec()).map_err(wrong)?
                }
                Err(e) => return Ok(Err(e.to_string())),
            }
        }
        None => match fit_scan(catalogue, tooth, &surface, None) {
            Ok(f) => (*f.surface).clone(),
            Err(fault) => return Ok(Err(fault.to_string())),
        },
    };
    let filled = FilledScan::new(Arc::new(placed), present.clone());
    Ok(Ok(Arc::new(::anatomy::LatticeBody::of(&filled, cell).map_err(wrong)?)))
}

/// The part of a surface near a box.
fn near(surface: &Surface, bound: &Aabb) -> Option<Surface> {
    let room = bound.grown(5.0);
    let within = |p: [f64; 3]| (0..3).all(|a| (room.low[a]..=room.high[a]).contains(&p[a]));
    let facets: Vec<[u32; 3]> = (0u32..)
        .zip(surface.facets())
        .filter(|(f, _)| within(surface.middle(*f)))
        .map(|(_, corners)| *corners)
        .collect();
    Surface::new(surface.points().to_vec(), facets).ok()
}

pub fn name(path: &Path) -> String {
    path.file_name().map(|n| n.to_string_lossy().into_owned()).unwrap_or_default()
}

/// The scanned preparation in the tooth's frame: laid on the present tooth's scan where there is one, otherwise on the form.
pub fn achieved(scan: &Surface, given: &Given, tooth: Tooth, catalogue: &Catalogue) -> Result<Surface, String> {
    let placed = match &given.fitted {
        Some(fitted) => {
            let carried = fitted.carried(scan).map_err(|e| e.to_string())?;
            let (motion, _) = in_the_same_frame(&carried, &fitted.surface).map_err(|e| e.to_string())?;
            let points = carried.points().iter().map(|p| motion.apply(*p)).collect();
            Surface::new(points, carried.facets().to_vec()).map_err(|e| e.to_string())?
        }
        None => place_preparation(catalogue, tooth, scan).map_err(|e| e.to_string())?,
    };
    near(&placed, &given.shown.present.bound()).ok_or_else(|| format!("nothing of it lies where tooth {tooth} stands"))
}

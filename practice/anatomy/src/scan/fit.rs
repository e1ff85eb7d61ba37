//! A scan cut to its tooth, laid on the tooth's form, and checked: is it the tooth it claims to be?
//!
//! 1. Unit by size ([`super::unit_of`]).
//! 2. A scan longer than 25 mm shows more than one tooth: it is cut to a ball about a place given on the chewing surface.
//! 3. The scan is laid on the crown of the form by shape, then point to plane (`shape::by_shape`, `shape::align`), the form brought to its size, and
//!    laid again as it lies and by quarter turns; left teeth of the upper and
//!    right teeth of the lower jaw are mirrored first, since forms are made for one side.
//! 4. Widths are compared with the table's (three standard deviations of 6 %, and as much again for the way they are measured), and the same is
//!    tried with the forms of the other kinds of the jaw and the same kind of the other jaw, from where the scan lies, or from anywhere when it fits
//!    its own form poorly: one that fits 40 % closer is reported as a wrong tooth, one of the other jaw as a wrong jaw.

use super::rim::Rims;
use super::unit::{Unit, unit_of};
use crate::arch::is_mirrored;
use crate::body::mirrored;
use crate::cut_measures::sub_surface;
use crate::{Design, Needs, Preparation, SizeError, ToothForm, ToothParts, ToothSize};
use catalogue::Catalogue;
use catalogue::words::{Jaw, Tooth};
use rayon::prelude::*;
use shape::{Aligned, Fit, Motion, ShapeError, Surface, align, by_shape};
use std::sync::Arc;
use thiserror::Error;

/// Why a scan was not used. The plan goes on with forms.
#[derive(Debug, Clone, PartialEq, Error)]
pub enum ScanFault {
    /// Not millimetres.
    #[error(
        "its longest side is {found:.4}: that is a tooth in {unit}, expected millimetres; export it in millimetres (times {factor})"
    )]
    Unit {
        /// Longest side as read.
        found: f64,
        /// Unit it is most likely written in.
        unit: &'static str,
        /// What makes millimetres of it.
        factor: f64,
    },
    /// More than a tooth.
    #[error(
        "it is {found:.0} mm long and shows more than tooth {tooth}; expected one tooth, or a place on its chewing surface; give the place (x,y,z in the scan's own frame)"
    )]
    ManyTeeth {
        /// The tooth asked for.
        tooth: Tooth,
        /// Length, mm.
        found: f64,
    },
    /// Nothing within reach of the place.
    #[error(
        "nothing of it lies within {reach:.0} mm of the place given; expected the place on the chewing surface of tooth {tooth}"
    )]
    NothingThere {
        /// The tooth asked for.
        tooth: Tooth,
        /// Reach, mm.
        reach: f64,
    },
    /// Too many holes or loose pieces to tell inside from outside.
    #[error(
        "{words}; expected one surface that agrees which side is outside; repair it in the scanner's program and export it again"
    )]
    Broken {
        /// What is wrong with it.
        words: String,
    },
    /// Another tooth.
    #[error(
        "it does not look like tooth {claimed} ({why}); expected a scan of {claimed}; check which file belongs to which tooth"
    )]
    WrongTooth {
        /// The tooth asked for.
        claimed: Tooth,
        /// What speaks against it.
        why: String,
    },
    /// The other jaw.
    #[error(
        "it fits tooth {seen} of the {jaw} jaw better than {claimed} ({rms_seen:.2} against {rms_claimed:.2} mm); expected a scan of {claimed}; check the jaw"
    )]
    WrongJaw {
        /// The tooth asked for.
        claimed: Tooth,
        /// The one it fits better.
        seen: Tooth,
        /// Its jaw.
        jaw: Jaw,
        /// Distances of both forms, root mean square, mm.
        rms_seen: f64,
        /// The same for the claimed one.
        rms_claimed: f64,
    },
    /// Nothing to compare it with.
    #[error(transparent)]
    Size(#[from] SizeError),
    /// A surface that cannot be measured.
    #[error(transparent)]
    Shape(#[from] ShapeError),
}

/// A scan in the frame of its tooth.
#[derive(Debug, Clone)]
pub struct FittedScan {
    /// Which tooth.
    pub tooth: Tooth,
    /// The surface in the tooth's frame.
    pub surface: Arc<Surface>,
    /// Its sizes: the table's, with widths and height as scanned.
    pub size: ToothSize,
    /// From the scan's own frame (mirrored first where forms are) to the tooth's.
    pub motion: Motion,
    /// Root mean square distance between scan and form, mm.
    pub rms: f64,
    /// What was noticed and does not stop it.
    pub remarks: Vec<String>,
}

impl FittedScan {
    /// Any other surface of the same scan frame (antagonist, wax-up, preparation) in the tooth's frame.
    ///
    /// # Errors
    /// A surface without facets.
    pub fn carried(&self, other: &Surface) -> Result<Surface, ShapeError> {
        handed_and_moved(other, self.tooth, &self.motion)
    }
}

/// Longest single tooth with its root, mm.
const LONGEST_TOOTH: f64 = 25.0;
/// Most a scanned width may differ from the table's: three standard deviations of 6 %, twice.
const WIDTHS_DIFFER: f64 = 0.36;

/// Lays a scan on its tooth and checks it; `at` is a place on the chewing surface in the scan's own frame.
///
/// # Errors
/// [`ScanFault`] tells what is wrong, what was expected and what to do.
pub fn fit_scan(
    catalogue: &Catalogue,
    tooth: Tooth,
    scan: &Surface,
    at: Option<[f64; 3]>,
) -> Result<FittedScan, ScanFault> {
    check_unit(scan)?;
    let form = ToothForm::of(catalogue, tooth)?;
    let mut remarks = Vec::new();
    let cropped = cut_to_tooth(scan, &form, at)?;
    let scan = cropped.as_ref().unwrap_or(scan);
    let rims = Rims::of(scan);
    if rims.wound_against > scan.facets().len() / 50 {
        let words = format!("{} edges whose two facets disagree which side is outside", rims.wound_against);
        return Err(ScanFault::Broken { words });
    }
    let holes = rims.holes(1.0);
    if holes > 0 {
        remarks.push(format!("{holes} holes in the scan of {tooth} are filled by the form"));
    }
    let few = thinned(scan)?;
    let Placed { motion, rms, surface } = placed(catalogue, &handed(&few, tooth)?, &form)?;
    compare_with_others(catalogue, tooth, &few, &surface, rms, &mut remarks)?;
    let surface = handed_and_moved(scan, tooth, &motion)?;
    let size = scanned_size(&surface, form.size());
    check_widths(tooth, &size, form.size())?;
    Ok(FittedScan { tooth, surface: Arc::new(surface), size, motion, rms, remarks })
}

/// Every so many facets of a scan, as many as a fit needs: fits ask for places on it, not for its edges.
fn thinned(scan: &Surface) -> Result<Surface, ShapeError> {
    const ENOUGH: usize = 8000;
    let stride = scan.facets().len().div_ceil(ENOUGH).max(1);
    sub_surface(scan, (0..scan.facets().len() as u32).step_by(stride)).ok_or(ShapeError::Empty)
}

fn check_unit(scan: &Surface) -> Result<(), ScanFault> {
    let found = scan.bound().size().into_iter().fold(0.0, f64::max);
    let (unit, factor) = match unit_of(scan) {
        Unit::Millimetres => return Ok(()),
        Unit::InchesOrCentimetres => ("inches or centimetres", 25.4),
        Unit::Metres => ("metres", 1000.0),
        Unit::Micrometres => ("micrometres", 0.001),
    };
    Err(ScanFault::Unit { found, unit, factor })
}

fn cut_to_tooth(scan: &Surface, form: &ToothForm, at: Option<[f64; 3]>) -> Result<Option<Surface>, ScanFault> {
    let found = scan.bound().size().into_iter().fold(0.0, f64::max);
    let Some(at) = at else {
        return if found > LONGEST_TOOTH { Err(ScanFault::ManyTeeth { tooth: form.tooth(), found }) } else { Ok(None) };
    };
    let size = form.size();
    let reach = size.crown_height.max(0.6 * size.mesiodistal.max(size.faciolingual));
    let near = |f: &u32| {
        let m = scan.middle(*f);
        (0..3).map(|i| (m[i] - at[i]).powi(2)).sum::<f64>() < reach * reach
    };
    sub_surface(scan, (0..scan.facets().len() as u32).filter(near))
        .map(Some)
        .ok_or(ScanFault::NothingThere { tooth: form.tooth(), reach })
}

/// The scan as forms are handed: mirrored for half of the teeth.
fn handed(scan: &Surface, tooth: Tooth) -> Result<Surface, ShapeError> {
    handed_and_moved(scan, tooth, &Motion::none())
}

fn handed_and_moved(scan: &Surface, tooth: Tooth, motion: &Motion) -> Result<Surface, ShapeError> {
    if !is_mirrored(tooth) {
        return moved(scan, motion);
    }
    let points = scan.points().iter().map(|p| motion.apply(mirrored(*p))).collect();
    Surface::new(points, scan.facets().iter().map(|[a, b, c]| [*a, *c, *b]).collect())
}

fn moved(surface: &Surface, motion: &Motion) -> Result<Surface, ShapeError> {
    Surface::new(surface.points().iter().map(|p| motion.apply(*p)).collect(), surface.facets().to_vec())
}

/// A scan on the form of a tooth.
struct Placed {
    motion: Motion,
    rms: f64,
    surface: Surface,
}

/// Lays a scan on a form from anywhere, brings the form to its size, and lays it again.
fn placed(catalogue: &Catalogue, scan: &Surface, form: &ToothForm) -> Result<Placed, ScanFault> {
    let crown = crown_of(form)?;
    let fit = Fit { tolerance: 1.5, least_overlap: 0.5, samples: 1500, steps: 40 };
    let start = by_shape(scan, &crown)?;
    let first = align(scan, &crown, start, &fit).map_err(|e| wrong_tooth(e, form.tooth()))?.motion;
    let roughly = moved(scan, &first)?;
    let (second, rms) = settled(catalogue, &roughly, form).map_err(|e| wrong_tooth(e, form.tooth()))?;
    Ok(Placed { motion: first.then(&second), rms, surface: moved(&roughly, &second)? })
}

/// Lays a scan that lies roughly in a tooth's frame on the form brought to its size: as it lies and by quarter turns, whichever fits closest.
/// Back teeth are nearly square, so that the first fit may be a quarter turn off.
fn settled(catalogue: &Catalogue, surface: &Surface, form: &ToothForm) -> Result<(Motion, f64), ShapeError> {
    let fit = Fit { tolerance: TOLERANCE, least_overlap: 0.5, samples: 700, steps: 30 };
    let quarter = |n: u32| -> Result<(Motion, f64), ShapeError> {
        let turn = Motion::turn([0.0, 0.0, 1.0], f64::from(n) * std::f64::consts::FRAC_PI_2, [0.0; 3])?;
        let turned = moved(surface, &turn)?;
        let size = scanned_size(&turned, form.size());
        let scaled = ToothForm::new(catalogue, form.tooth(), &size).map_err(|_| ShapeError::Empty)?;
        let found = align(&turned, &crown_of(&scaled)?, Motion::none(), &fit)?;
        Ok((turn.then(&found.motion), distance_of(&found)))
    };
    let mut best: Option<(Motion, f64)> = None;
    let mut fault = ShapeError::Empty;
    for tried in (0..4u32).into_par_iter().map(quarter).collect::<Vec<_>>() {
        match tried {
            Ok(found) if best.is_none_or(|b| found.1 < b.1) => best = Some(found),
            Ok(_) => {}
            Err(e) => fault = e,
        }
    }
    best.ok_or(fault)
}

/// Distance up to which a scan counts as lying on its form, mm.
const TOLERANCE: f64 = 1.2;

/// The form's surface from just below the enamel's edge upwards.
fn crown_of(form: &ToothForm) -> Result<Surface, ShapeError> {
    let whole = Surface::of(form, 0.45)?;
    let crown = (0..whole.facets().len() as u32).filter(|f| whole.middle(*f)[2] > -0.5);
    sub_surface(&whole, crown).ok_or(ShapeError::Empty)
}

/// Root mean square distance of what lies within the tolerance, over the share that does: what does not counts against a form.
fn distance_of(found: &Aligned) -> f64 {
    found.rms / found.overlap.max(0.01)
}

/// Sizes with the widths and height that the scan shows.
fn scanned_size(surface: &Surface, table: &ToothSize) -> ToothSize {
    let above = surface.points().iter().filter(|p| p[2] > 0.15 * table.crown_height);
    let (mut low, mut high) = ([f64::INFINITY; 3], [f64::NEG_INFINITY; 3]);
    for p in above {
        for a in 0..3 {
            low[a] = low[a].min(p[a]);
            high[a] = high[a].max(p[a]);
        }
    }
    let (md, fl) = (high[0] - low[0], high[1] - low[1]);
    let part = |seen: f64, table: f64| if seen.is_finite() { (seen / table).clamp(0.6, 1.5) } else { 1.0 };
    let (wide, deep) = (part(md, table.mesiodistal), part(fl, table.faciolingual));
    ToothSize {
        mesiodistal: table.mesiodistal * wide,
        mesiodistal_neck: table.mesiodistal_neck * wide,
        faciolingual: table.faciolingual * deep,
        faciolingual_neck: table.faciolingual_neck * deep,
        crown_height: table.crown_height * part(high[2], table.crown_height),
        ..table.clone()
    }
}

fn check_widths(tooth: Tooth, size: &ToothSize, table: &ToothSize) -> Result<(), ScanFault> {
    let pairs = [
        ("from side to side", size.mesiodistal, table.mesiodistal),
        ("from lip to tongue", size.faciolingual, table.faciolingual),
    ];
    for (what, found, usual) in pairs {
        if (found / usual - 1.0).abs() > WIDTHS_DIFFER {
            let why = format!("{found:.1} mm {what}, usual {usual:.1} mm");
            return Err(ScanFault::WrongTooth { claimed: tooth, why });
        }
    }
    Ok(())
}

/// A fit that leaves more than this makes the search for another tooth thorough, mm.
const POOR: f64 = 0.35;

/// One tooth of every other kind in the jaw, and the same kind in the other jaw.
fn other_kinds(claimed: Tooth) -> Vec<Tooth> {
    let quadrant = 10 * (claimed.code() / 10);
    let across = match quadrant {
        10 => 40,
        20 => 30,
        30 => 20,
        _ => 10,
    };
    let same_jaw = [1u8, 3, 4, 6].iter().map(|n| quadrant + n);
    let codes = same_jaw.chain(std::iter::once(across + claimed.number()));
    let teeth = codes.filter_map(|code| Tooth::new(code).ok());
    teeth.filter(|t| t.jaw() != claimed.jaw() || t.class() != claimed.class()).collect()
}

/// How far a scan that lies in the frame of one tooth stays from the form of another brought to its size, mm; `None` where it comes near nowhere.
fn rms_as(
    catalogue: &Catalogue,
    scan: &Surface,
    surface: &Surface,
    claimed: Tooth,
    other: &ToothForm,
    poor: bool,
) -> Option<f64> {
    if poor {
        return placed(catalogue, &handed(scan, other.tooth()).ok()?, other).ok().map(|p| p.rms);
    }
    let mirror = is_mirrored(claimed) != is_mirrored(other.tooth());
    let flipped;
    let surface = if mirror {
        let points = surface.points().iter().map(|p| mirrored(*p)).collect();
        flipped = Surface::new(points, surface.facets().iter().map(|[a, b, c]| [*a, *c, *b]).collect()).ok()?;
        &flipped
    } else {
        surface
    };
    settled(catalogue, surface, other).ok().map(|f| f.1)
}

fn compare_with_others(
    catalogue: &Catalogue,
    claimed: Tooth,
    scan: &Surface,
    surface: &Surface,
    rms_claimed: f64,
    remarks: &mut Vec<String>,
) -> Result<(), ScanFault> {
    let poor = rms_claimed > POOR;
    let fits: Vec<(f64, Tooth)> = other_kinds(claimed)
        .into_par_iter()
        .filter_map(|t| {
            let form = ToothForm::of(catalogue, t).ok()?;
            Some((rms_as(catalogue, scan, surface, claimed, &form, poor)?, t))
        })
        .collect();
    let Some((rms, seen)) = fits.into_iter().min_by(|a, b| a.0.total_cmp(&b.0).then(a.1.cmp(&b.1))) else {
        return Ok(());
    };
    if rms < 0.6 * rms_claimed && rms_claimed > 0.2 {
        if seen.jaw() != claimed.jaw() && seen.class() == claimed.class() {
            let jaw = seen.jaw();
            return Err(ScanFault::WrongJaw { claimed, seen, jaw, rms_seen: rms, rms_claimed });
        }
        let why = format!("it fits {seen} better, {rms:.2} against {rms_claimed:.2} mm");
        return Err(ScanFault::WrongTooth { claimed, why });
    }
    if rms < rms_claimed {
        remarks.push(format!(
            "the scan of {claimed} fits the form of {seen} a little better ({rms:.2} against {rms_claimed:.2} mm): check that it is {claimed}"
        ));
    }
    Ok(())
}

/// Lays `moving` (wax-up, preparation, design) on `fixed` (present tooth): as they are when they lie together already, otherwise by shape. The share
/// that lies within 0.3 mm is returned with the motion.
///
/// # Errors
/// Surfaces that do not belong together.
pub fn in_the_same_frame(moving: &Surface, fixed: &Surface) -> Result<(Motion, f64), ShapeError> {
    let fit = Fit { tolerance: 0.3, least_overlap: 0.15, samples: 3000, steps: 60 };
    let (a, b) = (moving.bound(), fixed.bound());
    let together = a.meet(&b).is_some_and(|m| m.diagonal() > 0.6 * a.diagonal().min(b.diagonal()));
    if together {
        return Ok((Motion::none(), 1.0));
    }
    let start = by_shape(moving, fixed)?;
    let found = align(moving, fixed, start, &fit)?;
    Ok((found.motion, found.overlap))
}

/// Lays a scanned preparation without a scan of the tooth before on the average stump of its form.
///
/// # Errors
/// [`ScanFault`], as [`fit_scan`].
pub fn place_preparation(catalogue: &Catalogue, tooth: Tooth, scan: &Surface) -> Result<Surface, ScanFault> {
    check_unit(scan)?;
    let form = ToothForm::of(catalogue, tooth)?;
    cut_to_tooth(scan, &form, None)?;
    let parts = ToothParts::new(&form, 40.0, 0.4)?;
    let usual = Design { needs: Needs::USUAL, ..Design::default() };
    let stump = Surface::of(&Preparation::of(&parts, &usual, 0.4)?.stump, 0.5)?;
    let crown = (0..stump.facets().len() as u32).filter(|f| stump.middle(*f)[2] > -1.0);
    let crown = sub_surface(&stump, crown).ok_or(ShapeError::Empty)?;
    let ours = handed(scan, tooth)?;
    let start = by_shape(&ours, &crown)?;
    let fit = Fit { tolerance: 1.2, least_overlap: 0.5, samples: 3000, steps: 60 };
    let motion = align(&ours, &crown, start, &fit).map_err(|e| wrong_tooth(e, tooth))?.motion;
    Ok(moved(&ours, &motion)?)
}

fn wrong_tooth(error: ShapeError, claimed: Tooth) -> ScanFault {
    match error {
        ShapeError::DoNotBelong { overlap, .. } => {
            let why = format!("only {overlap:.0} % of it comes within 1.2 mm of that tooth's form");
            ScanFault::WrongTooth { claimed, why }
        }
        other => ScanFault::Shape(other),
    }
}

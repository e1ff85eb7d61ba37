//! A scan cut to its tooth, laid on the tooth's form, and checked: is it the tooth it claims to be?
//!
//! 1. Unit by size ([`super::unit_of`]).
//! 2. A scan longer than 25 mm shows more than one tooth: it is cut to a ball about a place given on the chewing surface.
//! 3. The crown of the form is laid on the scan by shape, then point to plane (`shape::by_shape`, `shape::align`); left teeth of the upper and
//!    right teeth of the lower jaw are mirrored first, since forms are made for one side.
//! 4. Widths are compared with the table's (three standard deviations of 6 %, and as much again for the way they are measured), and the same is
//!    tried with the forms of other teeth: one that fits twice as well is reported as a wrong tooth, one of the other jaw as a wrong jaw.

use super::rim::Rims;
use super::unit::{Unit, unit_of};
use crate::arch::is_mirrored;
use crate::body::{LatticeBody, mirrored};
use crate::cut_measures::sub_surface;
use crate::{Design, Needs, Preparation, SizeError, ToothForm, ToothParts, ToothSize};
use catalogue::Catalogue;
use catalogue::words::{Jaw, Tooth};
use rayon::prelude::*;
use shape::{Fit, Motion, ShapeError, Surface, align, by_shape};
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
        moved(&handed(other, self.tooth)?, &self.motion)
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
    let flaws = scan.flaws();
    if flaws.wound_against > scan.facets().len() / 50 {
        let words = format!("{} edges whose two facets disagree which side is outside", flaws.wound_against);
        return Err(ScanFault::Broken { words });
    }
    let holes = Rims::of(scan).holes(1.0);
    if holes > 0 {
        remarks.push(format!("{holes} holes in the scan of {tooth} are filled by the form"));
    }
    let ours = handed(scan, tooth)?;
    let (motion, rms) = laid(&ours, &form).map_err(|e| wrong_tooth(e, tooth))?;
    let surface = moved(&ours, &motion)?;
    let size = scanned_size(&surface, form.size());
    check_widths(tooth, &size, form.size())?;
    compare_with_others(catalogue, tooth, scan, rms, &mut remarks)?;
    Ok(FittedScan { tooth, surface: Arc::new(surface), size, motion, rms, remarks })
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
    if !is_mirrored(tooth) {
        return Surface::new(scan.points().to_vec(), scan.facets().to_vec());
    }
    let points = scan.points().iter().map(|p| mirrored(*p)).collect();
    Surface::new(points, scan.facets().iter().map(|[a, b, c]| [*a, *c, *b]).collect())
}

fn moved(surface: &Surface, motion: &Motion) -> Result<Surface, ShapeError> {
    Surface::new(surface.points().iter().map(|p| motion.apply(*p)).collect(), surface.facets().to_vec())
}

/// Motion that lays a scan on the crown of a form, and how far apart they stay.
fn laid(scan: &Surface, form: &ToothForm) -> Result<(Motion, f64), ShapeError> {
    let body = LatticeBody::of(form, 0.4)?;
    let whole = Surface::of(&body, 0.5)?;
    let crown = (0..whole.facets().len() as u32).filter(|f| whole.middle(*f)[2] > -0.5);
    let crown = sub_surface(&whole, crown).ok_or(ShapeError::Empty)?;
    let start = by_shape(scan, &crown)?;
    let fit = Fit { tolerance: 1.2, least_overlap: 0.5, samples: 3000, steps: 60 };
    let found = align(scan, &crown, start, &fit)?;
    // Half of the scan far from the form counts against it: distances beyond the tolerance enter as the tolerance.
    let rms = (found.overlap * found.rms.powi(2) + (1.0 - found.overlap) * 1.2f64.powi(2)).sqrt();
    Ok((found.motion, rms))
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

/// Teeth a scan is compared with: one of each kind in both jaws.
const OTHERS: [u8; 8] = [1, 3, 4, 6, 11, 13, 14, 16];

fn compare_with_others(
    catalogue: &Catalogue,
    claimed: Tooth,
    scan: &Surface,
    rms_claimed: f64,
    remarks: &mut Vec<String>,
) -> Result<(), ScanFault> {
    let quadrant = |jaw: Jaw| match (jaw, claimed.side()) {
        (Jaw::Upper, catalogue::words::Side::Right) => 10,
        (Jaw::Upper, catalogue::words::Side::Left) => 20,
        (Jaw::Lower, catalogue::words::Side::Left) => 30,
        (Jaw::Lower, catalogue::words::Side::Right) => 40,
    };
    let others: Vec<Tooth> = OTHERS
        .iter()
        .map(|k| quadrant(if *k < 10 { Jaw::Upper } else { Jaw::Lower }) + k % 10)
        .filter_map(|code| Tooth::new(code).ok())
        .filter(|t| t.jaw() != claimed.jaw() || t.class() != claimed.class())
        .collect();
    let fits: Vec<(f64, Tooth)> = others
        .into_par_iter()
        .filter_map(|t| {
            let form = ToothForm::of(catalogue, t).ok()?;
            let rms = laid(&handed(scan, t).ok()?, &form).ok()?.1;
            Some((rms, t))
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

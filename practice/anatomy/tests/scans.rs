//! Scans as people send them: moved, with holes, of the wrong tooth or jaw, in inches or metres. Each is either used or refused with a message
//! that tells what to do.

#![allow(clippy::unwrap_used, clippy::print_stdout)] // helpers of tests

use anatomy::{FilledScan, LatticeBody, ScanFault, ToothForm, ToothSize, fit_scan, is_mirrored};
use catalogue::Catalogue;
use catalogue::words::Tooth;
use proptest::prelude::*;
use shape::{Motion, Solid, Surface};
use std::sync::{Arc, OnceLock};

fn catalogue() -> &'static Catalogue {
    static CATALOGUE: OnceLock<Catalogue> = OnceLock::new();
    CATALOGUE.get_or_init(|| Catalogue::shipped().unwrap())
}

fn tooth(code: u8) -> Tooth {
    Tooth::new(code).unwrap()
}

/// A crown a little larger than average as a scanner would show it: from the gum up, anywhere in space, as the mouth has it.
fn scanned(code: u8, size: f64, keep: impl Fn([f64; 3]) -> bool) -> Surface {
    let tooth = tooth(code);
    let table = ToothSize::of(catalogue(), tooth).unwrap();
    let larger = ToothSize {
        crown_height: table.crown_height * size,
        mesiodistal: table.mesiodistal * size,
        mesiodistal_neck: table.mesiodistal_neck * size,
        faciolingual: table.faciolingual * size,
        faciolingual_neck: table.faciolingual_neck * size,
        ..table
    };
    let form = ToothForm::new(catalogue(), tooth, &larger).unwrap();
    let whole = Surface::of(&LatticeBody::of(&form, 0.25).unwrap(), 0.3).unwrap();
    let facets: Vec<[u32; 3]> = (0u32..)
        .zip(whole.facets())
        .filter(|(f, _)| whole.middle(*f)[2] > 0.3 && keep(whole.middle(*f)))
        .map(|(_, c)| *c)
        .collect();
    let away = Motion::turn([0.3, 1.0, -0.4], 1.1, [31.0, -12.0, 7.0]).unwrap();
    let mirror = is_mirrored(tooth);
    let points = whole.points().iter().map(|[x, y, z]| away.apply(if mirror { [-x, *y, *z] } else { [*x, *y, *z] }));
    let facets = facets.into_iter().map(|[a, b, c]| if mirror { [a, c, b] } else { [a, b, c] });
    let (points, facets): (Vec<_>, Vec<_>) = (points.collect(), facets.collect());
    // Places nobody names would count as part of the bound.
    let used: std::collections::BTreeSet<u32> = facets.iter().flatten().copied().collect();
    let number: std::collections::BTreeMap<u32, u32> = used.iter().copied().zip(0..).collect();
    let kept = used.iter().map(|v| points[*v as usize]).collect();
    Surface::new(kept, facets.iter().map(|f| f.map(|v| number[&v])).collect()).unwrap()
}

fn times(surface: &Surface, k: f64) -> Surface {
    Surface::new(surface.points().iter().map(|p| p.map(|x| x * k)).collect(), surface.facets().to_vec()).unwrap()
}

#[test]
fn a_scan_is_laid_on_its_tooth_and_measured() {
    for code in [46u8, 11] {
        let fitted = fit_scan(catalogue(), tooth(code), &scanned(code, 1.08, |_| true), None).unwrap();
        let table = ToothSize::of(catalogue(), tooth(code)).unwrap();
        // Widths are measured along the form's axes: some degrees of tilt add half a millimetre.
        println!("{code}: {:.3} mm, {:?}", fitted.rms, fitted.remarks);
        // The form is brought to its widths and height; necks and cusps may sit a third of a millimetre off.
        assert!(fitted.rms < 0.35, "{code}: {}", fitted.rms);
        assert!((fitted.size.mesiodistal / (1.08 * table.mesiodistal) - 1.0).abs() < 0.08, "{code}: {:?}", fitted.size);
        assert!(
            (fitted.size.faciolingual / (1.08 * table.faciolingual) - 1.0).abs() < 0.08,
            "{code}: {:?}",
            fitted.size
        );
    }
}

#[test]
fn holes_are_filled_by_the_form_and_said_so() {
    let hole = |p: [f64; 3]| (p[0] - 0.5).hypot(p[1]) > 1.3 || p[2] < 3.0;
    let fitted = fit_scan(catalogue(), tooth(46), &scanned(46, 1.0, hole), None).unwrap();
    assert!(fitted.remarks.iter().any(|r| r.contains("hole")), "{:?}", fitted.remarks);
    let form = ToothForm::new(catalogue(), tooth(46), &fitted.size).unwrap();
    let body = Arc::new(LatticeBody::of(&form, 0.3).unwrap());
    let filled = FilledScan::new(fitted.surface.clone(), body);
    // In the middle of the hole the form speaks: inside under the chewing surface, outside above the tooth.
    assert!(filled.distance([0.5, 0.0, 4.0]) < 0.0 && filled.distance([0.5, 0.0, 12.0]) > 0.0);
}

#[test]
fn inches_and_metres_are_told_apart_from_millimetres() {
    let scan = scanned(46, 1.0, |_| true);
    for (factor, word) in [(1.0 / 25.4, "inches"), (1e-3, "metres"), (1e3, "micrometres")] {
        let fault = fit_scan(catalogue(), tooth(46), &times(&scan, factor), None).unwrap_err();
        assert!(matches!(fault, ScanFault::Unit { .. }) && fault.to_string().contains(word), "{fault}");
    }
}

#[test]
fn the_wrong_tooth_and_the_wrong_jaw_are_noticed() {
    let incisor = fit_scan(catalogue(), tooth(46), &scanned(11, 1.0, |_| true), None).unwrap_err();
    assert!(matches!(incisor, ScanFault::WrongTooth { .. }), "{incisor}");
    let upper = fit_scan(catalogue(), tooth(46), &scanned(16, 1.0, |_| true), None);
    let told = match &upper {
        Err(fault) => matches!(fault, ScanFault::WrongJaw { .. } | ScanFault::WrongTooth { .. }),
        Ok(fitted) => fitted.remarks.iter().any(|r| r.contains("check that it is")),
    };
    assert!(told, "an upper molar passed for a lower one: {upper:?}");
}

#[test]
fn an_arch_needs_a_place_and_is_cut_to_the_tooth() {
    let one = scanned(46, 1.0, |_| true);
    let shift = Motion::shift([30.0, 0.0, 0.0]).unwrap();
    let mut points = one.points().to_vec();
    points.extend(one.points().iter().map(|p| shift.apply(*p)));
    let n = one.points().len() as u32;
    let mut facets = one.facets().to_vec();
    facets.extend(one.facets().iter().map(|f| f.map(|v| v + n)));
    let both = Surface::new(points, facets).unwrap();
    let fault = fit_scan(catalogue(), tooth(46), &both, None).unwrap_err();
    assert!(matches!(fault, ScanFault::ManyTeeth { .. }), "{fault}");
    let at = one.bound().centre();
    assert!(fit_scan(catalogue(), tooth(46), &both, Some(at)).is_ok());
    let nowhere = fit_scan(catalogue(), tooth(46), &both, Some([500.0, 0.0, 0.0])).unwrap_err();
    assert!(matches!(nowhere, ScanFault::NothingThere { .. }), "{nowhere}");
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(12))]

    #[test]
    fn fitting_survives_garbage(
        points in prop::collection::vec([-20.0..20.0f64, -20.0..20.0f64, -20.0..20.0f64], 4..40),
        picks in prop::collection::vec([0usize..40, 0usize..40, 0usize..40], 1..60),
        scale in prop_oneof![Just(1.0), Just(1e-3), Just(0.04), Just(0.3)],
    ) {
        let n = points.len();
        let facets = picks.iter().map(|p| p.map(|v| (v % n) as u32)).collect();
        let points = points.into_iter().map(|p| p.map(|x| x * scale)).collect();
        if let Ok(surface) = Surface::new(points, facets) {
            // Whatever comes back, it comes back.
            if let Err(fault) = fit_scan(catalogue(), tooth(36), &surface, None) {
                prop_assert!(!fault.to_string().is_empty());
            }
        }
    }
}

//! A preparation in one plane is the section of the preparation as a body, and follows what is dragged.
#![allow(clippy::unwrap_used)] // a test fails by panicking

mod common;

use anatomy::{Core, Cutting, Design, FlatTooth, Needs, Outlines, Preparation, ToothParts, area, retainer};
use catalogue::words::Tooth;

const CROWN: Needs = Needs { occlusal: 1.5, facial: 1.0, lingual: 1.0, proximal: 1.0, margin: 0.6 };

fn parts(code: u8, cell: f64) -> ToothParts {
    ToothParts::new(&common::form(Tooth::new(code).unwrap()), 40.0, cell).unwrap()
}

fn enclosed(outlines: &Outlines) -> f64 {
    outlines.iter().map(|l| area(l)).sum()
}

#[test]
fn the_plane_shows_what_the_body_shows() {
    for code in [11, 14, 46] {
        let parts = parts(code, 0.25);
        let design = Design { needs: CROWN, ..Design::default() };
        let body = Preparation::of(&parts, &design, 0.25).unwrap();
        let restoration = retainer(&body, &parts, 0.06).unwrap();
        let plane = Cutting::facio_lingual(0.0);
        let flat = FlatTooth::of(&parts, 0.0, 0.1).unwrap().cut(&design, 0.06, None).unwrap();
        let stump = enclosed(&plane.outlines(&body.stump, 0.1));
        // The body stands on squares of 0.25 mm, the plane on 0.1: the rise of a wall and rounded edges differ by a few hundredths of a millimetre around it.
        assert!((enclosed(&flat.stump) / stump - 1.0).abs() < 0.03, "{code}: {} {stump}", enclosed(&flat.stump));
        let filled = enclosed(&plane.outlines(&restoration, 0.1));
        // The same hundredths around a shell of a third of that area.
        assert!(
            (enclosed(&flat.restoration) / filled - 1.0).abs() < 0.08,
            "{code}: {} {filled}",
            enclosed(&flat.restoration)
        );
    }
}

#[test]
fn a_thicker_wall_and_a_steeper_taper_leave_less() {
    let tooth = FlatTooth::of(&parts(46, 0.3), 0.0, 0.15).unwrap();
    let left = |occlusal: f64, convergence: f64| {
        let design = Design { needs: Needs { occlusal, ..CROWN }, convergence, ..Design::default() };
        enclosed(&tooth.cut(&design, 0.06, None).unwrap().stump)
    };
    assert!(left(1.0, 12.0) > left(1.5, 12.0) && left(1.5, 12.0) > left(2.0, 12.0));
    assert!(left(1.5, 6.0) > left(1.5, 20.0) && left(1.5, 20.0) > left(1.5, 40.0));
}

#[test]
fn core_and_veneer_fill_the_restoration_and_nothing_is_built_on_what_is_not_cut() {
    let tooth = FlatTooth::of(&parts(14, 0.3), 0.0, 0.1).unwrap();
    let design = Design { needs: CROWN, ..Design::default() };
    let veneer = Needs { occlusal: 0.7, facial: 0.7, lingual: 0.7, proximal: 0.7, margin: 0.0 };
    let cut = tooth.cut(&design, 0.06, Some(Core::Anatomic { veneer, least: 0.4 })).unwrap();
    let [core, veneer] = cut.layers.as_ref().unwrap();
    let (sum, whole) = (enclosed(core) + enclosed(veneer), enclosed(&cut.restoration));
    // Straight lines in squares of 0.1 mm on both sides of one boundary: a hundredth of the whole.
    assert!((sum / whole - 1.0).abs() < 0.02, "{sum} {whole}");
    let bare = tooth.cut(&Design::default(), 0.06, None).unwrap();
    assert!(bare.restoration.is_empty(), "{}", enclosed(&bare.restoration));
    assert!((enclosed(&bare.stump) / enclosed(&tooth.outer) - 1.0).abs() < 0.01);
}

#[test]
fn what_cannot_be_is_refused() {
    let parts = parts(11, 0.4);
    assert!(FlatTooth::of(&parts, 0.0, 0.0).is_err());
    let tooth = FlatTooth::of(&parts, 0.0, 0.2).unwrap();
    assert!(tooth.cut(&Design { path: [3.0, 0.0], ..Design::default() }, 0.06, None).is_err());
    assert!(tooth.cut(&Design { convergence: 90.0, ..Design::default() }, 0.06, None).is_err());
    assert!(tooth.cut(&Design::default(), 0.9, None).is_err());
}

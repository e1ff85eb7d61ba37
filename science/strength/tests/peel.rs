//! Peel under a held strip: the closed form of a long one, balance of any, powers of thickness.
#![allow(clippy::unwrap_used)]

use proptest::prelude::*;
use strength::peel::{Pull, Strip, peel};

const WING: Strip = Strip { length: 60.0, width: 5.0, thickness: 0.7, modulus: 205_000.0, layer: 1.3e5 };

/// 2 beta (V + beta M)/b at the edge of a long strip (Hetenyi 1946, memory).
#[test]
fn a_long_strip_peels_as_its_closed_form() {
    let beta = (3.0 * WING.layer / (WING.modulus * WING.thickness.powi(3))).powf(0.25);
    let found = peel(&WING, &Pull { force: 3.0, moment: 11.0 }).unwrap();
    assert!((found.edge() / (2.0 * beta * (3.0 + beta * 11.0) / WING.width) - 1.0).abs() < 1e-9);
    assert!((found.reach * beta - 1.0).abs() < 1e-12);
}

#[test]
fn peel_falls_with_thickness_by_three_quarters_and_three_halves() {
    let thicker = Strip { thickness: 2.0 * WING.thickness, ..WING };
    let power = |pull: Pull| {
        let [thin, thick] = [WING, thicker].map(|s| peel(&s, &pull).unwrap().edge());
        (thick / thin).log2()
    };
    assert!((power(Pull { force: 1.0, moment: 0.0 }) + 0.75).abs() < 1e-6);
    assert!((power(Pull { force: 0.0, moment: 1.0 }) + 1.5).abs() < 1e-6);
}

#[test]
fn what_cannot_be_is_refused() {
    for wrong in [Strip { thickness: 0.0, ..WING }, Strip { layer: f64::NAN, ..WING }, Strip { length: -1.0, ..WING }] {
        assert!(peel(&wrong, &Pull { force: 1.0, moment: 0.0 }).is_err());
    }
    assert!(peel(&WING, &Pull { force: f64::INFINITY, moment: 0.0 }).is_err());
}

proptest! {
    /// The layer bears the whole pull and its whole moment, whatever the strip.
    #[test]
    fn the_layer_balances_the_pull(
        length in 1.0f64..12.0, width in 1.0f64..8.0, thickness in 0.2f64..2.0, layer in 1e4f64..1e6, force in 0.0f64..5.0, moment in 0.0f64..20.0
    ) {
        let strip = Strip { length, width, thickness, modulus: 1e5, layer };
        let found = peel(&strip, &Pull { force, moment }).unwrap();
        let n = 20_000;
        let dx = length / f64::from(n);
        let at = |i: i32| (f64::from(i) + 0.5) * dx;
        let bears: f64 = (0..n).map(|i| found.at(at(i)) * width * dx).sum();
        let turns: f64 = (0..n).map(|i| -found.at(at(i)) * at(i) * width * dx).sum();
        let scale = force + moment + 1e-3;
        prop_assert!((bears - force).abs() < 1e-4 * scale, "{bears} for {force}");
        prop_assert!((turns - moment).abs() < 1e-4 * scale, "{turns} for {moment}");
        prop_assert!((0..50).all(|i| found.at(f64::from(i) * length / 50.0) <= found.edge() + 1e-9 * scale));
    }
}

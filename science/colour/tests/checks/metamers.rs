//! A colour becomes a smooth reflectance and comes back.

use colour::{Lab, Viewing, ciede2000, smooth_reflectance, srgb};
use proptest::prelude::*;

proptest! {
    #![proptest_config(ProptestConfig::with_cases(200))]

    #[test]
    fn the_reflectance_has_the_colour_asked_for(l in 5.0f64..95.0, a in -12.0f64..15.0, b in -10.0f64..35.0, s1 in -0.2f64..0.2, s2 in -0.2f64..0.2) {
        // Bodies lose room for chroma towards black and towards white.
        let share = (l / 60.0).min((100.0 - l) / 25.0).min(1.0);
        let lab = Lab::new(l, a * share, b * share);
        let viewing = Viewing::daylight().unwrap();
        let r = smooth_reflectance(lab, [s1, s2], &viewing).unwrap();
        prop_assert!(r.0.iter().all(|v| (0.0..=1.0).contains(v)));
        prop_assert!(ciede2000(lab, viewing.lab(&r)) < 1e-6);
    }

    #[test]
    fn a_screen_colour_in_gamut_comes_back(r in 0.0f64..1.0, g in 0.0f64..1.0, b in 0.0f64..1.0) {
        let (bytes, mapped) = srgb::screen(srgb::lab_from_linear([r, g, b]));
        prop_assert!(!mapped);
        for (byte, v) in bytes.iter().zip([r, g, b]) {
            // Half a step of 8 bits, and the four decimals of the standard's matrices.
            prop_assert!((f64::from(*byte) / 255.0 - srgb::encode(v)).abs() < 0.6 / 255.0 + 2e-3);
        }
    }
}

#[test]
fn an_impossible_colour_is_refused() {
    let viewing = Viewing::daylight().unwrap();
    for lab in [Lab::new(95.0, 90.0, 0.0), Lab::new(f64::NAN, 0.0, 0.0), Lab::new(120.0, 0.0, 0.0)] {
        assert!(smooth_reflectance(lab, [0.0; 2], &viewing).is_err(), "{lab:?}");
    }
}

#[test]
fn out_of_gamut_keeps_lightness_and_hue() {
    let vivid = Lab::new(60.0, -90.0, 60.0);
    let (bytes, mapped) = srgb::screen(vivid);
    assert!(mapped);
    let shown = srgb::lab_from_linear(bytes.map(|v| srgb::decode(f64::from(v) / 255.0)));
    // Eight bits a channel.
    assert!((shown.l - vivid.l).abs() < 0.7 && (shown.lch().h - vivid.lch().h).abs() < 1.5);
}

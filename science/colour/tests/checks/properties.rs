//! What physics promises of layers.

use colour::interface::Interface;
use colour::kubelka_munk::{Pair, Slab, endless, inverse, lay};
use colour::{Backing, Coupling, Instrument, Layer, Optics, Spectrum, Stack};
use proptest::prelude::*;

fn optics(s: f64, k: f64, n: f64) -> Optics {
    Optics::new(Spectrum::flat(s), Spectrum::flat(k), n).unwrap()
}

fn couplings() -> impl Strategy<Value = Coupling> {
    prop_oneof![
        Just(Coupling::Dry),
        Just(Coupling::Wet),
        Just(Coupling::Contact),
        (1.0f64..2.0).prop_map(Coupling::Film)
    ]
}

proptest! {
    #[test]
    fn energy_is_conserved(s in 0.0f64..50.0, k in 0.0f64..20.0, x in 0.0f64..10.0) {
        let slab = Slab::new(s, k, x);
        prop_assert!(slab.reflectance >= 0.0 && slab.transmittance >= 0.0);
        prop_assert!(slab.reflectance + slab.transmittance <= 1.0 + 1e-12);
        let clear = Slab::new(s, 0.0, x);
        prop_assert!((clear.reflectance + clear.transmittance - 1.0).abs() < 1e-12);
    }

    #[test]
    fn thickness_leads_monotonely_to_an_endless_one(s in 0.01f64..20.0, k in 1e-4f64..5.0, g in 0.0f64..1.0, x in 0.0f64..5.0, more in 0.001f64..5.0) {
        let end = endless(s, k);
        let thin = (Slab::new(s, k, x).over(g) - end).abs();
        let thick = (Slab::new(s, k, x + more).over(g) - end).abs();
        prop_assert!(thick <= thin + 1e-12);
        prop_assert!((Slab::new(s, k, 1e4).over(g) - end).abs() < 1e-6);
    }

    #[test]
    fn bands_laid_at_once_are_layers_one_by_one(
        layers in prop::collection::vec((0.0f64..50.0, prop_oneof![Just(0.0), 1e-9f64..1e-3, 0.0f64..20.0], 0.0f64..1.0), 1..60),
        x in prop_oneof![Just(0.0), 1e-6f64..1e-2, 0.0f64..30.0],
    ) {
        let column = |f: fn(&(f64, f64, f64)) -> f64| layers.iter().map(f).collect::<Vec<_>>();
        let (s, k, mut light) = (column(|l| l.0), column(|l| l.1), column(|l| l.2));
        lay(&mut light, &s, &k, x);
        for (i, met) in light.iter().enumerate() {
            // The exponential form one layer at a time; its own rounding over a bright backing without absorption is the larger.
            let one = Slab::new(s[i], k[i], x).over(layers[i].2);
            prop_assert!((met - one).abs() < 1e-10, "band {i}: {met} and {one}");
        }
    }

    #[test]
    fn a_layer_cut_in_two_is_the_same_layer(s in 0.0f64..20.0, k in 0.0f64..5.0, x in 0.0f64..3.0, y in 0.0f64..3.0, g in 0.0f64..0.99) {
        let cut = Slab::new(s, k, x).over(Slab::new(s, k, y).over(g));
        prop_assert!((cut - Slab::new(s, k, x + y).over(g)).abs() < 1e-10);
    }

    #[test]
    fn adding_does_not_depend_on_the_order_of_joining(v in prop::array::uniform9(0.001f64..4.0)) {
        let [a, b, c] = [0, 3, 6].map(|i| Pair::from(Slab::new(v[i], v[i + 1], v[i + 2])));
        let (left, right) = (a.upon(b).upon(c), a.upon(b.upon(c)));
        prop_assert!((left.above - right.above).abs() < 1e-12 && (left.below - right.below).abs() < 1e-12);
        prop_assert!((left.transmittance - right.transmittance).abs() < 1e-12);
    }

    #[test]
    fn two_readings_give_back_the_layer(s in 0.2f64..8.0, u in 1e-3f64..0.5, x in 0.2f64..1.0, g in 0.5f64..0.95) {
        let slab = Slab::new(s, s * u, x);
        prop_assume!(slab.transmittance > 0.02);
        let (s2, k2) = inverse(slab.over(0.03), 0.03, slab.over(g), g, x).unwrap();
        // The readings carry sixteen digits; near opacity two or more in T^2 are lost on the way back.
        prop_assert!((s2 / s - 1.0).abs() < 1e-7 && (k2 / (s * u) - 1.0).abs() < 1e-6);
    }

    #[test]
    fn a_stack_reflects_between_nothing_and_all(
        s in 0.0f64..20.0, k in 0.0f64..5.0, n in 1.0f64..2.3, x in 0.0f64..3.0, y in 0.0f64..1.0, g in 0.0f64..1.0, ground in 1.0f64..2.0,
        coupling in couplings(), specular_included in any::<bool>(),
    ) {
        let layers = vec![Layer { optics: optics(s, k, n), thickness_mm: x }, Layer { optics: optics(1.0, 0.1, 1.5), thickness_mm: y }];
        let instrument = Instrument { specular_included, ..Instrument::SPHERE_WITHOUT_SPECULAR };
        for backing in [Backing::Surface(Spectrum::flat(g)), Backing::Body { inside: Spectrum::flat(g), index: ground }] {
            let r = Stack { layers: layers.clone(), coupling, backing }.reflectance(instrument).unwrap();
            prop_assert!(r.0.iter().all(|v| (-1e-12..=1.0 + 1e-12).contains(v)), "{:?}", r.0[0]);
        }
    }

    #[test]
    fn a_layer_of_no_thickness_changes_nothing(s in 0.0f64..20.0, k in 0.0f64..5.0, n in 1.0f64..2.3, g in 0.0f64..1.0, coupling in couplings()) {
        let one = Layer { optics: optics(2.0, 0.1, 1.6), thickness_mm: 0.7 };
        let none = Layer { optics: optics(s, k, n), thickness_mm: 0.0 };
        let backing = Backing::Body { inside: Spectrum::flat(g), index: 1.54 };
        let read = |layers| Stack { layers, coupling, backing }.reflectance(Instrument::BEAM).unwrap();
        prop_assert_eq!(read(vec![one]), read(vec![none, one]));
        prop_assert_eq!(read(vec![one]), read(vec![one, none]));
    }

    #[test]
    fn a_boundary_loses_nothing(upper in 1.0f64..2.5, lower in 1.0f64..2.5, r in 0.0f64..1.0) {
        let boundary = Interface::between(upper, lower);
        prop_assert!((boundary.through(1.0) - 1.0).abs() < 1e-9);
        prop_assert!((0.0..=1.0).contains(&boundary.through(r)));
        // Equal radiance passes both ways: (1 - rho) n^2 is symmetric.
        prop_assert!(((1.0 - boundary.from_above) * upper * upper - (1.0 - boundary.from_below) * lower * lower).abs() < 1e-9);
    }

    #[test]
    fn surface_correction_and_its_inverse(r in 0.0f64..0.99, n in 1.0f64..2.4) {
        for instrument in [Instrument::BEAM, Instrument::SPHERE_WITH_SPECULAR, Instrument::SPHERE_WITHOUT_SPECULAR] {
            let surface = instrument.corrections(n);
            prop_assert!((surface.inside(surface.measured(r)) - r).abs() < 1e-10);
        }
    }
}

#[test]
fn bad_layers_and_backings_are_refused_with_their_place() {
    let layer = |thickness_mm| Layer { optics: optics(1.0, 0.1, 1.5), thickness_mm };
    let stack = |layers, g| Stack { layers, coupling: Coupling::Dry, backing: Backing::Surface(Spectrum::flat(g)) };
    let text = |s: Stack| s.reflectance(Instrument::BEAM).unwrap_err().to_string();
    assert!(text(stack(vec![layer(1.0), layer(-0.1)], 0.5)).contains("layer 2"));
    assert!(text(stack(vec![layer(f64::NAN)], 0.5)).contains("layer 1"));
    assert!(text(stack(vec![layer(1.0)], 1.2)).contains("380 nm"));
    assert!(Optics::new(Spectrum::flat(-1.0), Spectrum::flat(0.1), 1.5).is_err());
    assert!(Optics::new(Spectrum::flat(1.0), Spectrum::flat(f64::NAN), 1.5).is_err());
    assert!(Optics::new(Spectrum::flat(1.0), Spectrum::flat(0.1), 0.9).is_err());
    assert!(inverse(0.5, 0.0, 0.4, 0.8, 1.0).is_err());
}

#[test]
fn spectra_that_cannot_be_are_refused_with_their_row() {
    let grid: Vec<f64> = (0..41).map(|i| 380.0 + 10.0 * f64::from(i)).collect();
    let mut values = vec![0.5; 41];
    values[7] = 1.5;
    assert!(Spectrum::reflectance(&grid, &values).unwrap_err().to_string().contains("row 8"));
    values[7] = f64::NAN;
    assert!(Spectrum::reflectance(&grid, &values).unwrap_err().to_string().contains("row 8"));
    assert!(Spectrum::reflectance(&grid[10..], &[0.5; 31]).unwrap_err().to_string().contains("400 to 700"));
    assert!(Spectrum::reflectance(&[400.0, 550.0, 700.0], &[0.5; 3]).unwrap_err().to_string().contains("20 nm"));
    assert!(Spectrum::reflectance(&[400.0, 400.0, 700.0], &[0.5; 3]).unwrap_err().to_string().contains("row 2"));
    // A straight line is kept by the resampling.
    let coarse: Vec<f64> = (0..19).map(|i| 370.0 + 20.0 * f64::from(i)).collect();
    let line: Vec<f64> = coarse.iter().map(|nm| nm / 1000.0).collect();
    let read = Spectrum::reflectance(&coarse, &line).unwrap();
    assert!((read.at(555.0) - 0.555).abs() < 1e-12);
}

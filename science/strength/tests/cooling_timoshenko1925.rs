//! Two layers cooled together: Timoshenko 1925, J Opt Soc Am 11:233-255, doi 10.1364/JOSA.11.000233; rows T01 to T06 of `reference/analytic_checks.csv`, computed from his formula.
#![allow(clippy::unwrap_used)]

use proptest::prelude::*;
use strength::cooling::{Cooled, Curving, Layer, cooled};

fn strip(poisson: [f64; 2]) -> Cooled {
    let stiff = Layer { thickness: 0.7, modulus: 210e3, poisson: poisson[0], expansion: 10.5e-6 };
    let soft = Layer { thickness: 1.5, modulus: 65e3, poisson: poisson[1], expansion: 9.5e-6 };
    cooled([stiff, soft], 550.0, Curving::Free).unwrap()
}

#[test]
fn a_strip_and_a_plate_keep_the_stresses_of_the_formula() {
    // Printed to six figures.
    let near = |found: f64, expected: f64| assert!((found / expected - 1.0).abs() < 1e-5, "{found} {expected}");
    let t = strip([0.0, 0.0]);
    near(t.curvature.abs(), 0.000372477);
    near(t.free[1], 12.6764);
    near(t.interface[1], -23.6402);
    near(t.interface[0], 39.124);
    near(t.free[0], -15.6301);
    let plate = strip([0.30, 0.22]);
    near(plate.free[1], 16.1099);
    near(plate.interface[1], -30.6143);
    near(plate.interface[0], 54.7887);
    near(plate.free[0], -23.7080);
    near(plate.curvature.abs(), 0.000373794);
}

fn layer() -> impl Strategy<Value = Layer> {
    (0.1..3.0f64, 1e3..3e5f64, 0.0..0.45f64, 5e-6..2e-5f64).prop_map(|(thickness, modulus, poisson, expansion)| Layer {
        thickness,
        modulus,
        poisson,
        expansion,
    })
}

proptest! {
    /// Nothing outside holds the plate: its stresses, straight through each layer, sum to nothing; a plate that may not bend keeps the layer that shrinks less in compression.
    #[test]
    fn forces_balance(a in layer(), b in layer(), kelvin in 1.0..900.0f64) {
        let mean = |c: &Cooled, i: usize| 0.5 * (c.free[i] + c.interface[i]);
        for curving in [Curving::Free, Curving::Held] {
            let c = cooled([a, b], kelvin, curving).unwrap();
            let (first, second) = (mean(&c, 0) * a.thickness, mean(&c, 1) * b.thickness);
            prop_assert!((first + second).abs() <= 1e-9 * (1.0 + first.abs() + c.free[0].abs() + c.free[1].abs()));
        }
        let flat = cooled([a, b], kelvin, Curving::Held).unwrap();
        prop_assert!(flat.free[1] * (a.expansion - b.expansion) <= 0.0);
    }

    /// Turned over it is the same plate.
    #[test]
    fn the_order_of_the_layers_changes_nothing(a in layer(), b in layer(), kelvin in 1.0..900.0f64) {
        let (one, other) = (cooled([a, b], kelvin, Curving::Free).unwrap(), cooled([b, a], kelvin, Curving::Free).unwrap());
        let scale = one.free.iter().chain(&one.interface).fold(1e-9, |m: f64, s| m.max(s.abs()));
        for i in 0..2 {
            prop_assert!((one.free[i] - other.free[1 - i]).abs() < 1e-7 * scale);
            prop_assert!((one.interface[i] - other.interface[1 - i]).abs() < 1e-7 * scale);
        }
        prop_assert!((one.curvature + other.curvature).abs() <= 1e-9 * (1e-6 + one.curvature.abs()) * 1e3);
    }
}

#[test]
fn what_is_no_layer_is_named() {
    let good = Layer { thickness: 1.0, modulus: 7e4, poisson: 0.2, expansion: 1e-5 };
    let told = |l: Layer, kelvin: f64| cooled([good, l], kelvin, Curving::Free).unwrap_err().to_string();
    assert!(told(Layer { thickness: 0.0, ..good }, 500.0).contains("thickness"));
    assert!(told(Layer { expansion: f64::NAN, ..good }, 500.0).contains("expansion"));
    assert!(told(good, -1.0).contains("cooling"));
}

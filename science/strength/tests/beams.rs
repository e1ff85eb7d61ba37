//! Beams and sections against standard beam theory (rows B). The rows carry six digits, hence 1e-5.
#![allow(clippy::unwrap_used, clippy::panic)]

mod rows;
use rows::{close, output};
use strength::yielding::{Metal, yielding};
use strength::{Bending, Neck, NeckShape, beam, neck_spectrum};

const SIX_DIGITS: f64 = 1e-5;

fn neck(height: f64, width: f64, shape: NeckShape) -> Neck {
    Neck { height, width, shape, fillet_radius: 0.5, depth: f64::INFINITY }
}

fn nominal(n: &Neck, bending: Bending, load: f64) -> f64 {
    load * bending.moment().unwrap().abs() / n.modulus()
}

#[test]
fn bars_on_rollers() {
    let bar = neck(1.2, 4.0, NeckShape::Rectangle);
    close(nominal(&bar, Bending::three_point(14.0), 100.0), output("B01"), SIX_DIGITS);
    close(nominal(&bar, Bending::FourPoint { outer: 20.0, inner: 10.0 }, 100.0), output("B05"), SIX_DIGITS);
    let thick = neck(3.0, 4.0, NeckShape::Rectangle);
    close(nominal(&thick, Bending::FourPoint { outer: 40.0, inner: 40.0 / 3.0 }, 100.0), output("B06"), SIX_DIGITS);
}

#[test]
fn built_in_free_and_cantilever_necks() {
    let square = neck(3.0, 3.0, NeckShape::Rectangle);
    close(nominal(&square, Bending::built_in(16.0), 500.0), output("B07"), SIX_DIGITS);
    let end = Bending::Span { span: 16.0, load_at: 8.0, at: 0.0, fixity: 1.0 };
    close(nominal(&square, end, 500.0), output("B07"), SIX_DIGITS);
    close(nominal(&square, Bending::three_point(16.0), 500.0), output("B08"), SIX_DIGITS);
    close(
        nominal(&neck(4.0, 3.0, NeckShape::Rectangle), Bending::Cantilever { arm: 7.0 }, 200.0),
        output("B09"),
        SIX_DIGITS,
    );
}

#[test]
fn elliptical_and_round_sections() {
    let ellipse = neck(4.0, 3.0, NeckShape::Ellipse);
    close(nominal(&ellipse, Bending::Moment(1000.0), 1.0), output("B10"), SIX_DIGITS);
    close(ellipse.second_moment(), output("B11"), SIX_DIGITS);
    close(nominal(&neck(3.4, 3.4, NeckShape::Ellipse), Bending::Moment(1000.0), 1.0), output("B12"), SIX_DIGITS);
}

#[test]
fn deflections_of_slender_and_stubby_bars() {
    let (e, nu) = (95_000.0, 0.23);
    let metal = Metal { proof: 500.0, modulus: e, poisson: nu };
    for (height, row) in [(1.2, "B03"), (4.0, "B04")] {
        let y = yielding(&neck(height, 4.0, NeckShape::Rectangle), &Bending::three_point(14.0), &metal).unwrap();
        close(100.0 * y.deflection.unwrap(), output(row), SIX_DIGITS);
    }
    // Without shear: a shear modulus beyond all measure.
    let slender = neck(1.2, 4.0, NeckShape::Rectangle);
    let d =
        beam::deflection(&Bending::three_point(14.0), slender.second_moment(), slender.area(), e, 1e30, 1.0).unwrap();
    close(100.0 * d, output("B02"), SIX_DIGITS);
}

#[test]
fn first_yield_is_where_the_outer_fibre_meets_the_proof_stress() {
    let n = neck(3.0, 3.0, NeckShape::Rectangle);
    let metal = Metal { proof: output("B08"), modulus: 200_000.0, poisson: 0.3 };
    let y = yielding(&n, &Bending::three_point(16.0), &metal).unwrap();
    close(y.first_yield, 500.0, SIX_DIGITS);
    close(y.plastic, 750.0, SIX_DIGITS);
}

#[test]
fn moments_balance_for_any_place_of_load() {
    // Built-in beam: the moment diagram drops by P a b/L under the load against the chord of its end moments.
    for a in [2.0, 5.0, 9.0] {
        let (l, b) = (12.0, 12.0 - a);
        let at = |x: f64| Bending::Span { span: l, load_at: a, at: x, fixity: 1.0 }.moment().unwrap();
        let chord = at(0.0) + (at(l) - at(0.0)) * a / l;
        close(at(a) - chord, a * b / l, 1e-12);
    }
}

#[test]
fn unusable_measures_are_named() {
    let mut n = neck(0.0, 3.0, NeckShape::Rectangle);
    assert!(neck_spectrum(&n, &Bending::three_point(14.0)).unwrap_err().to_string().contains("height of the neck"));
    n.height = 3.0;
    n.fillet_radius = f64::NAN;
    assert!(neck_spectrum(&n, &Bending::three_point(14.0)).unwrap_err().to_string().contains("fillet radius"));
    n.fillet_radius = 0.5;
    let outside = Bending::Span { span: 10.0, load_at: 12.0, at: 5.0, fixity: 0.0 };
    assert!(neck_spectrum(&n, &outside).unwrap_err().to_string().contains("place of the load"));
}

proptest::proptest! {
    #[test]
    fn a_higher_or_wider_neck_is_never_weaker(
        h in 1.0f64..6.0, b in 1.0f64..6.0, r in 0.1f64..2.0, more in 1.001f64..1.5, m in 4.0f64..20.0, round in proptest::bool::ANY
    ) {
        let shape = if round { NeckShape::Ellipse } else { NeckShape::Rectangle };
        let at = |height: f64, width: f64| {
            let n = Neck { height, width, shape, fillet_radius: r, depth: 2.0 };
            neck_spectrum(&n, &Bending::built_in(16.0)).unwrap().equivalent_stress(m)
        };
        proptest::prop_assert!(at(h * more, b) < at(h, b));
        proptest::prop_assert!(at(h, b * more) < at(h, b));
    }
}

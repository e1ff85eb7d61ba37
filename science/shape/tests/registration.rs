//! Surfaces are laid back where they came from; what does not fix them is named; strangers are refused.
#![allow(clippy::unwrap_used)]

use proptest::prelude::*;
use shape::*;

/// A lopsided body: no symmetry.
fn body() -> Surface {
    let core = Ellipsoid::new([0.0; 3], [4.0, 3.0, 2.0]).unwrap();
    let lump = Ball::new([2.5, 1.0, 1.0], 1.3).unwrap();
    let post = Capsule::new([-2.0, -1.0, 0.0], [-2.5, -1.5, 3.0], 0.8).unwrap();
    Surface::of(&Union::new(Union::new(core, lump, 0.4).unwrap(), post, 0.4).unwrap(), 0.3).unwrap()
}

fn moved(s: &Surface, m: &Motion) -> Surface {
    Surface::new(s.points().iter().map(|p| m.apply(*p)).collect(), s.facets().to_vec()).unwrap()
}

fn off(found: &Motion, truth: &Motion, s: &Surface) -> f64 {
    let apart = |p: &[f64; 3]| {
        let (a, b) = (found.apply(*p), truth.apply(*p));
        (0..3).map(|i| (a[i] - b[i]).powi(2)).sum::<f64>().sqrt()
    };
    s.points().iter().map(apart).fold(0.0, f64::max)
}

#[test]
fn by_its_shape_a_body_finds_back_from_any_turn() {
    let fixed = body();
    for (k, angle) in [0.4, 1.7, 3.0].into_iter().enumerate() {
        let away = Motion::turn([1.0, k as f64 - 1.0, 0.5], angle, [30.0, -12.0, 7.0]).unwrap();
        let moving = moved(&fixed, &away);
        let start = by_shape(&moving, &fixed).unwrap();
        let aligned = align(&moving, &fixed, start, &Fit::default()).unwrap();
        assert!(off(&away.then(&aligned.motion), &Motion::none(), &fixed) < 1e-6, "{aligned:?}");
        assert!(aligned.overlap > 0.999 && aligned.rms < 1e-7 && aligned.freedoms.is_empty(), "{aligned:?}");
    }
}

#[test]
fn other_facets_noise_and_a_missing_third_leave_it_within_microns() {
    let fixed = body();
    let away = Motion::turn([0.3, 1.0, -0.5], 0.3, [2.0, -1.0, 0.5]).unwrap();
    // Another surface of the same body, with noise of 0.02, a third cut away, and a lump that the fixed one has not.
    let core = Ellipsoid::new([0.0; 3], [4.0, 3.0, 2.0]).unwrap();
    let lump = Ball::new([2.5, 1.0, 1.0], 1.3).unwrap();
    let post = Capsule::new([-2.0, -1.0, 0.0], [-2.5, -1.5, 3.0], 0.8).unwrap();
    let extra = Ball::new([0.0, -3.0, 0.5], 0.7).unwrap();
    let other = Union::new(Union::new(Union::new(core, lump, 0.4).unwrap(), post, 0.4).unwrap(), extra, 0.0).unwrap();
    let s = Surface::of(&other, 0.22).unwrap();
    let kept: Vec<[u32; 3]> =
        s.facets().iter().enumerate().filter(|(f, _)| s.middle(*f as u32)[0] > -1.9).map(|(_, f)| *f).collect();
    let noisy = s.points().iter().zip(s.point_normals()).enumerate().map(|(i, (p, n))| {
        let noise = 0.02 * (2.0 * (i as f64 * 0.618034).fract() - 1.0) * 1.7;
        away.apply(std::array::from_fn(|k| p[k] + noise * n[k]))
    });
    let moving = Surface::new(noisy.collect(), kept).unwrap();
    let start = away.inverse().then(&Motion::turn([1.0, 0.0, 0.0], 0.1, [0.3, 0.2, -0.3]).unwrap());
    let aligned = align(&moving, &fixed, start, &Fit { tolerance: 0.1, ..Fit::default() }).unwrap();
    let miss = off(&away.then(&aligned.motion), &Motion::none(), &fixed);
    assert!(miss < 0.015, "off by {miss}: {aligned:?}");
    assert!(aligned.rms > 0.01 && aligned.rms < 0.03 && aligned.overlap > 0.85, "{aligned:?}");
}

#[test]
fn picked_places_give_the_motion_and_its_error() {
    let truth = Motion::turn([0.2, 0.5, -1.0], 2.2, [5.0, 6.0, -7.0]).unwrap();
    let places = [[0.0, 0.0, 0.0], [4.0, 0.0, 1.0], [0.0, 3.0, 0.0], [1.0, 2.0, 5.0]];
    let (motion, rms) = by_places(&places, &places.map(|p| truth.apply(p))).unwrap();
    assert!(rms < 1e-12);
    for p in places {
        assert!((0..3).all(|i| (motion.apply(p)[i] - truth.apply(p)[i]).abs() < 1e-10));
    }
    assert!(by_places(&places[..2], &places[..2]).is_err());
    assert!(by_places(&places[..3], &places).is_err());
    let line = [[0.0; 3], [1.0, 1.0, 1.0], [2.0, 2.0, 2.0]];
    assert!(matches!(by_places(&line, &line), Err(ShapeError::NoDirection(_))));
}

#[test]
fn a_ball_does_not_belong_to_a_block_nor_a_body_to_a_stranger() {
    let ball = Surface::of(&Ball::new([0.0; 3], 3.0).unwrap(), 0.3).unwrap();
    let block = Surface::of(&Block::new([0.0; 3], [5.0, 5.0, 5.0], 0.0).unwrap(), 0.3).unwrap();
    let torus = Surface::of(&Torus::new([0.0; 3], 3.0, 1.0).unwrap(), 0.3).unwrap();
    let longer = Surface::of(&Ellipsoid::new([0.0; 3], [5.0, 3.0, 2.0]).unwrap(), 0.3).unwrap();
    for (moving, fixed) in [(&ball, &block), (&block, &ball), (&body(), &torus), (&body(), &longer), (&torus, &body())]
    {
        let start = by_shape(moving, fixed).unwrap();
        let refused = align(moving, fixed, start, &Fit::default());
        assert!(matches!(refused, Err(ShapeError::DoNotBelong { .. })), "{refused:?}");
    }
}

#[test]
fn what_slides_or_turns_is_named() {
    let ball = Surface::of(&Ball::new([1.0, 2.0, 3.0], 3.0).unwrap(), 0.2).unwrap();
    let a = align(&ball, &ball, Motion::none(), &Fit::default()).unwrap();
    assert_eq!(a.freedoms.len(), 3, "{:?}", a.freedoms);
    assert!(a.freedoms.iter().all(|f| matches!(f, Freedom::Turning { .. })));
    let bar = Surface::of(&Cylinder::new([0.0; 3], 1.0, 9.0, 0.0).unwrap(), 0.15).unwrap();
    // The flank alone: it turns about its axis and slides along it.
    let flank: Vec<[u32; 3]> =
        bar.facets().iter().enumerate().filter(|(f, _)| bar.normals()[*f][2].abs() < 0.2).map(|(_, f)| *f).collect();
    let flank = Surface::new(bar.points().to_vec(), flank).unwrap();
    let a = align(&flank, &bar, Motion::none(), &Fit::default()).unwrap();
    assert_eq!(a.freedoms.len(), 2, "{:?}", a.freedoms);
    for f in a.freedoms {
        let d = match f {
            Freedom::Sliding { along } => along,
            Freedom::Turning { axis, through } => {
                assert!(through[0].hypot(through[1]) < 0.1);
                axis
            }
        };
        assert!(d[2].abs() > 0.99, "{f}");
    }
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(8))]
    #[test]
    fn small_displacements_are_undone(axis in prop::array::uniform3(-1.0f64..1.0), angle in 0.0f64..0.2, shift in prop::array::uniform3(-0.5f64..0.5)) {
        prop_assume!(axis.iter().map(|x| x * x).sum::<f64>() > 0.01);
        let fixed = body();
        let away = Motion::turn(axis, angle, shift).unwrap();
        let a = align(&moved(&fixed, &away), &fixed, Motion::none(), &Fit { samples: 1500, ..Fit::default() }).unwrap();
        prop_assert!(off(&away.then(&a.motion), &Motion::none(), &fixed) < 1e-5);
    }
}

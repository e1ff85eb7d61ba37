//! The load that drives a crack on: a cantilever pair by its closed form, and what the hardest stage asks for.
#![allow(clippy::unwrap_used)]

use proptest::prelude::*;
use strength::splitting::{CrackState, driving_load, intensities};

/// Two arms of height h and width b, cracked over a: C = 8 a^3/(E b h^3) by beam theory, K = 2 sqrt(3) P a/(b h^1.5) (Gross, Srawley 1966, NASA TN D-3295, memory).
#[test]
fn a_cantilever_pair_has_the_intensity_of_its_closed_form() {
    let (e, b, h, a, step) = (70_000.0, 3.0f64, 2.0f64, 20.0f64, 1e-3);
    let at = |a: f64| CrackState { area: a * b, compliance: 8.0 * a.powi(3) / (e * b * h.powi(3)) };
    let k = intensities(&[at(a - step), at(a + step)], e, 0.0).unwrap()[0];
    let closed = 2.0 * 3f64.sqrt() * a / (b * h.powf(1.5)) / 1000f64.sqrt();
    assert!((k / closed - 1.0).abs() < 1e-6, "{k} {closed}");
    // Plane strain: the same release, a stiffer plane.
    let plane = intensities(&[at(a - step), at(a + step)], e, 0.3).unwrap()[0];
    assert!((plane / k - (1.0f64 / 0.91).sqrt()).abs() < 1e-9);
}

#[test]
fn the_hardest_stage_sets_the_load_and_what_cannot_be_is_refused() {
    assert!((driving_load(2.0, &[4e-3, 1e-3, 2e-3]).unwrap() - 2000.0).abs() < 1e-9);
    assert!(driving_load(2.0, &[1e-3, 0.0]).unwrap().is_infinite());
    assert!(driving_load(0.0, &[1e-3]).is_err() && driving_load(2.0, &[]).is_err());
    let state = |area, compliance| CrackState { area, compliance };
    assert!(intensities(&[state(1.0, 1e-5)], 7e4, 0.2).is_err());
    assert!(intensities(&[state(2.0, 1e-5), state(1.0, 2e-5)], 7e4, 0.2).is_err());
    assert!(intensities(&[state(1.0, 1e-5), state(2.0, f64::NAN)], 7e4, 0.2).is_err());
    // A body that a crack makes no weaker drives none.
    assert!(intensities(&[state(1.0, 2e-5), state(2.0, 1e-5)], 7e4, 0.2).unwrap()[0].abs() < 1e-15);
}

proptest! {
    /// Whatever the way: tougher bears more in proportion, units of the modulus do not matter, one more stage never lowers the load.
    #[test]
    fn toughness_and_stages(steps in prop::collection::vec((0.1f64..3.0, 1e-7f64..1e-5), 1..8), k in 0.5f64..6.0, more in 1.01f64..2.0) {
        let mut states = vec![CrackState { area: 0.0, compliance: 1e-5 }];
        for (area, compliance) in steps {
            let last = states[states.len() - 1];
            states.push(CrackState { area: last.area + area, compliance: last.compliance + compliance });
        }
        let of = |states: &[CrackState], e: f64| intensities(states, e, 0.25).unwrap();
        let base = driving_load(k, &of(&states, 9e4)).unwrap();
        prop_assert!((driving_load(k * more, &of(&states, 9e4)).unwrap() / base / more - 1.0).abs() < 1e-9);
        let stiffer: Vec<_> = states.iter().map(|s| CrackState { compliance: s.compliance / more, ..*s }).collect();
        prop_assert!((driving_load(k, &of(&stiffer, 9e4 * more)).unwrap() / base - 1.0).abs() < 1e-9);
        if states.len() > 2 {
            prop_assert!(driving_load(k, &of(&states[..states.len() - 1], 9e4)).unwrap() <= base * (1.0 + 1e-12));
        }
    }
}

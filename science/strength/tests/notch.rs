//! Notch factors: Neuber's blend against a second evaluation of it, a handbook fit, and finite elements (rows S15-S26).
//!
//! Measured misses of the blend against finite elements (none is tuned away): S21 -2.4 %, S22 -4.2 %, S23 -0.9 %, S24 -2.6 %, S25 -7.7 %,
//! S26 -2.1 %. The acceptance aim of 2 % is missed by all but S23.
#![allow(clippy::unwrap_used, clippy::panic)]

mod rows;
use rows::{close, output, second};
use strength::notch;

const ROUND: [(&str, f64, f64, f64); 5] = [
    ("S15", 1.5, 1.5, 0.5),
    ("S16", 1.5, 1.5, 0.25),
    ("S17", 1.5, 1.5, 0.9),
    ("S18", 2.0, 2.0, 0.6),
    ("S19", 2.0, 2.0, 0.06),
];

#[test]
fn the_blend_is_neubers() {
    for (row, a, t, r) in ROUND {
        close(notch::round_bar(a, t, r, 0.3), second(row), 1e-5);
    }
}

#[test]
fn the_handbook_fit_lies_within_its_ten_percent() {
    for (row, a, t, r) in ROUND {
        close(notch::round_bar(a, t, r, 0.3), output(row), 0.10);
    }
    close(notch::flat_bar(1.5, 1.5, 0.5), output("S20"), 0.10);
}

#[test]
fn finite_elements_are_met_within_the_miss_stated() {
    // 8 %: the worst of the five, at the sharpest root; the sign is always low.
    for (row, (_, a, t, r)) in ["S21", "S22", "S23", "S24", "S25"].into_iter().zip(ROUND) {
        let k = notch::round_bar(a, t, r, 0.3);
        close(k, output(row), 0.08);
        assert!(k < output(row));
    }
    // S26: a shallow groove, near the plane limit; 8 % as above.
    close(notch::round_bar(2.9, 0.1, 0.1, 0.3), output("S26"), 0.08);
}

#[test]
fn no_depth_no_notch_and_infinite_depth_is_the_upper_limit() {
    assert_eq!(notch::round_bar(1.5, 0.0, 0.5, 0.3), 1.0);
    assert!(notch::round_bar(1.5, f64::INFINITY, 0.5, 0.3) > notch::round_bar(1.5, 100.0, 0.5, 0.3));
}

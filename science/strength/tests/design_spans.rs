//! Designs of the block carried between caps: every one is solved, the zoom of its neck too.
#![allow(clippy::unwrap_used, clippy::print_stdout)]

use answer::NoProgress;
use strength::designs::Family;

fn solved(designs: std::ops::Range<usize>) {
    for i in designs {
        let found = Family::Span.solve(&Family::Span.point(i), 1.0, &NoProgress).unwrap();
        let neck = &found.groups[0];
        let s = neck.ln_s[3].exp();
        println!(
            "design {i}: s_W {s:.4} MPa/N, peak {:.4}, {} iterations, built {:.2?}",
            neck.peak, found.iterations, found.built
        );
        // A neck of 2 to 6 mm carries a newton at 0.01 to 1 MPa (bending of 1 to 8 N mm over 1 to 30 mm3).
        assert!((0.01..1.0).contains(&s) && neck.peak.is_finite(), "design {i}: {s}");
    }
}

#[test]
fn the_first_span_is_solved() {
    solved(0..1);
}

#[test]
#[ignore = "two minutes"]
fn twelve_spans_are_solved() {
    solved(0..12);
}

//! Designs of blocks carried on one side, between caps or between plates, one or two in a row: each is solved, the zoom of its neck too, and lies near what beam theory and a notch factor say of it.
#![allow(clippy::unwrap_used, clippy::print_stdout)]

use answer::NoProgress;
use strength::designs::arm::Arm;
use strength::designs::{Family, block_length};
use strength::{Bending, Neck, NeckShape, neck_spectrum};

/// ln of s_W at m = 10 over that of a beam with such a neck, its ends free to turn.
fn over_beam(family: Family, number: usize) -> f64 {
    let found = family.solve(&family.point(number), 1.0, &NoProgress).unwrap();
    let (neck, b) = (&found.groups[0], &found.built);
    let (radius, middle) = (b[2], b[3]);
    let gap = 2.2 * radius;
    let bent = match family {
        Family::Arm => Bending::Cantilever { arm: 0.5 * (middle + gap) },
        Family::Row => {
            // Half a newton on each side of the middle bends it as one on one side does.
            let half = 0.5 * 9.0 + gap + middle + 0.5 * gap;
            Bending::Span { span: 2.0 * half, load_at: half - 0.5 * gap - 1.3, at: half, fixity: 0.0 }
        }
        Family::Wings => {
            let span = middle + 2.0 * (gap + b[5]) + 7.0;
            Bending::Span { span, load_at: 0.5 * span, at: 0.5 * (span - middle - gap), fixity: 0.0 }
        }
        _ => {
            let span = middle + 2.0 * gap + 9.0;
            Bending::Span { span, load_at: 0.5 * span, at: 0.5 * (9.0 + gap), fixity: 0.0 }
        }
    };
    let shape = Neck { height: b[0], width: b[1], shape: NeckShape::Ellipse, fillet_radius: radius, depth: 2.0 };
    let beam = neck_spectrum(&shape, &bent).unwrap().equivalent_stress(10.0);
    let s = neck.ln_s[3].exp();
    println!(
        "{} {number}: s_W {s:.4} MPa/N, beam {beam:.4}, peak {:.4}, {} iterations, built {b:.2?}",
        family.word(),
        neck.peak,
        found.iterations
    );
    (s / beam).ln()
}

/// What carries a block on one side follows from balance: beam theory with a notch factor is a third off at most.
#[test]
fn an_arm_is_near_a_beam() {
    assert!(over_beam(Family::Arm, 1).abs() < 0.35);
}

/// Far from the load a neck bears its moment, as a beam does: twice the way from neck to load, twice the stress.
#[test]
#[ignore = "a minute"]
fn twice_the_lever_is_twice_the_stress() {
    let (height, width, radius, ratio) = (2.5, 3.0, 0.5, 6.0);
    let stress = |lever: f64| {
        let arm = Arm { height, width, radius, block: block_length(2.0 * lever, radius), ratio };
        arm.solve(1.0, &NoProgress).unwrap().groups[0].ln_s[3].exp()
    };
    let (near, far) = (stress(9.0), stress(18.0));
    println!("s_W {near:.4} MPa/N at 9 mm, {far:.4} at 18 mm: {:.4}", far / near);
    assert!((far / near / 2.0 - 1.0).abs() < 0.05, "{near} {far}");
}

/// Ends in springs turn less than free ones: a neck between caps bears less than such a beam, and something.
#[test]
fn the_first_span_bears_less_than_a_beam_on_free_ends() {
    assert!((-3.0..0.0).contains(&over_beam(Family::Span, 0)));
}

/// Two caps turn less than free ends, and the neck between two blocks bears something.
#[test]
fn the_first_row_bears_less_than_a_beam_on_free_ends() {
    assert!((-3.0..0.0).contains(&over_beam(Family::Row, 0)));
}

/// Pegs in soft springs turn as they like: a neck between plates is near a beam on free ends.
#[test]
fn the_first_block_between_plates_is_near_a_beam_on_free_ends() {
    assert!(over_beam(Family::Wings, 0).abs() < 0.5);
}

#[test]
#[ignore = "ten minutes"]
fn twelve_of_each_are_near_beams() {
    for number in 0..12 {
        assert!(over_beam(Family::Wings, number).abs() < 0.6, "wings {number}");
        assert!((-3.0..0.0).contains(&over_beam(Family::Row, number)), "row {number}");
        assert!(over_beam(Family::Arm, number).abs() < 0.5, "arm {number}");
        assert!((-3.0..0.0).contains(&over_beam(Family::Span, number)), "span {number}");
    }
}

//! Times of one option's worth of work: spectra, tables, and an anchored case of 2048 draws.
#![allow(clippy::unwrap_used, clippy::print_stdout)]

use std::time::Instant;
use strength::anchor::{Anchor, Family, Normal, Quadrature, Reference};
use strength::{Base, Bending, Neck, NeckShape, Plate, neck_spectrum, plate_spectrum};

fn timed<T>(what: &str, times: u32, mut work: impl FnMut() -> T) -> T {
    let out = work();
    let start = Instant::now();
    for _ in 0..times {
        std::hint::black_box(work());
    }
    println!("{what}: {:.3} ms", start.elapsed().as_secs_f64() * 1e3 / f64::from(times));
    out
}

fn main() {
    let neck = Neck { height: 4.0, width: 3.0, shape: NeckShape::Ellipse, fillet_radius: 0.5, depth: 2.0 };
    let spectrum = timed("neck spectrum", 20, || neck_spectrum(&neck, &Bending::built_in(16.0)).unwrap());
    let table = timed("table over m", 20, || spectrum.table());
    let plate = Plate { thickness: 1.0, modulus: 95_000.0, poisson: 0.25, patch: 0.5 };
    timed("plate on a half-space", 20, || {
        plate_spectrum(&plate, &Base::HalfSpace { modulus: 18_000.0, poisson: 0.3 }).unwrap()
    });
    let family = timed("family of 2048 draws, 3 times", 5, || {
        let reference =
            Reference { p: vec![(1.0, 0.01), (5.0, 0.05), (10.0, 0.09)], w: Normal { mean: -0.7, sd: 0.35 } };
        Family::new(Quadrature::default(), 2048, |q, k| {
            Anchor::solve(q, &reference, 0.25, 8.0 + k as f64 / 1024.0, 25.0)
        })
        .unwrap()
    });
    timed("case of 2048 draws, 3 times", 20, || {
        family.case(|k| Normal { mean: table.ln_equivalent(8.0 + k as f64 / 1024.0) + 5.0, sd: 0.3 }).unwrap()
    });
}

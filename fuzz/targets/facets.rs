//! Any facets on a small lattice of places, the way flawed surfaces come about: mending, inspection and measuring hold.
#![no_main]

use shape::{Mesh, Repair, Surface, inspect, repair};

libfuzzer_sys::fuzz_target!(|bytes: &[u8]| {
    let points: Vec<[f64; 3]> = (0..27).map(|n| [f64::from(n % 3), f64::from(n / 3 % 3), f64::from(n / 9)]).collect();
    let facets: Vec<[u32; 3]> = bytes.chunks_exact(3).map(|b| [b[0], b[1], b[2]].map(|x| u32::from(x % 27))).collect();
    let Ok((mended, _)) = repair(&Mesh { points, facets }, &Repair { weld: 0.0, fill: 100.0 }) else { return };
    let surface = Surface::from_mesh(mended).unwrap();
    let seen = inspect(&surface);
    assert!(seen.flaws.without_area <= surface.facets().len());
    assert!(surface.signed([0.3, 0.4, 0.5]).0.is_finite());
});

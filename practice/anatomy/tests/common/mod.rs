//! Average tooth sizes for the tests.

use anatomy::ToothSize;
use answer::{Basis, Provenance};
use catalogue::words::{Jaw, Tooth};

/// Crown height, mesiodistal crown and neck, faciolingual crown and neck, curve of the enamel's edge mesial and distal, mm, by number
/// from the midline (Ash, Nelson as reprinted).
const UPPER: [[f64; 7]; 8] = [
    [10.5, 8.5, 7.0, 7.0, 6.0, 3.5, 2.5],
    [9.0, 6.5, 5.0, 6.0, 5.0, 3.0, 2.0],
    [10.0, 7.5, 5.5, 8.0, 7.0, 2.5, 1.5],
    [8.5, 7.0, 5.0, 9.0, 8.0, 1.0, 0.0],
    [8.5, 7.0, 5.0, 9.0, 8.0, 1.0, 0.0],
    [7.5, 10.0, 8.0, 11.0, 10.0, 1.0, 0.0],
    [7.0, 9.0, 7.0, 11.0, 10.0, 1.0, 0.0],
    [6.5, 8.5, 6.5, 10.0, 9.5, 1.0, 0.0],
];
const LOWER: [[f64; 7]; 8] = [
    [9.0, 5.0, 3.5, 6.0, 5.3, 3.0, 2.0],
    [9.5, 5.5, 4.0, 6.5, 5.8, 3.0, 2.0],
    [11.0, 7.0, 5.5, 7.5, 7.0, 2.5, 1.0],
    [8.5, 7.0, 5.0, 7.5, 6.5, 1.0, 0.0],
    [8.0, 7.0, 5.0, 8.0, 7.0, 1.0, 0.0],
    [7.5, 11.0, 9.0, 10.5, 9.0, 1.0, 0.0],
    [7.0, 10.5, 8.0, 10.0, 9.0, 1.0, 0.0],
    [7.0, 10.0, 7.5, 9.5, 9.0, 1.0, 0.0],
];

/// Average size of a tooth.
pub fn size(tooth: Tooth) -> ToothSize {
    let rows = if tooth.jaw() == Jaw::Upper { &UPPER } else { &LOWER };
    let [crown_height, mesiodistal, mesiodistal_neck, faciolingual, faciolingual_neck, mesial, distal] =
        rows[usize::from(tooth.number()) - 1];
    ToothSize {
        crown_height,
        mesiodistal,
        mesiodistal_neck,
        faciolingual,
        faciolingual_neck,
        neck_curve_mesial: mesial,
        neck_curve_distal: distal,
        provenance: Provenance::of("ash_nelson", Basis::Memory),
    }
    .checked()
    .unwrap()
}

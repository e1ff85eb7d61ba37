//! Sharma, Wu, Dalal 2005, Color Res Appl 30:21-30, doi 10.1002/col.20070, Table I: 34 pairs to four decimals, both ways round.

use crate::tables::rows;
use colour::{Lab, cie76, ciede2000, ciede2000_pairs, ciede2000_parts};

const TABLE: &str = include_str!("../reference/ciede2000_pairs.csv");

#[test]
fn all_34_pairs_to_four_decimals() {
    let rows = rows(TABLE);
    assert_eq!(rows.len(), 34);
    for row in rows {
        let v: Vec<f64> = row[..11].iter().map(|c| c.parse().unwrap()).collect();
        let (a, b) = (Lab::new(v[1], v[2], v[3]), Lab::new(v[4], v[5], v[6]));
        // Half a unit of the fourth printed decimal, and a hair for the rounding of a tie.
        assert!((ciede2000(a, b) - v[7]).abs() < 5.1e-5, "pair {}: {} against {}", row[0], ciede2000(a, b), v[7]);
        assert!((ciede2000(b, a) - v[7]).abs() < 5.1e-5, "pair {} turned", row[0]);
        // An independent program prints eight decimals.
        assert!((ciede2000(a, b) - v[8]).abs() < 1e-8, "pair {}", row[0]);
        assert!((cie76(a, b) - row[11].parse::<f64>().unwrap()).abs() < 1e-6, "pair {}", row[0]);
    }
}

#[test]
fn parts_make_up_the_whole() {
    for row in rows(TABLE) {
        let v: Vec<f64> = row[..8].iter().map(|c| c.parse().unwrap()).collect();
        let d = ciede2000_parts(Lab::new(v[1], v[2], v[3]), Lab::new(v[4], v[5], v[6]));
        let square = d.lightness.powi(2) + d.chroma.powi(2) + d.hue.powi(2) + d.rotation * d.chroma * d.hue;
        assert!((square.sqrt() - d.total).abs() < 1e-12);
    }
}

#[test]
fn many_at_once_give_the_same_as_one_by_one() {
    let table = rows(include_str!("../reference/ciede2000_pairs.csv"));
    let colour = |row: &[String], at: usize| {
        let v = |i: usize| row[at + i].parse().unwrap();
        Lab::new(v(0), v(1), v(2))
    };
    let first: Vec<Lab> = table.iter().map(|r| colour(r, 1)).collect();
    let second: Vec<Lab> = table.iter().map(|r| colour(r, 4)).collect();
    for (i, found) in ciede2000_pairs(&first, &second).iter().enumerate() {
        let one = ciede2000(first[i], second[i]);
        assert!((found - one).abs() < 1e-9, "pair {}: {found} {one}", i + 1);
    }
}

proptest::proptest! {
    #[test]
    fn any_pair_goes_the_same_both_ways(c in proptest::array::uniform6(-1.0f64..1.0)) {
        let lab = |at: usize| Lab::new(50.0 + 50.0 * c[at], 128.0 * c[at + 1], 128.0 * c[at + 2]);
        let one = ciede2000(lab(0), lab(3));
        let found = ciede2000_pairs(&[lab(0)], &[lab(3)])[0];
        // The arc tangent is good to 1e-11; the rotation term multiplies it by chroma times hue, up to some thousands.
        proptest::prop_assert!((found - one).abs() < 1e-8, "{found} {one}");
    }
}

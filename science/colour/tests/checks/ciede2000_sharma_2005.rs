//! Sharma, Wu, Dalal 2005, Color Res Appl 30:21-30, doi 10.1002/col.20070, Table I: 34 pairs to four decimals, both ways round.

use crate::tables::rows;
use colour::{Lab, cie76, ciede2000, ciede2000_parts};

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

//! CIE 15 sums against colour-science 0.4.7 (BSD-3-Clause): white points, six synthetic spectra, ASTM E2022 weights.

use crate::tables::{header, rows};
use colour::{Illuminant, Lab, Observer, Spectrum, Viewing, Weighting, Xyz, ciede2000};

const OBSERVERS: [(&str, Observer); 2] = [("2deg", Observer::TwoDegrees), ("10deg", Observer::TenDegrees)];

fn viewing(illuminant: &str, observer: &str, weighting: Weighting) -> Viewing {
    let observer = OBSERVERS.iter().find(|o| o.0 == observer).unwrap().1;
    Viewing::new(&Illuminant::named(illuminant).unwrap(), observer, weighting).unwrap()
}

#[test]
fn white_points_of_every_illuminant() {
    let mut checked = 0;
    for row in rows(include_str!("../reference/white_points.csv")) {
        let weighting = match row[2].as_str() {
            "sum_10nm_380_780" => Weighting::PlainSum,
            // A perfect diffuser is not changed by interpolation: the white is that of the 5 nm sums.
            "sum_5nm_380_780" => Weighting::Interpolated,
            _ => continue,
        };
        let white = viewing(&row[0], &row[1], weighting).white();
        for axis in 0..3 {
            let expected: f64 = row[3 + axis].parse().unwrap();
            assert!((white.0[axis] - expected).abs() < 2e-6, "{row:?}: {white:?}");
        }
        checked += 1;
    }
    // 47 lights, two observers, two weightings.
    assert_eq!(checked, 188);
}

#[test]
fn synthetic_spectra_by_plain_sums() {
    let table = include_str!("../reference/synthetic_spectra.csv");
    let names = header(table);
    let data = rows(table);
    let mut checked = 0;
    for row in rows(include_str!("../reference/km_checks.csv")) {
        let Some((illuminant, observer)) =
            row[0].strip_prefix("COL_").and_then(|id| id.strip_suffix("_10nm")).and_then(|id| id.split_once('_'))
        else {
            continue;
        };
        let name = row[2].split(';').next().unwrap().strip_prefix("spectrum=").unwrap();
        let column = names.iter().position(|n| n == name).unwrap();
        let every_second: Vec<f64> = data.iter().step_by(2).map(|r| r[column].parse().unwrap()).collect();
        let spectrum = Spectrum::try_from(every_second).unwrap();
        let view = viewing(illuminant, observer, Weighting::PlainSum);
        let (xyz, lab) = (view.xyz(&spectrum), view.lab(&spectrum));
        let found = match row[3].as_str() {
            "X" => xyz.0[0],
            "Y" => xyz.0[1],
            "Z" => xyz.0[2],
            "L" => lab.l,
            "a" => lab.a,
            _ => lab.b,
        };
        assert!((found - row[4].parse::<f64>().unwrap()).abs() < 1e-6, "{row:?}: {found}");
        checked += 1;
    }
    assert_eq!(checked, 144);
}

#[test]
fn interpolated_sums_come_near_the_5_nm_sums() {
    let table = include_str!("../reference/synthetic_spectra.csv");
    let names = header(table);
    let data = rows(table);
    let mut worst: f64 = 0.0;
    for row in rows(include_str!("../reference/km_checks.csv")) {
        let Some((illuminant, observer)) =
            row[0].strip_prefix("COL_").and_then(|id| id.strip_suffix("_5nm")).and_then(|id| id.split_once('_'))
        else {
            continue;
        };
        let name = row[2].split(';').next().unwrap().strip_prefix("spectrum=").unwrap();
        let column = names.iter().position(|n| n == name).unwrap();
        let every_second: Vec<f64> = data.iter().step_by(2).map(|r| r[column].parse().unwrap()).collect();
        let lab =
            viewing(illuminant, observer, Weighting::Interpolated).lab(&Spectrum::try_from(every_second).unwrap());
        let found = match row[3].as_str() {
            "L" => lab.l,
            "a" => lab.a,
            "b" => lab.b,
            _ => continue,
        };
        worst = worst.max((found - row[4].parse::<f64>().unwrap()).abs());
    }
    // The steepest spectrum rises from a tenth to nine tenths in 65 nm; its curvature between bands is what is lost.
    assert!(worst > 0.0 && worst < 0.02, "{worst}");
}

/// CIELAB by the 10 nm weights of the standard, their sums as white; ends beyond 380-780 nm take the value of the end band.
fn lab_by_table(table: &[&Vec<String>], spectrum: &Spectrum) -> Lab {
    let (mut xyz, mut white) = ([0.0; 3], [0.0; 3]);
    for row in table {
        for axis in 0..3 {
            let weight: f64 = row[3 + axis].parse().unwrap();
            xyz[axis] += weight * spectrum.at(row[2].parse().unwrap());
            white[axis] += weight;
        }
    }
    Lab::from_xyz(Xyz(xyz), Xyz(white))
}

#[test]
fn colours_come_near_those_of_the_weights_of_astm_e2022() {
    let table = rows(include_str!("../reference/astm_e2022_weights_10nm.csv"));
    let synthetic = include_str!("../reference/synthetic_spectra.csv");
    let names = header(synthetic);
    let data = rows(synthetic);
    let mut keys: Vec<(String, String)> = table.iter().map(|r| (r[0].clone(), r[1].clone())).collect();
    keys.dedup();
    for (illuminant, observer) in keys {
        let view = viewing(&illuminant, &observer, Weighting::Interpolated);
        let weights: Vec<&Vec<String>> = table.iter().filter(|r| r[0] == illuminant && r[1] == observer).collect();
        let mut worst: f64 = 0.0;
        for column in 1..names.len() {
            let every_second: Vec<f64> = data.iter().step_by(2).map(|r| r[column].parse().unwrap()).collect();
            let spectrum = Spectrum::try_from(every_second).unwrap();
            worst = worst.max(ciede2000(view.lab(&spectrum), lab_by_table(&weights, &spectrum)));
        }
        // The standard integrates at 1 nm and we at 5 nm: nothing for smooth lights, a twentieth for lamps with lines.
        let allowed = if ["A", "D50", "D65"].contains(&illuminant.as_str()) { 0.005 } else { 0.05 };
        assert!(worst < allowed, "{illuminant} {observer}: {worst}");
    }
}

#[test]
fn a_perfect_diffuser_is_white_under_every_light() {
    for name in ["A", "D50", "D65", "FL2", "FL11", "LED-B3"] {
        for (observer, _) in OBSERVERS {
            let lab = viewing(name, observer, Weighting::Interpolated).lab(&Spectrum::flat(1.0));
            assert!((lab.l - 100.0).abs() < 1e-12 && lab.a.abs() < 1e-12 && lab.b.abs() < 1e-12);
        }
    }
}

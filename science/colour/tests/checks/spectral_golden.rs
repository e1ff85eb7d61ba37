//! End to end: 75 spectral stacks (three synthetic media, five thicknesses, a cement layer, five backings) of an independent program.

use crate::tables::{header, rows};
use colour::{
    Backing, Coupling, Illuminant, Instrument, Lab, Layer, Observer, Optics, Spectrum, Stack, Viewing, Weighting,
    cie76, ciede2000,
};

fn column(text: &str, name: &str) -> Spectrum {
    let c = header(text).iter().position(|h| h == name).unwrap_or_else(|| panic!("{name}"));
    Spectrum::try_from(rows(text).iter().map(|r| r[c].parse().unwrap()).collect::<Vec<f64>>()).unwrap()
}

#[test]
fn colour_reflectance_and_difference_of_75_stacks() {
    let inputs = include_str!("../reference/km_spectral_golden_inputs.csv");
    // The other program sums every 10 nm.
    let viewing = Viewing::new(&Illuminant::named("D65").unwrap(), Observer::TwoDegrees, Weighting::PlainSum).unwrap();
    let rows = rows(include_str!("../reference/km_spectral_golden.csv"));
    assert_eq!(rows.len(), 75);
    let optics = |name: &str, n: f64| {
        let [s, k] = ["S", "K"].map(|q| column(inputs, &format!("{q}_per_mm {name}")));
        Optics::new(s, k, n).unwrap()
    };
    let mut reference = Lab::new(0.0, 0.0, 0.0);
    for row in rows {
        let v: Vec<f64> = [1, 2, 5, 6, 7, 8, 9, 10, 11, 12].map(|i: usize| row[i].parse().unwrap()).to_vec();
        let stack = Stack {
            layers: vec![
                Layer { optics: optics(&row[0], v[0]), thickness_mm: v[1] },
                Layer { optics: optics("cement", 1.5), thickness_mm: 0.05 },
            ],
            coupling: Coupling::Contact,
            backing: Backing::Surface(column(inputs, &format!("Rg {}", row[4]))),
        };
        let read = stack.reflectance(Instrument::SPHERE_WITHOUT_SPECULAR).unwrap();
        let lab = viewing.lab(&read);
        if row[4] == "tooth" {
            reference = lab;
        }
        // Inputs carry twelve digits, outputs six to eight decimals.
        for (found, expected) in [(lab.l, v[2]), (lab.a, v[3]), (lab.b, v[4])] {
            assert!((found - expected).abs() < 1e-6, "{row:?}: {lab:?}");
        }
        assert!((ciede2000(reference, lab) - v[5]).abs() < 1e-6 && (cie76(reference, lab) - v[6]).abs() < 1e-6);
        for (nm, expected) in [(450.0, v[7]), (550.0, v[8]), (650.0, v[9])] {
            assert!((read.at(nm) - expected).abs() < 1e-8, "{row:?} at {nm}");
        }
    }
}

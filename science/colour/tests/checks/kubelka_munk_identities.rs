//! Two-flux layers, inverse, adding, surface corrections: numbers of an independent program (numpy), 1e-9 unless the table says otherwise.

use crate::tables::{input, rows};
use colour::Interface;
use colour::interface::{Saunderson, diffuse, normal};
use colour::kubelka_munk::{Slab, endless, inverse};

#[test]
fn every_identity_of_the_table() {
    let mut checked = 0;
    for row in rows(include_str!("../reference/km_checks.csv")) {
        let (group, inputs, output) = (row[1].as_str(), row[2].as_str(), row[3].as_str());
        let Some(found) = (match group {
            "layer" => Some(layer(inputs, output)),
            "inverse" | "inverse_classic" => Some(two_backings(group, inputs, output)),
            "two_layer" => Some(two_layers(inputs, output)),
            "split_identity" => {
                let cut = Slab::new(2.5, 0.05, 0.7).over(Slab::new(2.5, 0.05, 0.8).over(0.3));
                assert!((cut - Slab::new(2.5, 0.05, 1.5).over(0.3)).abs() < 1e-12);
                Some(cut)
            }
            "interface" => Some(boundary(inputs, output)),
            "saunderson" | "saunderson_inverse" => Some(surface(group, inputs)),
            "lower_interface" => {
                let below = Interface::between(input(inputs, "n_layer"), input(inputs, "n_below"));
                Some(below.through(input(inputs, "Rg")))
            }
            _ => None,
        }) else {
            continue;
        };
        let (expected, tolerance): (f64, f64) = (row[4].parse().unwrap(), row[5].parse().unwrap());
        // The table prints twelve significant digits.
        let tolerance = tolerance.max(1e-11 * expected.abs());
        assert!((found - expected).abs() <= tolerance, "{} {output}: {found} against {expected}", row[0]);
        checked += 1;
    }
    assert_eq!(checked, 143);
}

fn layer(inputs: &str, output: &str) -> f64 {
    let get = |name| input(inputs, name);
    let slab = Slab::new(get("S"), get("K"), get("X"));
    match output {
        "R0" => slab.reflectance,
        "T" => slab.transmittance,
        "R_over_backing" => slab.over(get("Rg")),
        "R_infinity" => endless(get("S"), get("K")),
        other => panic!("{other}"),
    }
}

fn two_backings(group: &str, inputs: &str, output: &str) -> f64 {
    let get = |name| input(inputs, name);
    if output == "contrast_ratio_R1/R2" {
        return get("R1") / get("R2");
    }
    let (s, k) = if group == "inverse" {
        inverse(get("R1"), get("g1"), get("R2"), get("g2"), get("X")).unwrap()
    } else {
        inverse(get("R0"), 0.0, get("R"), get("Rg"), get("X")).unwrap()
    };
    if output == "S" { s } else { k }
}

/// `top(S;K;X)=(1.2; 0.02; 0.5);bottom=(4; 0.08; 0.8);Rg=0.15`
fn two_layers(inputs: &str, output: &str) -> f64 {
    let triples: Vec<Vec<f64>> = inputs
        .split('(')
        .skip(2)
        .map(|part| part.split(')').next().unwrap().split(';').map(|v| v.trim().parse().unwrap()).collect())
        .collect();
    let slab = |t: &[f64]| Slab::new(t[0], t[1], t[2]);
    let (top, bottom) = (slab(&triples[0]), slab(&triples[1]));
    let both = top.upon(bottom);
    match output {
        "R_stack_over_backing" => {
            let direct = top.over(bottom.over(input(inputs, "Rg")));
            assert!((direct - both.over(input(inputs, "Rg"))).abs() < 1e-12);
            direct
        }
        "R0_front" => both.above,
        "R0_back" => both.below,
        "T_stack" => both.transmittance,
        other => panic!("{other}"),
    }
}

fn boundary(inputs: &str, output: &str) -> f64 {
    let n: f64 = inputs.strip_prefix("n=").unwrap().split(' ').next().unwrap().parse().unwrap();
    match output {
        "k1_normal" => normal(n),
        "k1_diffuse" => diffuse(n),
        "k2_internal_diffuse" => Interface::between(1.0, n).from_below,
        other => panic!("{other}"),
    }
}

fn surface(group: &str, inputs: &str) -> f64 {
    let get = |name| input(inputs, name);
    let surface = Saunderson { k1: get("k1"), k2: get("k2"), specular_included: inputs.ends_with("included") };
    if group == "saunderson" { surface.measured(get("R_internal")) } else { surface.inside(get("R_measured")) }
}

//! Domes cracked from under the load down (`designs::dome`): the designs as solved (`reference/domes.csv`: number, variables, intensity per newton between fronts in each of `dome::WAYS`, share of each crack's face that
//! opens at the last front; cells 1/0.75 of the usual size; written by `cargo bench -p strength --bench domes -- 0 30`) as surfaces over dimensions, against what fracture mechanics and a published trend say.
#![allow(clippy::unwrap_used, clippy::print_stdout)]

use answer::NoProgress;
use proptest::prelude::*;
use strength::ResponseSurface;
use strength::designs::dome::{Dome, VARIABLES};
use strength::splitting::{driving_load, intensities};
use strength::surface::Sample;

struct Solved {
    number: usize,
    point: Vec<f64>,
    /// Between fronts, by way.
    intensities: [Vec<f64>; 4],
    open: Vec<f64>,
}

impl Solved {
    fn hardest(&self, way: usize) -> f64 {
        self.intensities[way].iter().copied().fold(f64::INFINITY, f64::min)
    }
}

fn solved() -> Vec<Solved> {
    let one = |line: &str| {
        let n: Vec<f64> = line.split(',').map(|x| x.parse().unwrap()).collect();
        Solved {
            number: n[0] as usize,
            point: n[1..6].to_vec(),
            intensities: [0, 3, 6, 9].map(|at| n[6 + at..9 + at].to_vec()),
            open: n[18..].to_vec(),
        }
    };
    include_str!("reference/domes.csv").lines().skip(1).map(one).collect()
}

/// Under one contact in the middle.
fn surface() -> ResponseSurface {
    let samples: Vec<Sample> =
        solved().iter().map(|d| Sample { point: d.point[..4].to_vec(), ln_s: [d.hardest(0).ln(); 8] }).collect();
    ResponseSurface::fit(&VARIABLES[..4], &samples).unwrap()
}

fn load(surface: &ResponseSurface, point: [f64; 4], toughness: f64) -> f64 {
    driving_load(toughness, &[surface.ln_s(&point).unwrap()[0].exp()]).unwrap()
}

/// Glass shells on cores of 3 to 15 GPa, pressed by a flat: the load of cracks to failure rises by a factor of two (J Biomed Mater Res B Appl Biomater 2006, doi 10.1002/jbm.b.30666, abstract read; 70 GPa of glass
/// from memory).
#[test]
fn a_stiffer_core_raises_the_splitting_load_as_published() {
    let s = surface();
    let on = |core: f64| load(&s, [1.0, 70.0 / core, 0.8, 9.0], 0.7);
    let found = on(15.0) / on(3.0);
    println!(
        "validation | load that splits a shell on a core of 15 over one of 3 GPa | doi 10.1002/jbm.b.30666, abstract | 2 | {found:.2} | {} | within a quarter; wall of 1 mm, 9 mm long, error of the surface {:.2}",
        if (1.6..2.5).contains(&found) { "hit" } else { "miss" },
        s.error(&[1.0, 10.0, 0.8, 9.0], 10.0)
    );
    assert!(found > 1.0, "{found}");
}

#[test]
fn the_surface_follows_its_designs_and_tells_its_error() {
    let s = surface();
    let point = [1.0, 10.0, 0.8, 9.5];
    println!("{} domes, ridge {}, left out one by one {:.3}", s.designs(), s.ridge(), s.error(&point, 10.0));
    for d in solved() {
        println!("dome {}: {:+.3}", d.number, d.hardest(0).ln() - s.ln_s(&d.point[..4]).unwrap()[0]);
    }
    assert!(s.error(&point, 10.0) < 0.5);
}

proptest! {
    #[test]
    fn a_tougher_or_thicker_dome_never_bears_less(
        thickness in 0.4f64..2.2, ratio in 3.0f64..70.0, contact in 0.5f64..1.4, length in 8.0f64..11.5, more in 1.01f64..1.5, k in 0.8f64..5.0
    ) {
        let s = surface();
        let base = load(&s, [thickness, ratio, contact, length], k);
        prop_assert!(load(&s, [thickness * more, ratio, contact, length], k) >= base * (1.0 - 1e-9));
        prop_assert!((load(&s, [thickness, ratio, contact, length], k * more) / base / more - 1.0).abs() < 1e-9);
    }
}

/// As stored, and the crack pressed in the middle open all over: faces that closed would have to be held.
#[test]
#[ignore = "two minutes"]
fn a_dome_solved_anew_is_as_stored() {
    let stored = solved().into_iter().find(|d| d.number == 7).unwrap();
    let dome = Dome::design(stored.number);
    let (modulus, nu) = dome.material();
    for (way, found) in dome.solve(0.75, &NoProgress).unwrap().iter().enumerate() {
        for (found, stored) in intensities(&found.states, modulus, nu).unwrap().iter().zip(&stored.intensities[way]) {
            assert!((found / stored - 1.0).abs() < 1e-3, "{found} {stored}");
        }
        assert!((found.open - stored.open[way]).abs() < 1e-2);
    }
    assert!(stored.open[0] > 0.9, "{:?}", stored.open);
}

/// The work of a load on a round contact depends on its radius; on a point it would not. That of the dome's tip once did not.
#[test]
#[ignore = "two minutes"]
fn a_wider_contact_yields_less() {
    let compliance = |contact: f64| {
        let dome = Dome { thickness: 1.5, ratio: 5.4, contact, length: 9.0, spread: 1.0 };
        dome.solve(0.75, &NoProgress).unwrap()[0].states[0].compliance
    };
    assert!(compliance(1.4) < 0.98 * compliance(0.5));
}

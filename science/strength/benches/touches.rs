//! The rows of `tests/reference/domes.csv` and `touches.csv`, solved.
//!
//! `cargo bench -p strength --bench touches -- domes|touches FROM TO`: designs from number FROM up to but not TO, in cells 1/0.75 of the usual size for domes and of the usual size for caps.
#![allow(clippy::unwrap_used, clippy::print_stdout, missing_docs, reason = "a bench")]

use answer::NoProgress;
use strength::designs::dome::Dome;
use strength::designs::touches::Touched;
use strength::splitting::intensities;

fn row(number: usize, point: &[f64], found: impl Iterator<Item = f64>) {
    let (point, found): (Vec<_>, Vec<_>) =
        (point.iter().map(|x| format!("{x:.5}")).collect(), found.map(|x| format!("{x:.5e}")).collect());
    println!("{number},{},{}", point.join(","), found.join(","));
}

fn main() {
    let words: Vec<String> = std::env::args().collect();
    let numbers: Vec<usize> = words.iter().filter_map(|a| a.parse().ok()).collect();
    let &[from, to] = numbers.as_slice() else { return };
    for number in from..to {
        if words.iter().any(|w| w == "domes") {
            let dome = Dome::design(number);
            let (modulus, nu) = dome.material();
            let driven = dome.solve(0.75, &NoProgress).unwrap();
            let ways = driven.iter().flat_map(|d| intensities(&d.states, modulus, nu).unwrap());
            row(number, &dome.point(), ways.chain(driven.iter().map(|d| d.open)));
        } else {
            let cap = Touched::design(number);
            row(number, &cap.point(), cap.solve(1.0, &NoProgress).unwrap().into_iter().flatten());
        }
    }
}

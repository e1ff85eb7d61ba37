//! The rows of `tests/reference/domes.csv`, solved.
//!
//! `cargo bench -p strength --bench domes -- FROM TO`: designs from number FROM up to but not TO, in cells 1/0.75 of the usual size.
#![allow(clippy::unwrap_used, clippy::print_stdout, missing_docs, reason = "a bench")]

use answer::NoProgress;
use strength::designs::dome::Dome;
use strength::splitting::intensities;

fn main() {
    let numbers: Vec<usize> = std::env::args().filter_map(|a| a.parse().ok()).collect();
    let &[from, to] = numbers.as_slice() else { return };
    for number in from..to {
        let dome = Dome::design(number);
        let (modulus, nu) = dome.material();
        let driven = dome.solve(0.75, &NoProgress).unwrap();
        let ways = driven.iter().flat_map(|d| intensities(&d.states, modulus, nu).unwrap());
        let point: Vec<_> = dome.point().iter().map(|x| format!("{x:.5}")).collect();
        let found: Vec<_> = ways.chain(driven.iter().map(|d| d.open)).map(|x| format!("{x:.5e}")).collect();
        println!("{number},{},{}", point.join(","), found.join(","));
    }
}

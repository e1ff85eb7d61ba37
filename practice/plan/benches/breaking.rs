//! Time of one answer to *will it break* with other dimensions, as a hand drags: cold bodies, 256 and 2048 draws. `cargo bench -p plan --bench breaking`.
#![allow(clippy::unwrap_used, clippy::print_stdout)]

use answer::World;
use case::Case;
use catalogue::Catalogue;
use plan::{Breaking, Tried, shipped_posterior};
use std::time::Instant;

const TRIES: usize = 41;

fn main() {
    let (case, _) = Case::parse("case", include_str!("../../../examples/bridge-45-47.toml")).unwrap();
    let catalogue = Catalogue::shipped().unwrap();
    for draws in [256, 2048] {
        let world = World::with_draws(1, draws);
        let posterior = shipped_posterior().unwrap().thinned(draws);
        let begun = Instant::now();
        let desk = Breaking::of(&world, &case, &catalogue, &posterior);
        let made = begun.elapsed();
        for option in ["bridge.zirconia_3y.monolithic", "bridge.lithium_disilicate.monolithic"] {
            let mut times: Vec<f64> = (0..TRIES)
                .map(|i| {
                    let tried = Tried { connector_height: Some(2.5 + 0.05 * i as f64), ..Tried::default() };
                    let begun = Instant::now();
                    let found = desk.tried(option, &tried).unwrap().unwrap();
                    // The answer is looked at inside the timed run.
                    assert!(found.ten_years.mean > 0.0 && found.ten_years.mean < 1.0);
                    1e3 * begun.elapsed().as_secs_f64()
                })
                .collect();
            times.sort_by(f64::total_cmp);
            println!(
                "{option}, {draws} draws: median {:.2} ms, slowest {:.2} ms (made once in {:.0} ms)",
                times[TRIES / 2],
                times[TRIES - 1],
                1e3 * made.as_secs_f64()
            );
        }
    }
}

//! The kernels alone, one thread, on inputs that vary, for a comparison with `peers/kernels.py` in the same run. Prints seconds of the
//! thread's own time (best of three) and a sum of the results, which the peer prints too; a sum that differs by more than 1e-6 of itself is a failure.

#![allow(clippy::print_stdout, clippy::unwrap_used)]

use colour::{Lab, ciede2000, ciede2000_pairs, kubelka_munk};
use std::time::Instant;

const PAIRS: usize = 10_000_000;
const STACKS: usize = 1_000_000;
const BANDS: usize = 31;

fn unit(i: u64, m: u64) -> f64 {
    ((i.wrapping_mul(m) >> 20) & 0xffff) as f64 / 65536.0
}

fn timed(name: &str, mut f: impl FnMut() -> f64) {
    let mut best = f64::MAX;
    let mut sum = 0.0;
    let clock = Instant::now();
    for _ in 0..3 {
        let start = seconds(clock);
        sum = f();
        best = best.min(seconds(clock) - start);
    }
    println!("{name},{best:.4},{sum:.9e}");
}

/// Time this thread has run, where the system tells it (Linux), else wall time: the machine is shared.
fn seconds(clock: Instant) -> f64 {
    let told = std::fs::read_to_string("/proc/thread-self/schedstat").ok();
    let nanoseconds = told.and_then(|t| t.split(' ').next()?.parse::<f64>().ok());
    nanoseconds.map_or(clock.elapsed().as_secs_f64(), |ns| 1e-9 * ns)
}

fn main() {
    let colours = |m: [u64; 3], n: usize| -> Vec<Lab> {
        (0..n as u64)
            .map(|i| Lab::new(100.0 * unit(i, m[0]), 80.0 * unit(i, m[1]) - 40.0, 80.0 * unit(i, m[2]) - 40.0))
            .collect()
    };
    let first = colours([0x9e3779b97f4a7c15, 0xbf58476d1ce4e5b9, 0x94d049bb133111eb], PAIRS);
    let second = colours([0xd6e8feb86659fd93, 0xa0761d6478bd642f, 0xe7037ed1a0b428db], PAIRS);
    timed("ciede2000_pairs", || ciede2000_pairs(&first, &second).iter().sum());
    timed("ciede2000_plain", || first.iter().zip(&second).map(|(a, b)| ciede2000(*a, *b)).sum());
    timed("stacks", stacks);
}

/// Two layers of drawn scattering, absorption and thickness over a drawn grey, 31 bands from 400 to 700 nm.
fn stacks() -> f64 {
    simd::Arch::new().dispatch(Stacks)
}

/// The inputs are made in vector units as the peer makes its own.
struct Stacks;

impl simd::WithSimd for Stacks {
    type Output = f64;

    #[inline(always)]
    fn with_simd<S: simd::Simd>(self, _: S) -> f64 {
        let slope: [f64; BANDS] = std::array::from_fn(|b| 560.0 / (400.0 + 10.0 * b as f64));
        let blue: [f64; BANDS] = std::array::from_fn(|b| slope[b] * slope[b] * slope[b]);
        let (mut scattering, mut absorption) = ([0.0; BANDS], [0.0; BANDS]);
        let mut sums = [0.0; BANDS];
        for i in 0..STACKS as u64 {
            let mut light = [0.02 + 0.8 * unit(i, 0x9e3779b97f4a7c15); BANDS];
            for m in [0xbf58476d1ce4e5b9u64, 0xd6e8feb86659fd93] {
                let (s, k) = (0.5 + 5.0 * unit(i, m), 0.02 + 0.3 * unit(i, m ^ 0xffff_0000));
                for b in 0..BANDS {
                    scattering[b] = s * slope[b];
                    absorption[b] = k * blue[b];
                }
                kubelka_munk::lay(&mut light, &scattering, &absorption, 0.2 + 1.3 * unit(i, m ^ 0xff00_ff00));
            }
            for b in 0..BANDS {
                sums[b] += light[b];
            }
        }
        sums.iter().sum()
    }
}

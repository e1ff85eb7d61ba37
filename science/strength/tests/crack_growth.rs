//! Slow crack growth (rows G). Six digits in the rows unless said.
#![allow(clippy::unwrap_used, clippy::panic)]

mod rows;
use rows::{close, output};
use strength::fatigue::{self, FromInert, LoadDay, Pulse, YEAR};
use strength::{Strength, StressSpectrum, failure_probability};

const SIX: f64 = 1e-5;

fn glass() -> FromInert {
    FromInert::from_speed(20.0, 0.01, 2.3, 1.3)
}

#[test]
fn from_inert_strength() {
    let g = glass();
    close(g.b, output("G01"), SIX);
    close(g.life(400.0, 120.0), output("G02"), SIX);
    close(g.rate_strength(400.0, 1.0), output("G03"), SIX);
    close(g.life_after_proof(250.0, 120.0), output("G19"), SIX);
}

#[test]
fn from_constant_rate_strength() {
    // 100-fold slower: needed strength at equal life scales by (1/100)^(1/(n+1)).
    close(1.0 / 100f64.powf(1.0 / 21.0), output("G05"), SIX);
    let ratio = fatigue::strength_needed(100.0, 1.0, 0.01, 20.0) / fatigue::strength_needed(100.0, 1.0, 1.0, 20.0);
    close(ratio, output("G05"), SIX);
    close(fatigue::life(300.0, 20.0, 20.0, 300.0), output("G07"), SIX);
    // Strength held 1 s, then 10 years: lives scale as s^-n.
    let s2 = output("G06");
    close(fatigue::life(300.0, 21.0, 20.0, s2), 10.0 * YEAR, 1e-4);
    close(fatigue::life(output("G20"), 21.0, 20.0, 1.0), 1.0 / YEAR, 1e-4);
}

#[test]
fn pulses() {
    close(Pulse::Haversine.factor(20.0), output("G10"), SIX);
    close(Pulse::HalfSine.factor(20.0), output("G11"), SIX);
    close(Pulse::Triangle.factor(20.0), output("G12"), SIX);
    let cycles = 1.5 * glass().life(400.0, 120.0) / Pulse::Haversine.factor(20.0);
    close(cycles, output("G13"), SIX);
}

#[test]
fn a_mixed_day_is_one_force() {
    let day = LoadDay::new(vec![(30.0, 1600.0), (60.0, 180.0), (110.0, 20.0)], 0.25, Pulse::HalfSine).unwrap();
    close(day.equivalent(20.0), output("G17"), SIX);
    assert!(LoadDay::new(vec![], 0.25, Pulse::HalfSine).is_err());
    assert!(LoadDay::new(vec![(-3.0, 1.0)], 0.25, Pulse::HalfSine).is_err());
}

#[test]
fn ten_years_of_a_mixed_day_by_the_constant_rate_route() {
    // The row goes by inert strength (m_i = 10, s0 = 450, B). The constant-rate route must give the same, with m = m_i (n+1)/(n-2)
    // and the rate strength of the same flaws: the two are one crack law.
    let (g, n, rate) = (glass(), 20.0, 1.0);
    let day = LoadDay::new(vec![(30.0, 1600.0), (60.0, 180.0), (110.0, 20.0)], 0.25, Pulse::HalfSine).unwrap();
    let spectrum = StressSpectrum::from_samples("unit", strength::spectrum::Extent::Surface, &[(1.0, 1.0)]).unwrap();
    let m = 10.0 * (n + 1.0) / (n - 2.0);
    let s = Strength { characteristic: g.rate_strength(450.0, rate), m, n, rate, wet: 1.0 };
    close(failure_probability(&spectrum.table(), &day, &s, 10.0).unwrap(), output("G18"), 1e-3);
    // 1e-3: the row takes 10 years as 3650 days, the engine 3652.5, and the risk goes with time to the power m_i/(n-2).
    close(s.inert_modulus(), 10.0, 1e-12);
    close(s.exponent(), 10.0 * n / (n - 2.0), 1e-12);
}

#[test]
fn static_risk_after_five_years() {
    // G09 and G08 by the same route: a triangle of factor 1/(n+1) lasting (n+1) times as long is static loading.
    let (g, n, rate) = (glass(), 20.0, 1.0);
    let spectrum = StressSpectrum::from_samples("unit", strength::spectrum::Extent::Surface, &[(1.0, 1.0)]).unwrap();
    let s = Strength { characteristic: g.rate_strength(450.0, rate), m: 10.0 * 21.0 / 18.0, n, rate, wet: 1.0 };
    let always = |stress: f64| LoadDay::new(vec![(stress, 1.0)], 86_400.0 * (n + 1.0), Pulse::Triangle).unwrap();
    close(failure_probability(&spectrum.table(), &always(120.0), &s, 5.0).unwrap(), output("G09"), 1e-4);
    close(failure_probability(&spectrum.table(), &always(output("G08")), &s, 10.0).unwrap(), 0.01, 1e-4);
}

//! The wait for a change where the true risk is not the one a chart was designed for: agrees with the design's own wait at the same risk, and falls as the risk rises.
#![allow(clippy::unwrap_used)] // a helper of tests fails by panicking

use proptest::prelude::*;
use survival::monitor::run_length;

proptest! {
    #![proptest_config(ProptestConfig::with_cases(24))]
    #[test]
    fn delay_from_is_the_designs_own_at_its_risk_and_falls_with_the_risk(risk in 0.02f64..0.2, ratio in 1.5f64..3.0, run in 100.0f64..800.0) {
        let design = run_length::design(risk, ratio, run).unwrap();
        let own = design.delay_from(risk).unwrap();
        // The same exact recursion: equal to rounding.
        prop_assert!((own / design.delay - 1.0).abs() < 1e-12, "{} {}", own, design.delay);
        let (lower, higher) = (design.delay_from(0.8 * risk).unwrap(), design.delay_from(1.2 * risk).unwrap());
        prop_assert!(higher < own && own < lower, "{} {} {}", lower, own, higher);
        // A change is always seen sooner than a false alarm comes.
        prop_assert!(own < design.false_alarm);
    }
}

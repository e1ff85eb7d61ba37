//! Surface (or volume) by principal stress, per newton: all that lifetime needs to know of a body.
//!
//! s_W(m) = (1/A0 integral of sum_i max(sigma_i, 0)^m dA)^(1/m), A0 = 1 mm2 (1 mm3 for a volume), sigma_i the principal stresses:
//! principle of independent action (Barnett, Connors, Hermansson, Wertz 1967, NASA/AFFDL-TR-66-220, memory; Weibull 1939, Ing Vet Akad Handl 151).
//!
//! 200 bins, equal in ln sigma, over two decades below the peak; each keeps its measure and the mean of ln sigma in it. What lies below
//! is kept as a plain sum: at m >= 3 it adds under 1e-6 of a like area at the peak. Binning makes s_W at most (m w)^2/(24 m) too small
//! (w = 0.023): 1.1e-4 at m = 5, 4.4e-4 at m = 20.

use crate::error::{StrengthError, positive};

/// Number of bins.
pub const BINS: usize = 200;
/// ln of the ratio of the highest to the lowest binned stress.
const SPAN: f64 = 4.605170185988092;

/// What a spectrum measures.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Extent {
    /// Area, mm2; A0 = 1 mm2.
    Surface,
    /// Volume, mm3; V0 = 1 mm3.
    Volume,
}

/// Measure (mm2 or mm3) by principal tensile stress per newton of one named group of surfaces (or of a volume).
#[derive(Debug, Clone, PartialEq)]
pub struct StressSpectrum {
    name: String,
    extent: Extent,
    peak: f64,
    measure: Vec<f64>,
    ln_stress: Vec<f64>,
    below: f64,
}

impl StressSpectrum {
    /// From samples (principal stress in MPa/N, measure in mm2 or mm3). Stresses at or below 0 add nothing but their place in `below`.
    /// Errors when no stress is above 0, or a number is not finite or a measure negative.
    pub fn from_samples(
        name: impl Into<String>,
        extent: Extent,
        samples: &[(f64, f64)],
    ) -> Result<Self, StrengthError> {
        for &(stress, measure) in samples {
            crate::error::within("stress of a sample", stress, true, "a finite number")?;
            crate::error::within("area of a sample", measure, measure >= 0.0, "a finite number of at least 0")?;
        }
        let peak = positive("greatest tension", samples.iter().fold(0.0, |top, s| f64::max(top, s.0)))?;
        let (mut measure, mut sum_ln, mut below) = (vec![0.0; BINS], vec![0.0; BINS], 0.0);
        for &(stress, area) in samples {
            let depth = if stress > 0.0 { (peak / stress).ln() } else { f64::INFINITY };
            if depth >= SPAN {
                below += area;
                continue;
            }
            let bin = ((depth / SPAN * BINS as f64) as usize).min(BINS - 1);
            measure[bin] += area;
            sum_ln[bin] += area * stress.ln();
        }
        let ln_stress = measure.iter().zip(&sum_ln).map(|(&a, &s)| if a > 0.0 { s / a } else { 0.0 }).collect();
        Ok(Self { name: name.into(), extent, peak, measure, ln_stress, below })
    }

    /// Name of the group.
    pub fn name(&self) -> &str {
        &self.name
    }

    /// Surface or volume.
    pub fn extent(&self) -> Extent {
        self.extent
    }

    /// Greatest principal stress, MPa/N. For show only: a peak of one point decides nothing.
    pub fn peak(&self) -> f64 {
        self.peak
    }

    /// Measure under tension above a hundredth of the peak, counted once per principal stress, mm2 or mm3.
    pub fn stressed(&self) -> f64 {
        self.measure.iter().sum()
    }

    /// Measure counted below a hundredth of the peak or in compression, once per principal stress, mm2 or mm3.
    pub fn unstressed(&self) -> f64 {
        self.below
    }

    /// Filled bins, highest first: (geometric mean stress in MPa/N, measure).
    pub fn bins(&self) -> impl Iterator<Item = (f64, f64)> + '_ {
        self.measure.iter().zip(&self.ln_stress).filter(|(a, _)| **a > 0.0).map(|(&a, &l)| (l.exp(), a))
    }

    /// The same with every stress times `factor` (> 0).
    pub fn scaled(&self, factor: f64) -> Result<Self, StrengthError> {
        let ln = positive("factor of stress", factor)?.ln();
        let mut out = self.clone();
        out.peak *= factor;
        for (l, a) in out.ln_stress.iter_mut().zip(&out.measure) {
            if *a > 0.0 {
                *l += ln;
            }
        }
        Ok(out)
    }

    /// ln of the integral of sigma^m over the measure in units of A0 (or V0), and its derivative with respect to m.
    pub fn ln_integral(&self, m: f64) -> (f64, f64) {
        let ln_peak = self.peak.ln();
        let (mut total, mut first) = (0.0, 0.0);
        for (&a, &l) in self.measure.iter().zip(&self.ln_stress) {
            if a > 0.0 {
                let x = l - ln_peak;
                let term = a * (m * x).exp();
                total += term;
                first += term * x;
            }
        }
        (m * ln_peak + total.ln(), ln_peak + first / total)
    }

    /// Weibull-equivalent stress per newton for modulus `m` (> 0), MPa/N.
    pub fn equivalent_stress(&self, m: f64) -> f64 {
        (self.ln_integral(m).0 / m).exp()
    }

    /// The equivalent stress as a table over m, for use draw by draw.
    pub fn table(&self) -> EquivalentTable {
        EquivalentTable { knots: (0..=KNOTS).map(|i| self.ln_integral(FIRST + STEP * i as f64)).collect() }
    }
}

const FIRST: f64 = 1.0;
const STEP: f64 = 1.0;
const KNOTS: usize = 79;

/// ln integral of sigma^m for m from 1 to 80 by cubic Hermite interpolation between whole m (exact slopes). Off by at most
/// L^4 / 3072, L = ln(greatest / least stress): the fourth cumulant of ln sigma, at most L^4 / 8, over 384. Where one decade of stress counts and m is 5 or more that is
/// under 1e-3 of s_W; spectra with most of their area at low stress reach it at small m only.
#[derive(Debug, Clone, PartialEq)]
pub struct EquivalentTable {
    knots: Vec<(f64, f64)>,
}

impl EquivalentTable {
    /// From a smooth ln integral known in closed form (slopes by central differences).
    pub(crate) fn from_fn(ln_integral: impl Fn(f64) -> f64) -> Self {
        const HALF: f64 = 1e-4;
        let slope = |m: f64| (ln_integral(m + HALF) - ln_integral(m - HALF)) / (2.0 * HALF);
        let at = |i: usize| FIRST + STEP * i as f64;
        Self { knots: (0..=KNOTS).map(|i| (ln_integral(at(i)), slope(at(i)))).collect() }
    }

    /// ln of the integral of sigma^m; NaN outside m = 1..80.
    pub fn ln_integral(&self, m: f64) -> f64 {
        let position = (m - FIRST) / STEP;
        if !(0.0..=KNOTS as f64).contains(&position) {
            return f64::NAN;
        }
        let i = (position as usize).min(KNOTS - 1);
        let t = position - i as f64;
        let ((v0, d0), (v1, d1)) = (self.knots[i], self.knots[i + 1]);
        let u = 1.0 - t;
        u * u * (1.0 + 2.0 * t) * v0 + t * t * (3.0 - 2.0 * t) * v1 + STEP * t * u * (u * d0 - t * d1)
    }

    /// ln of the Weibull-equivalent stress per newton, ln MPa/N; NaN outside m = 1..80.
    pub fn ln_equivalent(&self, m: f64) -> f64 {
        self.ln_integral(m) / m
    }

    /// Weibull-equivalent stress per newton, MPa/N; NaN outside m = 1..80.
    pub fn equivalent_stress(&self, m: f64) -> f64 {
        self.ln_equivalent(m).exp()
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    #[test]
    fn uniform_stress_over_one_square_millimetre_is_itself() {
        let s = StressSpectrum::from_samples("face", Extent::Surface, &[(0.5, 0.25), (0.5, 0.75)]).unwrap();
        for m in [3.0, 10.0, 30.0] {
            assert!((s.equivalent_stress(m) - 0.5).abs() < 1e-12);
        }
    }

    #[test]
    fn a_face_in_compression_has_no_spectrum() {
        assert!(StressSpectrum::from_samples("face", Extent::Surface, &[(-1.0, 1.0)]).is_err());
        assert!(StressSpectrum::from_samples("face", Extent::Surface, &[(f64::NAN, 1.0)]).is_err());
    }

    #[test]
    fn binning_keeps_a_linear_field_within_its_stated_error() {
        // Bending stress over the depth: integral of x^m over 0..1 is 1/(m+1).
        let n = 20_000;
        let samples: Vec<_> = (0..n).map(|i| ((i as f64 + 0.5) / n as f64, 1.0 / n as f64)).collect();
        let s = StressSpectrum::from_samples("side", Extent::Surface, &samples).unwrap();
        for m in [3.0, 5.0, 10.0, 20.0, 40.0] {
            let exact = -(m + 1.0f64).ln() / m;
            assert!((s.ln_integral(m).0 / m - exact).abs() < (m * 0.023).powi(2) / (24.0 * m) + 5e-5, "m {m}");
        }
    }

    proptest! {
        #[test]
        fn the_table_follows_the_spectrum(
            samples in prop::collection::vec((0.001f64..10.0, 0.01f64..5.0), 1..40), m in 1.0f64..80.0
        ) {
            let s = StressSpectrum::from_samples("any", Extent::Surface, &samples).unwrap();
            let (low, high) = samples.iter().fold((f64::INFINITY, 0.0f64), |(l, h), (s, _)| (l.min(*s), h.max(*s)));
            // The stated bound, and rounding; bins are 0.03 wide at most.
            let bound = ((high / low).ln() + 0.1).powi(4) / 3072.0 + 1e-9;
            prop_assert!((s.table().ln_equivalent(m) - s.equivalent_stress(m).ln()).abs() <= bound / m);
        }

        #[test]
        fn equivalent_stress_scales_with_the_unit(samples in prop::collection::vec((0.001f64..10.0, 0.01f64..5.0), 1..40), m in 2.0f64..40.0) {
            let s = StressSpectrum::from_samples("any", Extent::Surface, &samples).unwrap();
            let k = s.scaled(1000.0).unwrap();
            prop_assert!((k.equivalent_stress(m) / s.equivalent_stress(m) / 1000.0 - 1.0).abs() < 1e-10);
        }
    }
}

//! A surface over dimensions in place of solves: ln s_W as a quadratic in the logarithms of the variables, with the error it makes.
//!
//! With x_j the logarithm of variable j, -1 to 1 over its range: ln s_W(x, m) = c0 + sum c_j x_j + sum c_jk x_j x_k, one set of c for each modulus m kept.
//! c by least squares with a ridge on the c_jk alone; its weight is the one of a fixed list with the least leave-one-out error, which is closed for least squares:
//! r_i/(1 - H_ii) (Allen 1974, Technometrics 16:125-127, doi 10.1080/00401706.1974.10489157, memory). That error (root mean square, at least [`MESH`]) is told as
//! the surface's own. Between the moduli kept ln s_W is a cubic in ln m (Hermite, slopes by differences).
//!
//! A variable that eases (a larger section) never raises the stress: along it the greatest value from there to the end of its range is taken. Beyond a range the
//! surface stays as at its end; under the range of an easing variable stress rises with the power its [`Variable`] names. The error grows by its own size for each half range beyond.
//! A difference between two points is taken to be out by a factor exp(c z) with one z for all points and c the leave-one-out error over the spread of ln s_W in the designs: nothing between equal points,
//! and whatever z is, a larger section never bears more stress (ours).
//!
//! Limits: a quadratic; the designs it was fitted to; what the family of bodies leaves out.

use crate::designs::{MODULI, Variable};
use crate::error::{StrengthError, within};
use crate::spectrum::EquivalentTable;
use numerics::dense::Matrix;

/// Least error told, in ln s_W: what the cells of a usual solve leave (docs/methods/strength.md).
pub const MESH: f64 = 0.03;
/// Weights of the ridge tried.
const RIDGES: [f64; 7] = [1e-4, 1e-2, 0.03, 0.1, 0.3, 1.0, 10.0];

/// ln s_W at [`MODULI`] of one design.
#[derive(Debug, Clone, PartialEq)]
pub struct Sample {
    /// Variables.
    pub point: Vec<f64>,
    /// ln s_W per newton at each of [`MODULI`].
    pub ln_s: [f64; 8],
}

/// A fitted surface.
#[derive(Debug, Clone, PartialEq)]
pub struct ResponseSurface {
    variables: Vec<Variable>,
    /// Coefficients by modulus: constant, linear, then products j <= k.
    coefficients: Vec<Vec<f64>>,
    error: [f64; 8],
    /// Standard deviation of ln s_W over the designs.
    spread: [f64; 8],
    designs: usize,
    ridge: f64,
}

impl ResponseSurface {
    /// Fits one.
    ///
    /// # Errors
    /// Fewer designs than twice the number of variables plus two; a value that is not above 0.
    pub fn fit(variables: &[Variable], samples: &[Sample]) -> Result<Self, StrengthError> {
        let least = 2 * variables.len() + 2;
        if samples.len() < least {
            return Err(StrengthError::Length { what: "designs", found: samples.len(), expected: least });
        }
        let mut rows = Vec::with_capacity(samples.len());
        for s in samples {
            rows.push(terms(&scaled(variables, &s.point)?));
        }
        let fits = RIDGES.map(|ridge| Fit::of(&rows, samples, variables.len(), ridge));
        let middle = |f: &Fit| f.error.iter().sum::<f64>();
        let mut best: Option<Fit> = None;
        for fit in fits.into_iter().flatten() {
            if best.as_ref().is_none_or(|b| middle(&fit) < middle(b)) {
                best = Some(fit);
            }
        }
        let best = best.ok_or(StrengthError::Length { what: "designs that differ", found: 0, expected: least })?;
        Ok(Self {
            variables: variables.to_vec(),
            coefficients: best.coefficients,
            error: best.error.map(|error| error.max(MESH)),
            spread: spread(samples),
            designs: samples.len(),
            ridge: best.ridge,
        })
    }

    /// Designs it was fitted to.
    pub fn designs(&self) -> usize {
        self.designs
    }

    /// Weight of the ridge chosen.
    pub fn ridge(&self) -> f64 {
        self.ridge
    }

    /// Its variables.
    pub fn variables(&self) -> &[Variable] {
        &self.variables
    }

    /// ln s_W per newton at each of [`MODULI`].
    ///
    /// # Errors
    /// A point of another length, or with a value that is not above 0.
    pub fn ln_s(&self, point: &[f64]) -> Result<[f64; 8], StrengthError> {
        let x = scaled(&self.variables, point)?;
        let mut out = [0.0; 8];
        for (o, c) in out.iter_mut().zip(&self.coefficients) {
            *o = self.eased(c, &x);
        }
        Ok(out)
    }

    /// s_W over all moduli, for use draw by draw.
    ///
    /// # Errors
    /// As [`Self::ln_s`].
    pub fn table(&self, point: &[f64]) -> Result<EquivalentTable, StrengthError> {
        let ln_s = self.ln_s(point)?;
        Ok(EquivalentTable::from_fn(|m| m * between(&ln_s, m)))
    }

    /// Standard deviation of ln s_W at a point for modulus `m`: leave-one-out error, more outside the ranges.
    pub fn error(&self, point: &[f64], m: f64) -> f64 {
        let Ok(x) = self.seen(point) else { return f64::INFINITY };
        let beyond: f64 = x.iter().map(|x| (x.abs() - 1.0).max(0.0)).sum();
        between(&self.error, m) * (1.0 + beyond)
    }

    /// Standard deviation of ln of what a difference of ln s_W between two points is out by: c of the module's head, more outside the ranges.
    pub fn error_of_difference(&self, one: &[f64], other: &[f64], m: f64) -> f64 {
        0.5 * (self.error(one, m) + self.error(other, m)) / between(&self.spread, m).max(MESH)
    }

    /// A point as the error sees it: beyond the upper end of an easing variable the stress of that end is taken, which is on the safe side.
    fn seen(&self, point: &[f64]) -> Result<Vec<f64>, StrengthError> {
        let mut x = scaled(&self.variables, point)?;
        for (_, x) in self.variables.iter().zip(x.iter_mut()).filter(|(v, _)| v.eases.is_some()) {
            *x = x.min(1.0);
        }
        Ok(x)
    }

    /// The quadratic with the rules for easing variables and ends of ranges.
    fn eased(&self, c: &[f64], x: &[f64]) -> f64 {
        let mut rise = 0.0;
        let mut at: Vec<f64> = x.to_vec();
        for (v, x) in self.variables.iter().zip(at.iter_mut()) {
            let power = v.eases.unwrap_or(0.0);
            rise += power * 0.5 * (v.high / v.low).ln() * (-1.0 - *x).max(0.0);
            *x = x.clamp(-1.0, 1.0);
        }
        let worst = |at: &mut [f64], j: usize| {
            let (a, b) = slopes(c, at, j);
            let (from, vertex) = (at[j], -0.5 * b / a);
            let mut best = from;
            for other in [1.0, vertex] {
                if other > from && other <= 1.0 && a * other * other + b * other > a * best * best + b * best {
                    best = other;
                }
            }
            at[j] = best;
        };
        for j in (0..at.len()).filter(|j| self.variables[*j].eases.is_some()) {
            worst(&mut at, j);
        }
        rise + terms(&at).iter().zip(c).map(|(t, c)| t * c).sum::<f64>()
    }
}

fn spread(samples: &[Sample]) -> [f64; 8] {
    let n = samples.len() as f64;
    std::array::from_fn(|m| {
        let mean = samples.iter().map(|s| s.ln_s[m]).sum::<f64>() / n;
        (samples.iter().map(|s| (s.ln_s[m] - mean).powi(2)).sum::<f64>() / n).sqrt()
    })
}

/// Coefficients of x_j squared and x_j with all other variables held.
fn slopes(c: &[f64], x: &[f64], j: usize) -> (f64, f64) {
    let d = x.len();
    let (mut square, mut linear) = (0.0, c[1 + j]);
    let mut n = 1 + d;
    for i in 0..d {
        for k in i..d {
            match (i == j, k == j) {
                (true, true) => square = c[n],
                (true, false) => linear += c[n] * x[k],
                (false, true) => linear += c[n] * x[i],
                _ => {}
            }
            n += 1;
        }
    }
    (square, linear)
}

/// The logarithms of a point, -1 to 1 over the ranges.
fn scaled(variables: &[Variable], point: &[f64]) -> Result<Vec<f64>, StrengthError> {
    if point.len() != variables.len() {
        return Err(StrengthError::Length {
            what: "variables of a point",
            found: point.len(),
            expected: variables.len(),
        });
    }
    let mut x = Vec::with_capacity(point.len());
    for (v, p) in variables.iter().zip(point) {
        within(v.name, *p, *p > 0.0 && p.is_finite(), "a finite number above 0")?;
        x.push(2.0 * (p / v.low).ln() / (v.high / v.low).ln() - 1.0);
    }
    Ok(x)
}

fn terms(x: &[f64]) -> Vec<f64> {
    let mut out = vec![1.0];
    out.extend(x);
    for i in 0..x.len() {
        out.extend((i..x.len()).map(|k| x[i] * x[k]));
    }
    out
}

struct Fit {
    coefficients: Vec<Vec<f64>>,
    error: [f64; 8],
    ridge: f64,
}

impl Fit {
    fn of(rows: &[Vec<f64>], samples: &[Sample], variables: usize, ridge: f64) -> Option<Self> {
        let p = rows.first()?.len();
        let dot = |a: usize, b: usize| rows.iter().map(|r| r[a] * r[b]).sum::<f64>();
        let penalty = |a: usize| if a > variables { ridge } else { 1e-9 };
        let normal = Matrix::from_fn(p, |a, b| dot(a, b) + if a == b { penalty(a) } else { 0.0 });
        let factor = normal.cholesky().ok()?;
        let leverage: Vec<f64> =
            rows.iter().map(|r| factor.solve(r).iter().zip(r).map(|(a, b)| a * b).sum::<f64>()).collect();
        let (mut coefficients, mut error) = (Vec::with_capacity(8), [0.0; 8]);
        for (i, error) in error.iter_mut().enumerate() {
            let right: Vec<f64> =
                (0..p).map(|a| rows.iter().zip(samples).map(|(r, s)| r[a] * s.ln_s[i]).sum()).collect();
            let c = factor.solve(&right);
            let squares: f64 = rows
                .iter()
                .zip(samples)
                .zip(&leverage)
                .map(|((r, s), h)| {
                    let left = s.ln_s[i] - r.iter().zip(&c).map(|(a, b)| a * b).sum::<f64>();
                    (left / (1.0 - h).max(1e-6)).powi(2)
                })
                .sum();
            *error = (squares / rows.len() as f64).sqrt();
            coefficients.push(c);
        }
        Some(Self { coefficients, error, ridge })
    }
}

/// Value at a modulus between those kept: cubic Hermite in ln m; as at the ends beyond them.
fn between(values: &[f64; 8], m: f64) -> f64 {
    let u = MODULI.map(f64::ln);
    let x = m.max(1e-9).ln().clamp(u[0], u[7]);
    let i = (1..7).rfind(|i| u[*i] <= x).unwrap_or(0);
    let secant = |i: usize| (values[i + 1] - values[i]) / (u[i + 1] - u[i]);
    let slope = |i: usize| match i {
        0 => secant(0),
        7 => secant(6),
        _ => {
            let (a, b) = (u[i] - u[i - 1], u[i + 1] - u[i]);
            (b * secant(i - 1) + a * secant(i)) / (a + b)
        }
    };
    let w = u[i + 1] - u[i];
    let t = (x - u[i]) / w;
    let v = 1.0 - t;
    v * v * (1.0 + 2.0 * t) * values[i]
        + t * t * (3.0 - 2.0 * t) * values[i + 1]
        + w * t * v * (v * slope(i) - t * slope(i + 1))
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    const VARIABLES: [Variable; 2] = [
        Variable { name: "height", low: 1.0, high: 4.0, eases: Some(1.0) },
        Variable { name: "stiffness", low: 1.0, high: 10.0, eases: None },
    ];

    fn samples(f: impl Fn(f64, f64) -> f64) -> Vec<Sample> {
        let mut out = Vec::new();
        for i in 0..6 {
            for j in 0..6 {
                let (h, e) = (4f64.powf(f64::from(i) / 5.0), 10f64.powf(f64::from(j) / 5.0));
                out.push(Sample { point: vec![h, e], ln_s: [f(h, e); 8] });
            }
        }
        out
    }

    #[test]
    fn a_power_law_is_found_again_and_its_error_is_the_least_told() {
        let law = |h: f64, e: f64| 0.3 - 2.0 * h.ln() + 0.1 * e.ln();
        let s = ResponseSurface::fit(&VARIABLES, &samples(law)).unwrap();
        assert!((s.ln_s(&[2.3, 4.4]).unwrap()[3] - law(2.3, 4.4)).abs() < 1e-5);
        assert!((s.error(&[2.0, 2.0], 10.0) - MESH).abs() < 1e-12);
        // Outside the ranges it grows, but not above the upper end of what eases: there the stress of that end is taken.
        assert!(s.error(&[0.4, 2.0], 10.0) > 1.5 * MESH && s.error(&[2.0, 30.0], 10.0) > 1.5 * MESH);
        assert!((s.error(&[9.0, 2.0], 10.0) - MESH).abs() < 1e-12);
        let table = s.table(&[2.3, 4.4]).unwrap();
        assert!((table.ln_equivalent(17.0) - law(2.3, 4.4)).abs() < 1e-4);
    }

    #[test]
    fn few_designs_and_impossible_points_are_refused() {
        let all = samples(|h, _| -h.ln());
        assert!(ResponseSurface::fit(&VARIABLES, &all[..4]).is_err());
        let s = ResponseSurface::fit(&VARIABLES, &all).unwrap();
        for wrong in [&[0.0, 1.0][..], &[f64::NAN, 1.0], &[1.0]] {
            assert!(s.ln_s(wrong).is_err());
        }
    }

    proptest! {
        #[test]
        fn what_eases_never_raises_stress(
            a in -2.0f64..2.0, b in -2.0f64..2.0, c in -1.0f64..1.0, e in 1.0f64..10.0, h in 0.3f64..6.0, more in 1.001f64..2.0
        ) {
            // Whatever was measured, even a stress that rises with height.
            let law = |h: f64, e: f64| a * h.ln() + b * h.ln().powi(2) + c * h.ln() * e.ln();
            let s = ResponseSurface::fit(&VARIABLES, &samples(law)).unwrap();
            let at = |h: f64| s.ln_s(&[h, e]).unwrap()[4];
            prop_assert!(at(h * more) <= at(h) + 1e-9);
        }

        #[test]
        fn a_difference_is_known_the_better_the_less_of_the_spread_is_unexplained(noise in 0.001f64..0.3, h in 1.0f64..4.0) {
            // A ripple that no quadratic follows, beside a law that spreads the designs.
            let at = |noise: f64| {
                let s = ResponseSurface::fit(&VARIABLES, &samples(|h, e| -h.ln() + noise * (9.0 * h * e).sin())).unwrap();
                s.error_of_difference(&[h, 2.0], &[1.5, 3.0], 10.0)
            };
            prop_assert!(at(noise) <= at(2.0 * noise) + 1e-9 && at(noise) > 0.0);
        }
    }
}

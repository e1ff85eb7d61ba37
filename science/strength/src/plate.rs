//! A plate bonded on a softer base under a round patch load: stresses of its lower face.
//!
//! Infinite thin plate of stiffness D = E h^3/(12(1-nu^2)) on a base that pushes back k(alpha) w in the Hankel plane: springs k = k0, or an
//! elastic half-space without friction k = E_b alpha/(2(1-nu_b^2)). With a unit load on radius c:
//! sum = (1+nu)/(2 pi) integral D alpha^3/(D alpha^4 + k) (2 J1(alpha c)/(alpha c))/2 J0(alpha r) d alpha is the mean moment
//! (M_r + M_t)/2, and M_r - M_t follows with J2 for J0 and (1-nu) for (1+nu). Stress = 6M/h^2. Timoshenko, Woinowsky-Krieger 1959,
//! Theory of plates and shells, ch. 8 (memory). At the centre on springs it is Westergaard's 1926 formula (Public Roads 7:25-35, memory).
//! For c < 1.724 h the plate is not thin under the load: c is replaced by sqrt(1.6 c^2 + h^2) - 0.675 h (Westergaard).
//!
//! Limits: no friction or bond shear between plate and base (stress on the safe side, up to about a third for E/E_b near 5: estimate from
//! memory), no edge within two lengths l = (D/k0)^(1/4) or (2D(1-nu_b^2)/E_b)^(1/3), base deeper than l. Thin soft layers are left out.

use crate::disk::{Disk, Load};
use crate::error::{StrengthError, poisson, positive};
use crate::points::points;
use crate::spectrum::{Extent, StressSpectrum};
use std::f64::consts::PI;

/// What holds the plate up.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Base {
    /// Springs of this stiffness per area, N/mm3.
    Springs(f64),
    /// Elastic half-space.
    HalfSpace {
        /// Modulus, MPa.
        modulus: f64,
        /// Poisson ratio.
        poisson: f64,
    },
    /// A simply supported ring of this radius, mm, without overhang.
    Ring(f64),
}

/// A plate (wall) under a patch load.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Plate {
    /// Thickness, mm.
    pub thickness: f64,
    /// Modulus, MPa.
    pub modulus: f64,
    /// Poisson ratio.
    pub poisson: f64,
    /// Radius of the loaded patch, mm.
    pub patch: f64,
}

impl Plate {
    /// Bending stiffness, N mm.
    pub fn stiffness(&self) -> f64 {
        self.modulus * self.thickness.powi(3) / (12.0 * (1.0 - self.poisson * self.poisson))
    }

    /// Radius that a thin plate must be loaded on to have the stress of this one (Westergaard 1926), mm.
    pub fn thin_patch(&self) -> f64 {
        let (c, h) = (self.patch, self.thickness);
        if c < 1.724 * h { (1.6 * c * c + h * h).sqrt() - 0.675 * h } else { c }
    }

    fn check(&self) -> Result<(), StrengthError> {
        positive("thickness of the plate", self.thickness)?;
        positive("modulus of the plate", self.modulus)?;
        positive("radius of the loaded patch", self.patch)?;
        poisson(self.poisson).map(|_| ())
    }
}

/// Lower face of the plate per newton on the patch. Errors name the measure that is not usable.
pub fn plate_spectrum(plate: &Plate, base: &Base) -> Result<StressSpectrum, StrengthError> {
    plate.check()?;
    let c = plate.thin_patch();
    let samples = match *base {
        Base::Ring(support) => {
            let (thickness, poisson) = (plate.thickness, plate.poisson);
            Disk { support, radius: support, thickness, poisson, load: Load::Patch(c) }.check()?.samples()
        }
        Base::Springs(k) => {
            let length = (plate.stiffness() / positive("stiffness of the springs", k)?).powf(0.25);
            on_base(plate, c, length, |x| x * x * x / (x.powi(4) + 1.0))
        }
        Base::HalfSpace { modulus, poisson: nu } => {
            let e = positive("modulus of the base", modulus)? / (1.0 - poisson(nu)?.powi(2));
            let length = (2.0 * plate.stiffness() / e).cbrt();
            on_base(plate, c, length, |x| x * x / (x.powi(3) + 1.0))
        }
    };
    StressSpectrum::from_samples("lower face", Extent::Surface, &samples)
}

/// Samples of the lower face out to where tension has gone; `kernel(x)` with x = alpha times `length`.
fn on_base(plate: &Plate, c: f64, length: f64, kernel: impl Fn(f64) -> f64) -> Vec<(f64, f64)> {
    let spread = Transform::new(c / length, kernel);
    let scale = 6.0 / (plate.thickness * plate.thickness);
    let edge = 2.0f64.max(4.0 * c / length);
    points(12, 0.0, c / length)
        .chain(points(18, c / length, edge))
        .flat_map(|(r, w)| {
            let (radial, hoop) = spread.moments(r, plate.poisson);
            let area = 2.0 * PI * r * w * length * length;
            [(scale * radial, area), (scale * hoop, area)]
        })
        .collect()
}

/// The load and base in the Hankel plane: (alpha, weighted integrand without its Bessel function of r).
struct Transform(Vec<(f64, f64)>);

impl Transform {
    /// For a patch of radius `c` and lengths in units of the base's.
    fn new(c: f64, kernel: impl Fn(f64) -> f64) -> Self {
        // The integrand falls as alpha^-2.5 and oscillates; a Gaussian taper far out keeps the mean of the tail.
        let end = 60.0 / c;
        let panels = 24;
        let mut out = Vec::with_capacity(panels * 8);
        for i in 0..panels {
            let at = |j: usize| end * (j as f64 / panels as f64).powi(2);
            for (x, w) in points(10, at(i), at(i + 1)) {
                let taper = (-(3.0 * x / end).powi(4)).exp();
                out.push((x, w * kernel(x) * 2.0 * libm::j1(x * c) / (x * c) * taper));
            }
        }
        Self(out)
    }

    /// Radial and hoop moment at radius r, per unit load.
    fn moments(&self, r: f64, nu: f64) -> (f64, f64) {
        let (mut even, mut odd) = (0.0, 0.0);
        for &(x, w) in &self.0 {
            let z = x * r;
            let (j0, j1) = (libm::j0(z), libm::j1(z));
            even += w * j0;
            odd += w * if z < 1e-6 { 0.0 } else { 2.0 * j1 / z - j0 };
        }
        let (mean, half) = ((1.0 + nu) * even / (4.0 * PI), (1.0 - nu) * odd / (4.0 * PI));
        (mean - half, mean + half)
    }
}

/// Centre stress of a plate on springs per newton after Westergaard 1926, closed form for c well under l; MPa/N.
pub fn westergaard_centre(plate: &Plate, k: f64) -> f64 {
    let (h, nu) = (plate.thickness, plate.poisson);
    let l = (plate.stiffness() / k).powf(0.25);
    let b = plate.thin_patch();
    const EULER: f64 = 0.5772156649015329;
    3.0 * (1.0 + nu) / (2.0 * PI * h * h) * ((2.0 * l / b).ln() + 0.5 - EULER)
        + 3.0 * (1.0 + nu) / (64.0 * h * h) * (b / l).powi(2)
}

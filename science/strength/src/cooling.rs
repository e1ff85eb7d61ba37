//! Stress that cooling leaves in a plate of two layers that froze together at once.
//!
//! Above one temperature the softer layer flows and holds no stress, below it both are elastic (instant freezing). Strain is e0 + k y through the plate, stress in layer i is
//! E_i/(1 - nu_i) (e0 + k y - alpha_i dT) with dT negative, and e0, k follow from no net force and no net moment (Timoshenko 1925, J Opt Soc Am 11:233-255, doi 10.1364/JOSA.11.000233,
//! for strips; biaxial moduli for plates). A piece that may not bend keeps k = 0.
//!
//! Limits: thin even layers, far from edges; no viscoelastic flow, no gradient of temperature while cooling (both change the sign at the free face in quick cooling); linear expansion.

use crate::error::{StrengthError, poisson, positive, within};

/// One layer.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Layer {
    /// Thickness, mm.
    pub thickness: f64,
    /// Modulus, MPa.
    pub modulus: f64,
    /// Poisson ratio.
    pub poisson: f64,
    /// Linear expansion, 1/K.
    pub expansion: f64,
}

impl Layer {
    fn biaxial(&self) -> f64 {
        self.modulus / (1.0 - self.poisson)
    }

    fn check(&self) -> Result<(), StrengthError> {
        positive("thickness of a layer", self.thickness)?;
        positive("modulus of a layer", self.modulus)?;
        poisson(self.poisson)?;
        within("expansion of a layer", self.expansion, self.expansion.is_finite(), "a finite number")?;
        Ok(())
    }
}

/// What cooling leaves, tension positive.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Cooled {
    /// Curvature, 1/mm; positive when the second layer is on the outer side.
    pub curvature: f64,
    /// Stress at the free face of the first and of the second layer, MPa.
    pub free: [f64; 2],
    /// Stress at their interface, in the first and in the second, MPa.
    pub interface: [f64; 2],
}

/// Whether the plate can follow its layers.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Curving {
    /// It bends until no moment is left.
    Free,
    /// It stays flat, as a closed shell nearly does.
    Held,
}

/// A plate of two layers cooled by `kelvin` (positive) from where they froze together.
///
/// # Errors
/// The measure that is not usable.
pub fn cooled(layers: [Layer; 2], kelvin: f64, curving: Curving) -> Result<Cooled, StrengthError> {
    layers.iter().try_for_each(Layer::check)?;
    within("cooling", kelvin, kelvin.is_finite() && kelvin >= 0.0, "0 K or more")?;
    let [t1, t2] = layers.map(|l| l.thickness);
    // Sections of each layer from the first's free face: of y^0, y, y^2.
    let section = [[t1, 0.5 * t1 * t1, t1.powi(3) / 3.0], {
        let (a, b) = (t1, t1 + t2);
        [t2, 0.5 * (b * b - a * a), (b.powi(3) - a.powi(3)) / 3.0]
    }];
    let free_strain = layers.map(|l| -l.expansion * kelvin);
    let sum = |power: usize| (0..2).map(|i| layers[i].biaxial() * section[i][power]).sum::<f64>();
    let driven = |power: usize| (0..2).map(|i| layers[i].biaxial() * free_strain[i] * section[i][power]).sum::<f64>();
    let (a, b, d, n, m) = (sum(0), sum(1), sum(2), driven(0), driven(1));
    let (e0, k) = match curving {
        Curving::Free => {
            let determinant = a * d - b * b;
            ((n * d - m * b) / determinant, (m * a - n * b) / determinant)
        }
        Curving::Held => (n / a, 0.0),
    };
    let at = |i: usize, y: f64| layers[i].biaxial() * (e0 + k * y - free_strain[i]);
    Ok(Cooled { curvature: -k, free: [at(0, 0.0), at(1, t1 + t2)], interface: [at(0, t1), at(1, t1)] })
}

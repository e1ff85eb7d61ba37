//! Connectors: a bar of elliptic section between two neighbours, united with both by a fillet of the embrasure's radius.
//!
//! The bar runs from inside one part to inside the other; height is along the teeth, width from cheek to tongue. The fillet is a rolling ball's.

use crate::body::Part;
use shape::{Extruded, Motion, Outline, Placed, ShapeError, Solid, Union};
use std::sync::Arc;

/// A connector, mm.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Connector {
    /// Height along the teeth.
    pub height: f64,
    /// Width from cheek to tongue.
    pub width: f64,
    /// Radius of the embrasures.
    pub radius: f64,
}

impl Connector {
    /// Area of its least section before fillets, mm2.
    pub fn area(&self) -> f64 {
        std::f64::consts::FRAC_PI_4 * self.height * self.width
    }

    /// A bar between two places, its height along `up`.
    ///
    /// # Errors
    /// Measures not above 0, both places the same.
    pub fn bar(&self, from: [f64; 3], to: [f64; 3], up: [f64; 3]) -> Result<Part, ShapeError> {
        for (quantity, found) in [("height of the connector", self.height), ("width of the connector", self.width)] {
            if !(0.5..=12.0).contains(&found) {
                return Err(ShapeError::OutOfRange { quantity, found, expected: "0.5 to 12 mm" });
            }
        }
        const AROUND: usize = 48;
        let ellipse = (0..AROUND).map(|i| {
            let (s, c) = (std::f64::consts::TAU * i as f64 / AROUND as f64).sin_cos();
            [0.5 * self.width * c, 0.5 * self.height * s]
        });
        let along: [f64; 3] = std::array::from_fn(|a| to[a] - from[a]);
        let length = along.iter().map(|x| x * x).sum::<f64>().sqrt();
        if length < 1e-9 {
            return Err(ShapeError::NoDirection("connector"));
        }
        let bar = Extruded::new(Outline::new(ellipse.collect())?, -0.5 * length, 0.5 * length)?;
        let middle: [f64; 3] = std::array::from_fn(|a| 0.5 * (from[a] + to[a]));
        let bar = Placed::new(bar, onto(along.map(|x| x / length), up)?);
        Ok(Arc::new(Placed::new(bar, Motion::shift(middle)?)))
    }

    /// Two parts joined by a bar.
    ///
    /// # Errors
    /// As [`Connector::bar`]; a radius below 0.
    pub fn join(&self, one: Part, other: Part, from: [f64; 3], to: [f64; 3], up: [f64; 3]) -> Result<Part, ShapeError> {
        let bar = self.bar(from, to, up)?;
        let half = Union::new(one, bar, self.radius)?;
        Ok(Arc::new(Union::new(Arc::new(half) as Part, other, self.radius)?))
    }
}

/// The rotation that lays z on `along` and y as near to `up` as may be.
fn onto(along: [f64; 3], up: [f64; 3]) -> Result<Motion, ShapeError> {
    let dot = |a: [f64; 3], b: [f64; 3]| a[0] * b[0] + a[1] * b[1] + a[2] * b[2];
    let cross =
        |a: [f64; 3], b: [f64; 3]| [a[1] * b[2] - a[2] * b[1], a[2] * b[0] - a[0] * b[2], a[0] * b[1] - a[1] * b[0]];
    let z = [0.0, 0.0, 1.0];
    let axis = cross(z, along);
    let sine = dot(axis, axis).sqrt();
    let first = if sine < 1e-12 {
        if along[2] > 0.0 { Motion::none() } else { Motion::turn([1.0, 0.0, 0.0], std::f64::consts::PI, [0.0; 3])? }
    } else {
        Motion::turn(axis, sine.atan2(along[2]), [0.0; 3])?
    };
    let y = first.turned([0.0, 1.0, 0.0]);
    let flat: [f64; 3] = std::array::from_fn(|a| up[a] - dot(up, along) * along[a]);
    if dot(flat, flat) < 1e-12 {
        return Err(ShapeError::NoDirection("up"));
    }
    let twist = dot(cross(y, flat), along).atan2(dot(y, flat));
    Ok(first.then(&Motion::turn(along, twist, [0.0; 3])?))
}

impl Connector {
    /// The section across a joined body at a place, for its height, width and area as built.
    ///
    /// # Errors
    /// The plane misses the body.
    pub fn section_at(
        body: &dyn Solid,
        at: [f64; 3],
        along: [f64; 3],
        up: [f64; 3],
    ) -> Result<shape::Section, ShapeError> {
        shape::section(body, &shape::Plane::new(at, along, up)?)
    }
}

//! Where teeth stand: a jaw's arch of average teeth, contact to contact, so that neighbours, gaps and bridges have a place.
//!
//! Frame of a jaw, mm: z towards the other jaw, y forward, x so that the frame is right-handed (to the patient's left in the upper jaw, to the right in
//! the lower); z = 0 at the cusp tips and edges. The curve is y = k D (1/4 - (x/W)^2)^0.8 (beta curve: Braun 1998, Angle Orthod 68:29-36, memory),
//! D/W = 0.75 (common practice, no source), scaled so that seven teeth a side fit by their widths. Teeth stand upright but for a tilt towards
//! mesial that was seen. Curves of Spee and Wilson, rotations and torque are left out: judge a real arch by its scan.

use crate::body::{Mirrored, Part, mirrored};
use crate::form::ToothForm;
use catalogue::words::{Jaw, Side, Tooth};
use shape::{Motion, Placed, ShapeError};
use std::collections::BTreeMap;
use std::sync::Arc;

/// Depth of the arch over its width at the second molars.
const DEPTH_OVER_WIDTH: f64 = 0.75;
const EXPONENT: f64 = 0.8;

/// Where one tooth stands in its jaw.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Seat {
    mirrored: bool,
    motion: Motion,
}

impl Seat {
    /// A part of the tooth in the jaw's frame.
    pub fn seated(&self, part: &Part) -> Part {
        if self.mirrored {
            Arc::new(Placed::new(Mirrored(part.clone()), self.motion))
        } else {
            Arc::new(Placed::new(part.clone(), self.motion))
        }
    }

    /// A place of the tooth's frame in the jaw's.
    pub fn place(&self, p: [f64; 3]) -> [f64; 3] {
        self.motion.apply(self.flip(p))
    }

    /// A direction of the tooth's frame in the jaw's.
    pub fn direction(&self, d: [f64; 3]) -> [f64; 3] {
        self.motion.turned(self.flip(d))
    }

    /// A direction of the jaw's frame in the tooth's.
    pub fn direction_back(&self, d: [f64; 3]) -> [f64; 3] {
        self.flip(self.motion.inverse().turned(d))
    }

    /// A place of the jaw's frame in the tooth's.
    pub fn place_back(&self, p: [f64; 3]) -> [f64; 3] {
        self.flip(self.motion.back(p))
    }

    fn flip(&self, p: [f64; 3]) -> [f64; 3] {
        if self.mirrored { mirrored(p) } else { p }
    }
}

/// True for teeth whose frame (x mesial, y facial, z to the other jaw) is left-handed in the mouth.
pub fn is_mirrored(tooth: Tooth) -> bool {
    (tooth.jaw() == Jaw::Upper) == (tooth.side() == Side::Left)
}

/// The teeth of one jaw in their places.
#[derive(Debug, Clone)]
pub struct Arch {
    seats: BTreeMap<Tooth, Seat>,
}

impl Arch {
    /// Places for the forms of one jaw, from the midline outward; `tilt` is each tooth's lean towards mesial, degrees. Teeth without a form leave
    /// no gap, so give a form for a missing tooth too.
    ///
    /// # Errors
    /// A tilt that is not finite.
    pub fn new(forms: &BTreeMap<Tooth, ToothForm>, tilt: impl Fn(Tooth) -> f64) -> Result<Self, ShapeError> {
        let width = |t: &Tooth| forms.get(t).map_or(0.0, |f| f.size().mesiodistal);
        let mut seats = BTreeMap::new();
        let half: f64 = [Side::Right, Side::Left]
            .iter()
            .map(|s| forms.keys().filter(|t| t.side() == *s && t.number() <= 7).map(width).sum::<f64>())
            .fold(30.0, f64::max);
        let curve = Curve::with_half_length(half);
        for side in [Side::Right, Side::Left] {
            let mut along = 0.0;
            let mut teeth: Vec<&Tooth> = forms.keys().filter(|t| t.side() == side).collect();
            teeth.sort_by_key(|t| t.number());
            for tooth in teeth {
                let w = width(tooth);
                let ([x, y], angle) = curve.at(along + 0.5 * w);
                along += w;
                let tall = forms.get(tooth).map_or(8.0, |f| f.size().crown_height);
                seats.insert(*tooth, seat(*tooth, [x, y, -tall], angle, tilt(*tooth).to_radians())?);
            }
        }
        Ok(Self { seats })
    }

    /// Where a tooth stands.
    pub fn seat(&self, tooth: Tooth) -> Option<&Seat> {
        self.seats.get(&tooth)
    }

    /// Teeth that have a place.
    pub fn teeth(&self) -> impl Iterator<Item = Tooth> + '_ {
        self.seats.keys().copied()
    }
}

/// The seat of a tooth `x` mm beside the midline, the curve rising towards the midline by `angle`.
fn seat(tooth: Tooth, [x, y, z]: [f64; 3], angle: f64, tilt: f64) -> Result<Seat, ShapeError> {
    let mirrored = is_mirrored(tooth);
    let sign = if mirrored { 1.0 } else { -1.0 };
    let lean = Motion::turn([0.0, 1.0, 0.0], -sign * tilt, [0.0; 3])?;
    let turn = Motion::turn([0.0, 0.0, 1.0], -sign * angle, [sign * x, y, z])?;
    Ok(Seat { mirrored, motion: lean.then(&turn) })
}

/// One side of the arch by length from the midline.
struct Curve {
    /// (x, y) at equal steps of x, and the length to there.
    points: Vec<([f64; 2], f64)>,
}

impl Curve {
    fn with_half_length(half: f64) -> Self {
        const STEPS: usize = 400;
        let shape = |width: f64| {
            let depth = DEPTH_OVER_WIDTH * width;
            let scale = depth / 0.25f64.powf(EXPONENT);
            let mut length = 0.0;
            let mut points: Vec<([f64; 2], f64)> = Vec::with_capacity(STEPS + 1);
            for i in 0..=STEPS {
                // Finer towards the end, where the curve runs straight back.
                let u = 1.0 - (1.0 - i as f64 / STEPS as f64).powi(2);
                let x = 0.5 * width * u;
                let y = scale * (0.25 * (1.0 - u * u)).max(0.0).powf(EXPONENT);
                if let Some(([a, b], _)) = points.last().copied() {
                    length += f64::hypot(x - a, y - b);
                }
                points.push(([x, y], length));
            }
            points
        };
        let unit = shape(1.0);
        let length = unit.last().map_or(1.0, |p| p.1);
        Self { points: shape(half / length) }
    }

    /// Place at a length from the midline, and the angle at which the curve rises towards the midline there.
    fn at(&self, length: f64) -> ([f64; 2], f64) {
        let n = self.points.len();
        let k = self.points.partition_point(|p| p.1 < length).clamp(1, n - 1);
        let ((a, la), (b, lb)) = (self.points[k - 1], self.points[k]);
        let t = if lb > la { (length - la) / (lb - la) } else { 0.0 };
        let place = [a[0] + t * (b[0] - a[0]), a[1] + t * (b[1] - a[1])];
        (place, (a[1] - b[1]).atan2(b[0] - a[0]))
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use catalogue::Catalogue;

    fn arch(jaw: Jaw) -> (BTreeMap<Tooth, ToothForm>, Arch) {
        let catalogue = Catalogue::shipped().unwrap();
        let forms: BTreeMap<_, _> =
            Tooth::all().filter(|t| t.jaw() == jaw).map(|t| (t, ToothForm::of(&catalogue, t).unwrap())).collect();
        let arch = Arch::new(&forms, |_| 0.0).unwrap();
        (forms, arch)
    }

    #[test]
    fn neighbours_touch_and_sides_mirror() {
        for jaw in [Jaw::Upper, Jaw::Lower] {
            let (forms, arch) = arch(jaw);
            for (tooth, form) in &forms {
                let seat = arch.seat(*tooth).unwrap();
                let other = arch.seat(tooth.mirrored()).unwrap();
                let (p, q) = (seat.place([1.0, 2.0, 3.0]), other.place([1.0, 2.0, 3.0]));
                assert!((p[0] + q[0]).abs() < 1e-9 && (p[1] - q[1]).abs() < 1e-9 && (p[2] - q[2]).abs() < 1e-9);
                assert!(seat.direction([0.0, 1.0, 0.0])[1] > -0.2, "{tooth} faces outward");
                // Towards mesial lies the midline.
                let here = seat.place([0.0; 3]);
                assert!(seat.place([1.0, 0.0, 0.0])[0].abs() < here[0].abs() + 1e-9 || tooth.number() > 5);
                if let Some(next) = tooth.next().filter(|n| forms.contains_key(n)) {
                    let apart = arch.seat(next).unwrap().place([0.0; 3]);
                    let d = (apart[0] - here[0]).hypot(apart[1] - here[1]);
                    let wanted = 0.5 * (form.size().mesiodistal + forms[&next].size().mesiodistal);
                    // The chord is shorter than the arc by up to 3 % where the arch bends most.
                    assert!((d / wanted - 1.0).abs() < 0.05, "{tooth}-{next}: {d} against {wanted}");
                }
            }
        }
    }

    #[test]
    fn directions_come_back() {
        let (_, arch) = arch(Jaw::Lower);
        let seat = arch.seat(Tooth::new(46).unwrap()).unwrap();
        let d = [0.3, -0.2, 0.9];
        let back = seat.direction_back(seat.direction(d));
        assert!((0..3).all(|a| (back[a] - d[a]).abs() < 1e-12));
    }
}

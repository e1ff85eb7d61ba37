//! Bodies of the engine as the laboratories broke them: ln of the load in newton that breaks each.

use crate::DRAWS;
use crate::cases::Priors;
use answer::{Draws, World};
use plan::Surfaces;
use strength::designs::dome;
use strength::designs::layers::OUTER;
use strength::designs::{Family, block_length};
use strength::splitting::driving_load;
use strength::surface::Sample;
use strength::{Base, Bending, Neck, NeckShape, Plate, ResponseSurface, Specimen, neck_spectrum, plate_spectrum};

/// Modulus of the surfaces' pegs, GPa; their layers have 8.
const PEG: f64 = 18.0;
/// Radius where a framework on implants goes into its retainer, mm (not reported; common practice, no source).
const FILLET: f64 = 0.5;

pub(crate) struct Bench {
    pub(crate) priors: Priors,
    arm: ResponseSurface,
    cap: ResponseSurface,
    dome: ResponseSurface,
    layers: ResponseSurface,
    lid: ResponseSurface,
    span: ResponseSurface,
}

#[derive(Clone, Copy, PartialEq)]
pub(crate) enum Embrasure {
    Sharp,
    Rounded,
    Unreported,
}

impl Bench {
    pub(crate) fn of(&self, section: &str, name: &str) -> Draws {
        self.priors.get(section, name)
    }

    /// ln of the mean strength of 1 mm2, and m.
    fn strength(&self, material: &str) -> (Draws, Draws) {
        let (m, s) = (self.of("weibull_m", material), self.of("strength_mpa", material));
        let (h, l) = (self.of("specimen", "bar_height_mm"), self.of("specimen", "bar_span_mm"));
        let ln = Draws::from_fn(DRAWS, |k| {
            let bar = Specimen::Bar { width: 4.0, height: h.get(k), outer: l.get(k), inner: 0.0 };
            bar.strength_of_unit_area(s.get(k), m.get(k)).ln()
        });
        (ln, m)
    }

    /// ln of the load that breaks, from ln s per newton as a function of draw and m.
    pub(crate) fn load(&self, material: &str, ln_s: impl Fn(usize, f64) -> f64) -> Draws {
        let (ln_r, m) = self.strength(material);
        Draws::from_fn(DRAWS, |k| ln_r.get(k) - ln_s(k, m.get(k)))
    }

    fn surfaced(surface: &ResponseSurface, point: &[f64], z: f64, m: f64) -> f64 {
        surface.table(point).unwrap().ln_equivalent(m) + z * surface.error(point, m)
    }

    /// A unit of three with connectors of an area, the middle pressed.
    pub(crate) fn bridge(&self, material: &str, area: f64, embrasure: Embrasure, premolar: bool) -> Draws {
        let name = match embrasure {
            Embrasure::Sharp => "radius_sharp_mm",
            Embrasure::Rounded => "radius_rounded_mm",
            Embrasure::Unreported => "radius_unreported_mm",
        };
        let radius = self.of("bridge", name);
        self.bridge_with(material, area, &radius, premolar)
    }

    pub(crate) fn bridge_with(&self, material: &str, area: f64, radius: &Draws, premolar: bool) -> Draws {
        let ratio = self.of("bridge", "height_over_width");
        let gap = self.of("bridge", if premolar { "pontic_premolar_mm" } else { "pontic_unreported_mm" });
        let (springs, die) = (self.priors.get_ln("bridge", "springs_n_mm3"), self.of("crown", "die_dentine_gpa"));
        let (modulus, usual) = (self.of("modulus_gpa", material), self.of("bridge", "radius_unreported_mm"));
        let z = self.priors.0.normal("surface/span", 0.0, 1.0);
        self.load(material, |k, m| {
            // Areas are told as height times width, as all of them are in the plan's own table.
            let width = (area / ratio.get(k)).sqrt();
            let (r, stiffness) = (radius.get(k), modulus.get(k) / die.get(k));
            let block = block_length(gap.get(k), usual.get(k));
            let point = [width * ratio.get(k), width, r, block, stiffness, springs.get(k)];
            Self::surfaced(&self.span, &point, z.get(k), m)
        })
    }

    /// A crown with a chewing wall on a die.
    pub(crate) fn crown(&self, material: &str, wall: &Draws, die: &str, cement: &Draws) -> Draws {
        let [contact, side, length] = ["contact_radius_mm", "axial_mm", "length_mm"].map(|n| self.of("crown", n));
        let (die, modulus) = (self.of("crown", die), self.of("modulus_gpa", material));
        let z = self.priors.0.normal("surface/wall", 0.0, 1.0);
        self.load(material, |k, m| {
            let e = die.get(k);
            // A layer as stiff against a softer die is as much thinner.
            let point =
                [wall.get(k), side.get(k), modulus.get(k) / e, contact.get(k), length.get(k), cement.get(k) * e / PEG];
            Self::surfaced(&self.cap, &point, z.get(k), m) + beyond_the_surface([wall.get(k), point[2], point[3]], m)
        })
    }

    pub(crate) fn constant_wall(&self, material: &str, wall: f64, die: &str) -> Draws {
        self.crown(material, &Draws::constant(DRAWS, wall), die, &self.of("crown", "cement_mm"))
    }

    /// A crown of a core under a veneer all over, on a natural tooth.
    pub(crate) fn layered(&self, material: &str, core: f64, veneer: f64) -> Draws {
        let [contact, length, cement] = ["contact_radius_mm", "length_mm", "cement_mm"].map(|n| self.of("crown", n));
        let (die, modulus) = (self.of("crown", "die_dentine_gpa"), self.of("modulus_gpa", material));
        let z = self.priors.0.normal("surface/layers", 0.0, 1.0);
        self.load(material, |k, m| {
            let e = die.get(k);
            let point = [core, veneer, modulus.get(k) / e, contact.get(k), length.get(k), cement.get(k) * e / PEG];
            // Of one material as stiff in bending: a veneer counts with the cube root of its modulus.
            let alike = core + veneer * (OUTER * PEG / modulus.get(k)).cbrt();
            Self::surfaced(&self.layers, &point, z.get(k), m) + beyond_the_surface([alike, point[2], point[3]], m)
        })
    }

    /// What covers a molar without walls around it, on a die as stiff as a tooth.
    pub(crate) fn cover(&self, material: &str, thickness: f64) -> Draws {
        let [contact, length, cement] = ["contact_radius_mm", "length_mm", "cement_mm"].map(|n| self.of("crown", n));
        let (die, modulus) = (self.of("crown", "die_dentine_gpa"), self.of("modulus_gpa", material));
        let z = self.priors.0.normal("surface/lid", 0.0, 1.0);
        self.load(material, |k, m| {
            let (e, l) = (die.get(k), length.get(k));
            let point = [thickness, modulus.get(k) / e, contact.get(k), l, l, cement.get(k) * e / PEG];
            Self::surfaced(&self.lid, &point, z.get(k), m) + beyond_the_surface([thickness, point[1], point[2]], m)
        })
    }

    /// ln of the load that splits a wall of one ceramic bonded on a die, pressed in the middle.
    pub(crate) fn splitting(&self, material: &str, wall: &Draws, die: &str) -> Draws {
        let [contact, length] = ["contact_radius_mm", "length_mm"].map(|n| self.of("crown", n));
        let (die, modulus, toughness) =
            (self.of("crown", die), self.of("modulus_gpa", material), self.of("toughness_mpa_m05", material));
        let z = self.priors.0.normal("surface/dome", 0.0, 1.0);
        Draws::from_fn(DRAWS, |k| {
            let point = [wall.get(k), modulus.get(k) / die.get(k), contact.get(k), length.get(k)];
            let ln = self.dome.ln_s(&point).unwrap()[0] + z.get(k) * self.dome.error(&point, 10.0);
            driving_load(toughness.get(k), &[ln.exp()]).unwrap().ln()
        })
    }

    /// A cantilever framework pressed at its end. How stiff what carries it is hardly matters: as a tooth.
    pub(crate) fn cantilever(&self, material: &str, arm: f64) -> Draws {
        let (size, begins) = (self.of("bridge", "implant_connector_mm"), self.of("bridge", "arm_begins_mm"));
        let modulus = self.of("modulus_gpa", material);
        let z = self.priors.0.normal("surface/arm", 0.0, 1.0);
        self.load(material, |k, m| {
            let block = block_length(2.0 * (arm + begins.get(k)), FILLET);
            let point = [size.get(k), size.get(k), FILLET, block, modulus.get(k) / PEG];
            Self::surfaced(&self.arm, &point, z.get(k), m)
        })
    }

    /// Of a load on a wet specimen over that on a dry one, ln.
    pub(crate) fn wet(&self) -> Draws {
        self.of("growth_n", "wet_over_dry").map(f64::ln)
    }

    /// What is left of a load after cycles in water of which the paper tells neither load nor number, ln.
    pub(crate) fn cycled(&self, material: &str, load: &Draws) -> Draws {
        self.cycled_by(material, load, &self.of("crown", "cycling_load_n"), &self.of("crown", "cycles"))
    }

    /// The same of cycles told, ln of the load left.
    pub(crate) fn after(&self, material: &str, load: &Draws, newtons: f64, cycles: f64) -> Draws {
        let [newtons, cycles] = [newtons, cycles].map(|v| Draws::constant(DRAWS, v));
        load.plus(&self.cycled_by(material, load, &newtons, &cycles))
    }

    /// Wet over dry, and (1 - used)^(1/(n-2)), ln.
    fn cycled_by(&self, material: &str, load: &Draws, cycling: &Draws, cycles: &Draws) -> Draws {
        let n = self.of("growth_n", material);
        let worn = Draws::from_fn(DRAWS, |k| {
            let (n, share) = (n.get(k), cycling.get(k) / load.get(k).exp());
            // A test to fracture takes some 10 s: a life at full stress is a (n+1)th of that; a cycle counts 0.1 s.
            let used = cycles.get(k) * 0.1 * (n + 1.0) / 10.0 * share.powf(n);
            (1.0 - used.min(1.0 - 1e-9)).ln() / (n - 2.0)
        });
        worn.plus(&self.wet())
    }
}

pub(crate) fn neck(size: f64, radius: f64, bending: Bending, m: f64) -> f64 {
    let neck = Neck { height: size, width: size, shape: NeckShape::Ellipse, fillet_radius: radius, depth: 2.0 };
    neck_spectrum(&neck, &bending).unwrap().equivalent_stress(m).ln()
}

/// ln of what a die softer than the surface knows adds to the stress of a wall: by a plate on a half-space, over the same at the end of the surface's range. Beyond it a surface stays as at its end,
/// which made walls on resin as strong as on dentine.
fn beyond_the_surface([thickness, ratio, patch]: [f64; 3], m: f64) -> f64 {
    let stiffest = Family::Cap.variables()[2].high;
    if ratio <= stiffest {
        return 0.0;
    }
    let wall = Plate { thickness, modulus: 1.0, poisson: 0.25, patch };
    let on = |ratio: f64| {
        let base = Base::HalfSpace { modulus: 1.0 / ratio, poisson: 0.3 };
        plate_spectrum(&wall, &base).unwrap().equivalent_stress(m).ln()
    };
    on(ratio) - on(stiffest)
}

pub(crate) fn bench() -> Bench {
    let shipped = Surfaces::shipped();
    let of = |family: Family| shipped.of_family(family).cloned().unwrap();
    let [arm, cap, layers, lid, span] = [Family::Arm, Family::Cap, Family::Layers, Family::Lid, Family::Span].map(of);
    Bench { priors: Priors(World::with_draws(7, DRAWS)), arm, cap, dome: domes(), layers, lid, span }
}

/// ln of the intensity per newton (MPa m^0.5/N) at the hardest stage of a crack that splits a dome, over the designs of `strength::designs::dome` as solved.
fn domes() -> ResponseSurface {
    let solved = include_str!("../../../../science/strength/tests/reference/domes.csv");
    let one = |line: &str| {
        let n: Vec<f64> = line.split(',').map(|x| x.parse().unwrap()).collect();
        let hardest = n[5..].iter().copied().fold(f64::INFINITY, f64::min);
        Sample { point: n[1..5].to_vec(), ln_s: [hardest.ln(); 8] }
    };
    let samples: Vec<Sample> = solved.lines().skip(1).map(one).collect();
    ResponseSurface::fit(&dome::VARIABLES, &samples).unwrap()
}

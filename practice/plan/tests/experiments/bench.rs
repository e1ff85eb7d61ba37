//! Bodies of the engine as the laboratories broke them: ln of the load in newton that breaks each.

use crate::DRAWS;
use crate::cases::Priors;
use crate::walls::Walls;
use answer::{Draws, World};
use plan::Surfaces;
use strength::designs::{Family, block_length};
use strength::{ResponseSurface, Specimen};

/// Modulus of the surfaces' pegs, GPa; their layers have 8.
pub(crate) const PEG: f64 = 18.0;
/// Radius where a framework on implants goes into its retainer, mm (not reported; common practice, no source).
const FILLET: f64 = 0.5;

pub(crate) struct Bench {
    pub(crate) priors: Priors,
    arm: ResponseSurface,
    span: ResponseSurface,
    pub(crate) walls: Walls,
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

    pub(crate) fn surfaced(surface: &ResponseSurface, point: &[f64], z: f64, m: f64) -> f64 {
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

    /// A cantilever framework pressed at its end. How stiff what carries it is hardly matters: as a tooth.
    pub(crate) fn cantilever(&self, material: &str, arm: &Draws) -> Draws {
        let size = self.of("bridge", "implant_connector_mm");
        let modulus = self.of("modulus_gpa", material);
        let z = self.priors.0.normal("surface/arm", 0.0, 1.0);
        self.load(material, |k, m| {
            let block = block_length(2.0 * arm.get(k), FILLET);
            let point = [size.get(k), size.get(k), FILLET, block, modulus.get(k) / PEG];
            Self::surfaced(&self.arm, &point, z.get(k), m)
        })
    }

    /// The same with a lever told.
    pub(crate) fn cantilever_of(&self, material: &str, lever: f64) -> Draws {
        self.cantilever(material, &self.of("bridge", "arm_begins_mm").map(|begins| lever + begins))
    }

    /// A unit between two implants, pressed in its middle: held as firmly as the surface knows.
    pub(crate) fn between_implants(&self, material: &str) -> Draws {
        let (size, unit) = (self.of("bridge", "implant_connector_mm"), self.of("bridge", "unit_mm"));
        let modulus = self.of("modulus_gpa", material);
        let firmest = Family::Span.variables()[5].high;
        let z = self.priors.0.normal("surface/span", 0.0, 1.0);
        self.load(material, |k, m| {
            let block = block_length(unit.get(k), FILLET);
            let point = [size.get(k), size.get(k), FILLET, block, modulus.get(k) / PEG, firmest];
            Self::surfaced(&self.span, &point, z.get(k), m)
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

pub(crate) fn bench() -> Bench {
    let shipped = Surfaces::shipped();
    let of = |family: Family| shipped.of_family(family).cloned().unwrap();
    Bench {
        priors: Priors(World::with_draws(7, DRAWS)),
        arm: of(Family::Arm),
        span: of(Family::Span),
        walls: Walls::of(of),
    }
}

//! Walls on their dies as the laboratories broke them: ln of the load in newton at the first crack, and at which a wall of one ceramic splits.

use crate::DRAWS;
use crate::bench::{Bench, PEG};
use answer::Draws;
use strength::designs::layers::OUTER;
use strength::designs::{Family, dome};
use strength::splitting::driving_load;
use strength::surface::Sample;
use strength::{Base, Plate, ResponseSurface, plate_spectrum};

/// What carries a wall.
#[derive(Clone, Copy)]
pub(crate) struct Die {
    /// Prior of its modulus.
    modulus: &'static str,
    /// On how many slopes a ball rests where it does not rest in the middle, by the rule of `reference/validation_README.md`.
    slopes: usize,
}

/// A molar, or a die as stiff; a tooth not named counts as one.
pub(crate) const MOLAR: Die = Die { modulus: "die_dentine_gpa", slopes: 3 };
/// A molar of resin.
pub(crate) const MOLAR_OF_RESIN: Die = Die { modulus: "die_resin_gpa", slopes: 3 };
/// A premolar of resin.
pub(crate) const PREMOLAR_OF_RESIN: Die = Die { modulus: "die_resin_gpa", slopes: 2 };
/// A front tooth: no fossa between cusps.
pub(crate) const FRONT: Die = Die { modulus: "die_dentine_gpa", slopes: 1 };

/// Surfaces over the designs of walls.
pub(crate) struct Walls {
    cap: ResponseSurface,
    layers: ResponseSurface,
    lid: ResponseSurface,
    /// ln of s_W under two and three contacts over that under one.
    touched: [ResponseSurface; 2],
    /// ln of the intensity per newton (MPa m^0.5/N) at the hardest stage of a crack that splits a dome, under one, two and three contacts.
    domes: [ResponseSurface; 3],
}

impl Walls {
    pub(crate) fn of(shipped: impl Fn(Family) -> ResponseSurface) -> Self {
        let [cap, layers, lid, pair, tripod] =
            [Family::Cap, Family::Layers, Family::Lid, Family::Pair, Family::Tripod].map(shipped);
        let solved = numbers(include_str!("../../../../science/strength/tests/reference/domes.csv"));
        // One contact; two across the crack's plane or on it, whichever drives it more; three.
        let domes = [&[0][..], &[1, 2], &[3]].map(|ways| {
            // One contact in the middle knows no distance from it.
            let variables = if ways == [0] { 4 } else { 5 };
            let hardest =
                |n: &Vec<f64>, way: usize| n[6 + 3 * way..9 + 3 * way].iter().copied().fold(f64::MAX, f64::min);
            let most = |n: &Vec<f64>| ways.iter().map(|way| hardest(n, *way)).fold(0.0, f64::max);
            let sample = |n: &Vec<f64>| Sample { point: n[1..=variables].to_vec(), ln_s: [most(n).ln(); 8] };
            let samples: Vec<Sample> = solved.iter().map(sample).collect();
            ResponseSurface::fit(&dome::VARIABLES[..variables], &samples).unwrap()
        });
        Self { cap, layers, lid, touched: [pair, tripod], domes }
    }
}

fn numbers(table: &str) -> Vec<Vec<f64>> {
    table.lines().skip(1).map(|line| line.split(',').map(|x| x.parse().unwrap()).collect()).collect()
}

impl Bench {
    /// On how many places the ball rests, draw by draw: in the middle or on the slopes of the die's tooth, equally likely.
    fn touches(&self, on: Die) -> Vec<usize> {
        let coin = self.priors.0.normal("crown/on slopes", 0.0, 1.0);
        (0..DRAWS).map(|k| if coin.get(k) > 0.0 { on.slopes } else { 1 }).collect()
    }

    /// ln of s_W where the ball touches over s_W under one contact in the middle, of a draw and m; the point is thickness, modulus over the die's, contact and length.
    fn where_touched(&self, on: Die) -> impl Fn(usize, [f64; 4], f64) -> f64 {
        let (touches, spread) = (self.touches(on), self.of("crown", "spread_mm"));
        let z = self.priors.0.normal("surface/touches", 0.0, 1.0);
        move |k, [thickness, ratio, contact, length], m| {
            let point = [thickness, ratio, contact, length, spread.get(k)];
            match touches[k] {
                1 => 0.0,
                n => Self::surfaced(&self.walls.touched[n - 2], &point, z.get(k), m),
            }
        }
    }

    /// A crown with a chewing wall on a die.
    pub(crate) fn crown(&self, material: &str, wall: &Draws, on: Die, cement: &Draws) -> Draws {
        let [contact, side, length] = ["contact_radius_mm", "axial_mm", "length_mm"].map(|n| self.of("crown", n));
        let (die, modulus) = (self.of("crown", on.modulus), self.of("modulus_gpa", material));
        let z = self.priors.0.normal("surface/wall", 0.0, 1.0);
        let where_touched = self.where_touched(on);
        self.load(material, |k, m| {
            let e = die.get(k);
            let (t, ratio, c, l) = (wall.get(k), modulus.get(k) / e, contact.get(k), length.get(k));
            // A layer as stiff against a softer die is as much thinner.
            let point = [t, side.get(k), ratio, c, l, cement.get(k) * e / PEG];
            Self::surfaced(&self.walls.cap, &point, z.get(k), m)
                + beyond_the_surface([t, ratio, c], m)
                + where_touched(k, [t, ratio, c, l], m)
        })
    }

    pub(crate) fn constant_wall(&self, material: &str, wall: f64, on: Die) -> Draws {
        self.crown(material, &Draws::constant(DRAWS, wall), on, &self.of("crown", "cement_mm"))
    }

    /// A crown of a core under a veneer all over, on a natural front tooth.
    pub(crate) fn layered(&self, material: &str, core: f64, veneer: f64) -> Draws {
        let [contact, length, cement] = ["contact_radius_mm", "length_mm", "cement_mm"].map(|n| self.of("crown", n));
        let (die, modulus) = (self.of("crown", FRONT.modulus), self.of("modulus_gpa", material));
        let z = self.priors.0.normal("surface/layers", 0.0, 1.0);
        self.load(material, |k, m| {
            let e = die.get(k);
            let point = [core, veneer, modulus.get(k) / e, contact.get(k), length.get(k), cement.get(k) * e / PEG];
            // Of one material as stiff in bending: a veneer counts with the cube root of its modulus.
            let alike = core + veneer * (OUTER * PEG / modulus.get(k)).cbrt();
            Self::surfaced(&self.walls.layers, &point, z.get(k), m) + beyond_the_surface([alike, point[2], point[3]], m)
        })
    }

    /// What covers a molar without walls around it, on a die as stiff as a tooth.
    pub(crate) fn cover(&self, material: &str, thickness: f64) -> Draws {
        let [contact, length, cement] = ["contact_radius_mm", "length_mm", "cement_mm"].map(|n| self.of("crown", n));
        let (die, modulus) = (self.of("crown", MOLAR.modulus), self.of("modulus_gpa", material));
        let z = self.priors.0.normal("surface/lid", 0.0, 1.0);
        let where_touched = self.where_touched(MOLAR);
        self.load(material, |k, m| {
            let (e, l, c) = (die.get(k), length.get(k), contact.get(k));
            let ratio = modulus.get(k) / e;
            let point = [thickness, ratio, c, l, l, cement.get(k) * e / PEG];
            Self::surfaced(&self.walls.lid, &point, z.get(k), m)
                + beyond_the_surface([thickness, ratio, c], m)
                + where_touched(k, [thickness, ratio, c, l], m)
        })
    }

    /// ln of the load that splits a wall of one ceramic bonded on a die.
    pub(crate) fn splitting(&self, material: &str, wall: &Draws, on: Die) -> Draws {
        let [contact, length, spread] = ["contact_radius_mm", "length_mm", "spread_mm"].map(|n| self.of("crown", n));
        let (die, modulus, toughness) =
            (self.of("crown", on.modulus), self.of("modulus_gpa", material), self.of("toughness_mpa_m05", material));
        let (z, touches) = (self.priors.0.normal("surface/dome", 0.0, 1.0), self.touches(on));
        Draws::from_fn(DRAWS, |k| {
            let surface = &self.walls.domes[touches[k] - 1];
            let point = [wall.get(k), modulus.get(k) / die.get(k), contact.get(k), length.get(k), spread.get(k)];
            let point = &point[..surface.variables().len()];
            let ln = surface.ln_s(point).unwrap()[0] + z.get(k) * surface.error(point, 10.0);
            driving_load(toughness.get(k), &[ln.exp()]).unwrap().ln()
        })
    }
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

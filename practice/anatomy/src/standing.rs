//! One standing tooth in every draw of `World`.
//!
//! Tabulated sizes are averages; teeth scatter about them. Coefficients of variation from measured samples: widths 0.06
//! (Fernandes 2011: 0.47/7.79 and 0.70/8.67; Munhoz 2012: 0.43/7.05 and 0.53/9.62), crown height 0.08 (0.75/8.31 and 0.65/8.75).
//! The average tooth stands on a lattice once; a draw stretches it, sets its finish line, wears its top and moves its pulp.
//!
//! Mirror teeth of one mouth are alike, so they share their draws: fields are named by jaw and number.

use crate::block::{Shown, ToothBlock};
use crate::chamber::{Chamber, measured_half_width};
use crate::enamel::EnamelForm;
use crate::form::ToothForm;
use crate::pulp::{self, PulpWalls};
use crate::reduction::MEDIAN_CONVERGENCE;
use crate::side::Side;
use crate::stump::Shape;
use crate::{Needs, SizeError};
use answer::{Basis, Caveat, Draws, Provenance, World};
use catalogue::words::{Tooth, ToothClass};
use std::sync::Arc;

const CV_WIDTH: f64 = 0.06;
const CV_HEIGHT: f64 = 0.08;
/// Edge length of the lattice that draws are cut on, mm: finer for teeth with thin edges.
pub(crate) fn cell(tooth: Tooth) -> f64 {
    match tooth.class() {
        ToothClass::CentralIncisor | ToothClass::LateralIncisor | ToothClass::Canine => 0.3,
        ToothClass::Premolar => 0.4,
        ToothClass::Molar => 0.5,
    }
}

/// Age of the average tooth, years; draws differ from it.
const AVERAGE_AGE: f64 = 45.0;

/// What was seen of the tooth; what was not is drawn.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct Seen {
    /// Crown that stands above the gum, from margin to cusp tip or edge, mm.
    pub clinical_crown: Option<f64>,
    /// Youngest and oldest the person may be, years; `None` = 20 to 75.
    pub age: Option<(f64, f64)>,
    /// Least hard tissue between the chewing surface and the pulp, measured on a radiograph, mm.
    pub occlusal_to_pulp: Option<f64>,
}

/// A tooth before preparation: form, enamel and pulp, per draw.
#[derive(Debug, Clone)]
pub struct StandingTooth {
    pub(crate) form: ToothForm,
    pub(crate) world: World,
    pub(crate) block: Arc<ToothBlock>,
    /// Tilt of the path of placement towards mesial and towards lip or cheek (tangents).
    pub(crate) tilt: [f64; 2],
    pub(crate) draws: Vec<OneTooth>,
    pub(crate) provenance: Provenance,
    pub(crate) caveats: Vec<Caveat>,
}

/// One draw's tooth, mm.
#[derive(Debug, Clone, Copy)]
pub(crate) struct OneTooth {
    pub(crate) shape: Shape,
    /// Crown above the facial enamel edge, as worn.
    pub(crate) height: f64,
    /// Depth of the chewing surface below its cusps.
    pub(crate) roof: f64,
    /// Dentine under an untouched chewing surface.
    pub(crate) untouched_dentine: f64,
    /// Volume of the crown, mm3.
    pub(crate) volume: f64,
    /// Axial enamel at the finish line: facial, lingual, proximal.
    pub(crate) enamel_at_finish: [f64; 3],
}

impl OneTooth {
    /// Share of the finish line that lies in enamel: sides that are cut, a quarter of the girth each (proximal two).
    pub(crate) fn margin_in_enamel(&self, needs: &Needs) -> f64 {
        let (mut length, mut in_enamel) = (0.0, 0.0);
        for (s, need) in [needs.facial, needs.lingual, needs.proximal].into_iter().enumerate() {
            if need > 0.0 {
                let quarters = if s == 2 { 2.0 } else { 1.0 };
                length += quarters;
                in_enamel += if needs.margin < self.enamel_at_finish[s] { quarters } else { 0.0 };
            }
        }
        if length > 0.0 { in_enamel / length } else { 1.0 }
    }
}

impl StandingTooth {
    /// The tooth of the given average form, as far as it was seen.
    ///
    /// # Errors
    /// [`SizeError`] when its form does not fit a lattice.
    pub fn new(world: &World, form: &ToothForm, seen: &Seen) -> Result<Self, SizeError> {
        Self::made(world, form, seen, None)
    }

    /// A tooth that was scanned or stands beside a measured neighbour (`form` scaled to it), and the outer form it is to have: sizes scatter
    /// only as far as they are not known.
    ///
    /// # Errors
    /// [`SizeError`] when it does not fit a lattice.
    pub fn shown(world: &World, form: &ToothForm, seen: &Seen, shown: &Shown) -> Result<Self, SizeError> {
        Self::made(world, form, seen, Some(shown))
    }

    fn made(world: &World, form: &ToothForm, seen: &Seen, shown: Option<&Shown>) -> Result<Self, SizeError> {
        let (tooth, size) = (form.tooth(), form.size());
        let walls = PulpWalls::of(tooth);
        let enamel = EnamelForm::of(form);
        let shrink = pulp::age_factor(tooth.jaw(), AVERAGE_AGE);
        let to_pulp = walls.occlusal.0 + CHAMBER_HEIGHT * (1.0 - shrink);
        let top = size.crown_height - form.fossa_depth();
        let chamber = Chamber::new(form, &walls, top, to_pulp, shrink);
        let mut block =
            ToothBlock::new(form, &chamber, &enamel, cell(tooth), shown).map_err(|_| SizeError::NoForm(tooth))?;
        // The path is the tooth's, whatever is wished, so that what a wish spares is told apart from what another path does.
        let tilt = block.best_tilt((0.5 * MEDIAN_CONVERGENCE).to_radians().tan());
        if let Some(wish) = shown.filter(|s| !Arc::ptr_eq(&s.present, &s.wanted)) {
            block.wish_for(&wish.wanted);
        }
        let (scatter, worn) = shown.map_or((1.0, 0.0), |s| (s.scatter, s.worn));
        let average = Average { scatter, worn, form, walls: &walls, enamel, shrink, to_pulp, roof: chamber.roof };
        let draws = average.drawn(world, seen, &block);
        let mut provenance = size.provenance.clone();
        provenance.merge(&form.provenance());
        provenance.add("fernandes2011", Basis::Computed);
        provenance.add("sue2018", Basis::Read);
        for (id, basis) in walls.sources() {
            provenance.add(id, basis);
        }
        let mut caveats = vec![Caveat::Measure];
        if provenance.rests_on_memory() {
            caveats.push(Caveat::FromMemory);
        }
        if tooth.number() != 6 {
            caveats.push(Caveat::Borrowed);
        }
        if seen.occlusal_to_pulp.is_some() {
            caveats.retain(|c| *c != Caveat::Measure);
        }
        Ok(Self { form: form.clone(), world: *world, block: Arc::new(block), tilt, draws, provenance, caveats })
    }

    /// Which tooth.
    pub fn tooth(&self) -> Tooth {
        self.form.tooth()
    }

    /// Form of average size.
    pub fn form(&self) -> &ToothForm {
        &self.form
    }

    /// Volume of the crown above the enamel's edge, mm3.
    pub fn crown_volume(&self) -> Draws {
        Draws::from_fn(self.draws.len(), |k| self.draws[k].volume)
    }

    /// Greatest mesiodistal width, mm.
    pub fn mesiodistal(&self) -> Draws {
        Draws::from_fn(self.draws.len(), |k| self.form.size().mesiodistal * self.draws[k].shape.wide)
    }

    /// Greatest faciolingual width in draw k, mm.
    pub(crate) fn faciolingual(&self, k: usize) -> f64 {
        self.form.size().faciolingual * self.draws[k].shape.wide
    }

    /// Facts it rests on.
    pub fn provenance(&self) -> &Provenance {
        &self.provenance
    }

    /// Marks to be shown beside every answer from it.
    pub fn caveats(&self) -> &[Caveat] {
        &self.caveats
    }
}

/// The average tooth that draws depart from.
struct Average<'a> {
    /// Share of the scatter of sizes that is left.
    scatter: f64,
    /// How much lower than its form the tooth on the lattice stands, mm.
    worn: f64,
    form: &'a ToothForm,
    walls: &'a PulpWalls,
    enamel: EnamelForm,
    shrink: f64,
    to_pulp: f64,
    /// Height of the pulp's roof.
    roof: f64,
}

impl Average<'_> {
    fn drawn(&self, world: &World, seen: &Seen, block: &ToothBlock) -> Vec<OneTooth> {
        let (tooth, size) = (self.form.tooth(), self.form.size());
        let key = format!("anatomy/{}_{}", tooth.jaw().word(), tooth.number());
        let field = |name: &str| world.field(&format!("{key}/{name}"), numerics::normal::quantile);
        let (width, height, enamel) = (field("width"), field("crown_height"), field("enamel"));
        let (occlusal_wall, axial_wall) = (field("occlusal_wall"), field("axial_wall"));
        let finish = world.between(&format!("{key}/finish_line"), 0.0, 1.0);
        let worn_share = world.uniform(&format!("{key}/worn_share"));
        let (young, old) = seen.age.unwrap_or((20.0, 75.0));
        let age = world.between("anatomy/age", young, old);
        (0..world.draws())
            .map(|k| {
                let wide = (self.scatter * CV_WIDTH * width.get(k)).exp();
                let whole = size.crown_height * (self.scatter * CV_HEIGHT * height.get(k)).exp();
                let (stands, finish) = stands(whole, seen.clinical_crown, finish.get(k), worn_share.get(k));
                let tall = whole.max(stands) / size.crown_height;
                let shrink = pulp::age_factor(tooth.jaw(), age.get(k));
                let (mean, sd, _) = self.walls.occlusal;
                let drawn = (mean + sd * occlusal_wall.get(k) + CHAMBER_HEIGHT * (1.0 - shrink)).max(0.2);
                let worn = (whole - stands).max(0.0) + self.worn;
                // A measured distance holds for the tooth as it stands: what was worn away lay over it.
                let to_pulp = seen.occlusal_to_pulp.map_or(drawn, |m| m + worn);
                let grown = (0.2 * enamel.get(k)).exp();
                let shape = Shape {
                    wide,
                    tall,
                    finish,
                    worn_to: if stands < whole { stands } else { f64::INFINITY },
                    enamel: grown,
                    pulp_shift: self.pulp_shift(to_pulp, axial_wall.get(k), shrink),
                };
                OneTooth {
                    shape,
                    height: stands,
                    roof: self.form.fossa_depth().min(0.4 * stands),
                    untouched_dentine: to_pulp - self.enamel.occlusal * grown - worn,
                    volume: block.crown_volume(&shape),
                    enamel_at_finish: self.enamel_at(finish, grown),
                }
            })
            .collect()
    }

    /// How much further off the pulp lies than in the average tooth: occlusal, facial, lingual, proximal.
    fn pulp_shift(&self, to_pulp: f64, scatter: f64, shrink: f64) -> [f64; 4] {
        let side = |side: Side, wall: &pulp::Wall| {
            let half = measured_half_width(self.form, side, wall, self.roof);
            wall.sd * scatter * shrink + half * (self.shrink - shrink)
        };
        let walls = self.walls;
        let proximal = side(Side::Mesial, &walls.mesial).min(side(Side::Distal, &walls.distal));
        [to_pulp - self.to_pulp, side(Side::Facial, &walls.facial), side(Side::Lingual, &walls.lingual), proximal]
    }

    /// Axial enamel at the finish line: it follows the enamel's edge, so that all sides have the same.
    fn enamel_at(&self, finish: f64, grown: f64) -> [f64; 3] {
        [self.enamel.axial * grown * self.enamel.axial_share(finish); 3]
    }
}

/// Height of the pulp chamber of molars, mm (Deutsch 2004: 1.88 upper, 1.57 lower): as far as its roof can sink with age.
pub(crate) const CHAMBER_HEIGHT: f64 = 1.7;

/// Height that stands above the facial enamel edge and height of the finish line above it. Without a measured crown the finish
/// line lies where it is drawn. A measured crown shorter than the whole is part worn, part covered by gum, in unknown shares; one
/// that is longer shows root, and the finish line is at the enamel's edge.
fn stands(whole: f64, clinical: Option<f64>, finish: f64, worn: f64) -> (f64, f64) {
    match clinical {
        None => (whole, finish.min(0.3 * whole)),
        Some(clinical) if clinical < whole => {
            let covered = (1.0 - worn) * (whole - clinical);
            (clinical + covered, covered)
        }
        Some(clinical) => (clinical, 0.0),
    }
}

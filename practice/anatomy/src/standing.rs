//! One standing tooth in every draw of `World`.
//!
//! Tabulated sizes are averages; teeth scatter about them. Coefficients of variation from measured samples: widths 0.06
//! (Fernandes 2011: 0.47/7.79 and 0.70/8.67; Munhoz 2012: 0.43/7.05 and 0.53/9.62), crown height 0.08 (0.75/8.31 and 0.65/8.75).
//! Enamel grows from its edge to its full thickness over the lower 60 % of the crown.
//!
//! Mirror teeth of one mouth are alike, so they share their draws: fields are named by jaw and number.

use crate::ToothSize;
use crate::outline::{Extent, Form, Outline, Side};
use crate::pulp::{self, PulpWalls, Wall};
use answer::{Basis, Caveat, Draws, Provenance, World};
use catalogue::words::{Tooth, ToothClass};

const CV_WIDTH: f64 = 0.06;
const CV_HEIGHT: f64 = 0.08;

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

/// A tooth before preparation: outline, enamel and pulp, per draw.
#[derive(Debug, Clone)]
pub struct StandingTooth {
    pub(crate) tooth: Tooth,
    pub(crate) world: World,
    pub(crate) draws: Vec<OneTooth>,
    pub(crate) provenance: Provenance,
    pub(crate) caveats: Vec<Caveat>,
}

/// One draw's tooth, mm.
#[derive(Debug, Clone, Copy)]
pub(crate) struct OneTooth {
    pub(crate) outline: Outline,
    /// Finish line above the facial enamel edge.
    pub(crate) finish: f64,
    /// Full enamel thickness: axial and occlusal.
    pub(crate) enamel: [f64; 2],
    /// Height of the pulp's roof.
    pub(crate) roof: f64,
    /// Half-width of the pulp at neck and roof, by side.
    pub(crate) pulp: [[f64; 2]; 4],
    /// Volume of the crown, mm3.
    pub(crate) volume: f64,
}

impl StandingTooth {
    /// The tooth of the given average size, as far as it was seen.
    pub fn new(world: &World, tooth: Tooth, size: &ToothSize, seen: &Seen) -> Self {
        let form = Form::of(tooth);
        let quarter = form.quarter();
        let walls = PulpWalls::of(tooth);
        let key = format!("anatomy/{}_{}", tooth.jaw().word(), tooth.number());
        let field = |name: &str| world.field(&format!("{key}/{name}"), numerics::normal::quantile);
        let width = field("width");
        let height = field("crown_height");
        let top = field("top_width");
        let enamel = field("enamel");
        let occlusal_wall = field("occlusal_wall");
        let axial_wall = field("axial_wall");
        let finish = world.between(&format!("{key}/finish_line"), 0.0, 1.0);
        let worn = world.uniform(&format!("{key}/worn_share"));
        let (young, old) = seen.age.unwrap_or((20.0, 75.0));
        let age = world.between("anatomy/age", young, old);
        let draws = (0..world.draws())
            .map(|k| {
                let wide = (CV_WIDTH * width.get(k)).exp();
                let whole = size.crown_height * (CV_HEIGHT * height.get(k)).exp();
                let (stands, finish) = stands(whole, seen.clinical_crown, finish.get(k), worn.get(k));
                let extent = Extent {
                    height: stands,
                    mesiodistal: size.mesiodistal * wide,
                    mesiodistal_neck: size.mesiodistal_neck * wide,
                    faciolingual: size.faciolingual * wide,
                    faciolingual_neck: size.faciolingual_neck * wide,
                    neck_curve: [size.neck_curve_mesial, size.neck_curve_distal],
                    top: (0.1 * top.get(k)).exp(),
                };
                let outline = Outline::new(&form, quarter, &extent);
                let shrink = pulp::age_factor(tooth.jaw(), age.get(k));
                let to_pulp = match seen.occlusal_to_pulp {
                    Some(measured) => measured,
                    None => {
                        let (mean, sd, _) = walls.occlusal;
                        let unworn = mean + sd * occlusal_wall.get(k) + CHAMBER_HEIGHT * (1.0 - shrink);
                        // What was worn away is lost over the pulp; dentine laid down since is not known and not counted.
                        unworn - (whole - stands).max(0.0)
                    }
                };
                let roof = (stands - outline.roof - to_pulp.max(0.2)).max(0.0);
                let scatter = axial_wall.get(k);
                let sides = [&walls.facial, &walls.lingual, &walls.mesial, &walls.distal];
                let pulp =
                    std::array::from_fn(|i| pulp_half_widths(&outline, Side::ALL[i], sides[i], roof, scatter, shrink));
                let grown = (0.2 * enamel.get(k)).exp();
                let volume = outline.crown_volume();
                OneTooth { outline, finish, enamel: full_enamel(tooth).map(|e| e * grown), roof, pulp, volume }
            })
            .collect();
        let mut provenance = size.provenance.clone();
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
        Self { tooth, world: *world, draws, provenance, caveats }
    }

    /// Which tooth.
    pub fn tooth(&self) -> Tooth {
        self.tooth
    }

    /// Volume of the crown above the enamel's edge, mm3.
    pub fn crown_volume(&self) -> Draws {
        Draws::from_fn(self.draws.len(), |k| self.draws[k].volume)
    }

    /// Greatest mesiodistal width, mm.
    pub fn mesiodistal(&self) -> Draws {
        Draws::from_fn(self.draws.len(), |k| self.draws[k].outline.greatest_mesiodistal())
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

/// Height of the pulp chamber of molars, mm (Deutsch 2004: 1.88 upper, 1.57 lower): as far as its roof can sink with age.
const CHAMBER_HEIGHT: f64 = 1.7;

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

/// Full thickness of axial and occlusal enamel, mm. Axial: Vellini-Ferreira 2012, Munhoz 2012 and a micro-CT sample (0.63 front, 1.46
/// molars, contact level); occlusal: Liu 2006 hollow parts for molars, incisal edge and premolar cusps from memory.
fn full_enamel(tooth: Tooth) -> [f64; 2] {
    match tooth.class() {
        ToothClass::CentralIncisor | ToothClass::LateralIncisor => [0.8, 1.5],
        ToothClass::Canine => [0.9, 1.5],
        ToothClass::Premolar => [1.3, 1.3],
        ToothClass::Molar => [1.4, 1.0],
    }
}

/// Half-widths of the pulp at neck and roof towards one side; never negative, never outside the crown.
fn pulp_half_widths(outline: &Outline, side: Side, wall: &Wall, roof: f64, scatter: f64, shrink: f64) -> [f64; 2] {
    let level = if wall.at_neck { 0.0 } else { roof };
    let measured = (outline.half_width(side, level) - (wall.mean + wall.sd * scatter)).max(0.0) * shrink;
    let other = measured * wall.other_end;
    if wall.at_neck { [measured, other] } else { [other, measured] }
}

impl OneTooth {
    /// Axial enamel towards a side at height z.
    pub(crate) fn axial_enamel(&self, side: Side, z: f64) -> f64 {
        const AT_EDGE: f64 = 0.3;
        let edge = self.outline.enamel_edge[side.index()];
        if z < edge {
            return 0.0;
        }
        let grown = ((z - edge) / (0.6 * self.outline.height)).min(1.0);
        self.enamel[0] * (AT_EDGE + (1.0 - AT_EDGE) * grown)
    }

    /// Half-width of the pulp towards a side at height z.
    pub(crate) fn pulp_half_width(&self, side: Side, z: f64) -> f64 {
        let [neck, roof] = self.pulp[side.index()];
        if self.roof <= 0.0 { neck } else { neck + (roof - neck) * (z / self.roof).clamp(0.0, 1.0) }
    }
}

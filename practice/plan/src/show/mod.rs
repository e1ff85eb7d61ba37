//! Will it show: colour of the layered restoration over what lies beneath, against the wish.
//!
//! The laboratory is taken to hit the wish over dentine of ordinary colour (CIELAB 72, 3, 20, the middle of the default range), with the
//! usual error of `colour::ModelError`; what differs is what really lies beneath. Predicted = wish + (stack over the real backing -
//! stack over ordinary dentine) + error. Where a class offers grades, the one with the least chance of being remade is taken, the clearer
//! one when two are alike. Metal-ceramic hides everything behind its opaquer; full metal is seen as metal.
//!
//! Chances by bench and in-mouth thresholds (of the data), half each, times how visible the tooth is. A pontic stands over nothing and
//! hits the wish. One file a step: `wish`, `beneath`, `stack`, `judge`, `lamp`, `alike`, `mask`; `detail` is what is printed of it.

mod alike;
mod beneath;
mod detail;
mod judge;
mod lamp;
mod mask;
mod stack;
mod wish;

pub use alike::SmileMatch;
pub(crate) use alike::beside;
pub use detail::{ColourChance, ColourDetail, Likeness, Masking, UnderLight};
pub use stack::own_medium;

use crate::candidates::Candidate;
use crate::dimensions::Dimensions;
use crate::report::ColourAnswer;
use answer::{Caveat, Draws, Provenance, World, six_figures};
use beneath::{Beneath, beneath, metal};
use case::words::{Substrate, Visible};
use case::{Case, WishedColour};
use catalogue::Catalogue;
use catalogue::words::{Construct, Grade, Material, Tooth};
use colour::{
    Backing, Ground, Illuminant, Instrument, Lab, Metric, ModelError, Observer, Spread, Viewing, Weighting, difference,
};
use judge::Judge;
use lamp::Lamp;
use stack::{Members, Named};
use std::collections::BTreeMap;
use std::sync::{Arc, Mutex};

/// Ordinary dentine, CIELAB.
const ORDINARY: Lab = Lab { l: 72.0, a: 3.0, b: 20.0 };
/// Refractive index of tooth and cores.
const BODY_INDEX: f64 = 1.5;
/// The lamp of the evening: a warm white LED (CIE 15:2018).
const LAMP: &str = "LED-B1";
/// The light in which colours are read and matched.
const DAYLIGHT: &str = "D65";

/// What is seen of one option.
#[derive(Debug, Clone)]
pub struct Shown {
    /// Colour over each abutment.
    pub abutments: Vec<ColourAnswer>,
    /// Grade taken.
    pub grade: Option<Grade>,
    /// 1 where a draw would be remade, weighted by visibility; the looks criterion.
    pub looks: Draws,
    /// Marks.
    pub caveats: Vec<Caveat>,
    /// What it rests on.
    pub provenance: Provenance,
    /// Worst difference over the abutments.
    pub difference: Draws,
    /// Colour per draw of each unit that is seen; a pontic stands by its tooth.
    pub units: Vec<(Tooth, Vec<Lab>)>,
    /// How visible the place is (0..1).
    pub visibility: f64,
}

/// What all options of a case share: the wish, the backings, the media already drawn.
pub struct Scene {
    world: World,
    viewing: Viewing,
    lamp: Lamp,
    judge: Judge,
    wish: Vec<Lab>,
    wish_words: String,
    /// The neighbour, where the wish is told from it.
    neighbour: Option<Vec<Lab>>,
    provenance: Provenance,
    backings: BTreeMap<Tooth, Beneath>,
    ordinary: Arc<[Backing]>,
    media: Mutex<BTreeMap<String, Members>>,
    /// Predictions by stack and backing: bridges, crowns and implants of one build share them.
    seen: Mutex<BTreeMap<String, Arc<[Lab]>>>,
    error: Vec<Lab>,
}

/// Why no colour could be computed.
#[derive(Debug, thiserror::Error)]
#[error("the colour could not be computed: {0}")]
pub struct NoColour(pub(crate) String);

/// What is asked of one candidate in one grade.
struct Asked<'a> {
    case: &'a Case,
    candidate: &'a Candidate,
    dimensions: &'a Dimensions,
    catalogue: &'a Catalogue,
    teeth: &'a [Tooth],
}

impl Scene {
    /// Prepares wish and backings of a case.
    ///
    /// # Errors
    /// [`NoColour`] when a colour given is none a body can have.
    pub fn of(world: &World, case: &Case, catalogue: &Catalogue) -> Result<Self, NoColour> {
        let fail = |e: &dyn std::fmt::Display| NoColour(e.to_string());
        let viewing = Viewing::daylight().map_err(|e| fail(&e))?;
        let lamp = Illuminant::named(LAMP)
            .and_then(|l| Viewing::new(&l, Observer::TwoDegrees, Weighting::Interpolated))
            .map_err(|e| fail(&e))?;
        let judge = Judge::of(catalogue)?;
        let (spread, wish_words, mut provenance) = wish::wish(case, catalogue);
        provenance.merge(&judge.provenance);
        let wish = spread.draws(world, "colour/wish");
        let lamp = Lamp::of(lamp, &wish, world, &viewing);
        // The same field: what the wish adds to the neighbour is all that parts them.
        let neighbour = matches!(case.wish.wished_colour(), Some(WishedColour::Neighbour(_)))
            .then(|| wish::natural(case, catalogue).0.draws(world, "colour/wish"));
        let mut backings = BTreeMap::new();
        let teeth = case.standing().into_iter().chain(case.missing());
        for tooth in teeth {
            if case.missing().contains(&tooth) && case.implant.is_none() {
                continue;
            }
            let known = beneath(case, tooth, catalogue);
            provenance.merge(&known.provenance);
            let field = format!("colour/beneath/{tooth}");
            let metal = case.substrate(tooth).is_some_and(Substrate::is_metal);
            let ground = if metal { Ground::Metal } else { Ground::Body(BODY_INDEX) };
            let backing = colour::backings(&known.colour, ground, Instrument::BEAM, world, &field, &viewing)
                .map_err(|e| fail(&e))?;
            let lab = known.colour.draws(world, &field);
            let (words, measured, provenance) = (known.words, known.measured, known.provenance);
            backings.insert(tooth, Beneath { key: tooth.to_string(), words, lab, backing, measured, provenance });
        }
        let ordinary = Spread::exactly(ORDINARY);
        let ordinary =
            colour::backings(&ordinary, Ground::Body(BODY_INDEX), Instrument::BEAM, world, "colour/ordinary", &viewing)
                .map_err(|e| fail(&e))?;
        Ok(Self {
            world: *world,
            viewing,
            lamp,
            judge,
            wish,
            wish_words,
            neighbour,
            provenance,
            backings,
            ordinary,
            media: Mutex::new(BTreeMap::new()),
            seen: Mutex::new(BTreeMap::new()),
            error: ModelError::USUAL.draws(world),
        })
    }

    /// What is seen of a candidate, in its best grade or in the `only` one to be had.
    ///
    /// # Errors
    /// [`NoColour`] when a class has no optical row.
    pub fn shown(
        &self,
        case: &Case,
        candidate: &Candidate,
        dimensions: &Dimensions,
        catalogue: &Catalogue,
        only: Option<Grade>,
    ) -> Result<Shown, NoColour> {
        let teeth: Vec<Tooth> = match candidate.construct {
            Construct::OneWing | Construct::TwoWings => Vec::new(),
            Construct::ImplantCrown => case.missing().into_iter().filter(|t| self.backings.contains_key(t)).collect(),
            _ => candidate.abutments.clone(),
        };
        let asked = Asked { case, candidate, dimensions, catalogue, teeth: &teeth };
        let mut best: Option<Shown> = None;
        let grades = catalogue.grades(candidate.material);
        // A class without the grade asked about keeps its own.
        let only = only.filter(|o| grades.iter().any(|g| g.grade == *o));
        for grade in grades.iter().filter(|g| only.is_none_or(|o| o == g.grade)) {
            let shown = self.over(&asked, grade.grade, grade.fact.figure)?;
            let risk = |s: &Shown| s.abutments.iter().map(|a| a.remade).fold(0.0, f64::max);
            // A denser grade is taken only where it saves a remake in one of fifty.
            if best.as_ref().is_none_or(|b| risk(&shown) < risk(b) - 0.02) {
                best = Some(shown);
            }
        }
        best.ok_or_else(|| NoColour(format!("no grade of {} is in the data", candidate.material)))
    }

    /// The same with what the ranking does not need: daylight and lamp, and what would mask.
    ///
    /// # Errors
    /// [`NoColour`] when a helper (opaque cement, block-out) has no optical row.
    pub fn in_full(
        &self,
        mut shown: Shown,
        candidate: &Candidate,
        dimensions: &Dimensions,
        catalogue: &Catalogue,
    ) -> Result<Shown, NoColour> {
        let grades = catalogue.grades(candidate.material);
        let Some(row) = grades.iter().find(|g| Some(g.grade) == shown.grade) else { return Ok(shown) };
        let stack = self.layers(candidate, dimensions, row.grade, row.fact.figure, catalogue)?;
        let weight = shown.visibility;
        for answer in &mut shown.abutments {
            let Some(beneath) = self.backings.get(&answer.tooth) else { continue };
            if let Some((_, seen)) = shown.units.iter().find(|(t, _)| *t == answer.tooth) {
                let by_lamp = self.by_lamp(candidate.material, seen, &stack, beneath)?;
                answer.detail.lights = vec![
                    self.under(DAYLIGHT, seen, &self.wish, weight),
                    self.under(LAMP, &by_lamp, &self.lamp.wish, weight),
                ];
            }
            answer.detail.masking = self.masking(candidate, dimensions, beneath, catalogue)?;
            answer.masking = mask::in_words(&answer.detail.masking, shown.grade, beneath.measured);
        }
        Ok(shown)
    }

    /// What is seen of a candidate in one grade.
    fn over(&self, asked: &Asked, grade: Grade, ratio: catalogue::Range) -> Result<Shown, NoColour> {
        let material = asked.candidate.material;
        let stack = self.layers(asked.candidate, asked.dimensions, grade, ratio, asked.catalogue)?;
        let reference = self.predict(&stack, "ordinary", &self.ordinary)?;
        let mut caveats = Vec::new();
        let mut provenance = self.provenance.clone();
        let mut abutments = Vec::new();
        let n = self.world.draws();
        let mut looks = Draws::constant(n, 0.0);
        let mut worst = Draws::constant(n, 0.0);
        let teeth = asked.teeth;
        let weight = visibility(asked.case, asked.catalogue, teeth.first().copied().or(asked.case.main_tooth()));
        let bare: Vec<Option<Tooth>> =
            if teeth.is_empty() { vec![None] } else { teeth.iter().copied().map(Some).collect() };
        let mut units: Vec<(Tooth, Vec<Lab>)> = Vec::new();
        for tooth in bare {
            let beneath = tooth.and_then(|t| self.backings.get(&t));
            let predicted: Vec<Lab> = match (material, beneath) {
                (Material::Metal, _) => metal(&self.world, asked.catalogue, &mut provenance),
                (Material::MetalCeramic, _) | (_, None) => self.shift(&self.wish, &reference, &reference),
                (_, Some(beneath)) => {
                    self.shift(&self.wish, &self.predict(&stack, &beneath.key, &beneath.backing)?, &reference)
                }
            };
            worst = worst.zip(&difference(&predicted, &self.wish, Metric::Ciede2000), f64::max);
            let own = self.judge.refused(&predicted, &self.wish, &self.world).scaled(weight);
            looks = looks.zip(&own, f64::max);
            if let (Some(tooth), Some(beneath)) = (tooth, beneath) {
                provenance.merge(&beneath.provenance);
                if !beneath.measured && !material.has_alloy() && !caveats.contains(&Caveat::Measure) {
                    caveats.push(Caveat::Measure);
                }
                let answer = self.printed(tooth, beneath, &predicted, &stack, weight);
                abutments.push(answer);
                units.push((tooth, predicted));
            }
        }
        // A pontic hits the wish but for the laboratory's error, which all units share.
        let pontic = (!asked.case.missing().is_empty()
            && asked.candidate.construct == Construct::Bridge
            && material != Material::Metal)
            .then(|| self.shift(&self.wish, &reference, &reference));
        let beside = self.between_units(&units, pontic.as_deref(), weight);
        for ((answer, list), (_, seen)) in abutments.iter_mut().zip(beside).zip(&units) {
            answer.detail.beside = list;
            let neighbour = self.neighbour.as_ref().map(|n| self.likeness("the neighbour".to_owned(), seen, n, weight));
            answer.detail.beside.extend(neighbour);
        }
        // What stands over nothing is seen where the gap was: the pontic, or a crown whose backing nobody named.
        if units.is_empty() || pontic.is_some() {
            let seen = pontic.unwrap_or_else(|| match material {
                Material::Metal => metal(&self.world, asked.catalogue, &mut provenance),
                _ => self.shift(&self.wish, &reference, &reference),
            });
            units.extend(asked.case.main_tooth().map(|t| (t, seen)));
        }
        let visibility = weight;
        Ok(Shown { abutments, grade: Some(grade), looks, caveats, provenance, difference: worst, units, visibility })
    }

    /// wish + (real - ordinary) + error.
    fn shift(&self, wish: &[Lab], real: &[Lab], ordinary: &[Lab]) -> Vec<Lab> {
        (0..self.world.draws())
            .map(|k| {
                let (w, r, o, e) = (wish[k], real[k], ordinary[k], self.error[k]);
                Lab::new((w.l + r.l - o.l + e.l).clamp(0.0, 100.0), w.a + r.a - o.a + e.a, w.b + r.b - o.b + e.b)
            })
            .collect()
    }

    /// A unit by the light of the lamp: what is made by it, moved by what the substrate shifts there.
    fn by_lamp(
        &self,
        material: Material,
        in_daylight: &[Lab],
        stack: &[Named],
        beneath: &Beneath,
    ) -> Result<Vec<Lab>, NoColour> {
        match material {
            Material::Metal => Ok(self.lamp.shows(in_daylight, "colour/metal", &self.world, &self.viewing)),
            // Behind the opaquer nothing shifts.
            Material::MetalCeramic => Ok(self.shift(&self.lamp.made, &self.lamp.made, &self.lamp.made)),
            _ => {
                let under = |key: &str, backing| self.predict_under(&self.lamp.viewing, LAMP, stack, key, backing);
                let (real, ordinary) = (under(&beneath.key, &beneath.backing)?, under("ordinary", &self.ordinary)?);
                Ok(self.shift(&self.lamp.made, &real, &ordinary))
            }
        }
    }

    /// Against the wish under one light.
    fn under(&self, light: &str, seen: &[Lab], wish: &[Lab], weight: f64) -> UnderLight {
        let [bench, mouth] = self.judge.chances(seen, wish, &self.world);
        UnderLight {
            light: light.to_owned(),
            difference: difference(seen, wish, Metric::Ciede2000).interval().rounded(),
            remade: six_figures(0.5 * (bench.remade + mouth.remade) * weight),
        }
    }

    fn printed(
        &self,
        tooth: Tooth,
        beneath: &Beneath,
        predicted: &[Lab],
        stack: &[Named],
        weight: f64,
    ) -> ColourAnswer {
        let [bench, mouth] = self.judge.chances(predicted, &self.wish, &self.world);
        let axis = |f: fn(&Lab) -> f64| Draws::from_fn(predicted.len(), |k| f(&predicted[k])).interval().rounded();
        let step = (predicted.len() / 25).max(1);
        ColourAnswer {
            tooth,
            substrate: beneath.words.clone(),
            substrate_lab: list(mean_lab(&beneath.lab)),
            wish_lab: list(mean_lab(&self.wish)),
            wish: self.wish_words.clone(),
            predicted_lab: list(mean_lab(predicted)),
            predicted_draws: predicted.iter().step_by(step).take(25).map(|l| list(*l)).collect(),
            difference: difference(predicted, &self.wish, Metric::Ciede2000).interval().rounded(),
            seen: six_figures(0.5 * (bench.seen + mouth.seen) * weight),
            remade: six_figures(0.5 * (bench.remade + mouth.remade) * weight),
            masking: String::new(),
            stack: stack.iter().map(|(name, mm, _)| (name.clone(), six_figures(*mm))).collect(),
            detail: ColourDetail {
                predicted: vec![axis(|c| c.l), axis(|c| c.a), axis(|c| c.b)],
                bench,
                bench_limits: Some([self.judge.bench.seen, self.judge.bench.unacceptable]),
                mouth,
                visibility: weight,
                ..ColourDetail::default()
            },
        }
    }
}

/// How visible the place is, 0..1; not asked counts as a little.
pub fn visibility(case: &Case, catalogue: &Catalogue, tooth: Option<Tooth>) -> f64 {
    let smile = match case.mouth.visible {
        Some(Visible::HighSmileLine) => "high",
        Some(Visible::No) => "no",
        Some(Visible::ALittle) | None => "a_little",
    };
    tooth.map_or(1.0, |t| catalogue.values().visibility(t, smile))
}

fn mean_lab(list: &[Lab]) -> Lab {
    let n = list.len().max(1) as f64;
    let sum = |f: fn(&Lab) -> f64| list.iter().map(f).sum::<f64>() / n;
    Lab::new(sum(|l| l.l), sum(|l| l.a), sum(|l| l.b))
}

fn list(lab: Lab) -> [f64; 3] {
    [lab.l, lab.a, lab.b].map(six_figures)
}

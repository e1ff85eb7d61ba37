//! Will it show: colour of the layered restoration over what lies beneath, against the wish.
//!
//! The laboratory is taken to hit the wish over dentine of ordinary colour (CIELAB 72, 3, 20, the middle of the default range), with the
//! usual error of `colour::ModelError`; what differs is what really lies beneath. Predicted = wish + (stack over the real backing -
//! stack over ordinary dentine) + error. Where a class offers grades, the one with the least chance of being remade is taken, the clearer
//! one when two are alike. Metal-ceramic hides everything behind its opaquer; full metal is seen as metal.
//!
//! Chances by bench and in-mouth thresholds, half each, times how visible the tooth is. A pontic stands over nothing and hits the wish.

use crate::candidates::Candidate;
use crate::dimensions::Dimensions;
use crate::report::ColourAnswer;
use answer::{Basis, Caveat, Draws, Provenance, World, six_figures};
use case::words::{Against, Substrate, Visible};
use case::{Case, Reading, WishedColour};
use catalogue::Catalogue;
use catalogue::words::{Build, Construct, Grade, Material, Tooth};
use colour::{
    Backing, Coupling, Ensemble, Family, Instrument, Lab, LayerDraws, Limits, Metric, ModelError, Opacity, Readings,
    Spread, Viewing, ciede2000, difference,
};
use std::collections::BTreeMap;
use std::sync::{Arc, Mutex};

/// Ordinary dentine, CIELAB.
const ORDINARY: Lab = Lab { l: 72.0, a: 3.0, b: 20.0 };
/// Refractive index of tooth and cores.
const BODY_INDEX: f64 = 1.5;

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
}

/// What all options of a case share: the wish, the backings, the media already drawn.
pub struct Scene {
    world: World,
    viewing: Viewing,
    wish: Vec<Lab>,
    wish_words: String,
    provenance: Provenance,
    backings: BTreeMap<Tooth, Beneath>,
    ordinary: Arc<[Backing]>,
    media: Mutex<BTreeMap<String, Arc<[colour::Optics]>>>,
    /// Predictions by stack and backing: bridges, crowns and implants of one build share them.
    seen: Mutex<BTreeMap<String, Arc<[Lab]>>>,
    error: Vec<Lab>,
}

/// What lies beneath on one tooth.
struct Beneath {
    key: String,
    words: String,
    lab: Vec<Lab>,
    backing: Arc<[Backing]>,
    measured: bool,
    provenance: Provenance,
}

/// Why no colour could be computed.
#[derive(Debug, thiserror::Error)]
#[error("the colour could not be computed: {0}")]
pub struct NoColour(String);

impl Scene {
    /// Prepares wish and backings of a case.
    ///
    /// # Errors
    /// [`NoColour`] when a colour given is none a body can have.
    pub fn of(world: &World, case: &Case, catalogue: &Catalogue) -> Result<Self, NoColour> {
        let fail = |e: &dyn std::fmt::Display| NoColour(e.to_string());
        let viewing = Viewing::daylight().map_err(|e| fail(&e))?;
        let (spread, wish_words, mut provenance) = wish(case, catalogue);
        let wish = spread.draws(world, "colour/wish");
        let mut backings = BTreeMap::new();
        let teeth = case.standing().into_iter().chain(case.missing());
        for tooth in teeth {
            if case.missing().contains(&tooth) && case.implant.is_none() {
                continue;
            }
            let (spread, words, measured, from) = beneath(case, tooth, catalogue);
            provenance.merge(&from);
            let field = format!("colour/beneath/{tooth}");
            let metal = case.substrate(tooth).is_some_and(Substrate::is_metal);
            let index = (!metal).then_some(BODY_INDEX);
            let backing =
                colour::backings(&spread, index, Instrument::BEAM, world, &field, &viewing).map_err(|e| fail(&e))?;
            let lab = spread.draws(world, &field);
            backings.insert(tooth, Beneath { key: tooth.to_string(), words, lab, backing, measured, provenance: from });
        }
        let ordinary = Spread::exactly(ORDINARY);
        let ordinary =
            colour::backings(&ordinary, Some(BODY_INDEX), Instrument::BEAM, world, "colour/ordinary", &viewing)
                .map_err(|e| fail(&e))?;
        Ok(Self {
            world: *world,
            viewing,
            wish,
            wish_words,
            provenance,
            backings,
            ordinary,
            media: Mutex::new(BTreeMap::new()),
            seen: Mutex::new(BTreeMap::new()),
            error: ModelError::USUAL.draws(world),
        })
    }

    /// What is seen of a candidate.
    ///
    /// # Errors
    /// [`NoColour`] when a class has no optical row.
    pub fn shown(
        &self,
        case: &Case,
        candidate: &Candidate,
        dimensions: &Dimensions,
        catalogue: &Catalogue,
    ) -> Result<Shown, NoColour> {
        let teeth: Vec<Tooth> = match candidate.construct {
            Construct::OneWing | Construct::TwoWings => Vec::new(),
            Construct::ImplantCrown => case.missing().into_iter().filter(|t| self.backings.contains_key(t)).collect(),
            _ => candidate.abutments.clone(),
        };
        let grades = catalogue.grades(candidate.material);
        let mut best: Option<Shown> = None;
        for grade in &grades {
            let shown = self.over(case, candidate, dimensions, &teeth, grade.grade, grade.fact.figure, catalogue)?;
            let risk = |s: &Shown| s.abutments.iter().map(|a| a.remade).fold(0.0, f64::max);
            // A denser grade is taken only where it saves a remake in one of fifty.
            if best.as_ref().is_none_or(|b| risk(&shown) < risk(b) - 0.02) {
                best = Some(shown);
            }
        }
        best.ok_or_else(|| NoColour(format!("no grade of {} is in the data", candidate.material)))
    }

    #[allow(clippy::too_many_arguments)] // one stack: what, how thick, where, how dense
    fn over(
        &self,
        case: &Case,
        candidate: &Candidate,
        dimensions: &Dimensions,
        teeth: &[Tooth],
        grade: Grade,
        ratio: catalogue::Range,
        catalogue: &Catalogue,
    ) -> Result<Shown, NoColour> {
        let stack = self.layers(candidate, dimensions, grade, ratio)?;
        let reference = self.predict(&stack, "ordinary", &self.ordinary)?;
        let mut caveats = Vec::new();
        let mut provenance = self.provenance.clone();
        let mut abutments = Vec::new();
        let n = self.world.draws();
        let mut looks = Draws::constant(n, 0.0);
        let mut worst = Draws::constant(n, 0.0);
        let weight = visibility(case, catalogue, teeth.first().copied().or(case.main_tooth()));
        let bare: Vec<Option<Tooth>> =
            if teeth.is_empty() { vec![None] } else { teeth.iter().copied().map(Some).collect() };
        for tooth in bare {
            let beneath = tooth.and_then(|t| self.backings.get(&t));
            let predicted: Vec<Lab> = match (candidate.material, beneath) {
                (Material::Metal, _) => metal(&self.world, catalogue, &mut provenance),
                (Material::MetalCeramic, _) | (_, None) => self.shift(&reference, &reference),
                (_, Some(beneath)) => self.shift(&self.predict(&stack, &beneath.key, &beneath.backing)?, &reference),
            };
            let d = difference(&predicted, &self.wish, Metric::Ciede2000);
            let bench = Limits::BENCH.chances(&predicted, &self.wish, &self.world);
            let mouth = Limits::IN_PLACE.chances(&predicted, &self.wish, &self.world);
            let (seen, remade) = (0.5 * (bench.seen + mouth.seen), 0.5 * (bench.unacceptable + mouth.unacceptable));
            worst = worst.zip(&d, f64::max);
            let refused = |limits: Limits| {
                difference(&predicted, &self.wish, limits.metric)
                    .zip(&limits.unacceptable(&self.world), |d, l| f64::from(u8::from(d > l)))
            };
            let own = refused(Limits::BENCH).zip(&refused(Limits::IN_PLACE), |a, b| 0.5 * (a + b)).scaled(weight);
            looks = looks.zip(&own, f64::max);
            let masks = matches!(candidate.material, Material::Metal | Material::MetalCeramic);
            if let (Some(tooth), Some(beneath)) = (tooth, beneath) {
                provenance.merge(&beneath.provenance);
                if !beneath.measured && !masks && !caveats.contains(&Caveat::Measure) {
                    caveats.push(Caveat::Measure);
                }
                abutments.push(self.printed(
                    tooth,
                    beneath,
                    &predicted,
                    &d,
                    (seen * weight, remade * weight),
                    &stack,
                    masks,
                ));
            }
        }
        Ok(Shown { abutments, grade: Some(grade), looks, caveats, provenance, difference: worst })
    }

    /// wish + (real - ordinary) + error.
    fn shift(&self, real: &[Lab], ordinary: &[Lab]) -> Vec<Lab> {
        (0..self.world.draws())
            .map(|k| {
                let (w, r, o, e) = (self.wish[k], real[k], ordinary[k], self.error[k]);
                Lab::new((w.l + r.l - o.l + e.l).clamp(0.0, 100.0), w.a + r.a - o.a + e.a, w.b + r.b - o.b + e.b)
            })
            .collect()
    }

    fn predict(
        &self,
        stack: &[(String, f64, LayerDraws)],
        backing_key: &str,
        backing: &Arc<[Backing]>,
    ) -> Result<Arc<[Lab]>, NoColour> {
        let broken = || NoColour("a worker stopped".to_owned());
        let layers: Vec<String> = stack.iter().map(|(name, mm, _)| format!("{name}@{mm}")).collect();
        let key = format!("{} over {backing_key}", layers.join("/"));
        if let Some(known) = self.seen.lock().map_err(|_| broken())?.get(&key) {
            return Ok(known.clone());
        }
        let ensemble = Ensemble {
            layers: stack.iter().map(|(_, _, layer)| layer.clone()).collect(),
            coupling: Coupling::Film(1.5),
            backing: backing.clone(),
            instrument: Instrument::BEAM,
            model_error: ModelError::NONE,
        };
        let seen: Arc<[Lab]> =
            ensemble.predict(&self.world, &self.viewing).map_err(|e| NoColour(e.to_string()))?.into();
        self.seen.lock().map_err(|_| broken())?.insert(key, seen.clone());
        Ok(seen)
    }

    /// Layers from the outside in: name, thickness, optics.
    fn layers(
        &self,
        candidate: &Candidate,
        dimensions: &Dimensions,
        grade: Grade,
        ratio: catalogue::Range,
    ) -> Result<Vec<(String, f64, LayerDraws)>, NoColour> {
        let facial = dimensions.working("facial").or(dimensions.working("occlusal")).unwrap_or(1.0);
        let core_name = format!("{} {}", candidate.material, grade);
        let opaque = candidate.material.has_alloy();
        let ratio = if opaque { catalogue::Range { best: None, low: 0.985, high: 0.995 } } else { ratio };
        let core =
            self.medium(&format!("{}/{}", candidate.material.word(), grade.word()), ratio, candidate.material)?;
        let layer = |optics: &Arc<[colour::Optics]>, mm: f64| LayerDraws {
            optics: optics.clone(),
            thickness_mm: self.world.log_normal("colour/thickness", mm, 0.08),
        };
        if candidate.build == Build::Monolithic {
            return Ok(vec![(core_name, facial, layer(&core, facial))]);
        }
        let thinnest = dimensions.working("core_thickness").unwrap_or(0.5).min(0.7 * facial);
        let veneer_mm = (facial - thinnest).max(0.2);
        // Veneering ceramics read 0.6 at 0.49 mm (Heffernan 2002); at 1.0 mm the band lies between 0.68 and 0.82.
        let veneer =
            self.medium("veneer", catalogue::Range { best: None, low: 0.68, high: 0.82 }, Material::Feldspathic)?;
        Ok(vec![
            ("veneer".to_owned(), veneer_mm, layer(&veneer, veneer_mm)),
            (core_name, thinnest, layer(&core, thinnest)),
        ])
    }

    /// A medium's draws, made once for all options that use it.
    fn medium(
        &self,
        name: &str,
        ratio: catalogue::Range,
        material: Material,
    ) -> Result<Arc<[colour::Optics]>, NoColour> {
        let broken = || NoColour("a worker stopped".to_owned());
        if let Some(known) = self.media.lock().map_err(|_| broken())?.get(name) {
            return Ok(known.clone());
        }
        let index = if material.is_zirconia() { (2.1, 2.2) } else { (1.5, 1.55) };
        let mean = mean_lab(&self.wish);
        let family = Family {
            name: name.to_owned(),
            opacity: Opacity::ContrastRatio {
                low: ratio.low.min(0.99),
                high: ratio.high.min(0.995),
                thickness_mm: 1.0,
            },
            index,
            body: Spread::Normal { mean, sd: Lab::new(2.0, 0.5, 2.0) },
            readings: Readings::default(),
        };
        let members = family.draw(&self.world, &self.viewing).map_err(|e| NoColour(e.to_string()))?;
        self.media.lock().map_err(|_| broken())?.insert(name.to_owned(), members.optics.clone());
        Ok(members.optics)
    }

    #[allow(clippy::too_many_arguments)] // the parts of one printed answer
    fn printed(
        &self,
        tooth: Tooth,
        beneath: &Beneath,
        predicted: &[Lab],
        d: &Draws,
        (seen, remade): (f64, f64),
        stack: &[(String, f64, LayerDraws)],
        masks: bool,
    ) -> ColourAnswer {
        let dark = mean_lab(&beneath.lab);
        let masking = if masks {
            String::new()
        } else if remade > 0.2 && ciede2000(dark, ORDINARY) > 8.0 {
            "a denser grade, a thicker core, or opaque the core first".to_owned()
        } else {
            String::new()
        };
        let step = (predicted.len() / 25).max(1);
        ColourAnswer {
            tooth,
            substrate: beneath.words.clone(),
            substrate_lab: list(dark),
            wish_lab: list(mean_lab(&self.wish)),
            wish: self.wish_words.clone(),
            predicted_lab: list(mean_lab(predicted)),
            predicted_draws: predicted.iter().step_by(step).take(25).map(|l| list(*l)).collect(),
            difference: d.interval().rounded(),
            seen: six_figures(seen),
            remade: six_figures(remade),
            masking,
            stack: stack.iter().map(|(name, mm, _)| (name.clone(), six_figures(*mm))).collect(),
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

fn of_reading(reading: &Reading) -> Spread {
    // Repeated readings of one tooth scatter by about 1 where nothing was told (common practice, no source).
    let sd = reading.spread.unwrap_or(1.0) / 3f64.sqrt();
    Spread::Normal { mean: Lab::new(reading.l, reading.a, reading.b), sd: Lab::new(sd, sd, sd) }
}

/// The wished colour with its spread, in words.
fn wish(case: &Case, catalogue: &Catalogue) -> (Spread, String, Provenance) {
    let own = Provenance::of("own_reading", Basis::Own);
    match case.wish.wished_colour() {
        Some(WishedColour::Read(reading)) => (of_reading(reading), "read by instrument".to_owned(), own),
        Some(WishedColour::Tab(name)) => {
            let tab = case.laboratory.tabs.iter().find(|t| t.name == name);
            let (spread, _, provenance) = natural(case, catalogue);
            match tab {
                Some(t) => {
                    let sd = t.spread.unwrap_or(1.0) / 3f64.sqrt();
                    (
                        Spread::Normal { mean: Lab::new(t.l, t.a, t.b), sd: Lab::new(sd, sd, sd) },
                        format!("own tab {name}"),
                        own,
                    )
                }
                None => (spread, format!("own tab {name}, not measured: a natural tooth instead"), provenance),
            }
        }
        Some(WishedColour::Neighbour(against)) => {
            let (spread, words, provenance) = natural(case, catalogue);
            let (mean, sd) = match spread {
                Spread::Normal { mean, sd } => (mean, sd),
                Spread::Between { low, high } => (
                    Lab::new(0.5 * (low.l + high.l), 0.5 * (low.a + high.a), 0.5 * (low.b + high.b)),
                    Lab::new(4.0, 1.0, 3.0),
                ),
            };
            let mut shifted = mean;
            for wish in against {
                match wish {
                    Against::Lighter => shifted.l += 3.0,
                    Against::Darker => shifted.l -= 3.0,
                    Against::Paler => shifted.b -= 2.0,
                    Against::Richer => shifted.b += 2.0,
                    Against::Yellower => shifted.b += 1.5,
                    Against::Redder => shifted.a += 1.0,
                }
            }
            (Spread::Normal { mean: shifted, sd }, format!("as the neighbour, taken as {words}"), provenance)
        }
        None => natural(case, catalogue),
    }
}

/// A natural tooth of this kind: mean and spread of people read, adults first.
fn natural(case: &Case, catalogue: &Catalogue) -> (Spread, String, Provenance) {
    let tooth = case.main_tooth();
    let mut provenance = Provenance::default();
    let mut axis = |quantity: &str, mean: f64, sd: f64| {
        let fits = |c: &&catalogue::ToothColour| {
            c.quantity == quantity
                && c.sd.is_some()
                && tooth.is_some_and(|t| c.class == Some(t.class()) && c.jaw == Some(t.jaw()))
        };
        match catalogue.tooth_colours().iter().find(fits) {
            Some(row) => {
                row.fact.sources.iter().for_each(|s| provenance.add(s.clone(), row.fact.basis));
                (row.fact.figure.middle(), row.sd.unwrap_or(sd))
            }
            None => {
                provenance.add("common_practice", Basis::CommonPractice);
                (mean, sd)
            }
        }
    };
    let (l, sl) = axis("L", 72.0, 4.5);
    let (a, sa) = axis("a", 0.5, 1.2);
    let (b, sb) = axis("b", 17.0, 3.5);
    (
        Spread::Normal { mean: Lab::new(l, a, b), sd: Lab::new(sl, sa, sb) },
        "a natural tooth of this kind".to_owned(),
        provenance,
    )
}

/// What lies beneath on a tooth: reading, else the range of what was named.
fn beneath(case: &Case, tooth: Tooth, catalogue: &Catalogue) -> (Spread, String, bool, Provenance) {
    let reading = case
        .abutment(tooth)
        .and_then(|a| a.stump.as_ref())
        .or_else(|| case.implant.as_ref().and_then(|i| i.reading.as_ref()).filter(|_| case.missing().contains(&tooth)));
    let word = case.substrate(tooth).unwrap_or(Substrate::Unknown);
    if let Some(reading) = reading {
        let words = format!("{} (measured)", word.label());
        return (of_reading(reading), words, true, Provenance::of("own_reading", Basis::Own));
    }
    match catalogue.substrate(word.word()).or_else(|| catalogue.substrate("unknown")) {
        Some(row) => {
            let corner = |f: fn(&catalogue::Range) -> f64| Lab::new(f(&row.lab[0]), f(&row.lab[1]), f(&row.lab[2]));
            (
                Spread::Between { low: corner(|r| r.low), high: corner(|r| r.high) },
                format!("{} (not measured)", word.label()),
                false,
                row.provenance.clone(),
            )
        }
        None => (
            Spread::Between { low: Lab::new(28.0, -4.0, -3.0), high: Lab::new(90.0, 14.0, 36.0) },
            "not known".to_owned(),
            false,
            Provenance::of("common_practice", Basis::CommonPractice),
        ),
    }
}

/// An alloy's own colour.
fn metal(world: &World, catalogue: &Catalogue, provenance: &mut Provenance) -> Vec<Lab> {
    let row = catalogue.substrate(Substrate::MetalPost.word());
    let spread = row.map_or(Spread::exactly(Lab::new(65.0, 1.0, 4.0)), |row| {
        provenance.merge(&row.provenance);
        let corner = |f: fn(&catalogue::Range) -> f64| Lab::new(f(&row.lab[0]), f(&row.lab[1]), f(&row.lab[2]));
        Spread::Between { low: corner(|r| r.low), high: corner(|r| r.high) }
    });
    spread.draws(world, "colour/metal")
}

//! Bodies of one tooth of an option, for looking at: the tooth, the least preparation its dimensions ask for, the restoration on it.
//!
//! Average forms scaled to nothing but the tooth's own averages; nothing here is a shape to cut to. What is dragged is cut in its plane alone
//! (`anatomy::FlatTooth`), bodies are made for the eye that turns them.

use crate::problem::Problem;
use anatomy::{Core, Design, FlatTooth, Needs, Outlines, Part, Preparation, ToothForm, ToothParts, retainer};
use case::{Age, Case};
use catalogue::Catalogue;
use catalogue::words::{Build, Construct, Surface, Tooth};
use plan::{PlannedOption, Tried};
use schemars::JsonSchema;
use serde::Serialize;
use shape::ShapeError;
use std::collections::HashMap;
use std::sync::{Arc, Mutex};

/// Lattice of the tooth that is cut flat, mm.
const CELL: f64 = 0.3;
/// Squares a section is drawn on, mm; lines between them are straight.
const SQUARE: f64 = 0.12;
/// Cement, mm (the gap of a usual crown; common practice, no source).
const GAP: f64 = 0.06;
/// Distance at which a connector's section is drawn beside the tooth, mm.
const BESIDE: f64 = 4.0;

/// Tooth parts made once: they do not change while a hand drags.
#[derive(Default)]
pub struct Bodies {
    made: Mutex<HashMap<Key, Arc<ToothParts>>>,
    flat: Mutex<HashMap<Key, Arc<FlatTooth>>>,
}

/// A tooth, and its age and lattice as a number.
type Key = (Tooth, u32);

/// A flat section to scale.
#[derive(Debug, Clone, Serialize, JsonSchema)]
pub struct FlatSection {
    /// The tooth that is cut.
    pub tooth: Option<Tooth>,
    /// What is seen, in words.
    pub words: String,
    /// Unit of all lengths.
    pub unit: &'static str,
    /// Outlines, hindmost first.
    pub outlines: Vec<OutlineForm>,
    /// What may be dragged.
    pub handles: Vec<Handle>,
}

/// One outline.
#[derive(Debug, Clone, Serialize, JsonSchema)]
pub struct OutlineForm {
    /// `outer`, `restoration`, `core`, `veneer`, `stump`, `enamel`, `dentine`, `pulp` or `connector`.
    pub what: &'static str,
    /// In words.
    pub words: String,
    /// Places, mm: right is lip or cheek, up is the chewing surface.
    pub points: Vec<[f64; 2]>,
    /// Always closed.
    pub closed: bool,
}

/// Something that may be dragged.
#[derive(Debug, Clone, Serialize, JsonSchema)]
pub struct Handle {
    /// `thickness`, `taper`, `connector_height` or `connector_width`.
    pub id: &'static str,
    /// In words.
    pub words: &'static str,
    /// As it stands.
    pub value: f64,
    /// Least.
    pub min: f64,
    /// Largest.
    pub max: f64,
    /// Step.
    pub step: f64,
    /// Unit.
    pub unit: &'static str,
    /// Tested minimum, where there is one.
    pub tested_minimum: Option<f64>,
    /// Where it is held.
    pub at: [f64; 2],
    /// The way it is dragged to make it more.
    pub along: [f64; 2],
}

/// The bodies of an option on one tooth.
pub struct Made {
    /// The tooth before.
    pub parts: Arc<ToothParts>,
    /// The stump; none where nothing is cut.
    pub preparation: Option<Preparation>,
    /// The restoration.
    pub restoration: Option<Part>,
}

impl Bodies {
    /// Parts of a tooth at the age of the case.
    pub fn parts(
        &self,
        case: &Case,
        catalogue: &Catalogue,
        tooth: Tooth,
        cell: f64,
    ) -> Result<Arc<ToothParts>, Problem> {
        let age = age(case);
        let key = key(tooth, age, cell);
        if let Some(made) = crate::sheets::guard(&self.made).get(&key) {
            return Ok(made.clone());
        }
        let form = ToothForm::of(catalogue, tooth).map_err(|e| no_form(&e.to_string()))?;
        let parts = Arc::new(ToothParts::new(&form, age, cell).map_err(|e| no_form(&e.to_string()))?);
        crate::sheets::guard(&self.made).insert(key, parts.clone());
        Ok(parts)
    }

    /// A tooth cut flat in its middle, at the age of the case.
    fn flat(&self, case: &Case, catalogue: &Catalogue, tooth: Tooth) -> Result<Arc<FlatTooth>, Problem> {
        let key = key(tooth, age(case), CELL);
        if let Some(flat) = crate::sheets::guard(&self.flat).get(&key) {
            return Ok(flat.clone());
        }
        let parts = self.parts(case, catalogue, tooth, CELL)?;
        let flat = Arc::new(FlatTooth::of(&parts, 0.0, SQUARE).map_err(|e| no_form(&e.to_string()))?);
        crate::sheets::guard(&self.flat).insert(key, flat.clone());
        Ok(flat)
    }

    /// Bodies of an option on a tooth.
    ///
    /// # Errors
    /// When no form of the tooth is known, or a dimension cannot be.
    pub fn made(
        &self,
        case: &Case,
        catalogue: &Catalogue,
        option: &PlannedOption,
        tooth: Tooth,
        cell: f64,
    ) -> Result<Made, Problem> {
        let parts = self.parts(case, catalogue, tooth, cell)?;
        let Some(design) = design(case, option, tooth, &Tried::default()) else {
            return Ok(Made { parts, preparation: None, restoration: None });
        };
        let preparation = Preparation::of(&parts, &design, cell).map_err(cannot_be)?;
        let restoration = match retainer(&preparation, &parts, GAP) {
            Ok(body) => Some(body),
            Err(ShapeError::Empty) => None,
            Err(e) => return Err(cannot_be(e)),
        };
        Ok(Made { parts, preparation: Some(preparation), restoration })
    }

    /// A section from cheek to tongue through one tooth of an option, and its connector beside it.
    ///
    /// # Errors
    /// When no form of the tooth is known, or a dimension cannot be.
    pub fn section(
        &self,
        case: &Case,
        catalogue: &Catalogue,
        option: &PlannedOption,
        tooth: Option<Tooth>,
        tried: &Tried,
    ) -> Result<FlatSection, Problem> {
        let tooth = tooth.or_else(|| option.preparation.first().map(|p| p.tooth)).or_else(|| case.main_tooth());
        let Some(tooth) = tooth else {
            return Err(Problem::wrong("tooth", "no tooth is named", "a tooth of the case", "choose a tooth first"));
        };
        let (parts, flat) = (self.parts(case, catalogue, tooth, CELL)?, self.flat(case, catalogue, tooth)?);
        let design = design(case, option, tooth, tried);
        let mut section = FlatSection {
            tooth: Some(tooth),
            words: format!(
                "{tooth} cut from lip or cheek (right) to tongue (left): average form, to scale, not to cut to"
            ),
            unit: "mm",
            outlines: match &design {
                Some(design) => cut(option, &flat, design)?,
                None if case.missing().contains(&tooth) => replaced(option, &flat),
                None => whole(&flat),
            },
            handles: Vec::new(),
        };
        let bound = shape::Solid::bound(parts.outer.as_ref());
        if design.is_some() {
            section.handles.extend(wall_handles(case, option, tooth, tried, &bound));
        }
        connector(case, option, tried, &bound, &mut section);
        Ok(section)
    }
}

fn key(tooth: Tooth, age: f64, cell: f64) -> Key {
    (tooth, (age * 1000.0 + cell * 100.0) as u32)
}

fn cannot_be(e: ShapeError) -> Problem {
    Problem::wrong("dimensions", e.to_string(), "dimensions that can be made", "drag back")
}

/// What is cut of a tooth; none where nothing is.
fn design(case: &Case, option: &PlannedOption, tooth: Tooth, tried: &Tried) -> Option<Design> {
    let needs = needs(option, tried);
    let cut = [needs.occlusal, needs.facial, needs.lingual, needs.proximal].iter().any(|n| *n > 0.0);
    let carries = option.preparation.iter().any(|p| p.tooth == tooth);
    let convergence = convergence(case, tooth, tried);
    (cut && carries).then(|| Design { needs, convergence, ..Design::default() })
}

fn no_form(what: &str) -> Problem {
    Problem::wrong("tooth", what, "a tooth whose form is known", "take another tooth")
}

fn age(case: &Case) -> f64 {
    case.mouth.age.map(Age::years).map_or(40.0, |(young, old)| 0.5 * (young + old))
}

fn convergence(case: &Case, tooth: Tooth, tried: &Tried) -> f64 {
    let given = case.abutment(tooth).and_then(|a| a.convergence_degrees);
    tried.taper.or(given).unwrap_or(Design::default().convergence).clamp(0.0, 60.0)
}

/// Thickness by surface of an option, the chewing wall as tried.
fn needs(option: &PlannedOption, tried: &Tried) -> Needs {
    let planned = option.dimensions.iter().filter_map(|d| Some((d.surface?, d.working)));
    let mut needs = Needs::from_surfaces(planned);
    if let Some(thickness) = tried.thickness {
        needs.occlusal = thickness.clamp(0.1, 6.0);
    }
    needs
}

/// Core and veneer: layered all round, partly layered on the side that is seen.
fn core(option: &PlannedOption) -> Option<Core> {
    // Thickness of a veneer (common practice, no source), as the command line takes it where none is given.
    const VENEER: f64 = 0.7;
    let veneer = match option.build {
        Build::Monolithic => return None,
        Build::Layered => Needs { occlusal: VENEER, facial: VENEER, lingual: VENEER, proximal: VENEER, margin: 0.0 },
        _ => Needs { facial: VENEER, ..Needs::default() },
    };
    Some(Core::Anatomic { veneer, least: 0.4 })
}

/// Outlines as they are sent: hundredths of a millimetre.
fn add(list: &mut Vec<OutlineForm>, what: &'static str, words: &str, outlines: &Outlines) {
    for points in outlines {
        let points = points.iter().map(|p| p.map(|c| (c * 100.0).round() / 100.0)).collect();
        list.push(OutlineForm { what, words: words.to_owned(), points, closed: true });
    }
}

/// A tooth that is cut, with what is built on it.
fn cut(option: &PlannedOption, flat: &FlatTooth, design: &Design) -> Result<Vec<OutlineForm>, Problem> {
    let cut = flat.cut(design, GAP, core(option)).map_err(cannot_be)?;
    let mut list = Vec::new();
    add(&mut list, "outer", "outer form of the tooth", &flat.outer);
    match &cut.layers {
        Some([core, veneer]) => {
            add(&mut list, "veneer", "veneer", veneer);
            add(&mut list, "core", "core", core);
        }
        None => add(&mut list, "restoration", "restoration", &cut.restoration),
    }
    add(&mut list, "stump", "stump", &cut.stump);
    add(&mut list, "pulp", "pulp", &flat.pulp);
    Ok(list)
}

/// A tooth that stays as it is.
fn whole(flat: &FlatTooth) -> Vec<OutlineForm> {
    let mut list = Vec::new();
    add(&mut list, "outer", "outer form of the tooth", &flat.outer);
    add(&mut list, "dentine", "dentine under the enamel", &flat.dentine);
    add(&mut list, "pulp", "pulp", &flat.pulp);
    list
}

/// The place of a tooth that is missing: what fills it, in the form the tooth had.
fn replaced(option: &PlannedOption, flat: &FlatTooth) -> Vec<OutlineForm> {
    let mut list = Vec::new();
    let (what, words) = match option.construct {
        Construct::ImplantCrown => ("restoration", "crown on an implant, in the form the tooth had"),
        c if c.has_pontic() => ("restoration", "pontic, in the form the tooth had"),
        _ => ("outer", "form the missing tooth had"),
    };
    add(&mut list, what, words, &flat.outer);
    list
}

fn wall_handles(case: &Case, option: &PlannedOption, tooth: Tooth, tried: &Tried, bound: &shape::Aabb) -> Vec<Handle> {
    let mut list = Vec::new();
    let wall = option.dimensions.iter().find(|d| d.surface == Some(Surface::Occlusal));
    if let Some(wall) = wall.filter(|w| w.working > 0.0) {
        list.push(Handle {
            id: "thickness",
            words: "thickness of the chewing wall",
            value: tried.thickness.unwrap_or(wall.working),
            min: 0.3,
            max: 3.0,
            step: 0.1,
            unit: "mm",
            tested_minimum: Some(wall.tested_minimum),
            at: [0.0, bound.high[2] - tried.thickness.unwrap_or(wall.working)],
            along: [0.0, -1.0],
        });
    }
    if matches!(
        option.construct,
        Construct::Crown | Construct::Bridge | Construct::CantileverBridge | Construct::PartialCrown
    ) {
        list.push(Handle {
            id: "taper",
            words: "total convergence of opposite walls",
            value: convergence(case, tooth, tried),
            min: 2.0,
            max: 40.0,
            step: 1.0,
            unit: "°",
            tested_minimum: None,
            at: [0.35 * bound.high[1], 0.45 * bound.high[2]],
            along: [-1.0, 0.0],
        });
    }
    list
}

/// The connector's section beside the tooth: an ellipse of its height and width, at the height it has between teeth.
fn connector(case: &Case, option: &PlannedOption, tried: &Tried, bound: &shape::Aabb, section: &mut FlatSection) {
    let working = |what: &str| option.dimensions.iter().find(|d| d.what == what);
    let Some(height) = working("connector height").filter(|_| option.construct.has_pontic()) else { return };
    let width = working("connector width").unwrap_or(height);
    let high = tried.connector_height.or(case.space.connector_height_mm).unwrap_or(height.working);
    let wide = tried.connector_width.or(case.space.connector_width_mm).unwrap_or(width.working);
    let middle = [bound.high[1] + BESIDE + 0.5 * wide, 0.55 * bound.high[2]];
    let place = |i: usize| {
        let turn = std::f64::consts::TAU * i as f64 / 48.0;
        [middle[0] + 0.5 * wide * turn.cos(), middle[1] + 0.5 * high * turn.sin()].map(|c| (c * 100.0).round() / 100.0)
    };
    section.outlines.push(OutlineForm {
        what: "connector",
        words: "smallest section of the connector, beside the tooth".to_owned(),
        points: (0..48).map(place).collect(),
        closed: true,
    });
    let handle = |id, words, value, tested: Option<f64>, at, along| Handle {
        id,
        words,
        value,
        min: 1.5,
        max: 8.0,
        step: 0.1,
        unit: "mm",
        tested_minimum: tested,
        at,
        along,
    };
    let top = [middle[0], middle[1] + 0.5 * high];
    let side = [middle[0] + 0.5 * wide, middle[1]];
    let least = |d: &plan::Dimension| Some(d.tested_minimum);
    section.handles.push(handle("connector_height", "height of the connector", high, least(height), top, [0.0, 1.0]));
    section.handles.push(handle("connector_width", "width of the connector", wide, least(width), side, [1.0, 0.0]));
}

//! Bodies of one tooth of an option, for looking at: the tooth, the least preparation its dimensions ask for, the restoration on it.
//!
//! Average forms scaled to nothing but the tooth's own averages; nothing here is a shape to cut to. Lattices are as coarse as a hand that drags
//! can wait for.

use crate::problem::Problem;
use anatomy::{Core, Cutting, Design, Formula, Needs, Part, Preparation, ToothForm, ToothParts, layered, retainer};
use case::{Age, Case};
use catalogue::Catalogue;
use catalogue::words::{Build, Construct, Surface, Tooth};
use plan::{PlannedOption, Tried};
use schemars::JsonSchema;
use serde::Serialize;
use shape::ShapeError;
use std::collections::HashMap;
use std::sync::{Arc, Mutex};

/// Lattice of a body that is dragged, mm.
const CELL: f64 = 0.3;
/// Half the thickness of the slice a section is made in, mm.
const SLICE: f64 = 0.6;
/// Squares a section is drawn on, mm; lines between them are straight.
const SQUARE: f64 = 0.2;
/// Cement, mm (the gap of a usual crown; common practice, no source).
const GAP: f64 = 0.06;
/// Distance at which a connector's section is drawn beside the tooth, mm.
const BESIDE: f64 = 4.0;

/// Tooth parts made once: they do not change while a hand drags.
#[derive(Default)]
pub struct Bodies {
    made: Mutex<HashMap<(Tooth, u32), Arc<ToothParts>>>,
}

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
    /// Core and veneer, where it has both.
    pub layers: Option<(Part, Part)>,
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
        let key = (tooth, (age * 1000.0 + cell * 100.0) as u32);
        if let Some(made) = crate::sheets::guard(&self.made).get(&key) {
            return Ok(made.clone());
        }
        let form = ToothForm::of(catalogue, tooth).map_err(|e| no_form(&e.to_string()))?;
        let parts = Arc::new(ToothParts::new(&form, age, cell).map_err(|e| no_form(&e.to_string()))?);
        crate::sheets::guard(&self.made).insert(key, parts.clone());
        Ok(parts)
    }

    /// Bodies of an option on a tooth, in other dimensions where they are tried.
    ///
    /// # Errors
    /// When no form of the tooth is known, or a dimension cannot be.
    pub fn made(
        &self,
        case: &Case,
        catalogue: &Catalogue,
        option: &PlannedOption,
        tooth: Tooth,
        tried: &Tried,
        cell: f64,
    ) -> Result<Made, Problem> {
        let parts = self.parts(case, catalogue, tooth, cell)?;
        let whole = parts.outer.clone();
        Self::built(case, option, tooth, tried, parts, whole, cell)
    }

    /// Bodies within an outer form: the whole tooth, or the slice of it that is looked at.
    fn built(
        case: &Case,
        option: &PlannedOption,
        tooth: Tooth,
        tried: &Tried,
        parts: Arc<ToothParts>,
        outer: Part,
        cell: f64,
    ) -> Result<Made, Problem> {
        let needs = needs(option, tried);
        let cut = [needs.occlusal, needs.facial, needs.lingual, needs.proximal].iter().any(|n| *n > 0.0);
        let carries = option.preparation.iter().any(|p| p.tooth == tooth);
        if !cut || !carries {
            return Ok(Made { parts, preparation: None, restoration: None, layers: None });
        }
        let convergence = convergence(case, tooth, tried);
        let design = Design { needs, convergence, ..Design::default() };
        let wrong =
            |e: ShapeError| Problem::wrong("dimensions", e.to_string(), "dimensions that can be made", "drag back");
        let preparation = Preparation::within(&parts, outer.clone(), outer, &design, cell).map_err(wrong)?;
        let restoration = match retainer(&preparation, &parts, GAP) {
            Ok(body) => Some(body),
            Err(ShapeError::Empty) => None,
            Err(e) => return Err(wrong(e)),
        };
        let layers = restoration.as_ref().and_then(|body| layers(option, body, &preparation));
        Ok(Made { parts, preparation: Some(preparation), restoration, layers })
    }

    /// A section from cheek to tongue through one tooth of an option, and its connector beside it.
    ///
    /// # Errors
    /// As [`Bodies::made`].
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
        let parts = self.parts(case, catalogue, tooth, CELL)?;
        let slice = slice(&parts);
        let made = Self::built(case, option, tooth, tried, parts, slice, CELL)?;
        let mut section = FlatSection {
            tooth: Some(tooth),
            words: format!(
                "{tooth} cut from lip or cheek (right) to tongue (left): average form, to scale, not to cut to"
            ),
            unit: "mm",
            outlines: outlines(&made),
            handles: Vec::new(),
        };
        let bound = made.parts.outer.as_ref();
        let bound = shape::Solid::bound(bound);
        if made.preparation.is_some() {
            section.handles.extend(wall_handles(case, option, tooth, tried, &bound));
        }
        connector(case, option, tried, &bound, &mut section);
        Ok(section)
    }
}

/// The tooth within a thin slice about the plane of the section: what lies further off is not seen.
fn slice(parts: &ToothParts) -> Part {
    let outer = parts.outer.clone();
    let mut bound = shape::Solid::bound(outer.as_ref());
    (bound.low[0], bound.high[0]) = (-SLICE, SLICE);
    Arc::new(Formula::new(bound, move |p| shape::Solid::distance(outer.as_ref(), p)))
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
fn layers(option: &PlannedOption, restoration: &Part, preparation: &Preparation) -> Option<(Part, Part)> {
    // Thickness of a veneer (common practice, no source), as the command line takes it where none is given.
    const VENEER: f64 = 0.7;
    let veneer = match option.build {
        Build::Monolithic => return None,
        Build::Layered => Needs { occlusal: VENEER, facial: VENEER, lingual: VENEER, proximal: VENEER, margin: 0.0 },
        _ => Needs { facial: VENEER, ..Needs::default() },
    };
    let core = Core::Anatomic { veneer, least: 0.4 };
    let made = layered(restoration, &preparation.wanted, &preparation.stump, core);
    Some((made.core, made.veneer))
}

fn outlines(made: &Made) -> Vec<OutlineForm> {
    let plane = Cutting::facio_lingual(0.0);
    let mut list = Vec::new();
    let mut add = |what: &'static str, words: &str, body: &dyn shape::Solid| {
        for points in plane.outlines(body, SQUARE) {
            let points = points.into_iter().map(|p| p.map(|c| (c * 100.0).round() / 100.0)).collect();
            list.push(OutlineForm { what, words: words.to_owned(), points, closed: true });
        }
    };
    add("outer", "outer form of the tooth", made.parts.outer.as_ref());
    match (&made.restoration, &made.layers) {
        (_, Some((core, veneer))) => {
            add("veneer", "veneer", veneer);
            add("core", "core", core);
        }
        (Some(body), None) => add("restoration", "restoration", body),
        (None, None) => {}
    }
    match &made.preparation {
        Some(preparation) => add("stump", "stump", &preparation.stump),
        None => add("dentine", "dentine under the enamel", made.parts.core.as_ref()),
    }
    add("pulp", "pulp", made.parts.pulp.as_ref());
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

//! Working dimensions of a candidate against the room there is.

use crate::candidates::Candidate;
use crate::report::Dimension;
use answer::Unit;
use case::Case;
use case::words::Moment;
use catalogue::words::Surface;
use catalogue::{Catalogue, Need};

/// What a candidate needs and what the case offers.
#[derive(Debug, Clone, PartialEq)]
pub struct Dimensions {
    needs: Vec<Need>,
    /// Room to the antagonist there will be, mm; `None`: the preparation makes what is needed.
    pub space: Option<f64>,
    /// Connector planned, where the construct has one.
    pub connector: Option<Connector>,
    /// Chewing wall asked about, in place of the planned one.
    wall: Option<f64>,
}

/// A connector as planned.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Connector {
    /// Height, mm.
    pub height: f64,
    /// Width, mm.
    pub width: f64,
    /// Fillet radius, mm.
    pub radius: f64,
    /// Tested minimum of height times width, mm2: the trade calls 3 x 3 mm an area of 9 mm2 (all rows of `data/needs.csv` are so), though a round section has four fifths of that.
    pub least_area: f64,
    /// Tested minimum of the height, mm.
    pub least_height: f64,
    /// Width over height, and fillet radius (mm), that the studies are taken to have had: the working ones, whatever the case has.
    pub studies: (f64, f64),
    /// True when height and width were measured in the case.
    pub measured: bool,
}

impl Connector {
    /// Height and width (mm) the studies' connectors are taken to have had: the tested minimum x 1.15, in the working shape.
    pub(crate) fn in_studies(&self) -> [f64; 2] {
        let ratio = self.studies.0;
        let least = (self.least_area / ratio).sqrt().max(self.least_height);
        [least, least * ratio].map(|x| x * crate::mechanics::STUDIES.0)
    }
}

impl Dimensions {
    /// Of a candidate in a case.
    pub fn of(case: &Case, candidate: &Candidate, catalogue: &Catalogue) -> Self {
        // More than one hanging pontic no source tells of: what one needs is the least.
        let pontics = if candidate.construct.hangs_free() { 1 } else { case.missing().len() as u32 };
        let needs: Vec<Need> = catalogue
            .needs(candidate.construct, candidate.material, candidate.build, case.region(), pontics)
            .into_iter()
            .cloned()
            .collect();
        let connector = candidate.construct.has_pontic().then(|| connector(case, &needs)).flatten();
        Self { needs, space: space(case), connector, wall: None }
    }

    /// Working dimension by its word.
    pub fn working(&self, dimension: &str) -> Option<f64> {
        self.need(dimension).map(|n| n.working)
    }

    /// Tested minimum by its word.
    pub fn minimum(&self, dimension: &str) -> Option<f64> {
        self.need(dimension).map(Need::tested_minimum)
    }

    /// The same with another connector, where the construct has one.
    #[must_use]
    pub fn with_connector(&self, change: impl Fn(&mut Connector)) -> Self {
        let mut other = self.clone();
        other.connector.iter_mut().for_each(change);
        other
    }

    /// The same with another thickness of the chewing wall.
    #[must_use]
    pub fn with_wall(&self, thickness: f64) -> Self {
        Self { wall: Some(thickness), ..self.clone() }
    }

    /// The same with another working dimension, by its word; the tested minimum stays.
    #[must_use]
    pub fn with_working(&self, dimension: &str, working: f64) -> Self {
        let mut other = self.clone();
        other.needs.iter_mut().filter(|n| n.dimension == dimension).for_each(|n| n.working = working);
        other
    }

    /// Thickness planned on the chewing surface: the working one, less where the room is short.
    pub fn occlusal(&self) -> Option<f64> {
        if self.wall.is_some() {
            return self.wall;
        }
        let working = self.working("occlusal")?;
        Some(self.space.map_or(working, |room| working.min(room.max(0.1))))
    }

    /// Needs by surface, as the anatomy takes them.
    pub fn surfaces(&self) -> impl Iterator<Item = (Surface, f64)> + '_ {
        self.needs.iter().filter_map(|n| n.surface().map(|s| (s, n.working)))
    }

    /// Ids of the sources of all needs, and the weakest basis.
    pub fn provenance(&self) -> answer::Provenance {
        let mut all = answer::Provenance::default();
        for need in self.needs.iter().filter(|n| n.surface().is_some() || n.dimension.starts_with("connector")) {
            need.sources.iter().for_each(|s| all.add(s.clone(), need.basis));
        }
        all
    }

    /// Words when the room is below the tested minimum.
    pub fn space_short_of_minimum(&self) -> Option<String> {
        let (room, least) = (self.space?, self.minimum("occlusal")?);
        (room < least).then(|| format!("the room is {room} mm, the tested minimum {least} mm"))
    }

    /// Words when the room lies between minimum and working dimension.
    pub fn space_short_of_working(&self) -> Option<String> {
        let (room, least, working) = (self.space?, self.minimum("occlusal")?, self.working("occlusal")?);
        (room >= least && room < working).then(|| format!("the room is {room} mm, the working thickness {working} mm"))
    }

    /// Words when the connector is lower or smaller than the tested minimum.
    pub fn connector_short_of_minimum(&self) -> Option<String> {
        let c = self.connector.filter(|c| c.measured)?;
        let area = c.height * c.width;
        if c.height < c.least_height {
            Some(format!("the connector can be {} mm high, the minimum is {} mm", c.height, c.least_height))
        } else if area < 0.999 * c.least_area {
            Some(format!(
                "the connector can have {area:.1} mm² (height times width), the minimum is {} mm²",
                c.least_area
            ))
        } else {
            None
        }
    }

    /// As printed.
    pub fn printed(&self) -> Vec<Dimension> {
        self.needs
            .iter()
            .map(|n| Dimension {
                what: n.dimension.replace('_', " "),
                surface: n.surface(),
                working: n.working,
                tested_minimum: n.tested_minimum(),
                available: match n.dimension.as_str() {
                    "occlusal" => self.space,
                    "connector_height" => self.connector.filter(|c| c.measured).map(|c| c.height),
                    _ => None,
                },
                unit: if n.unit == "mm2" { Unit::SquareMillimetres } else { Unit::Millimetres },
                sources: n.sources.clone(),
                basis: n.basis,
            })
            .collect()
    }

    fn need(&self, dimension: &str) -> Option<&Need> {
        self.needs.iter().find(|n| n.dimension == dimension)
    }
}

/// Room for the restoration: what is planned; at the stump what is there.
fn space(case: &Case) -> Option<f64> {
    let now = case.space.now_mm.filter(|_| case.moment == Moment::Stump);
    case.space
        .planned_mm
        .or(now)
        .or_else(|| case.space.room.map(|r| r.millimetres()).map(|(low, high)| 0.5 * (low + high)))
}

fn connector(case: &Case, needs: &[Need]) -> Option<Connector> {
    let find = |word: &str| needs.iter().find(|n| n.dimension == word);
    let (height, width) = (find("connector_height")?, find("connector_width"));
    let planned_height = case.space.connector_height_mm.unwrap_or(height.working);
    let width_needed = width.map_or(height.working, |w| w.working);
    let radius = find("embrasure_radius").map_or(0.45, |n| n.working);
    Some(Connector {
        height: planned_height,
        width: case.space.connector_width_mm.unwrap_or(width_needed),
        radius,
        studies: (width_needed / height.working, radius),
        least_area: find("connector_area").map_or(0.0, Need::tested_minimum),
        least_height: height.tested_minimum(),
        measured: case.space.connector_height_mm.is_some(),
    })
}

//! Layers of an option from the outside in, their media (own before class), and what is seen of them over a backing.

use super::{NoColour, Scene};
use crate::candidates::Candidate;
use crate::dimensions::Dimensions;
use catalogue::words::{Build, Grade, Material};
use catalogue::{Catalogue, MediumRow, Range};
use colour::{
    Backing, Coupling, Ensemble, Family, Instrument, Lab, LayerDraws, Measured, ModelError, Opacity, Optics, Readings,
    Spectrum, Spread, Viewing,
};
use std::sync::Arc;

/// Optics of a medium, one per draw.
pub(super) type Members = Arc<[Optics]>;

/// A layer: name, thickness in mm, draws.
pub(super) type Named = (String, f64, LayerDraws);

impl Scene {
    /// Colour per draw of a stack over a backing in daylight; made once for all options that share it.
    pub(super) fn predict(&self, stack: &[Named], key: &str, backing: &Arc<[Backing]>) -> Result<Arc<[Lab]>, NoColour> {
        self.predict_under(&self.viewing, "D65", stack, key, backing)
    }

    /// The same under another light.
    pub(super) fn predict_under(
        &self,
        viewing: &Viewing,
        light: &str,
        stack: &[Named],
        backing_key: &str,
        backing: &Arc<[Backing]>,
    ) -> Result<Arc<[Lab]>, NoColour> {
        let broken = || NoColour("a worker stopped".to_owned());
        let layers: Vec<String> = stack.iter().map(|(name, mm, _)| format!("{name}@{mm}")).collect();
        let key = format!("{} over {backing_key} under {light}", layers.join("/"));
        if let Some(known) = self.seen.lock().map_err(|_| broken())?.get(&key) {
            return Ok(known.clone());
        }
        let seen: Arc<[Lab]> =
            ensemble(stack, backing).predict(&self.world, viewing).map_err(|e| NoColour(e.to_string()))?.into();
        self.seen.lock().map_err(|_| broken())?.insert(key, seen.clone());
        Ok(seen)
    }

    /// Layers from the outside in.
    pub(super) fn layers(
        &self,
        candidate: &Candidate,
        dimensions: &Dimensions,
        grade: Grade,
        ratio: Range,
        catalogue: &Catalogue,
    ) -> Result<Vec<Named>, NoColour> {
        let facial = dimensions.working("facial").or(dimensions.working("occlusal")).unwrap_or(1.0);
        let core_name = format!("{} {}", candidate.material, grade);
        let opaque = candidate.material.has_alloy();
        let ratio = if opaque { Range { best: None, low: 0.985, high: 0.995 } } else { ratio };
        let key = format!("{}/{}", candidate.material.word(), grade.word());
        let core = self.class_medium(&key, ratio, candidate.material, grade, catalogue)?;
        if candidate.build == Build::Monolithic {
            return Ok(vec![(core_name, facial, self.layer(&core, facial))]);
        }
        let thinnest = dimensions.working("core_thickness").unwrap_or(0.5).min(0.7 * facial);
        let veneer_mm = (facial - thinnest).max(0.2);
        let (ratio, at) = ratio_of(catalogue, "veneer")?;
        let veneer = self.medium("veneer", ratio, at, false)?;
        Ok(vec![
            ("veneer".to_owned(), veneer_mm, self.layer(&veneer, veneer_mm)),
            (core_name, thinnest, self.layer(&core, thinnest)),
        ])
    }

    /// A layer of a medium with the laboratory's scatter of thickness.
    pub(super) fn layer(&self, optics: &Members, mm: f64) -> LayerDraws {
        LayerDraws { optics: optics.clone(), thickness_mm: self.world.log_normal("colour/thickness", mm, 0.08) }
    }

    /// Own discs of this class and grade, else its range of contrast ratios.
    fn class_medium(
        &self,
        name: &str,
        ratio: Range,
        material: Material,
        grade: Grade,
        catalogue: &Catalogue,
    ) -> Result<Members, NoColour> {
        let bands = catalogue.medium_for(material, grade);
        if bands.is_empty() {
            return self.medium(name, ratio, 1.0, material.is_zirconia());
        }
        self.once(&format!("own {name}"), || {
            let own = own_medium(&bands).map_err(NoColour)?;
            own.draws(&self.world, &bands[0].medium).map_err(|e| NoColour(e.to_string()))
        })
    }

    /// A medium known by its contrast ratio at a thickness.
    pub(super) fn medium(&self, name: &str, ratio: Range, at_mm: f64, zirconia: bool) -> Result<Members, NoColour> {
        self.once(name, || {
            let family = Family {
                name: name.to_owned(),
                opacity: Opacity::ContrastRatio {
                    low: ratio.low.min(0.99),
                    high: ratio.high.min(0.995),
                    thickness_mm: at_mm,
                },
                index: if zirconia { (2.1, 2.2) } else { (1.5, 1.55) },
                body: Spread::Normal { mean: super::mean_lab(&self.wish), sd: Lab::new(2.0, 0.5, 2.0) },
                readings: Readings::default(),
            };
            let members = family.draw(&self.world, &self.viewing).map_err(|e| NoColour(e.to_string()))?;
            Ok(members.optics)
        })
    }

    /// A medium's draws, made once for all options that use it.
    fn once(&self, name: &str, make: impl FnOnce() -> Result<Members, NoColour>) -> Result<Members, NoColour> {
        let broken = || NoColour("a worker stopped".to_owned());
        if let Some(known) = self.media.lock().map_err(|_| broken())?.get(name) {
            return Ok(known.clone());
        }
        let made = make()?;
        self.media.lock().map_err(|_| broken())?.insert(name.to_owned(), made.clone());
        Ok(made)
    }
}

/// A stack as cemented: a film of index 1.5 beneath the lowest layer, looked at as an eye does.
pub(super) fn ensemble(stack: &[Named], backing: &Arc<[Backing]>) -> Ensemble {
    Ensemble {
        layers: stack.iter().map(|(_, _, layer)| layer.clone()).collect(),
        coupling: Coupling::Film(1.5),
        backing: backing.clone(),
        instrument: Instrument::BEAM,
        model_error: ModelError::NONE,
    }
}

/// Contrast ratio of a helper (veneer, opaque cement, block-out resin) and the thickness it holds at, mm.
pub(super) fn ratio_of(catalogue: &Catalogue, material: &str) -> Result<(Range, f64), NoColour> {
    let rows = catalogue.optics(material, "contrast_ratio");
    let row = rows.first().ok_or_else(|| NoColour(format!("optics.csv has no contrast ratio of `{material}`")))?;
    Ok((row.fact.figure, row.thickness_mm.map_or(1.0, Range::middle)))
}

/// Scattering and absorption of an own medium on the working grid, from its rows in order of wavelength.
///
/// # Errors
/// In words, when the bands do not cover the visible or a figure is impossible.
pub fn own_medium(bands: &[&MediumRow]) -> Result<Measured, String> {
    let Some(first) = bands.first() else { return Err("an own medium without rows".to_owned()) };
    let nm: Vec<f64> = bands.iter().map(|b| b.wavelength_nm).collect();
    let spectrum = |pick: fn(&MediumRow) -> f64| {
        let values: Vec<f64> = bands.iter().map(|b| pick(b)).collect();
        Spectrum::from_grid(&nm, &values).map_err(|e| format!("own medium {}: {e}", first.medium))
    };
    let optics = Optics::new(spectrum(|b| b.scattering)?, spectrum(|b| b.absorption)?, first.index)
        .map_err(|e| e.to_string())?;
    Ok(Measured {
        optics,
        sd_log_scattering: spectrum(|b| b.sd_log_scattering)?,
        sd_log_absorption: spectrum(|b| b.sd_log_absorption)?,
    })
}

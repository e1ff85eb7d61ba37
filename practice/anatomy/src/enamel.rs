//! How thick enamel lies at a place of a crown.
//!
//! Axial: 30 % of the full thickness at its edge, growing to all of it over the lower 60 % of the crown. Occlusal: the full occlusal thickness.
//! Both are blended by how much the surface is chewing surface: a smooth step of g_z from 0.45 to 0.8, g the outward normal. As a solid the cap
//! runs out to nothing over the last half millimetre.

use crate::form::ToothForm;
use catalogue::words::{Tooth, ToothClass};

/// Share of the full axial thickness at the enamel's edge.
const AT_EDGE: f64 = 0.3;
/// Share of the crown's height over which axial enamel grows to its full thickness.
pub(crate) const GROWS_OVER: f64 = 0.6;
/// Height over which a cap runs out, mm.
const RUNS_OUT: f64 = 0.5;

/// Full thicknesses of one tooth, mm.
#[derive(Debug, Clone, Copy)]
pub(crate) struct EnamelForm {
    pub(crate) axial: f64,
    pub(crate) occlusal: f64,
    crown_height: f64,
}

impl EnamelForm {
    pub(crate) fn of(form: &ToothForm) -> Self {
        let [axial, occlusal] = full_enamel(form.tooth());
        Self { axial, occlusal, crown_height: form.size().crown_height }
    }

    /// Share of the full axial thickness at a height above the enamel's edge.
    pub(crate) fn axial_share(&self, above_edge: f64) -> f64 {
        AT_EDGE + (1.0 - AT_EDGE) * (above_edge / (GROWS_OVER * self.crown_height)).clamp(0.0, 1.0)
    }

    /// Thickness where `occlusal` of the surface is chewing surface.
    pub(crate) fn thickness(&self, occlusal: f64, above_edge: f64) -> f64 {
        occlusal * self.occlusal + (1.0 - occlusal) * self.axial * self.axial_share(above_edge)
    }

    /// Thickness of the cap at a place whose outward normal is `normal`; 0 below the enamel's edge.
    pub(crate) fn cap(&self, form: &ToothForm, normal: [f64; 3], place: [f64; 3]) -> f64 {
        let above_edge = place[2] - form.enamel_edge(place[0]);
        self.thickness(occlusal_share(normal), above_edge) * (above_edge / RUNS_OUT).clamp(0.0, 1.0)
    }
}

/// How much a surface with this outward normal is chewing surface (0..1).
pub(crate) fn occlusal_share(normal: [f64; 3]) -> f64 {
    let t = ((normal[2] - 0.45) / 0.35).clamp(0.0, 1.0);
    t * t * (3.0 - 2.0 * t)
}

/// Full thickness of axial and occlusal enamel, mm. Axial: Vellini-Ferreira 2012, Munhoz 2012 and a micro-CT sample (0.63 front, 1.46
/// molars, contact level); occlusal: Liu 2006 hollow parts for molars, incisal edge and premolar cusps from memory.
pub(crate) fn full_enamel(tooth: Tooth) -> [f64; 2] {
    match tooth.class() {
        ToothClass::CentralIncisor | ToothClass::LateralIncisor => [0.8, 1.5],
        ToothClass::Canine => [0.9, 1.5],
        ToothClass::Premolar => [1.3, 1.3],
        ToothClass::Molar => [1.4, 1.0],
    }
}

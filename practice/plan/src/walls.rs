//! Stress in the chewing wall, by surfaces over the body it is: a plate on the tooth where no walls stand around it (partial crown, veneer, endocrown), a core under a veneer
//! where one lies all over it, a cap else. Thicknesses are those of the chewing surface, core and veneer in the ratio of their working ones.
//!
//! Limits: the veneer has 72 GPa in all classes (60 to 80: 3 % of stress); a veneer on a front tooth is taken at its incisal edge, and an endocrown without what reaches into the tooth.

use crate::candidates::Candidate;
use crate::dimensions::Dimensions;
use crate::mechanics::{DENTINE, Found, STUDIES, Wanted};
use crate::surfaces::CEMENT;
use catalogue::words::{Build, Construct};
use strength::designs::Family;

/// Radius of a contact, mm: facets are 0.5 to 3 mm wide (Kelly 1999, from memory).
pub(crate) const CONTACT: f64 = 1.0;
/// What breaks, in words.
const BODY: &str = "chewing wall";

impl Wanted<'_> {
    /// Of what covers the tooth without walls around it, of a core with a veneer all over, of all else.
    pub(crate) fn wall(&self, dimensions: &Dimensions) -> Option<Found> {
        let (least, planned) = (dimensions.minimum("occlusal")?, dimensions.occlusal()?);
        let sizes = [least * STUDIES.0, least * STUDIES.0 * STUDIES.1.exp(), planned];
        let tooth = self.case.main_tooth().and_then(|t| self.catalogue.tooth(t));
        let (length, width) = tooth.map_or((9.0, 9.0), |d| (d.mesiodistal_mm, d.buccolingual_mm));
        let ratio = self.modulus / DENTINE.0;
        if matches!(self.candidate.construct, Construct::PartialCrown | Construct::Veneer | Construct::Endocrown) {
            let point = |t: f64| vec![t, ratio, CONTACT, length, width, CEMENT];
            return self.by_surface(Family::Lid, sizes.map(point), BODY);
        }
        if let Some(core) = core_share(self.candidate, dimensions) {
            let point = |t: f64| vec![t * core, t * (1.0 - core), ratio, CONTACT, length, CEMENT];
            return self.by_surface(Family::Layers, sizes.map(point), BODY);
        }
        let side = dimensions.working("facial").unwrap_or(1.0);
        let point = |t: f64| vec![t, side, ratio, CONTACT, length, CEMENT];
        self.by_surface(Family::Cap, sizes.map(point), BODY)
    }
}

/// Share of the wall's thickness that the core has, where a veneer lies all over it. One that is veneered only where it shows is chewed on its core.
pub(crate) fn core_share(candidate: &Candidate, dimensions: &Dimensions) -> Option<f64> {
    if candidate.build != Build::Layered {
        return None;
    }
    let (core, veneer) = (dimensions.working("core_thickness")?, dimensions.working("veneer_thickness")?);
    (core + veneer > 0.0).then(|| core / (core + veneer))
}

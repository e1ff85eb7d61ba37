//! A scan as a solid: its own distances where it reaches, the form's where it does not.
//!
//! A place is the scan's when the nearest place of the scan does not lie on a facet at a rim. Elsewhere (under the gum, in holes) the form, scaled to
//! the scan's size, speaks. Across the seam values jump by as much as scan and form differ there.

use super::rim::Rims;
use crate::body::Part;
use shape::{Aabb, Solid, Surface};
use std::sync::Arc;

/// Scan and form as one solid, in the tooth's frame.
#[derive(Clone)]
pub struct FilledScan {
    scan: Arc<Surface>,
    rims: Arc<Rims>,
    form: Part,
    bound: Aabb,
}

impl FilledScan {
    /// Both in the tooth's frame.
    pub fn new(scan: Arc<Surface>, form: Part) -> Self {
        let rims = Arc::new(Rims::of(&scan));
        let bound = scan.bound().join(&form.bound());
        Self { scan, rims, form, bound }
    }

    /// True where the scan speaks.
    pub fn is_scanned(&self, p: [f64; 3]) -> bool {
        !self.rims.touches(self.scan.closest(p).facet)
    }
}

impl Solid for FilledScan {
    fn distance(&self, p: [f64; 3]) -> f64 {
        let (d, nearest) = self.scan.signed(p);
        if self.rims.touches(nearest.facet) { self.form.distance(p) } else { d }
    }

    fn bound(&self) -> Aabb {
        self.bound
    }
}

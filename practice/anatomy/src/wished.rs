//! The outer form wished where nobody waxed it up: the tooth's form, scaled to a sound neighbour that was measured.
//!
//! size(tooth) = table(tooth) measured(neighbour) / table(neighbour), height and widths each by its own measure; a measure nobody took leaves the
//! table's. Teeth of one mouth are alike, those of one kind most: of the scatter of sizes between people 0.4 is left beside the
//! same tooth of the other side and 0.7 beside another tooth (common practice, no source). The tooth that is to be cut is the same form, worn flat
//! down to the height at which it stands.
//!
//! Measured crowns start at the gum, tabulated ones at the enamel's edge: both teeth are taken to be covered alike.

use crate::body::{LatticeBody, Part};
use crate::{Shown, SizeError, ToothForm, ToothSize};
use catalogue::Catalogue;
use catalogue::words::Tooth;
use shape::{Field, Solid, Union};
use std::sync::Arc;

/// A sound tooth of the same mouth, as measured.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Neighbour {
    /// Which tooth.
    pub tooth: Tooth,
    /// Height of its clinical crown, mm.
    pub crown_height: Option<f64>,
    /// Its greatest mesiodistal width, mm.
    pub mesiodistal: Option<f64>,
}

impl Neighbour {
    /// Share of the scatter of sizes that is left for a tooth beside this one.
    fn scatter_left(&self, tooth: Tooth) -> f64 {
        if self.tooth.number() == tooth.number() { 0.4 } else { 0.7 }
    }
}

/// Sizes of a tooth beside a measured neighbour, mm.
///
/// # Errors
/// [`SizeError`] when a table holds neither of them, or when the measures make a tooth that nobody has.
pub fn size_beside(catalogue: &Catalogue, tooth: Tooth, neighbour: &Neighbour) -> Result<ToothSize, SizeError> {
    let (own, table) = (ToothSize::of(catalogue, tooth)?, ToothSize::of(catalogue, neighbour.tooth)?);
    let tall = neighbour.crown_height.map_or(1.0, |measured| measured / table.crown_height);
    let wide = neighbour.mesiodistal.map_or(1.0, |measured| measured / table.mesiodistal);
    ToothSize {
        crown_height: own.crown_height * tall,
        neck_curve_mesial: own.neck_curve_mesial * tall,
        neck_curve_distal: own.neck_curve_distal * tall,
        mesiodistal: own.mesiodistal * wide,
        mesiodistal_neck: own.mesiodistal_neck * wide,
        faciolingual: own.faciolingual * wide,
        faciolingual_neck: own.faciolingual_neck * wide,
        provenance: own.provenance,
    }
    .checked()
}

/// A tooth beside a measured neighbour: its form, the tooth as it stands (`scan`, or the form worn down to `stands` mm), and the outer form
/// wished. Bodies are sampled on a lattice of `cell` mm.
///
/// # Errors
/// As [`size_beside`]; [`SizeError::NoForm`] when the form does not fit the lattice.
pub fn beside_neighbour(
    catalogue: &Catalogue,
    tooth: Tooth,
    neighbour: &Neighbour,
    scan: Option<Part>,
    stands: Option<f64>,
    cell: f64,
) -> Result<(ToothForm, Shown), SizeError> {
    let form = ToothForm::new(catalogue, tooth, &size_beside(catalogue, tooth, neighbour)?)?;
    let wanted = sampled(&form, cell)?;
    let shown = match (scan, stands.filter(|height| *height < form.size().crown_height)) {
        (Some(scan), _) => Shown::scanned(scan, wanted),
        (None, None) => Shown { present: wanted.clone(), wanted, scatter: neighbour.scatter_left(tooth), worn: 0.0 },
        (None, Some(height)) => {
            let present = sampled(&form.clone().worn_to(height), cell)?;
            // Two lattices of one form differ by their rounding: what stands is part of what is wished.
            let both = Union::new(wanted, present.clone(), 0.0).map_err(|_| SizeError::NoForm(tooth))?;
            let wanted: Part = Arc::new(both);
            let worn = form.size().crown_height - height;
            Shown { present, wanted, scatter: neighbour.scatter_left(tooth), worn }
        }
    };
    Ok((form, shown))
}

/// A form as a body with true distances.
fn sampled(form: &ToothForm, cell: f64) -> Result<Part, SizeError> {
    let bound = form.bound();
    let field = Field::of_columns(&bound, cell, |x, y| form.top(x, y), |top, p| form.field(p, *top))
        .map_err(|_| SizeError::NoForm(form.tooth()))?;
    Ok(Arc::new(LatticeBody::new(&field, bound)))
}

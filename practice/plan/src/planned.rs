//! One option in one case, as planned: what every figure about it is computed from.

use crate::candidates::Candidate;
use crate::dimensions::Dimensions;
use answer::World;
use case::Case;
use catalogue::Catalogue;

/// An option with its dimensions, the case it is for, and what is known.
#[derive(Clone, Copy)]
pub(crate) struct Planned<'a> {
    pub(crate) world: &'a World,
    pub(crate) case: &'a Case,
    pub(crate) candidate: &'a Candidate,
    pub(crate) dimensions: &'a Dimensions,
    pub(crate) catalogue: &'a Catalogue,
}

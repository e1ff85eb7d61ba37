//! What mechanics tells beside the odds: it moves none of them, since patients count such failures wherever they begin.

use crate::bite::Bite;
use crate::candidates::Candidate;
use crate::dimensions::Dimensions;
use crate::fired::Fired;
use crate::margin::Margin;
use crate::mechanics::StressPerNewton;
use crate::wings::Wings;
use crate::yields::Yields;
use answer::World;
use case::Case;
use catalogue::Catalogue;

/// Of one option, where each applies.
pub(crate) struct Beside {
    /// What the heaviest bites do to an alloy's framework.
    pub(crate) yields: Option<Yields>,
    /// What firing leaves in its veneer.
    pub(crate) fired: Option<Fired>,
    /// Tension around its margin.
    pub(crate) margin: Option<Margin>,
    /// Peel at the edge of its wings.
    pub(crate) wings: Option<Wings>,
}

impl Beside {
    /// Of an option.
    pub(crate) fn of(
        world: &World,
        case: &Case,
        candidate: &Candidate,
        dimensions: &Dimensions,
        catalogue: &Catalogue,
        bite: &Bite,
        stress: Option<&StressPerNewton>,
    ) -> Self {
        Self {
            yields: Yields::of(world, case, candidate, dimensions, catalogue, bite),
            fired: Fired::of(world, candidate, dimensions, catalogue),
            margin: Margin::of(world, case, candidate, dimensions, catalogue, stress),
            wings: Wings::of(world, case, candidate, dimensions, catalogue),
        }
    }
}

//! What mechanics tells beside the odds: it moves none of them, since patients count such failures wherever they begin.

use crate::bite::Bite;
use crate::fired::Fired;
use crate::margin::Margin;
use crate::mechanics::StressPerNewton;
use crate::planned::Planned;
use crate::wings::Wings;
use crate::yields::Yields;

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
    pub(crate) fn of(planned: Planned, bite: &Bite, stress: Option<&StressPerNewton>) -> Self {
        Self {
            yields: Yields::of(planned, bite),
            fired: Fired::of(planned),
            margin: Margin::of(planned, stress),
            wings: Wings::of(planned),
        }
    }
}

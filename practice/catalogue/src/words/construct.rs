//! Ways of treating a tooth or a gap.

use super::words;

words! {
    /// What can be done: restorations, and the alternatives a careful colleague would name.
    Construct {
        /// Nothing now; look again.
        LeaveAndWatch = "leave_and_watch", "leave and watch";
        /// Polish or repair what is there.
        PolishOrRepair = "polish_or_repair", "polish or repair";
        /// Direct build-up with cusp cover.
        DirectBuildUp = "direct_build_up", "direct build-up";
        /// Onlay or partial crown.
        PartialCrown = "partial_crown", "onlay or partial crown";
        /// Facial veneer.
        Veneer = "veneer", "veneer";
        /// Crown held in the pulp chamber of a root-filled tooth.
        Endocrown = "endocrown", "endocrown";
        /// Full crown on a tooth.
        Crown = "crown", "crown";
        /// Gap left open.
        LeaveGap = "leave_gap", "leave the gap";
        /// Gap closed by moving teeth.
        CloseGap = "close_gap", "close the gap";
        /// Resin-bonded bridge on one wing.
        OneWing = "one_wing", "resin-bonded bridge, one wing";
        /// Resin-bonded bridge on two wings.
        TwoWings = "two_wings", "resin-bonded bridge, two wings";
        /// Bridge on crowned abutments at both ends.
        Bridge = "bridge", "bridge";
        /// Bridge with a pontic beyond its last crowned abutment.
        CantileverBridge = "cantilever_bridge", "cantilever bridge";
        /// Crown on an implant.
        ImplantCrown = "implant_crown", "implant crown";
        /// Removable partial denture.
        Removable = "removable", "removable denture";
    }
}

/// What a construct is for.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Gap {
    /// A tooth that stands.
    Tooth,
    /// A tooth that is missing.
    Missing,
}

impl Construct {
    /// Whether it treats a standing tooth or a gap.
    pub fn treats(self) -> Gap {
        match self {
            Self::LeaveAndWatch
            | Self::PolishOrRepair
            | Self::DirectBuildUp
            | Self::PartialCrown
            | Self::Veneer
            | Self::Endocrown
            | Self::Crown => Gap::Tooth,
            Self::LeaveGap
            | Self::CloseGap
            | Self::OneWing
            | Self::TwoWings
            | Self::Bridge
            | Self::CantileverBridge
            | Self::ImplantCrown
            | Self::Removable => Gap::Missing,
        }
    }

    /// True for the constructs made in a laboratory from a [`super::Material`] and a [`super::Build`], asked all six questions.
    pub fn is_indirect(self) -> bool {
        matches!(
            self,
            Self::PartialCrown
                | Self::Veneer
                | Self::Endocrown
                | Self::Crown
                | Self::OneWing
                | Self::TwoWings
                | Self::Bridge
                | Self::CantileverBridge
                | Self::ImplantCrown
        )
    }

    /// True where all its pontics are carried on one side.
    pub fn hangs_free(self) -> bool {
        matches!(self, Self::OneWing | Self::CantileverBridge)
    }

    /// True where it hangs a pontic on something.
    pub fn has_pontic(self) -> bool {
        matches!(self, Self::OneWing | Self::TwoWings | Self::Bridge | Self::CantileverBridge)
    }

    /// True where it can only be held by adhesion.
    pub fn is_adhesive_only(self) -> bool {
        matches!(self, Self::OneWing | Self::TwoWings | Self::Veneer | Self::PartialCrown | Self::Endocrown)
    }
}

//! The rows of the sheet: an answer is one row, given in one go (for a bridge, abutment beside abutment).

use super::Sheet;
use crate::Case;
use catalogue::words;

words! {
    /// One row of the sheet.
    SheetAnswer {
        /// Teeth, and what is planned.
        Planned = "planned", "tooth and what is planned";
        /// First or replacement, and why the old one failed.
        Turn = "turn", "first or replacement";
        /// Before or after preparation.
        Moment = "moment", "before or after preparation";
        /// Age.
        Age = "age", "age";
        /// Pulp and root end.
        Pulp = "pulp", "pulp and root end";
        /// What lies beneath.
        Beneath = "beneath", "what lies beneath";
        /// Walls and ferrule.
        Walls = "walls", "walls and ferrule left";
        /// Room now and planned.
        Space = "space", "room now and planned";
        /// Grinding and guard.
        Grinding = "grinding", "grinding, guard worn";
        /// What it bites on.
        Opposing = "opposing", "opposing surface";
        /// Dry field and margin.
        Dry = "dry", "dry field, margin at the gum";
        /// How much is seen.
        Visible = "visible", "visible";
        /// Allergies.
        Allergies = "allergies", "allergies";
        /// What matters.
        Matters = "matters", "what matters";
        /// Front teeth: the wished colour.
        Colour = "colour", "wished colour";
        /// Bridges: support, mobility and tilt.
        Support = "support", "support, mobility and tilt";
        /// Bridges: room for the connector.
        Connector = "connector", "height for the connector";
        /// Implants: screw or cement.
        Fixing = "fixing", "screw or cement";
        /// Implants: axis.
        Axis = "axis", "axis of the implant";
        /// Implants: height from the shoulder.
        Height = "height", "height from the shoulder";
        /// Implants: thickness of the gum.
        Gum = "gum", "thickness of the gum";
    }
}

impl SheetAnswer {
    /// Whether the row stands on the sheet of a case.
    pub fn is_asked(self, sheet: Sheet, front: bool) -> bool {
        match self {
            Self::Pulp | Self::Beneath | Self::Walls => sheet != Sheet::Implant,
            Self::Colour => front,
            Self::Support | Self::Connector => Sheet::GAPS.contains(&sheet),
            Self::Fixing | Self::Axis | Self::Height | Self::Gum => sheet == Sheet::Implant,
            _ => true,
        }
    }

    /// The rows asked of a case, in the order of the sheet.
    pub fn asked(case: &Case) -> Vec<Self> {
        let (sheet, front) = (Sheet::of(case), case.front_tooth());
        Self::ALL.iter().copied().filter(|a| a.is_asked(sheet, front)).collect()
    }
}

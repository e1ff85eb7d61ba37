//! Kinds of sheet: which fields a construct needs.

use crate::Case;
use catalogue::words;
use catalogue::words::Construct;

words! {
    /// Kind of sheet; also the kinds of template.
    Sheet {
        /// A single tooth.
        Crown = "crown", "crown on a tooth";
        /// A gap, bridge on crowned abutments.
        Bridge = "bridge", "bridge";
        /// A gap, wings bonded to its neighbours.
        ResinBonded = "resin_bonded_bridge", "resin-bonded bridge";
        /// A crown on an implant.
        Implant = "implant_crown", "implant crown";
        /// A single tooth whose earlier restoration failed.
        Replacement = "replacement", "replacement of an earlier restoration";
    }
}

impl Sheet {
    /// Sheets on which something hangs between teeth.
    pub(crate) const GAPS: &[Self] = &[Self::Bridge, Self::ResinBonded];
    /// Sheets on which a tooth carries.
    pub(crate) const TEETH: &[Self] = &[Self::Crown, Self::Replacement, Self::Bridge, Self::ResinBonded];
    /// Sheets with an implant.
    pub(crate) const IMPLANTS: &[Self] = &[Self::Implant];

    /// The sheet of a case. An open gap takes that of a bridge; an earlier restoration of a gap stays on the gap's sheet.
    pub fn of(case: &Case) -> Self {
        match case.restoration.construct() {
            Some(Construct::ImplantCrown) => Self::Implant,
            Some(Construct::OneWing | Construct::TwoWings) => Self::ResinBonded,
            _ if case.is_gap() => Self::Bridge,
            _ if case.is_replacement() => Self::Replacement,
            _ => Self::Crown,
        }
    }
}

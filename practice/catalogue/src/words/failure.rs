//! How restorations fail, and what follows.

use super::words;

words! {
    /// Cause of a loss or complication, as counted in studies.
    Cause {
        /// Core, framework or monolithic body breaks.
        FrameworkFracture = "framework_fracture", "framework fracture";
        /// Veneering ceramic chips.
        Chip = "veneer_chip", "chipping";
        /// It comes off.
        Debonding = "loss_of_retention", "coming off";
        /// Caries at the margin.
        Caries = "secondary_caries", "caries at the margin";
        /// The pulp or the root end needs treatment.
        Endodontic = "endodontic", "root canal trouble";
        /// The tooth beneath breaks.
        ToothFracture = "abutment_fracture", "fracture of the tooth";
        /// Screw loosening, abutment, tissue round the implant, and all else.
        Other = "other_failure", "other";
    }
}

impl Cause {
    /// True where stress drives it, so that mechanics may shift it.
    pub fn is_stress_driven(self) -> bool {
        matches!(self, Self::FrameworkFracture | Self::Chip)
    }
}

words! {
    /// Which of the two processes an event belongs to.
    Process {
        /// The restoration is gone or replaced.
        Loss = "loss", "loss";
        /// It goes on after something was done.
        Complication = "complication", "something done again";
    }
}

words! {
    /// What has to be done after a failure, lightest first.
    Consequence {
        /// Cemented again.
        PutBack = "put_back", "put back";
        /// Smoothed and polished.
        Polished = "polished", "polished";
        /// Repaired in the mouth.
        Repaired = "repaired", "repaired";
        /// Made anew.
        Remade = "remade", "made anew";
        /// The tooth needs treatment.
        ToothTreated = "tooth_treated", "tooth treated";
        /// The tooth is lost.
        ToothLost = "tooth_lost", "tooth lost";
    }
}

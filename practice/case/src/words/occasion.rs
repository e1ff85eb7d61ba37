//! When a case is asked, what it replaces, and where its room comes from.

use catalogue::words;
use catalogue::words::Cause;

words! {
    /// When the case is asked: before the bur, or at the prepared tooth.
    Moment {
        /// Before preparation.
        Plan = "plan", "before preparation";
        /// After preparation, at the stump.
        Stump = "stump", "at the stump";
    }
}

words! {
    /// First restoration of this place, or one that takes the place of another.
    Turn {
        /// Nothing was there before.
        First = "first", "first";
        /// Replaces one that failed or no longer serves.
        Replacement = "replacement", "replacement";
    }
}

words! {
    /// Why an earlier restoration has to be replaced.
    WhyReplaced {
        /// Core, framework or monolithic body broke.
        FrameworkFracture = "framework_fracture", "framework fracture";
        /// Veneering ceramic chipped.
        Chip = "veneer_chip", "chipping";
        /// It came off.
        Debonding = "loss_of_retention", "came off";
        /// Caries at the margin.
        Caries = "secondary_caries", "caries at the margin";
        /// The pulp or the root end needed treatment.
        Endodontic = "endodontic", "root canal trouble";
        /// The tooth beneath broke.
        ToothFracture = "abutment_fracture", "fracture of the tooth";
        /// It never fitted.
        Fit = "fit", "did not fit";
        /// Colour or form no longer pleased.
        Looks = "looks", "looks";
        /// Something else.
        Other = "other_failure", "other";
        /// Asked, and not known.
        Unknown = "unknown", "not known";
    }
}

impl WhyReplaced {
    /// The cause as studies count it; `None` for fit, looks and what is not known.
    pub fn cause(self) -> Option<Cause> {
        Cause::parse(self.word())
    }
}

words! {
    /// What is worn until the restoration is ready.
    Temporary {
        /// Nothing.
        Nothing = "none", "none";
        /// Made at the chair.
        Chairside = "chairside", "made at the chair";
        /// Made by the laboratory.
        Laboratory = "laboratory", "made by the laboratory";
    }
}

words! {
    /// Room between the prepared tooth and its antagonist, judged.
    Room {
        /// Less than usual.
        Tight = "tight", "tight";
        /// As usual.
        Normal = "normal", "normal";
        /// More than usual.
        Ample = "ample", "ample";
    }
}

words! {
    /// Where the planned room comes from.
    SpaceSource {
        /// Preparation of this tooth.
        Reduction = "reduction", "reduction of the tooth";
        /// The bite is raised.
        RaisedBite = "raised_bite", "raised bite";
        /// Teeth are moved.
        Orthodontics = "orthodontics", "orthodontics";
        /// The antagonist is ground.
        Antagonist = "antagonist", "adjusting the antagonist";
        /// The crown is lengthened surgically (gives wall, not room).
        CrownLengthening = "crown_lengthening", "crown lengthening";
    }
}

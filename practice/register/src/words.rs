//! The closed lists of what can happen to a restoration, as written in files and in the store.

use catalogue::words;
use catalogue::words::Cause;

words! {
    /// What went wrong.
    EventKind {
        /// Core, framework or monolithic body broke.
        FrameworkFracture = "framework_fracture", "framework fracture";
        /// Veneering ceramic chipped (grade 1 to 3 by the treatment needed).
        Chip = "veneer_chip", "chipping";
        /// It came off.
        Debonding = "loss_of_retention", "coming off";
        /// Caries at the margin.
        Caries = "secondary_caries", "caries at the margin";
        /// Pulp or root end needs treatment.
        Endodontic = "endodontic", "root canal trouble";
        /// The tooth beneath broke.
        ToothFracture = "abutment_fracture", "fracture of the tooth";
        /// Periodontal breakdown.
        Periodontal = "periodontal", "periodontal trouble";
        /// Not accepted for its appearance.
        Appearance = "appearance", "appearance";
        /// The screw of an implant crown came loose.
        ScrewLoosening = "screw_loosening", "loose screw";
        /// The crown came off its base.
        OffItsBase = "off_its_base", "crown off its base";
        /// The abutment of an implant broke.
        ImplantAbutmentFracture = "implant_abutment_fracture", "fracture of the implant's abutment";
        /// Inflammation with loss of bone round an implant.
        PeriImplant = "peri_implant", "peri-implant disease";
        /// Contact to the neighbour opened.
        OpenContact = "open_contact", "open contact";
        /// Replaced for a reason that is no failure (a new bridge over it, a wish).
        ReplacedOther = "replaced_other", "replaced for other reasons";
        /// Anything else.
        Other = "other_failure", "other";
    }
}

impl EventKind {
    /// The cause under which studies count it.
    pub fn cause(self) -> Cause {
        match self {
            Self::FrameworkFracture => Cause::FrameworkFracture,
            Self::Chip => Cause::Chip,
            Self::Debonding | Self::OffItsBase => Cause::Debonding,
            Self::Caries => Cause::Caries,
            Self::Endodontic => Cause::Endodontic,
            Self::ToothFracture => Cause::ToothFracture,
            _ => Cause::Other,
        }
    }

    /// True where only an implant crown can have it.
    pub fn needs_implant(self) -> bool {
        matches!(self, Self::ScrewLoosening | Self::OffItsBase | Self::ImplantAbutmentFracture | Self::PeriImplant)
    }

    /// True where only a tooth can have it.
    pub fn needs_tooth(self) -> bool {
        matches!(self, Self::Caries | Self::Endodontic | Self::ToothFracture)
    }

    /// False for what ends the follow-up without being a failure.
    pub fn is_failure(self) -> bool {
        self != Self::ReplacedOther
    }
}

words! {
    /// What was done about it, lightest first.
    Consequence {
        /// Nothing: seen again later.
        Watched = "watched", "watched";
        /// Smoothed and polished.
        Polished = "polished", "polished";
        /// Cemented or screwed in again.
        PutBack = "put_back", "put back";
        /// Repaired in the mouth.
        Repaired = "repaired", "repaired";
        /// The tooth was treated, the restoration stayed.
        ToothTreated = "tooth_treated", "tooth treated";
        /// Made anew.
        Remade = "remade", "made anew";
        /// Taken out and not made anew.
        Removed = "removed", "removed";
        /// The tooth or implant was lost.
        ToothLost = "tooth_lost", "tooth lost";
    }
}

impl Consequence {
    /// True when the restoration is no longer in place.
    pub fn ends_it(self) -> bool {
        matches!(self, Self::Remade | Self::Removed | Self::ToothLost)
    }
}

words! {
    /// How a try-in went.
    Fit {
        /// Fitted at once, or with at most two minutes of adjustment.
        AtOnce = "fitted", "fitted at once";
        /// Adjusted for more than two minutes.
        Adjusted = "adjusted", "adjusted";
        /// Sent back to the laboratory.
        SentBack = "sent_back", "sent back";
    }
}

words! {
    /// Why it did not fit at once.
    Misfit {
        /// Contact to a neighbour: tight or open.
        Contact = "contact", "contact";
        /// Margin.
        Margin = "margin", "margin";
        /// Colour.
        Colour = "colour", "colour";
        /// Bite.
        Bite = "bite", "bite";
        /// Broken or cracked before it was in.
        Fracture = "fracture", "fracture";
    }
}

words! {
    /// At which stage it was tried in.
    Stage {
        /// Framework alone.
        Framework = "framework", "framework";
        /// Shaped, not yet glazed or crystallised.
        Bisque = "bisque", "bisque";
        /// Finished.
        Finished = "finished", "finished";
    }
}

words! {
    /// By which open criteria a recall was scored (`data/outcome_criteria.csv`).
    Scheme {
        /// FDI World Dental Federation, 2023.
        Fdi2023 = "fdi_2023", "FDI 2023";
        /// FDI World Dental Federation, 2010.
        Fdi2010 = "fdi_2010", "FDI 2010";
        /// Modified USPHS.
        Usphs = "usphs", "modified USPHS / Ryge";
    }
}

words! {
    /// By what results are told apart.
    Grouping {
        /// All together.
        All = "all", "all";
        /// Material class.
        Material = "material", "material";
        /// Build.
        Build = "build", "build";
        /// Construct.
        Construct = "construct", "construct";
        /// Front or back.
        Region = "region", "region";
        /// Laboratory.
        Laboratory = "laboratory", "laboratory";
        /// Operator.
        Operator = "operator", "operator";
        /// Cement.
        Cement = "cement", "cement";
        /// Year of placing.
        Year = "year", "year of placing";
    }
}

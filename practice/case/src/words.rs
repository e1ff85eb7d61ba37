//! The closed lists of words a case is written in.

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
    /// State of the pulp.
    Pulp {
        /// Responds normally.
        Vital = "vital", "vital";
        /// Irreversibly inflamed.
        Irreversible = "irreversible", "irreversibly inflamed";
        /// Dead, not treated.
        Necrotic = "necrotic", "necrotic";
        /// Root canal filled.
        RootFilled = "root_filled", "root-filled";
        /// Asked, and not known.
        Unknown = "unknown", "not known";
    }
}

words! {
    /// State of the root end on the radiograph.
    Apical {
        /// No finding.
        Sound = "sound", "sound";
        /// A lesion that is getting smaller after treatment.
        Healing = "healing", "healing";
        /// A lesion that is not known to heal.
        Lesion = "lesion", "lesion";
        /// Asked, and not known.
        Unknown = "unknown", "not known";
    }
}

words! {
    /// What lies beneath the restoration and shows through it.
    Substrate {
        /// Dentine of ordinary colour.
        Dentine = "dentine", "dentine";
        /// Dark dentine: root-filled, stained.
        DiscolouredDentine = "discoloured_dentine", "discoloured dentine";
        /// Cast post and core, or another metal core.
        MetalPost = "cast_post", "cast post or metal core";
        /// Fibre post with a composite core.
        FibrePost = "fibre_post", "fibre post";
        /// Composite core.
        CompositeCore = "composite_core", "composite core";
        /// Amalgam core.
        AmalgamCore = "amalgam_core", "amalgam core";
        /// Glass ionomer core.
        GlassIonomerCore = "glass_ionomer_core", "glass ionomer core";
        /// Titanium abutment on an implant.
        TitaniumAbutment = "titanium_abutment", "titanium abutment";
        /// Zirconia abutment on an implant.
        ZirconiaAbutment = "zirconia_abutment", "zirconia abutment";
        /// Abutment of a gold alloy on an implant.
        GoldAbutment = "gold_abutment", "gold alloy abutment";
        /// Asked, and not known.
        Unknown = "unknown", "not known";
    }
}

impl Substrate {
    /// True for what is screwed to an implant.
    pub fn is_implant_abutment(self) -> bool {
        matches!(self, Self::TitaniumAbutment | Self::ZirconiaAbutment | Self::GoldAbutment)
    }

    /// True for metals: light does not pass, and the colour is that of its surface.
    pub fn is_metal(self) -> bool {
        matches!(self, Self::MetalPost | Self::AmalgamCore | Self::TitaniumAbutment | Self::GoldAbutment)
    }
}

words! {
    /// Dentine above the finish line, in steps.
    FerruleStep {
        /// None.
        Nothing = "none", "none";
        /// About one millimetre.
        AboutOne = "1mm", "about 1 mm";
        /// Two millimetres or more.
        TwoOrMore = "2mm_or_more", "2 mm or more";
    }
}

words! {
    /// How much of the crown is filling.
    Filled {
        /// No filling.
        Sound = "sound", "sound";
        /// Small or middling fillings.
        Small = "small", "small filling";
        /// Little but filling.
        Heavily = "heavily_filled", "heavily filled";
    }
}

words! {
    /// Cracks, shallowest first.
    Cracks {
        /// None seen.
        Nothing = "none", "none";
        /// In enamel only.
        Enamel = "enamel", "in enamel";
        /// Into dentine, no symptoms on biting.
        Dentine = "dentine", "into dentine";
        /// Pain on biting or release.
        Symptomatic = "pain_on_biting", "with pain on biting";
        /// Through the floor or down the root: the parts move.
        Split = "split", "split tooth or root";
    }
}

words! {
    /// Bone that carries the tooth.
    Bone {
        /// Full height.
        Full = "full", "full height";
        /// About a third lost.
        ThirdLost = "third_lost", "about a third lost";
        /// Half or more lost.
        HalfLost = "half_lost", "half or more lost";
    }
}

words! {
    /// The finish line against the gum.
    Margin {
        /// Above it.
        Above = "above", "above the gum";
        /// Level with it.
        At = "at", "level with the gum";
        /// Below it.
        Below = "below", "below the gum";
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

words! {
    /// Age in bands.
    AgeBand {
        /// Under 18.
        Under18 = "under_18", "under 18";
        /// 18 to 29.
        From18 = "18_29", "18 to 29";
        /// 30 to 44.
        From30 = "30_44", "30 to 44";
        /// 45 to 59.
        From45 = "45_59", "45 to 59";
        /// 60 to 74.
        From60 = "60_74", "60 to 74";
        /// 75 or older.
        From75 = "75_or_older", "75 or older";
    }
}

words! {
    /// Grinding or clenching.
    Grinding {
        /// No sign.
        Nothing = "none", "none";
        /// Reported or hinted at by wear.
        Suspected = "suspected", "suspected";
        /// Seen.
        Evident = "evident", "evident";
    }
}

words! {
    /// What the restoration bites on.
    Opposing {
        /// A natural tooth.
        Enamel = "enamel", "enamel";
        /// Ceramic.
        Ceramic = "ceramic", "ceramic";
        /// Metal.
        Metal = "metal", "metal";
        /// Resin composite.
        Composite = "composite", "composite";
        /// A removable denture.
        Denture = "denture", "removable denture";
        /// A crown or bridge on implants.
        Implant = "implant", "implant-borne";
        /// Nothing.
        Nothing = "none", "nothing";
    }
}

words! {
    /// Whether the field can be kept dry while cementing.
    DryField {
        /// Easily.
        Yes = "yes", "yes";
        /// With effort.
        WithDifficulty = "with_difficulty", "with difficulty";
        /// Not at all.
        No = "no", "no";
    }
}

words! {
    /// How much of the restoration is seen.
    Visible {
        /// Not in talking or laughing.
        No = "no", "no";
        /// In laughing.
        ALittle = "a_little", "a little";
        /// Gum and all.
        HighSmileLine = "high_smile_line", "high smile line";
    }
}

words! {
    /// What the patient reacts to.
    Allergen {
        /// Nickel.
        Nickel = "nickel", "nickel";
        /// Cobalt.
        Cobalt = "cobalt", "cobalt";
        /// Chromium.
        Chromium = "chromium", "chromium";
        /// Palladium.
        Palladium = "palladium", "palladium";
        /// Gold.
        Gold = "gold", "gold";
        /// Titanium.
        Titanium = "titanium", "titanium";
        /// A metal not named.
        AnyMetal = "metal", "a metal not named";
        /// Methacrylates, as in resin cements.
        Methacrylate = "methacrylate", "methacrylate";
    }
}

impl Allergen {
    /// True for metals.
    pub fn is_metal(self) -> bool {
        self != Self::Methacrylate
    }
}

words! {
    /// Risk in three steps.
    Risk {
        /// Low.
        Low = "low", "low";
        /// In the middle.
        Middle = "middle", "middle";
        /// High.
        High = "high", "high";
    }
}

words! {
    /// What guides the jaw sideways.
    Guidance {
        /// The canines.
        Canine = "canine", "canine";
        /// Several teeth of the working side.
        Group = "group", "group";
        /// This restoration itself.
        Restoration = "restoration", "the restoration itself";
        /// Nothing holds: open bite.
        Nothing = "none", "none";
    }
}

words! {
    /// Vertical dimension of the bite.
    VerticalDimension {
        /// Stays.
        Kept = "kept", "kept";
        /// Is changed.
        Changed = "changed", "changed";
    }
}

words! {
    /// What can matter, each a criterion of the ranking.
    Matter {
        /// That little goes wrong.
        Harm = "harm", "that little goes wrong";
        /// That nobody sees it.
        Looks = "looks", "that nobody sees it";
        /// That little tooth is cut.
        Tissue = "tissue", "that little tooth is cut";
        /// What it costs.
        Money = "money", "what it costs";
    }
}

words! {
    /// A wish against the neighbour's colour.
    Against {
        /// Higher lightness.
        Lighter = "lighter", "lighter";
        /// Lower lightness.
        Darker = "darker", "darker";
        /// Lower chroma.
        Paler = "paler", "paler";
        /// Higher chroma.
        Richer = "richer", "richer";
        /// Hue towards yellow.
        Yellower = "yellower", "yellower";
        /// Hue towards red.
        Redder = "redder", "redder";
    }
}

impl Against {
    /// The word that says the contrary.
    pub fn contrary(self) -> Self {
        match self {
            Self::Lighter => Self::Darker,
            Self::Darker => Self::Lighter,
            Self::Paler => Self::Richer,
            Self::Richer => Self::Paler,
            Self::Yellower => Self::Redder,
            Self::Redder => Self::Yellower,
        }
    }
}

words! {
    /// How an implant crown is held.
    Fixing {
        /// By a screw.
        Screw = "screw", "screw";
        /// By cement.
        Cement = "cement", "cement";
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
